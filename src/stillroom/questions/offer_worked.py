"""An enquiry that asks for no bottles, worked out: the customer's own plant, tests of a sample, a reagent, spirit.

What the shelf holds and what things cost here comes as a ``Shelf``; without a book it is empty.
"""

from collections.abc import Mapping
from typing import Any, cast

from stillroom.asking.entries import Assumption
from stillroom.asking.question import Told, Way
from stillroom.documents.offer_price import ready_and_price
from stillroom.documents.offering import offer_blocks
from stillroom.errors import NotAllowed, worded
from stillroom.evidence.answer import reading
from stillroom.planning.offering.figures import answers_of
from stillroom.planning.offering.own_plant import (
    listed_for_own,
    own_plant_offer,
    request_of_charge,
)
from stillroom.planning.offering.product import missing
from stillroom.planning.offering.small_work import (
    SmallWork,
    Stretch,
    Used,
    small_answers,
    small_offer,
    steps_of,
)
from stillroom.planning.offering.terms import (
    THEIRS,
    THEIRS_DAYS,
    OfferTerms,
    Supplied,
)
from stillroom.planning.request import PlanRequest
from stillroom.planning.route import WATERS
from stillroom.products.reagent import ReagentLine, ScaledReagent, density_by_name, scale_reagent
from stillroom.questions.offer_diluted import work_of_dilution
from stillroom.questions.offer_otherwise import (
    TESTS,
    Diluted,
    Made,
    Otherwise,
    OwnPlant,
    Tested,
    price_stated,
    refuse_past,
)
from stillroom.questions.offer_shelf import NOTHING_HELD, OfferedOtherwise, Shelf
from stillroom.questions.order import aim_in, extraction_of
from stillroom.records.reagent_recipes import recipe_names, recipe_row
from stillroom.reference.tables import Row, table
from stillroom.substances.reagent_care import care_of
from stillroom.texts.catalogue import later, t

TRIED = "controls"
"""What a reagent is tried with before it leaves."""
SCALE_STEP_G = 0.01
OF_NOTHING = "0.001 %"
"""Strength of the product that is not made: it takes nothing of the extract worth counting."""


def under(said: Otherwise, terms: OfferTerms) -> OfferTerms:
    """Terms with the days until what the customer sends is here."""
    arrives = getattr(said, "arrives", None)
    low, high = arrives or THEIRS_DAYS
    return terms.with_supplier(Supplied(THEIRS, 0.0, low, high, "as asked" if arrives else ""))


# ---- the customer's own plant


def request_of_own(said: OwnPlant) -> PlanRequest:
    """What a charge of the customer's plant is worked out from, with nothing known of it."""
    aim = aim_in(OF_NOTHING, said.of, "of")
    return request_of_charge(extraction_of(said.way, said.plant, aim, said.plant), aim, said.customer)


def own_offered(said: OwnPlant, terms: OfferTerms, request: PlanRequest) -> OfferedOtherwise:
    """The offer to extract a customer's plant."""
    wanted_g = said.at_least or 0.0
    offer, steps = own_plant_offer(request, said.own_plant, terms, wanted_g)
    listed = listed_for_own(request, said.own_plant)
    terms, to_buy = terms.awaiting(listed), missing(listed)
    answers = answers_of(request, terms, to_buy, 1, said.own_plant, wanted_g, offer.unpriced)
    return OfferedOtherwise(offer, answers, steps, request)


# ---- tests of a sample


def work_of_tests(said: Tested, shelf: Shelf) -> SmallWork:
    """What tests of samples take."""
    rows = [(one, _row(one)) for one in said.tests]
    stretches = tuple(
        Stretch(one, one, said.samples * _cell(row, "hands_min") - (said.samples - 1) * _cell(row, "shared_min"),
                _cell(row, "free_min"))
        for one, row in rows
    )  # fmt: skip
    reagents_ml = sum(_cell(row, "reagent_ml") for _, row in rows) * said.samples
    price, because = shelf.price("other reagents", "other reagents")
    used = (
        (Used("other reagents", t("reagents"), "g", reagents_ml, price, 0.0, because),) if reagents_ml else ()
    )
    hour, of_hour = shelf.price("hour of work", "hour")
    title = t("{tests} of {samples} × {sample}", tests=", ".join(t(TESTS[one]) for one in said.tests).capitalize(),
              samples=said.samples, sample=said.sample)  # fmt: skip
    return SmallWork("tests", title, shelf.currency, hour, of_hour, stretches, used, said.samples)


def tests_offered(said: Tested, terms: OfferTerms, shelf: Shelf) -> OfferedOtherwise:
    """The offer of tests."""
    work = work_of_tests(said, shelf)
    sample_g = sum(_cell(_row(one), "portions") * _cell(_row(one), "portion_g") for one in said.tests)
    portions = ", ".join(
        t("{test} {portions:g} × {grams:g} g", test=t(TESTS[one]), portions=_cell(_row(one), "portions"),
          grams=_cell(_row(one), "portion_g"))
        for one in said.tests
    )  # fmt: skip
    offer = small_offer(
        work,
        terms,
        amount_says=t(
            "Send {grams:g} g of each sample or more: {portions}.", grams=sample_g, portions=portions
        ),
        strength_says=t(
            "A report names each result with its doubt, its method and who read it. What is left of a sample is not "
            "sent back."
        ),
    )
    return OfferedOtherwise(offer, small_answers(work, terms), steps_of(work))


# ---- a reagent


