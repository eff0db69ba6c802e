"""The figures of an offer as answers that open: each reckoned again from its plan's inputs and the terms."""

from collections.abc import Mapping
from datetime import date

import numpy as np

from stillroom.errors import UnknownName
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lines import asked_of, inputs_of
from stillroom.planning.offering.draws import Drawn, Otherwise, draw_asked, plant_held_g
from stillroom.planning.offering.offer import FLOOR_PERCENT, price_at, promised_days
from stillroom.planning.offering.own_plant import draw_own
from stillroom.planning.offering.terms import OfferTerms
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import Asked
from stillroom.texts.catalogue import later, t

MONEY = "money"
FIGURES: Mapping[str, tuple[str, str]] = {
    "days_promised": (later("Days promised"), "d"),
    "days": (later("Days to expect"), "d"),
    "chance_wanted_percent": (later("Chance of the date wanted"), "%"),
    "enough_percent": (later("Chance that the first charge is enough"), "%"),
    "strong_percent": (later("Chance that the strength is right at once"), "%"),
    "hours": (later("Hours of hands and eyes"), "h"),
    "cost": (later("Cost"), MONEY),
    "floor_price": (later("Floor price"), MONEY),
    "price": (later("Price without tax"), MONEY),
}
"""Words and unit of each."""
OF_OWN_PLANT: Mapping[str, tuple[str, str]] = {
    "extract_g": (later("Extract to expect"), "g"),
    "active_g": (later("Active in it to expect"), "g"),
}
"""What is told beside these of a customer's plant."""


@formula("offer-figure", takes_named_inputs=True)
def offer_figure(
    inputs: Mapping[str, tuple[float, float]],
    key: str,
    lines: str,
    extraction: str,
    formula: str,
    seed: int,
    draws: int,
    terms: str,
    to_buy: str,
    held_g: float,
    charges: int,
    what: str = "product",
    wanted_g: float = 0.0,
) -> float:
    """One figure of an offer, from the inputs of its plan.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Role, and the value with its standard uncertainty. [the input's unit]
    key : str
        Key of ``FIGURES``.
    lines : str
        Role, spread and global name of each input that varies, as JSON.
    extraction, formula : str
        The procedures without their numbers, as JSON.
    seed, draws : int
        Seed and number of draws. [1]
    terms : str
        Suppliers, hours, margin and date, as JSON.
    to_buy : str
        Keys of the lines that are not on the shelf, divided by commas.
    held_g : float
        Plant on the shelf. [g]
    charges : int
        Charges begun from the start. [1]
    what : str
        "product", or "own plant" for a charge of the customer's.
    wanted_g : float
        Active asked for at least, of the customer's plant. [g]

    Returns
    -------
    float
        The figure. [its unit]
    """
    frozen = tuple((role, value, doubt) for role, (value, doubt) in inputs.items())
    said = OfferTerms.from_text(terms)
    asked = Asked(frozen, lines, extraction, formula, seed, draws)
    items = tuple(one for one in to_buy.split(",") if one)
    if what == "own plant":
        own = draw_own(asked, said, items, wanted_g)
        if key in OF_OWN_PLANT:
            return float(np.median(own.extract_g if key == "extract_g" else own.active_g))
        return taken_from(key, own.drawn, said)
    return taken_from(key, draw_asked(asked, said, items, held_g, Otherwise(charges=charges)), said)


def answers_of(
    request: PlanRequest,
    terms: OfferTerms,
    to_buy: tuple[str, ...],
    charges: int,
    own_plant_g: float = 0.0,
    wanted_g: float = 0.0,
    unpriced: tuple[str, ...] = (),
) -> dict[str, Answer]:
    """The figures of an offer, by key.

    Parameters
    ----------
    to_buy : tuple of str
        Keys of the lines that are not on the shelf.
    charges : int
        Charges begun from the start. [1]
    own_plant_g, wanted_g : float
        The customer's plant, and active asked for of it at least; 0 for a product. [g]
    unpriced : tuple of str
        What has no price.
    """
    inputs = inputs_of(request, own_plant_g) if own_plant_g else all_inputs(request)
    asked = asked_of(request, inputs)
    leaves = {role: one.leaf for role, one in inputs.items()}
    fixed: dict[str, str | float | int | bool] = {
        "lines": asked.lines,
        "extraction": asked.extraction,
        "formula": asked.formula,
        "seed": asked.seed,
        "draws": asked.draws,
        "terms": terms.to_text(),
        "to_buy": ",".join(to_buy),
        "held_g": 0.0 if own_plant_g else plant_held_g(request),
        "charges": charges,
    }
    left_out: tuple[str, ...] = () if terms.wanted_by else ("chance_wanted_percent",)
    figures = dict(FIGURES)
    if own_plant_g:
        fixed |= {"what": "own plant", "wanted_g": wanted_g}
        figures |= OF_OWN_PLANT
        left_out += ("strong_percent", *(() if wanted_g else ("enough_percent",)))
    left_out += not_priced(unpriced, terms)
    return stated_price(terms, request.currency) | {
        key: reckoned(
            t(words),
            offer_figure,
            unit=request.currency if unit == MONEY else unit,
            inputs=leaves,
            fixed={"key": key, **fixed},
            says=t(
                "By the draws of its plan, with suppliers, pace of work and tests as they were assumed or noted."
            ),
        )
        for key, (words, unit) in figures.items()
        if key not in left_out
    }


def not_priced(unpriced: tuple[str, ...], terms: OfferTerms) -> tuple[str, ...]:
    """Figures of money that are not worked out: all where something has no price, the price where one is stated.

    Parameters
    ----------
    unpriced : tuple of str
        What has no price.
    """
    if unpriced:
        return ("price", "floor_price", "cost")
    return ("price",) if terms.stated_price is not None else ()


def stated_price(terms: OfferTerms, currency: str) -> dict[str, Answer]:
    """The price where a person stated one, as what that person said."""
    if terms.stated_price is None:
        return {}
    label = t(FIGURES["price"][0])
    return {"price": reading(label, terms.stated_price, currency, t("stated by a person, not worked out"))}


def taken_from(key: str, drawn: Drawn, terms: OfferTerms) -> float:
    """One figure of something drawn [its unit].

    Parameters
    ----------
    key : str
        Key of ``FIGURES``.

    Raises
    ------
    UnknownName
        It is none.
    """
    if key == "days_promised":
        return float(promised_days(drawn.days, terms.kept_percent))
    if key == "chance_wanted_percent":
        wanted = (date.fromisoformat(terms.wanted_by) - date.fromisoformat(terms.today)).days
        return 100.0 * float(np.mean(drawn.days <= wanted))
    if key in ("enough_percent", "strong_percent"):
        return 100.0 * float(np.mean(drawn.enough if key == "enough_percent" else drawn.strong))
    if key == "floor_price":
        return float(np.percentile(drawn.cost, FLOOR_PERCENT))
    if key == "price":
        return price_at(float(np.median(drawn.cost)), terms.margin_percent)
    of = {"days": drawn.days, "hours": drawn.hours, "cost": drawn.cost}
    if key not in of:
        raise UnknownName.among(key, "a figure of an offer", FIGURES)
    return float(np.median(of[key]))
