"""What a plan takes when nobody told it: one assumption for each role, with its reason and its doubt.

What a plant holds is taken from what is known of it; where nothing is known the assumption is wide and says so.

An assumed figure may serve a plan, never a release, a certificate or a label. Prices are invented round
figures.
"""

import math
from collections.abc import Iterable
from dataclasses import replace

from stillroom.planning.plan_inputs import ALTITUDE, Known
from stillroom.planning.plant_knowledge import Typical, typical
from stillroom.planning.shelf_inputs import STOCK, of_other_spirits, stock_named
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure, Spreading

COMMON = "common practice, no source"
PRICE = "an invented round price; put in what you pay"
WORKED_OUT_FOR = "cinchona bark"
"""The plant whose assumptions stand in ``ASSUMED`` itself."""
UNKNOWN_CONTENT_PERCENT = 1.0
UNKNOWN_FACTOR = 3.0
HALF_OF_90 = 1.645
"""Standard deviations from the middle to either end of a range of 90 in 100."""
LEAST_OTHERS_PERCENT = 3.0


def _assumed(
    role: str, value: float, unit: str, doubt: float, spread: Spreading, because: str, basis: str = ""
) -> Known:
    return Known(role, f"assumed/{role}", value, unit, doubt, spread, "assumed", because, basis=basis)


def _price(of: str, value: float, unit: str) -> Known:
    return _assumed(f"price of {of}", value, unit, 0.0, "fixed", PRICE)


ASSUMED: dict[str, Known] = {
    one.role: one
    for one in (
        _assumed(
            "assay of the plant", 7.0, "%", 0.25, "lognormal", "bark in trade has 4 to 14 % alkaloids", "w/w"
        ),
        _assumed("loss on drying", 10.0, "%", 1.0, "normal", f"air-dry bark, {COMMON}", "w/w as is"),
        _assumed(
            "other extractables",
            30.0,
            "%",
            3.0,
            "normal",
            f"of dried bark by 70 % spirit, {COMMON}; 25 to 35",
            "w/w",
        ),
        _assumed("strength of the stock spirit", 96.0, "%", 0.2, "normal", "as sold", "v/v at 20 °C"),
        _assumed("strength of the acid", 10.0, "%", 0.1, "normal", "made here by mass", "w/w"),
        _assumed("strength of the ammonia", 10.0, "%", 0.3, "normal", "made here by mass", "w/w"),
        _assumed(
            "assay to be taken",
            100.0,
            "%",
            1.6,
            "normal",
            f"titration of an extract, {COMMON}",
            "read, of the truth",
        ),
        _assumed("scale step", 0.01, "g", 0.0, "fixed", "the scale the dose is weighed on"),
        _assumed("weighing of the dose", 0.0, "g", 0.01, "normal", "the scale the dose is weighed on"),
        _assumed(
            "density allowance",
            0.0,
            "%",
            0.3,
            "normal",
            "what is dissolved, beside spirit and water",
            "of the density",
        ),
        _assumed("tap water rise", 15.0, "K", 0.0, "fixed", "warm to the hand when it leaves"),
        _assumed(ALTITUDE, 0.0, "m", 0.0, "fixed", "the height of the sea: nobody has noted another"),
        _price("plant", 38.0, "EUR/kg"),
        _price("stock spirit", 14.0, "EUR/L"),
        _price("acid", 9.0, "EUR/kg"),
        _price("ammonia", 9.0, "EUR/kg"),
        _price("ethyl acetate", 16.0, "EUR/L"),
        _price("other reagents", 12.0, "EUR/kg"),
        _price("formula ingredients", 18.0, "EUR/kg"),
        _price("bottle", 0.55, "EUR/piece"),
        _price("cap", 0.20, "EUR/piece"),
        _price("label", 0.15, "EUR/piece"),
        _price("water", 4.5, "EUR/m³"),
        _price("electricity", 0.35, "EUR/kWh"),
        _price("hour", 25.0, "EUR/h"),
    )
}


def assumed_for(plant: str, aim: StatedStrength, extraction: Procedure, matter: str) -> dict[str, Known]:
    """What is assumed for a plant and a marker: content and extractables by what is known, the rest as ever.

    Parameters
    ----------
    plant : str
        Substance of the line that the extraction is scaled by.
    aim : StatedStrength
        What is counted.
    matter : str
        "as is" or "dried": what plant the assay is a share of.

    Notes
    -----
    A range low to high is taken as 90 in 100 of a lognormal: median sqrt(low high), s of the logarithm
    ln(high / low) / 3.29.
    """
    found = dict(ASSUMED)
    named = stock_named(extraction)
    if named != found[STOCK].value:
        found[STOCK] = replace(found[STOCK], value=named, because="as its name says")
    if plant == WORKED_OUT_FOR and aim.of == "total alkaloids":
        return found
    known = typical(plant, aim.of)
    drying = replace(found["loss on drying"], because=f"air-dry plant, {COMMON}")
    if known.drying_loss_percent is not None:
        drying = replace(drying, value=known.drying_loss_percent, because=known.because)
    found["loss on drying"] = drying
    dry = 1.0 if matter == "dried" else 1.0 - drying.value / 100.0
    found["assay of the plant"] = _content(plant, aim.counted, known, dry)
    found["other extractables"] = _others(plant, known, extraction)
    return found


def spirits_named(procedures: Iterable[Procedure]) -> dict[str, Known]:
    """How strong spirits are that are named as another strength than the stock, by role.

    Parameters
    ----------
    procedures : iterable of Procedure
        The one whose spirit is the stock comes first.
    """
    stock = ASSUMED[STOCK]
    return {
        role: replace(stock, role=role, name=f"assumed/{role}", value=percent, because="as its name says")
        for role, percent in of_other_spirits(procedures).items()
    }


def _content(plant: str, counted: str, known: Typical, dry: float) -> Known:
    low, high = UNKNOWN_CONTENT_PERCENT / UNKNOWN_FACTOR, UNKNOWN_CONTENT_PERCENT * UNKNOWN_FACTOR
    because = (
        f"nothing is known here about {counted} in {plant}: {UNKNOWN_CONTENT_PERCENT:g} %, three times less "
        "or more; an assay would narrow it most"
    )
    if known.content_percent is not None:
        (low, high), because = known.content_percent, known.content_because
    middle, share = _middle_and_share(low, high)
    return _assumed("assay of the plant", middle * dry, "%", share, "lognormal", because, "w/w")


def _others(plant: str, known: Typical, extraction: Procedure) -> Known:
    with_spirit = any(one.substance.startswith("spirit") for one in extraction.lines)
    by = "spirit" if with_spirit else "water"
    extracted = known.by_spirit_percent if with_spirit else known.by_water_percent
    low, high, because = 10.0, 40.0, f"of dried {plant} by {by}, {COMMON}; 10 to 40"
    if extracted is not None:
        held = math.sqrt(math.prod(known.content_percent)) if known.content_percent else 0.0
        low, high = (max(one - held, LEAST_OTHERS_PERCENT) for one in extracted)
        because = f"{known.because}: by {by}, less the marker, {low:.3g} to {high:.3g} % of the dried plant"
    middle, share = _middle_and_share(low, high)
    return _assumed("other extractables", middle, "%", share, "lognormal", because, "w/w")


def _middle_and_share(low: float, high: float) -> tuple[float, float]:
    """Median of a lognormal that has 90 in 100 between two ends, and its standard deviation as a share of it."""
    spread = math.log(high / low) / (2.0 * HALF_OF_90)
    return math.sqrt(low * high), math.sqrt(math.expm1(spread**2))
