"""Lines of the release list that only the book can gather: dates, papers, spirit, mass account, limits."""

from collections.abc import Iterator

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.product_made import ProductMade, out_of_bulk_g, product_of
from stillroom.actions.book.results_kept import strength_of
from stillroom.actions.lots.lots_made import is_plant_water
from stillroom.actions.orders.forecasting import active_that_went_in_g
from stillroom.actions.products.batch_content import never_assayed
from stillroom.actions.products.formula_made import formula_of_batch, with_label
from stillroom.actions.releasing.certifying import ethanol_in, names_on_label
from stillroom.actions.releasing.release_facts import lots_in
from stillroom.actions.shelf.lots_in_use import germs_found
from stillroom.actions.shelf.reagent_dates import rules_of_lot
from stillroom.errors import StillroomError
from stillroom.products.best_before import Life, Stability, best_before_line, shortest, supported_until
from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.formula_keeping import is_dry
from stillroom.products.formula_lines import formula_lines
from stillroom.products.papers import OF_MICROBES, PAPERS, Paper, count_of_germs, paper_lines
from stillroom.store.reader import Reader
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import t

HARMFUL_DENATURANTS = (
    "methanol",
    "methyl alcohol",
    "wood spirit",
    "methylated",
    "pyridine",
    "gasoline",
    "petrol",
    "ketone",
)
USUAL_DENATURANTS = (
    "denatonium",
    "bitrex",
    "tert-butyl",
    "t-butyl",
    "isopropyl",
    "isopropanol",
    "diethyl phthalate",
)


def lines_from_book(look: Reader, lot: str) -> tuple[CheckLine, ...]:
    """Every line of a lot made here that does not follow from its results alone.

    Parameters
    ----------
    lot : str
        Extract or product.
    """
    known = look.lot(lot)
    batch = known.made_by or lot
    found = [*_denatured(look, lot), *_complaints(look, lot)]
    if known.kind.traits.made_as == "extraction":
        found += [
            *_active_of_extract(look, lot, batch),
            *count_of_germs(papers_shown(look, lot), awaited=False),
        ]
    if known.kind.traits.made_as == "formula":
        made = product_of(look, batch)
        stability, formula = _stability(look, lot, made), formula_of_batch(look, batch)
        found += [
            best_before_line(known.use_by, lives_of(look, batch), stability),
            *(() if stability else _keeps_how_long(look, batch)),
            *_germs_brought_in(look, batch),
            *_brought_in_uncounted(look, batch),
            *paper_lines(
                papers_shown(look, lot, made.formula),
                ethanol_percent_v=ethanol_in(look, batch),
                without_water=is_dry(formula),
            ),
            _house(look),
            *_mass_of_product(look, batch),
            *formula_lines(with_label(formula, names_on_label(look, batch))),
        ]
    return tuple(found)


def _germs_brought_in(look: Reader, batch: str) -> Iterator[CheckLine]:
    """What went in although its last count of microbes failed, or failed since."""
    for fact in lots_in(look, batch):
        if found := germs_found(look, fact.code):
            yield CheckLine(
                f"germs/{fact.code}",
                fact.code,
                "undecided",
                t(
                    "{code} went in, and its last count of microbes failed: {found}",
                    code=fact.code,
                    found=found,
                ),
                source=PAPERS[OF_MICROBES[0]][1],
                close=t("Count this product itself, and say by name why it may leave; or reject it"),
            )


def _brought_in_uncounted(look: Reader, batch: str) -> Iterator[CheckLine]:
    """What came beside the dosed extract, a hydrosol, and whose share of the active nobody knows."""
    for code, active in never_assayed(look, batch):
        says = t(
            "{code} went in too and was never assayed: what it brings of {active} is not in the content",
            code=code, active=active,
        )  # fmt: skip
        close = t("Assay {code} where that matters", code=code)
        yield CheckLine(f"beside/{code}", code, "cannot be seen here", says, close=close)


