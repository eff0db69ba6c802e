"""A product is filled by mass, checked by weighing, and reconciled with its bulk."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from statistics import fmean

from stillroom.actions.asked_first import out_of_turn
from stillroom.actions.dosing import order_of
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.lots_in_use import must_be_released
from stillroom.actions.results_kept import result_of
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, from_trail, reading
from stillroom.products.filling import bottles, check_fill, fill_mass, fill_yield
from stillroom.quantities.parse import parse
from stillroom.records.entries import DeviationNoted, ReadingTaken, StepDone, UnitsFilled, Weighing
from stillroom.records.lots import SHELF, Lot, LotKind, Movement, batch_account
from stillroom.results.density_by_bottle import density
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

DENSITY = "density at 20 °C"
FILL_YIELD = "fill yield"
FILL_MASS = "fill mass"


def weigh_density(
    lab: Laboratory,
    batch: str,
    *,
    empty: str,
    full_of_water: str,
    full_of_bulk: str,
    temperature: str,
    scale: str,
    thermometer: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Density of a bulk by one bottle weighed empty, full of water, full of the bulk, all at one temperature."""
    asked = {
        "batch": batch,
        "empty": empty,
        "water": full_of_water,
        "bulk": full_of_bulk,
        "temperature": temperature,
        "scale": scale,
        "thermometer": thermometer,
    }
    with lab.act("weigh density", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.batch(batch)
        weigher, warm = pen.look.apparatus(scale), pen.look.apparatus(thermometer)
        numbers, answers = [], []
        for what, text, dimension, unit, tool in (
            ("bottle empty", empty, "mass", "g", weigher),
            ("bottle full of water", full_of_water, "mass", "g", weigher),
            ("bottle full of bulk", full_of_bulk, "mass", "g", weigher),
            ("temperature of the bottle", temperature, "temperature", "°C", warm),
        ):
            value = parse(text, want=dimension, where=what).in_unit(unit)
            number = pen.enter(
                ReadingTaken(
                    batch, what, value, unit, text, tool.code, "density/1", tool.standard_uncertainty
                )
            )
            numbers.append(number)
            answers.append(
                reading(
                    what,
                    value,
                    unit,
                    f"entry {number}",
                    entry_no=number,
                    standard_uncertainty=tool.standard_uncertainty,
                )
            )
        found = density(answers[0], answers[1], answers[2], answers[3])
        body = result_of(
            batch,
            DENSITY,
            found.stated.answer,
            "bottle and scale",
            found.serves_filling,
            found.says,
            tuple(numbers),
            found.stated.expanded.k,
        )
        return Done((*numbers, pen.enter(body)), found.says)


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
    scale : str
    use_by : str
        ISO date printed on the label.
    note : str
        Needed when the check of the fill is out.

    Raises
    ------
    BadEntry
        More bottles than the bulk can fill, or a check that is out without a note.
    NotAllowed
        A lot of packaging is not released.
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
    }
    if units <= 0:
        raise BadEntry("At least one bottle is filled", str(units), where="units")
    left_g = parse(left_over, want="mass", where="left over").in_unit("g")
    weights = tuple(parse(one, want="mass", where="check weight").in_unit("g") for one in check_weights)
    with lab.act("fill units", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look = pen.look
        begun = look.entries(kind="batch begun", subject=batch)[-1]
        order = order_of(look, batch)
        bulk = reading(
            "bulk", look.batch(batch).scale_g, "g", f"entry {begun.entry_no}", entry_no=begun.entry_no
        )
        per_bottle = fill_answer(look, batch)
        possible = bottles(bulk, _nominal_mass(look, batch))
        if units > possible.whole:
            raise BadEntry(
                worded("This bulk fills {whole} bottles at most", whole=possible.whole),
                str(units),
                "Count again",
                where="units",
            )
        on = (at or lab.clock()).isoformat(timespec="seconds")
        moves = []
        for code, count in packaging.items():
            must_be_released(look, look.lot(code), on=on)
            moves.append(Movement(code, SHELF, batch_account(batch), count, "piece"))
        lot = Lot(
            batch,
            LotKind.PRODUCT,
            order.formula,
            order.product,
            supplier="made here",
            use_by=use_by,
            made_by=batch,
        )
        moves.append(Movement(batch, batch_account(batch), SHELF, units, "piece"))
        filled_g = units * fmean(weights) if weights else _bulk_made_g(look, batch) - left_g
        body = UnitsFilled(
            batch, lot, units, filled_g, per_bottle.value, left_g, tuple(moves), weights, scale
        )
        number = pen.enter(body)
        step_no = pen.enter(_step_of_filling(look, batch, units, filled_g, note))
        contents = [
            reading(
                f"bottle {at}",
                weight,
                "g",
                f"entry {number}",
                entry_no=number,
                standard_uncertainty=look.apparatus(scale).standard_uncertainty,
            )
            for at, weight in enumerate(weights, start=1)
        ]
        checked = (
            check_fill(contents, nominal_answer(look, batch), density_answer(look, batch))
            if contents
            else None
        )
        numbers = [number, step_no]
        if checked is not None and checked.verdict != "right":
            if not note.strip():
                raise BadEntry(
                    "A fill check that is out needs a note", checked.because, "Say what was done about it"
                )
            numbers.append(pen.enter(DeviationNoted(batch, "fill", checked.because, note.strip())))
        counted = reading("bottles filled", float(units), "bottles", f"entry {number}", entry_no=number)
        share = fill_yield(counted, bulk, _nominal_mass(look, batch))
        because = checked.because if checked else "No bottle was weighed for the check."
        numbers.append(
            pen.enter(result_of(batch, FILL_YIELD, share, "bottles against bulk", True, because, (number,)))
        )
        return Done(
            tuple(numbers),
            t("done.bottles_of_possible", units=units, possible=possible.possible.value, because=because),
        )


def _step_of_filling(look: Reader, batch: str, units: int, filled_g: float, note: str) -> StepDone:
    begun = look.batch(batch)
    procedure = look.procedure(begun.procedure, begun.version)
    step = next((one for one in procedure.steps if one.kind == "fill"), None)
    if step is None:
        raise BadEntry(
            "Only a formula with a step of filling is filled",
            worded("{procedure_code} has none", procedure_code=procedure.code),
        )
    for question in out_of_turn(look, procedure, batch, step.name):
        if not note.strip():
            raise question
    weighing = Weighing(step.gives[0], "within", "", None, filled_g, f"{units} bottles", "")
    return StepDone(batch, step.name, (weighing,), (), note=note.strip())


def _bulk_made_g(look: Reader, batch: str) -> float:
    """The bulk as it was weighed when it was blended, else as it was begun [g]."""
    weighed = [
        one.actual_g
        for entry in look.steps(batch)
        for one in entry.body.weighings
        if one.direction == "within"
    ]
    return weighed[-1] if weighed else look.batch(batch).scale_g


def fill_answer(look: Reader, batch: str) -> Answer:
    """Mass to fill into each bottle, overfill included [g]."""
    return fill_mass(nominal_answer(look, batch), density_answer(look, batch), _overfill(look, batch))


def _nominal_mass(look: Reader, batch: str) -> Answer:
    return fill_mass(nominal_answer(look, batch), density_answer(look, batch))


def _overfill(look: Reader, batch: str) -> Answer | None:
    begun = look.batch(batch)
    procedure = look.procedure(begun.procedure, begun.version)
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


def nominal_answer(look: Reader, batch: str) -> Answer:
    """Nominal content of one bottle, from the order [mL]."""
    order = order_of(look, batch)
    entry_no = look.entries(kind="order taken", subject=order.code)[-1].entry_no
    return reading(
        "nominal content", order.nominal_ml, "mL", f"customer's order, entry {entry_no}", entry_no=entry_no
    )


def density_answer(look: Reader, batch: str) -> Answer:
    """Density of the bulk as measured [g/mL].

    Raises
    ------
    BadEntry
        No measurement counts.
    """
    found = [entry for entry in look.results(batch, DENSITY) if entry.body.counts]
    if not found:
        raise BadEntry(
            "Filling by mass needs the density of the bulk",
            worded("none for {batch}", batch=batch),
            "Weigh a bottle of it",
        )
    return from_trail(found[-1].body.trail)
