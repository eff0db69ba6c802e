"""The customer's own plant, extracted: what a charge of it gives, when, and for what; the plant itself costs nothing.

Built on the plan's own draws of a charge of that mass. How much comes of it is the risk of it, so it is told with its
spread; the extract is promised, never its amount, unless a least amount was asked for.
"""

from dataclasses import dataclass, replace

import numpy as np

from stillroom.planning.figures import keys_of
from stillroom.planning.lawful import refuse_plants_and_solvents
from stillroom.planning.lines import asked_of, chain_of, inputs_of, lines_of
from stillroom.planning.offering.calendar import days_of
from stillroom.planning.offering.draws import (
    PLANT,
    Drawn,
    arrived,
    decided,
    hours_of,
    hours_of_steps,
    offer_draws,
    through,
)
from stillroom.planning.offering.offer import Offer, Spread, Taken
from stillroom.planning.offering.product import bought, missing
from stillroom.planning.offering.promised import percent, promise
from stillroom.planning.offering.terms import TESTS, THEIRS, USUAL, WORK, OfferTerms
from stillroom.planning.outcome import Purchase, StepForecast
from stillroom.planning.picture import steps as steps_of
from stillroom.planning.plan import buying
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import Asked, supply
from stillroom.planning.totals import MINUTES_PER_HOUR, charge_totals, charge_unpriced
from stillroom.quantities.rounding import to_significant
from stillroom.records.formula_starters import starting_formula
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.stream.components import MARKER, Array, whole_mass
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import t

PLANT_ROLES = ("assay of the plant", "loss on drying", "other extractables")
"""What is known of one lot of a plant alone."""
NOT_OURS = (PLANT, "bottles", "caps", "labels", "process_water_g")
OF_NOTHING_PERCENT = 0.001
"""Of a product that nobody makes: what a charge gives does not hang on it. [% w/w]"""
ONE_LITRE_ML = 1000.0


def request_of_charge(
    extraction: Procedure, counted: StatedStrength, customer: str, code: str = "as asked"
) -> PlanRequest:
    """What a charge of a customer's plant is worked out from, with nothing known of it.

    Parameters
    ----------
    counted : StatedStrength
        What it is for; how strong matters to nothing.
    customer, code : str
        Of the order.
    """
    aim = replace(counted, percent=OF_NOTHING_PERCENT)
    plant = next(one.substance for one in extraction.lines if one.name == extraction.scaled_by)
    formula = starting_formula(
        "water", code="formula", title="nothing", product_type="hair leave-on", extract=extraction.makes
    )
    order = Order(
        code,
        customer,
        plant,
        "formula",
        "extraction",
        "hair leave-on",
        "EU",
        1,
        ONE_LITRE_ML,
        aim,
        aim,
        "2100-01-01",
    )
    return PlanRequest(order, extraction, formula)


@dataclass(frozen=True)
class OwnDrawn:
    """A charge of the customer's plant in every draw.

    ``extract_g``, ``active_g``: what it gives. [g]
    """

    drawn: Drawn
    extract_g: Array
    active_g: Array


def asked_of_charge(request: PlanRequest, plant_g: float) -> Asked:
    """What a charge is reckoned from.

    Parameters
    ----------
    plant_g : float
        Of the customer. [g]
    """
    return asked_of(request, inputs_of(request, plant_g))


def draw_own(asked: Asked, terms: OfferTerms, to_buy: tuple[str, ...], wanted_g: float = 0.0) -> OwnDrawn:
    """A charge of the customer's plant in every draw.

    Parameters
    ----------
    asked : Asked
        With a charge.
    to_buy : tuple of str
        Keys of the lines that are not on the shelf.
    wanted_g : float
        Active that is asked for at least; 0 where none is. [g]
    """
    found = supply(asked.only("supply"))
    given = found.charge.given(found.extraction.steps[-1].gives[0])
    draws = offer_draws(terms, (*to_buy, THEIRS), asked.draws, asked.seed)
    pace, tests_h = draws.value(WORK.name), draws.value(TESTS.name)
    hours = pace * hours_of_steps(asked, found.charge.steps, "extraction") + tests_h
    clock = through(
        arrived(draws, (*to_buy, THEIRS)), asked, found.charge.steps, "extraction", pace, hours_of(terms)
    )
    clock = hours_of(terms).after(clock, tests_h * MINUTES_PER_HOUR)
    active_g = np.asarray(given[MARKER])
    drawn = Drawn(
        days_of(decided(clock, draws, terms)),
        _costs(asked, hours),
        np.asarray(hours),
        np.asarray(active_g >= wanted_g, dtype=np.bool_),
        np.full(asked.draws, True),
        draws,
        tuple(one for one in charge_unpriced(asked.only("money")) if one != "plant"),
    )
    return OwnDrawn(drawn, whole_mass(given), active_g)