def papers_shown(look: Reader, *subjects: str) -> tuple[Paper, ...]:
    """Papers entered for a lot, or for every batch of its formula."""
    return tuple(
        Paper(one.body.what, one.body.outcome, one.body.says, one.body.document, one.body.dated)
        for one in look.evidence(*subjects)
    )


def lives_of(look: Reader, batch: str) -> tuple[Life, ...]:
    """How long everything keeps that went into a batch of a product, and what its procedure says."""
    procedure = look.procedure_of(batch)
    found: list[Life] = []
    for fact in lots_in(look, batch):
        lot = look.lot(fact.code)
        if lot.kind.traits.spoils == "never":
            continue
        if fact.use_by:
            found.append(Life(fact.code, fact.use_by, t("its use-by date")))
        if lot.kind.traits.spoils == "by its rules":
            found += [Life(fact.code, one.last_day, one.says) for one in rules_of_lot(look, lot)]
    if procedure.keeps_days:
        made_on = min((one.done_at for one in look.steps(batch)), default="")
        if made_on:
            ends = supported_until(made_on, procedure.keeps_days)
            found.append(
                Life(procedure.code, ends, t("{days} days by its procedure", days=procedure.keeps_days))
            )
    return tuple(found)


def best_before_offered(lab: Laboratory, batch: str) -> str:
    """The last day a label may give: that of what ends first of all that went in, as the release list takes it.

    Returns
    -------
    str
        "" where nothing in the book says how long it keeps, or not how long a hydrosol in it does. [ISO date]
    """
    with lab.look() as look:
        first = None if _undated_waters(look, batch) else shortest(lives_of(look, batch))
    return first.ends if first else ""


def _undated_waters(look: Reader, batch: str) -> tuple[str, ...]:
    went_in = (look.lot(fact.code) for fact in lots_in(look, batch))
    return tuple(one.code for one in went_in if is_plant_water(one) and not one.use_by)


def _keeps_how_long(look: Reader, batch: str) -> Iterator[CheckLine]:
    """A hydrosol in it of which nobody said how long it keeps: no date of the others speaks for it."""
    for code in _undated_waters(look, batch):
        says = t(
            "{code} is water of a plant, and nobody said how long it keeps",
            code=code,
        )
        close = t("Enter a document on stability; or decide by name on what the date rests")
        yield CheckLine(
            f"keeps/{code}", t("How long {code} keeps", code=code), "undecided", says, close=close
        )


def _stability(look: Reader, lot: str, made: ProductMade) -> Stability | None:
    shown = [
        one
        for one in look.evidence(lot, made.formula)
        if one.body.what == "stability" and one.body.outcome != "fails" and one.body.keeps_days
    ]
    if not shown:
        return None
    body = shown[-1].body
    return Stability(body.document, supported_until(look.received_at(lot), body.keeps_days or 0))


def _complaints(look: Reader, lot: str) -> Iterator[CheckLine]:
    """Each complaint of the lot: a named person decides what it means for the rest of it."""
    for one in look.complaints(lot):
        says = t("{who} complained: {what}", who=one.body.who, what=one.body.what)
        if one.body.reacted:
            says = t("{says} Somebody reacted to it.", says=says)
        close = t(
            "Look at the retained sample and the sheet, and decide by name what it means for the others"
        )
        key = f"complaint/{one.entry_no}"
        yield CheckLine(key, t("Complaint of {who}", who=one.body.who), "undecided", says, close=close)


def _denatured(look: Reader, lot: str) -> Iterator[CheckLine]:
    """Denatured spirit anywhere in what the lot was made from."""
    for code in look.made_from(lot).lots:
        one = look.lot(code)
        told = one.denatured_with.strip()
        if not one.kind.traits.is_clear or not told:
            continue
        words = told.casefold()
        harmful = one.denaturant_is_unknown or any(name in words for name in HARMFUL_DENATURANTS)
        usual = not harmful and any(name in words for name in USUAL_DENATURANTS)
        standing: Standing = "over" if harmful else "within" if usual else "undecided"
        yield CheckLine(
            f"denatured/{code}",
            code,
            standing,
            t("{code} is denatured with {told}", code=code, told=told),
            close=""
            if usual
            else t(
                ("Reject what was made from it: nobody may put this on skin or hair")
                if harmful
                else ("Look whether a cosmetic may hold this denaturant, and decide by name")
            ),
        )


