"""A product is filled by mass, checked by weighing, and reconciled with its bulk."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.product_made import content_needed, product_of
from stillroom.actions.book.results_kept import result_of
from stillroom.actions.lots.shelf_gaps import settle
from stillroom.actions.making.asked_first import out_of_turn
from stillroom.actions.making.batch_mass import Bulk, bulk_found
from stillroom.actions.making.bulk_density import density_answer
from stillroom.actions.making.weighing import kept_as_odd
from stillroom.actions.products.fill_questions import filling_asked_about, packaging_asked_about
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.products.filling import Bottles, FillCheck, bottles, check_fill, fill_mass, fill_yield
from stillroom.quantities.content import NO_CONTENT, Content, content
from stillroom.quantities.parse import parse
from stillroom.records.entries import DeviationNoted, StepDone, UnitsFilled, Weighing
from stillroom.records.lot_kinds import MADE_AS
from stillroom.records.lots import SHELF, Lot, Movement, batch_account, micrograms
from stillroom.records.procedures import Step
from stillroom.records.written_values import iso_date
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does
from stillroom.texts.catalogue import t

FILL_YIELD = "fill yield"


def fill_units(
    lab: Laboratory,
    batch: str,
    units: int,
    *,
    left_over: str,
    check_weights: Sequence[str],
    packaging: Mapping[str, int],
    scale: str,
    use_by: str,
    by: str,
    at: datetime | None = None,
    note: str = "",
    nominal: str = "",
    request_key: str | None = None,
) -> Done:
    """Write how many bottles were filled, what was left, and the weights that were checked.

    Parameters
    ----------
    batch : str
        Batch of the formula; the lot of bottles gets its code.
    units : int
        Bottles filled.
    left_over : str
        Bulk that did not go into bottles and was weighed: "112.4 g".
    check_weights : sequence of str
        Net content of bottles weighed: ["95.9 g", ...].
    packaging : mapping of str to int
        Lots of bottles, caps, labels and how many of each were used.
    use_by : str
        Day printed on the label: "2027-05-29", "29 May 2027".
    note : str
        Whatever is odd is asked about; with a note it is kept, as a deviation.
    nominal : str
        What a bottle holds, where it is not what the order says: "100 mL" (at 20 °C), "30 g". A second
        filling, of another size too, takes what the one before left over.

    Raises
    ------
    BadEntry
        Without a note: more bottles than the bulk can fill, masses that do not close, a check that is out.
    NotAllowed, NotEnough
        Without a note: a lot of packaging is not released, or the shelf does not hold as many.
    """
    asked = {
        "batch": batch,
        "units": units,
        "left_over": left_over,
        "check_weights": list(check_weights),
        "packaging": dict(packaging),
        "scale": scale,
        "use_by": use_by,
        "note": note,
        **({"nominal": nominal} if nominal.strip() else {}),
    }
    if units <= 0:
        raise BadEntry("At least one bottle is filled", str(units), where="units")
    with lab.act("fill units", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look = pen.look
        on = (at or lab.clock()).isoformat(timespec="seconds")
        step = _step_to_fill(look, batch)
        said = Filled(
            units,
            _grams(left_over, "left over"),
            _weights(check_weights),
            dict(packaging),
            scale,
            use_by,
            _content(look, batch, nominal),
        )
        code = _next_code(look, batch)
        bulk = bulk_found(look, batch, code, on)
        body = filling_body(look, batch, said, code, bulk)
        procedure = look.procedure_of(batch)
        could = could_fill(look, batch, body.each, bulk)
        questions = [
            *out_of_turn(look, procedure, batch, step.name),
            *filling_asked_about(look, body, bulk, could.whole if could else None),
            *packaging_asked_about(look, packaging, on, body.each),
        ]
        checked = check_of(look, body, begun_no(look, batch))
        if checked is not None and checked.verdict != "right":
            questions.append(
                BadEntry(
                    "A fill check that is out needs a note", checked.because, "Say what was done about it"
                )
            )
        if questions and not note.strip():
            raise questions[0]
        number = pen.enter(body)
        numbers = [number, pen.enter(step_of_filling(body, step, note))]
        if questions:
            numbers.append(pen.enter(DeviationNoted(batch, step.name, kept_as_odd(questions), note.strip())))
        because = told_of_check(checked, body)
        numbers += keep_yield(pen, body, bulk, number, because)
        gaps = settle(pen, (one.lot for one in body.movements))
        possible = could.possible.value if could else float("nan")
        told = (
            t(
                "{amount} of {possible:.1f} possible. {because}",
                amount=body.each.counted(units),
                possible=possible,
                because=because,
            )
            if could
            else t("{amount}. {because}", amount=body.each.counted(units), because=because)
        )
        if scale:
            weighed = [(one, f"{one:g} g") for one in (*body.check_weights_g, body.left_over_g)]
            told = f"{told} {look.apparatus(scale).told_of(*weighed)}".rstrip()
        return Done((*numbers, *gaps.entries), told + gaps.says)


@dataclass(frozen=True, slots=True)
class Filled:
    """A filling as a person says it."""

    units: int
    left_over_g: float
    """[g]"""
    weights_g: tuple[float, ...]
    """Net content of the bottles that were checked. [g]"""
    packaging: dict[str, int]
    """Lots and how many of each."""
    scale: str
    use_by: str
    each: Content = NO_CONTENT
    """What a bottle holds; nothing where the order alone says it."""


def filling_body(look: Reader, batch: str, said: Filled, code: str, bulk: Bulk) -> UnitsFilled:
    """The entry of a filling; without check weights the bottles hold what did not stay in the vessel.

    Parameters
    ----------
    code : str
        Of the lot of bottles.
    bulk : Bulk
        What it was filled from.
    """
    product = product_of(look, batch)
    each = said.each or product.each
    try:
        target_g = fill_answer(look, batch, each).value
    except StillroomError:
        target_g = 0.0  # nobody weighed the density: the release waits for it
    rest_g = bulk.mass_g - said.left_over_g
    filled_g = said.units * (fmean(said.weights_g) if said.weights_g else target_g)
    if not said.weights_g and rest_g > 0:
        filled_g = rest_g
    if not filled_g > 0:
        filled_g = said.units * (each.nominal_g or each.nominal_ml)  # as water: nothing says what they hold
    lot = Lot(
        code,
        MADE_AS["formula"],
        product.formula,
        product.name,
        supplier="made here",
        use_by=iso_date(said.use_by, "use by") if said.use_by else None,
        made_by=batch,
    )
    moves = [
        Movement(packed, SHELF, batch_account(batch), count, "piece")
        for packed, count in said.packaging.items()
    ]
    moves.append(Movement(code, batch_account(batch), SHELF, said.units, "piece"))
    return UnitsFilled(
        batch,
        lot,
        said.units,
        filled_g,
        target_g,
        said.left_over_g,
        tuple(moves),
        said.weights_g,
        said.scale,
        each.nominal_ml,
        each.nominal_g,
    )


def step_of_filling(body: UnitsFilled, step: Step, note: str) -> StepDone:
    """The step that a filling is."""
    weighing = Weighing(step.gives[0], "within", "", None, body.filled_g, f"{body.units} bottles", "")
    return StepDone(body.batch, step.name, (weighing,), (), note=note.strip())


def check_of(look: Reader, body: UnitsFilled, number: int) -> FillCheck | None:
    """The check of a filling by its weights; None without weights or without a density.

    Parameters
    ----------
    number : int
        Entry the weights stand in.
    """
    spread = look.apparatus(body.apparatus).standard_uncertainty if body.apparatus else None
    contents = [
        reading(f"bottle {at}", mass_g, "g", f"entry {number}", entry_no=number, standard_uncertainty=spread)
        for at, mass_g in enumerate(body.check_weights_g, start=1)
    ]
    if not contents:
        return None
    try:
        nominal, density = _each(look, body.batch, body.each, number)
        return check_fill(contents, nominal, density, body.units)
    except StillroomError:
        return None  # no density, or a content no table reaches: the release says what is missing


def keep_yield(pen: BookWriter, body: UnitsFilled, bulk: Bulk, number: int, because: str) -> tuple[int, ...]:
    """Write the share of the bulk that became bottles; nothing where more came out than it could give.

    Parameters
    ----------
    bulk : Bulk
        What was filled from.
    number : int
        Entry of the filling.
    """
    look = pen.look
    code = body.lot.code
    old = [one for at in dict.fromkeys((code, body.batch)) for one in look.results(at, FILL_YIELD)]
    share = yield_of(look, body, bulk, number)
    if share is None:
        return ()
    result = result_of(code, FILL_YIELD, share, "bottles against bulk", True, because, (number,))
    replaced = next(
        (
            one.entry_no
            for one in old
            if any(number in (at, look.entry(at).corrected_by) for at in one.body.readings)
        ),
        None,
    )
    why = f"rests on entry {number}" if replaced else ""
    return (pen.enter(result, corrects=replaced, why=why),)


def yield_of(look: Reader, body: UnitsFilled, bulk: Bulk, number: int) -> Answer | None:
    """The share of the bulk that became bottles [%]; None while its density is not known, or where they hold more."""
    counted = reading("bottles filled", float(body.units), "bottles", f"entry {number}", entry_no=number)
    try:
        each = fill_mass(*_each(look, body.batch, body.each, number))
        return fill_yield(counted, _bulk(look, body.batch, bulk), each)
    except StillroomError:
        return None


def told_of_check(checked: FillCheck | None, body: UnitsFilled) -> str:
    """What the check of a filling found, or what it waits for."""
    if checked:
        return checked.because
    if body.check_weights_g:
        return t("The bottles weighed are checked once the density of the bulk is known.")
    return t("No bottle was weighed for the check.")


def could_fill(look: Reader, batch: str, each: Content, bulk: Bulk) -> Bottles | None:
    """How many bottles the bulk gives; None while its density is not known."""
    try:
        return bottles(_bulk(look, batch, bulk), fill_mass(*_each(look, batch, each)))
    except StillroomError:
        return None


def begun_no(look: Reader, batch: str) -> int:
    """Number of the entry that began a batch."""
    return look.begun(batch).entry_no


def _bulk(look: Reader, batch: str, bulk: Bulk) -> Answer:
    if bulk.left_by is not None:
        at = bulk.left_by.entry_no
        return reading("bulk left over", bulk.mass_g, "g", f"filling, entry {at}", entry_no=at)
    number = begun_no(look, batch)
    return reading("bulk", look.batch(batch).scale_g, "g", f"entry {number}", entry_no=number)


def _step_to_fill(look: Reader, batch: str) -> Step:
    procedure = look.procedure_of(batch)
    step = next((one for one in procedure.steps if kind_does(one.kind, "bottles")), None)
    if step is None:
        raise BadEntry(
            "Only a formula with a step of filling is filled",
            worded("{procedure_code} has none", procedure_code=procedure.code),
        )
    return step


def _next_code(look: Reader, batch: str) -> str:
    """The code of the batch, or the next one where it was filled before."""
    return next(
        code for code in (batch, *(f"{batch}-{at}" for at in range(2, 1000))) if not look.holds(code)[0]
    )


def _grams(text: str, where: str, *, zero_allowed: bool = True) -> float:
    mass_g = parse(text, want="mass", zero_allowed=zero_allowed, where=where).in_unit("g")
    try:
        micrograms(mass_g)
    except BadEntry as error:
        raise error.at(where) from None
    return mass_g


def _weights(texts: Sequence[str]) -> tuple[float, ...]:
    return tuple(_grams(one, "check weight", zero_allowed=False) for one in texts)


def fill_answer(look: Reader, batch: str, each: Content = NO_CONTENT) -> Answer:
    """Mass to fill into each bottle, overfill included [g]."""
    return fill_mass(*_each(look, batch, each), _overfill(look, batch))


def _each(look: Reader, batch: str, each: Content, filled_in: int = 0) -> tuple[Answer, Answer | None]:
    """What a bottle holds, and the density that makes a mass of it; none where it is a mass."""
    nominal = nominal_answer(look, batch, each, filled_in)
    return nominal, None if nominal.unit == "g" else density_answer(look, batch)


def _content(look: Reader, batch: str, text: str) -> Content:
    """What a bottle holds, as it is said, else from the order."""
    product = product_of(look, batch)
    if not text.strip():
        return content_needed(product, batch)
    said = content(text, "nominal")
    return product.each if said.is_as(product.each) else said


def _overfill(look: Reader, batch: str) -> Answer | None:
    procedure = look.procedure_of(batch)
    written = look.entries(kind="procedure written", subject=procedure.code)[-1].entry_no
    for step in procedure.steps:
        for setting in step.settings:
            if setting.name == "overfill_share":
                return reading(
                    "overfill",
                    100 * setting.value,
                    "%",
                    f"entry {written}, {setting.because}",
                    entry_no=written,
                )
    return None


def nominal_answer(look: Reader, batch: str, each: Content = NO_CONTENT, filled_in: int = 0) -> Answer:
    """Nominal content of one bottle: from the order, from its filling, or as it is said now [mL or g]."""
    product = product_of(look, batch)
    if each and each != product.each:
        said = f"filling, entry {filled_in}" if filled_in else "said at the filling"
        return reading("nominal content", each.amount, each.unit, said, entry_no=filled_in or None)
    found, entry_no = content_needed(product, batch), product.entry_no
    where = f"customer's order, entry {entry_no}" if product.order else f"filling, entry {entry_no}"
    return reading("nominal content", found.amount, found.unit, where, entry_no=entry_no)