@remember(8)
def own_plant_offer(
    request: PlanRequest, plant_g: float, terms: OfferTerms, wanted_g: float = 0.0
) -> tuple[Offer, tuple[StepForecast, ...]]:
    """The offer to extract a customer's plant, and what is worked for it.

    Parameters
    ----------
    request : PlanRequest
        Whose extraction it is; its product is nothing that is made.
    plant_g : float
        [g]
    wanted_g : float
        Active that is asked for at least; 0 where none is. [g]

    Raises
    ------
    NotAllowed
        The plant or a solvent may not be used.
    """
    refuse_plants_and_solvents(request.extraction)
    asked, listed = asked_of_charge(request, plant_g), listed_for_own(request, plant_g)
    terms = terms.awaiting(listed)
    own = draw_own(asked, terms, missing(listed), wanted_g)
    drawn, extract, active = own.drawn, Spread.of(own.extract_g), Spread.of(own.active_g)
    counted = request.order.aim.counted
    offer = promise(
        drawn,
        terms,
        what="own plant",
        title=t("Your {kg:g} kg of {plant}, extracted", kg=plant_g / 1000.0, plant=request.plant),
        currency=request.currency,
        enough=percent(drawn.enough) if wanted_g else None,
        amount_says=t(
            "To expect: {extract} g of extract (5–95 %: {extract_low} to {extract_high} g), in it {active} g of "
            "{counted} (5–95 %: {active_low} to {active_high} g).",
            extract=_g(extract.middle), extract_low=_g(extract.low), extract_high=_g(extract.high),
            active=_g(active.middle), active_low=_g(active.low), active_high=_g(active.high), counted=counted,
        ),
        strength_says=t(
            "How much comes of it depends on your plant: at least {active} g of {counted} in 95 of 100 such charges.",
            active=_g(active.low), counted=counted,
        ),
        buying=tuple(bought(one, request, terms, ()) for one in listed),
        assumed=_assumed(request, terms),
        not_known=request.left_out,
    )  # fmt: skip
    code = request.extraction.code
    return offer, tuple(one for one in steps_of(asked.only("house")) if one.procedure == code)


def listed_for_own(request: PlanRequest, plant_g: float) -> tuple[Purchase, ...]:
    """What is bought for a charge of the customer's plant.

    Parameters
    ----------
    plant_g : float
        [g]
    """
    inputs = inputs_of(request, plant_g)
    chain = chain_of(request, inputs)
    keys = [one for one in keys_of(chain) if not one.startswith("formula")]
    listed = buying(request, lines_of(keys, asked_of(request, inputs), inputs, chain))
    return tuple(one for one in listed if one.item not in NOT_OURS and not one.item.startswith("formula/"))


def _costs(asked: Asked, hours: Array) -> dict[str, Array]:
    """The plan's costs of the charge alone, at the pace of the offer: the plant is theirs."""
    told = charge_totals(asked.only("money")).costs
    costs = {item: one for item, one in told.items() if item not in ("plant", "hours")}
    hour = next((value for role, value, _ in asked.inputs if role == "price of hour"), None)
    return costs if hour is None else {**costs, "hours": np.asarray(hours * hour)}


def _assumed(request: PlanRequest, terms: OfferTerms) -> tuple[Taken, ...]:
    theirs = terms.supplier_of(THEIRS)
    found = [
        Taken(one.role, f"{one.value:.4g} {one.unit}".strip(), one.because)
        for one in request.used
        if one.origin == "assumed" and one.role in PLANT_ROLES
    ]
    found += [
        Taken(
            one.called,
            one.taken,
            one.because,
        )
        for one in USUAL
    ]
    if not theirs.because:
        days = t("{low:g} to {high:g} days", low=theirs.low_days, high=theirs.high_days)
        found.append(Taken(t("until your plant is here"), days, t("usual, no source")))
    return tuple(found)


def _g(grams: float) -> str:
    return f"{to_significant(grams, 3):f}" if grams > 0 else "0"