def _house(look: Reader) -> CheckLine:
    house = look.house()
    key, name = "paper/responsible person", t("Responsible person")
    if house.responsible_person and (house.responsible_address or house.address):
        where = house.responsible_address or house.address
        says = t("{who}, {where}", who=house.responsible_person, where=where)
        return CheckLine(key, name, "within", says, source="regulation-1223-2009")
    return CheckLine(
        key,
        name,
        "cannot be seen here",
        t("{name}: not shown", name=name),
        source="regulation-1223-2009",
        close=t("Enter who answers for what is sold, and the address, under Laboratory"),
    )


def _mass_of_product(look: Reader, batch: str) -> Iterator[CheckLine]:
    """Bulk against what was filled and left over."""
    bulk_g = bulk_weighed_g(look, batch)
    if not look.fillings(batch) or bulk_g <= 0:
        return
    out_g = out_of_bulk_g(look, batch)
    percent = 100 * (bulk_g - out_g) / bulk_g
    said = {"bulk_g": bulk_g, "out_g": out_g, "percent": percent}
    loss, gain = rule("mass-account-loss"), rule("mass-account-gain")
    key, about = "mass-account", t("Mass account")
    if percent < -gain.value:
        says = t(
            "{out_g:.1f} g are in bottles and left over, of {bulk_g:.1f} g weighed in: "
            "{percent:.2f} % cannot be lost",
            **said,
        )
        yield CheckLine(
            key,
            about,
            "over",
            says,
            close=t("Correct the weighing, the left-over or the number of bottles that is wrong"),
        )
    elif percent > loss.value:
        says = t(
            "{out_g:.1f} g are in bottles and left over, of {bulk_g:.1f} g weighed in: "
            "{percent:.2f} % is not accounted for, more than {most:g} %",
            most=loss.value,
            **said,
        )
        yield CheckLine(
            key, about, "undecided", says, close=t("Correct what is wrong; or decide by name where it went")
        )
    else:
        yield CheckLine(
            key,
            about,
            "within",
            t(
                "{out_g:.1f} g are in bottles and left over, of {bulk_g:.1f} g weighed in: "
                "{percent:.2f} % lost, at most {most:g} %",
                most=loss.value,
                **said,
            ),
        )


def _active_of_extract(look: Reader, lot: str, batch: str) -> Iterator[CheckLine]:
    """Whether an extract holds more of its active, by its assay, than the plant it was made from held."""
    order = look.batch(batch).order
    went_in = active_that_went_in_g(look, batch) if order else None
    if not order or went_in is None:
        return
    try:
        strength = strength_of(look, lot, look.order(order).aim)
    except StillroomError:
        return
    made_g = -sum(ug for (_, unit), ug in look.balances(lot).items() if unit == "ug" and ug < 0) / 1e6
    doubt = 2 * (strength.standard_uncertainty or 0.0)
    if made_g * (strength.value - doubt) / 100 <= went_in[1]:
        return
    says = t(
        "By its assay of {percent} % {lot} would hold {found} g of the active, and the plant "
        "it was made from held {held} g, {most} g at most",
        lot=lot,
        found=f"{made_g * strength.value / 100:.3g}",
        percent=f"{strength.value:.4g}",
        held=f"{went_in[0]:.3g}",
        most=f"{went_in[1]:.3g}",
    )
    yield CheckLine(
        "active-account",
        t("Active in the extract"),
        "undecided",
        says,
        close=t(
            "Look for a point in the wrong place, in the assay of the plant or of the extract; "
            "or decide by name why both hold"
        ),
    )


def bulk_weighed_g(look: Reader, batch: str) -> float:
    """What was weighed into a batch of a product; what it was begun with where nothing was [g]."""
    weighed = [
        one.actual_g for step in look.steps(batch) for one in step.body.weighings if one.direction == "in"
    ]
    return sum(weighed) if weighed else look.batch(batch).scale_g
