"""What a plan takes when nobody told it: one assumption for each role, with its reason and its doubt.

An assumed figure may serve a plan, never a release, a certificate or a label. Prices are invented round
figures.
"""

from stillroom.planning.known import Known
from stillroom.records.procedures import Spreading

COMMON = "common practice, no source"
PRICE = "an invented round price; put in what you pay"


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
        _price("plant", 38.0, "EUR/kg"),
        _price("stock spirit", 14.0, "EUR/L"),
        _price("acid", 9.0, "EUR/kg"),
        _price("ammonia", 9.0, "EUR/kg"),
        _price("ethyl acetate", 16.0, "EUR/L"),
        _price("formula ingredients", 18.0, "EUR/kg"),
        _price("bottle", 0.55, "EUR/piece"),
        _price("cap", 0.20, "EUR/piece"),
        _price("label", 0.15, "EUR/piece"),
        _price("water", 4.5, "EUR/m³"),
        _price("electricity", 0.35, "EUR/kWh"),
        _price("hour", 25.0, "EUR/h"),
    )
}