def work_of_reagent(said: Made, shelf: Shelf) -> tuple[SmallWork, ScaledReagent]:
    """What making a reagent takes.

    Raises
    ------
    NotAllowed
        It is dangerous, and nobody ticked it.
    """
    procedure = shelf.procedure(said.reagent)
    care = care_of(recipe_row(said.reagent).words("reagent")) if said.reagent in recipe_names() else None
    if not shelf.is_allowed(care) and care is not None:
        raise NotAllowed(
            "This reagent is offered after the responsible person's tick",
            care.tick,
            worded("Offer a test of lower hazard ({safer}), or have it ticked in a book", safer=care.safer),
        )
    scaled = scale_reagent(procedure, said.reagent_amount, reading("scale step", SCALE_STEP_G, "g", "usual"))
    used = []
    for one in scaled.lines:
        substance = one.line.substance
        if substance in WATERS:
            continue
        price, because = shelf.price(substance, "other reagents")
        taken, unit = _weighed(one)
        used.append(
            Used(substance, one.line.name, unit, taken, price, *shelf.had(substance, taken), because=because)
        )
    made = sum(one.hands_min for one in procedure.steps)
    row = _row(TRIED)
    stretches = (
        Stretch(t("make it"), "mix", made, sum(one.free_min for one in procedure.steps)),
        Stretch(t("try it with controls"), TRIED, _cell(row, "hands_min")),
    )
    hour, of_hour = shelf.price("hour of work", "hour")
    amount = said.reagent_amount
    title = t(
        "{amount:g} {unit} of {reagent}", amount=amount.value, unit=amount.unit, reagent=procedure.title
    )
    return SmallWork("reagent", title, shelf.currency, hour, of_hour, stretches, tuple(used)), scaled


def _weighed(one: ReagentLine) -> tuple[float, str]:
    """What a line takes in g, a liquid by its density; in mL where no table knows that."""
    if one.mass is not None:
        return one.mass.value, "g"
    volume_ml = one.volume.value if one.volume is not None else 0.0
    density = density_by_name(one.line.substance)
    return (volume_ml, "mL") if density is None else (volume_ml * density.value, "g")


def reagent_offered(said: Made, terms: OfferTerms, shelf: Shelf) -> OfferedOtherwise:
    """The offer of a reagent."""
    work, scaled = work_of_reagent(said, shelf)
    days = scaled.procedure.keeps_days
    keeps = (
        t("Keeps {days} days from the day it is made, closed; a control on the day counts more.", days=days)
        if days
        else t("How long it keeps is not stated: try it with a control before it counts.")
    )
    offer = small_offer(work, terms, strength_says=keeps)
    return OfferedOtherwise(offer, small_answers(work, terms), steps_of(work))


# ---- spirit, diluted


def dilution_offered(said: Diluted, terms: OfferTerms, shelf: Shelf) -> OfferedOtherwise:
    """The offer of diluted spirit."""
    work, says = work_of_dilution(said, shelf)
    local = t(
        "Whether spirit may be diluted and sold here, under which licence and duty: local rules come first."
    )
    offer = small_offer(work, terms, strength_says=says, not_known=(local,))
    return OfferedOtherwise(offer, small_answers(work, terms), steps_of(work))


def _row(work: str) -> Row:
    return next(one for one in table("bench_work").rows if one.key == work)


def _cell(row: Row, column: str) -> float:
    value = row[column]
    return float(value) if isinstance(value, int | float) else 0.0


# ---- what is told


def tell(it: OfferedOtherwise, _: Any) -> Told:
    """The answer, as of any offer."""
    first, after = offer_blocks(it.offer, it.answers)
    return Told(
        it.offer.title,
        f"{ready_and_price(it.offer)} {t(it.not_kept)}",
        tuple(first),
        tuple(after),
    )


def assume(it: OfferedOtherwise, _: Any) -> tuple[Assumption, ...]:
    """What the offer stands on because nobody said it."""
    return tuple(
        Assumption(one.what, one.taken, one.because, t("moves date or cost"), 0.02)
        for one in it.offer.assumed
    )


def terms_of(said: Otherwise) -> OfferTerms:
    """The terms of such an offer from nothing but what was said."""
    price, currency = price_stated(said.price, said.text)
    plain_terms = OfferTerms(
        said.today.isoformat(), said.due, 100.0 * said.kept, 100.0 * said.margin, said.valid,
        stated_price=price, stated_currency=currency,
    )  # fmt: skip
    return under(said, plain_terms)


def answered(
    said: Otherwise, terms: OfferTerms, shelf: Shelf = NOTHING_HELD, request: PlanRequest | None = None
) -> OfferedOtherwise:
    """Answer an enquiry that asks for no bottles.

    Parameters
    ----------
    request : PlanRequest or None
        Of a customer's plant, with what a book knows; None without one.
    """
    refuse_past(said.due, said.today)
    if isinstance(said, Tested):
        return tests_offered(said, terms, shelf)
    if isinstance(said, Diluted):
        return dilution_offered(said, terms, shelf)
    if isinstance(said, Made):
        return reagent_offered(said, terms, shelf)
    own = cast(OwnPlant, said)
    return own_offered(own, terms, request or request_of_own(own))


def work(said: Otherwise) -> OfferedOtherwise:
    """Answer it with nothing but what was said."""
    return answered(said, terms_of(said))


INSTEAD: Mapping[str, Way[Any, Any]] = {
    "own-plant": Way(OwnPlant, work, tell, None, assume, called=later("Extract their own plant")),
    "tests": Way(Tested, work, tell, None, assume, called=later("Test their sample")),
    "reagent": Way(Made, work, tell, None, assume, called=later("Make a reagent")),
    "dilution": Way(Diluted, work, tell, None, assume, called=later("Dilute spirit")),
}
"""Ways of asking without bottles, by the entry that is said then."""
