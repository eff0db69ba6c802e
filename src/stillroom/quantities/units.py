"""Units a small laboratory writes, and the change from one to another within a dimension.

Promises exact factors and one spelling for each unit. Never changes a volume into a mass or a percentage
into grams: that needs a density or a basis, and the error says which. A temperature here is a reading on a
thermometer, not a difference between two.
"""

import re
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import BadEntry, UnknownName, worded

Ratio = Literal["w/w", "w/v", "v/v", "v/w"]

_CODES = """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD
    CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF
    GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK
    LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD
    OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN
    SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND VUV WST XAF XCD XOF XPF
    YER ZAR ZMW
"""
CURRENCIES = frozenset(_CODES.split())
"""Currency codes of ISO 4217 (from memory). Amounts in two currencies are never added or changed."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: how it is written, what it measures, and its size."""

    symbol: str
    """The spelling used on every page [text]."""
    dimension: str
    """What it measures ("mass", "volume", "ratio") [text]."""
    factor: float
    """Size in the dimension's first unit [first unit per unit]."""
    offset: float = 0.0
    """Added after the factor; only temperatures have one [first unit]."""
    implied_ratio: Ratio | None = None
    """The basis the unit itself says: mg/g can only be w/w, g/L only w/v [text]."""


_TABLE: tuple[Unit, ...] = (
    Unit("g", "mass", 1.0),
    Unit("kg", "mass", 1000.0),
    Unit("mg", "mass", 1e-3),
    Unit("µg", "mass", 1e-6),
    Unit("lb", "mass", 453.59237),
    Unit("mL", "volume", 1.0),
    Unit("L", "volume", 1000.0),
    Unit("cL", "volume", 10.0),
    Unit("dL", "volume", 100.0),
    Unit("µL", "volume", 1e-3),
    Unit("m³", "volume", 1e6),
    Unit("US gal", "volume", 3785.411784),
    Unit("UK gal", "volume", 4546.09),
    Unit("US pint", "volume", 473.176473),
    Unit("UK pint", "volume", 568.26125),
    Unit("US fl oz", "volume", 29.5735295625),
    Unit("UK fl oz", "volume", 28.4130625),
    Unit("°C", "temperature", 1.0),
    Unit("K", "temperature", 1.0, -273.15),
    Unit("°F", "temperature", 5 / 9, -160 / 9),
    Unit("s", "time", 1.0),
    Unit("min", "time", 60.0),
    Unit("h", "time", 3600.0),
    Unit("d", "time", 86400.0),
    Unit("months", "calendar time", 1.0),
    Unit("years", "calendar time", 12.0),
    Unit("mol", "amount", 1.0),
    Unit("mmol", "amount", 1e-3),
    Unit("mol/L", "concentration", 1.0),
    Unit("mmol/L", "concentration", 1e-3),
    Unit("mol/kg", "amount by mass", 1.0),
    Unit("mmol/kg", "amount by mass", 1e-3),
    Unit("W", "power", 1.0),
    Unit("kW", "power", 1000.0),
    Unit("J", "energy", 1.0),
    Unit("kJ", "energy", 1000.0),
    Unit("kWh", "energy", 3.6e6),
    Unit("Pa", "pressure", 1.0),
    Unit("hPa", "pressure", 100.0),
    Unit("kPa", "pressure", 1000.0),
    Unit("mbar", "pressure", 100.0),
    Unit("bar", "pressure", 1e5),
    Unit("atm", "pressure", 101325.0),
    Unit("mmHg", "pressure", 133.322387415),
    Unit("Torr", "pressure", 101325 / 760),
    Unit("µm", "length", 0.001),
    Unit("mm", "length", 1.0),
    Unit("cm", "length", 10.0),
    Unit("m", "length", 1000.0),
    Unit("nm", "length", 1e-6),
    Unit("ft", "length", 304.8),
    Unit("A", "current", 1.0),
    Unit("V", "voltage", 1.0),
    Unit("mL/min", "flow", 1.0),
    Unit("L/min", "flow", 1000.0),
    Unit("L/h", "flow", 1000 / 60),
    Unit("g/mL", "density", 1.0),
    Unit("kg/L", "density", 1.0),
    Unit("kg/m³", "density", 1e-3),
    Unit("g/mol", "molar mass", 1.0),
    Unit("%", "ratio", 0.01),
    Unit("‰", "ratio", 1e-3),
    Unit("ppm", "ratio", 1e-6),
    Unit("g/g", "ratio", 1.0, 0.0, "w/w"),
    Unit("mg/g", "ratio", 1e-3, 0.0, "w/w"),
    Unit("g/kg", "ratio", 1e-3, 0.0, "w/w"),
    Unit("mg/kg", "ratio", 1e-6, 0.0, "w/w"),
    Unit("µg/g", "ratio", 1e-6, 0.0, "w/w"),
    Unit("g/100 g", "ratio", 0.01, 0.0, "w/w"),
    Unit("g/100 mL", "ratio", 0.01, 0.0, "w/v"),
    Unit("mg/100 g", "ratio", 1e-5, 0.0, "w/w"),
    Unit("mg/100 mL", "ratio", 1e-5, 0.0, "w/v"),
    Unit("mL/100 mL", "ratio", 0.01, 0.0, "v/v"),
    Unit("g/L", "ratio", 1e-3, 0.0, "w/v"),
    Unit("mg/mL", "ratio", 1e-3, 0.0, "w/v"),
    Unit("mg/L", "ratio", 1e-6, 0.0, "w/v"),
    Unit("µg/mL", "ratio", 1e-6, 0.0, "w/v"),
    Unit("mL/L", "ratio", 1e-3, 0.0, "v/v"),
    Unit("mL/kg", "ratio", 1e-3, 0.0, "v/w"),
    Unit("mL/100 g", "ratio", 0.01, 0.0, "v/w"),
    Unit("pieces", "count", 1.0),
    Unit("bottles", "count of bottles", 1.0),
    Unit("units", "count of units", 1.0),
    Unit("jars", "count of jars", 1.0),
    Unit("tins", "count of tins", 1.0),
    Unit("tubes", "count of tubes", 1.0),
    Unit("caps", "count of caps", 1.0),
    Unit("labels", "count of labels", 1.0),
)

_BY_SYMBOL = {one.symbol: one for one in _TABLE}

_OTHER_SPELLINGS = {
    "um": "µm", "micron": "µm", "microns": "µm", "cl": "cL", "dl": "dL",
    "mcg": "µg", "ug": "µg", "gram": "g", "grams": "g", "Kg": "kg", "KG": "kg", "kgs": "kg", "ml": "mL",
    "mls": "mL", "cm3": "mL", "cm³": "mL", "cc": "mL", "m3": "m³", "l": "L", "litre": "L", "litres": "L", "liter": "L",
    "liters": "L", "uL": "µL", "ul": "µL", "µl": "µL", "C": "°C", "degC": "°C", "deg C": "°C", "ºC": "°C",
    "℃": "°C", "° C": "°C", "F": "°F", "degF": "°F", "deg F": "°F", "ºF": "°F", "℉": "°F", "° F": "°F",
    "sec": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "mins": "min", "hr": "h",
    "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d", "month": "months", "year": "years",
    "M": "mol/L", "mol/l": "mol/L", "mol/dm³": "mol/L", "mol/dm3": "mol/L", "mmol/dm³": "mmol/L", "mmol/dm3": "mmol/L",
    "mmol/mL": "mol/L", "mmol/ml": "mol/L", "dm³": "L", "dm3": "L", "g/dm³": "g/L", "g/dm3": "g/L", "kg/dm³": "kg/L",
    "kg/dm3": "kg/L", "kg/l": "kg/L", "ml/L": "mL/L", "ml/l": "mL/L", "kelvin": "K", "Celsius": "°C", "°c": "°C",
    "° c": "°C", "Percent": "%", "PER CENT": "%", "Per cent": "%", "PERCENT": "%",
    "mM": "mmol/L", "mmol/l": "mmol/L", "torr": "Torr",
    "kg/m3": "kg/m³", "g/cm3": "g/mL", "g/cm³": "g/mL", "g/ml": "g/mL", "percent": "%", "per cent": "%",
    "g/l": "g/L", "mg/ml": "mg/mL", "mg/l": "mg/L", "ug/g": "µg/g", "ug/mL": "µg/mL", "ug/ml": "µg/mL",
    "µg/ml": "µg/mL", "ml/100 g": "mL/100 g", "mL/100g": "mL/100 g",
    "g/100g": "g/100 g", "g/100mL": "g/100 mL", "g/100 ml": "g/100 mL", "g/100ml": "g/100 mL",
    "ml/100 ml": "mL/100 mL", "mL/100mL": "mL/100 mL", "ml/100ml": "mL/100 mL", "ml/min": "mL/min", "l/min": "L/min",
    "lbs": "lb", "pound": "lb", "pounds": "lb",
    "foot": "ft", "feet": "ft", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "€": "EUR",
    "l/h": "L/h", "piece": "pieces", "pcs": "pieces", "bottle": "bottles", "unit": "units", "jar": "jars",
    "tin": "tins", "tube": "tubes", "cap": "caps", "label": "labels", "mg/100g": "mg/100 g", "mg/100mL": "mg/100 mL",
    "mg/100 ml": "mg/100 mL", "mg/100ml": "mg/100 mL", "mg/dL": "mg/100 mL", "mg/dl": "mg/100 mL", "molar": "mol/L",
    "gramme": "g", "grammes": "g", "kilogram": "kg", "kilograms": "kg", "kilogramme": "kg", "kilogrammes": "kg",
    "milligram": "mg", "milligrams": "mg", "milligramme": "mg", "milligrammes": "mg", "millilitre": "mL",
    "millilitres": "mL", "milliliter": "mL", "milliliters": "mL", "pour cent": "%", "heure": "h", "heures": "h",
    "seconde": "s", "secondes": "s", "jour": "d", "jours": "d", "mois": "months", "an": "years", "ans": "years",
    "mètre": "m", "mètres": "m", "flacon": "bottles", "flacons": "bottles", "pièce": "pieces", "pièces": "pieces",
}  # fmt: skip

_ASKED_BACK = {
    "gr": "gr is the grain (about 65 mg) to some and the gram to others. Write g",
    "N": "A normality depends on the reaction. Write mol/L and name the substance",
    "drop": "A drop has no fixed size. Weigh it, or write mL",
    "drops": "A drop has no fixed size. Weigh it, or write mL",
    "oz": "An ounce is a mass or a volume, and differs by country. Write g or mL",
    "tsp": "A spoon has no fixed size. Write g or mL",
    "tbsp": "A spoon has no fixed size. Write g or mL",
    "cup": "A cup has no fixed size. Write g or mL",
    "mg%": "mg% is mg in 100 g to some and in 100 mL to others. Write mg/100 g or mg/100 mL",
    "°": "A degree is of a thermometer or of a scale. Write 20 °C, or 96° Gay-Lussac",
    "degrees": "A degree is of a thermometer or of a scale. Write 20 °C, or 96° Gay-Lussac",
    "gal": "A gallon is 3.785 L in the United States and 4.546 L in Britain. Write US gal, UK gal or L",
    "pint": "A pint is 0.473 L in the United States and 0.568 L in Britain. Write US pint, UK pint or L",
    "fl oz": "A fluid ounce is 29.57 mL in the United States and 28.41 mL in Britain. Write US fl oz, UK fl oz or mL",
    "inHg": "An inch of mercury is 33.86 hPa. Write hPa",
    "°Bx": "A degree Brix is grams of sugar in 100 g, and of an extract only what a refractometer shows. Write % w/w",
    "°Bé": "Degrees Baumé are a hydrometer's. Write the density in g/mL",
    "°dH": "A degree of hardness differs by country. Write mmol/L",
    "Mg": "Mg is a megagram, one tonne. Write mg",
    "ML": "ML is a megalitre. Write mL",
    "m/s": "Write a flow as mL/min",
    "$": "Several countries have a dollar. Write the currency code after the amount, such as 12.50 USD",
    "£": "Write the currency code after the amount, such as 12.50 GBP",
    "ppb": "A billion differs by country. Write µg/kg as 0.001 mg/kg",
}

_BETWEEN = {
    frozenset({"mass", "volume"}): "a density would be needed",
    frozenset({"mass", "amount"}): "a molar mass would be needed",
    frozenset({"volume", "amount"}): "a strength in mol/L would be needed",
    frozenset(
        {"ratio", "concentration"}
    ): "a molar mass would be needed, and a density unless the basis is w/v",
    frozenset({"ratio", "mass"}): "the mass of the whole would be needed",
    frozenset({"ratio", "volume"}): "the amount of the whole would be needed",
    frozenset({"time", "calendar time"}): "a month has no fixed length; the starting date would be needed",
    frozenset({"power", "energy"}): "the time would be needed",
    frozenset({"density", "ratio"}): "g/mL is a density; write % w/v or g/L for a content",
}


_ALSO_ASKED_BACK = {
    "gallon": "gal", "gallons": "gal", "pints": "pint", "ounce": "oz",
    "ounces": "oz", "fl. oz": "fl oz", "Brix": "°Bx", "°Brix": "°Bx", "Bx": "°Bx", "°Be": "°Bé", "°Baumé": "°Bé",
    "gr/L": "gr", "gr/l": "gr", "gr/mL": "gr", "normal": "N", "eq/L": "N", "drops/min": "drop", "goutte": "drop",
    "gouttes": "drop", "°fH": "°dH", "deg": "degrees", "degré": "degrees", "degrés": "degrees",
}  # fmt: skip

_NATION = r"U\.?S\.?A?\.?|UK|imp\.?|imperial|British"
_MEASURE = r"gal|gallons?|pints?|fl\.? oz"
_OF_A_COUNTRY = re.compile(
    rf"(?:(?P<nation>{_NATION}) (?P<after>{_MEASURE}))|(?:(?P<before>{_MEASURE}) \(?(?P<behind>{_NATION})\)?)",
    re.IGNORECASE,
)


def unit(symbol: str) -> Unit:
    """The unit a laboratory means by a spelling.

    Parameters
    ----------
    symbol : str
        As written: "mL", "ml", "µg", "EUR", "EUR/kg" [text].

    Returns
    -------
    Unit
        The unit in its one spelling [unit].

    Raises
    ------
    BadEntry
        The spelling means different things to different people ("gr", "N", "drops").
    UnknownName
        No such unit; the nearest spellings are offered.
    """
    written = _plain(symbol)
    if (asked := _ALSO_ASKED_BACK.get(written, written)) in _ASKED_BACK:
        raise BadEntry("A unit must mean one thing", repr(written), _ASKED_BACK[asked])
    written = _OTHER_SPELLINGS.get(written, written)
    if written in _BY_SYMBOL:
        return _BY_SYMBOL[written]
    if written in CURRENCIES:
        return Unit(written, f"money in {written}", 1.0)
    currency, slash, per = written.replace("€", "EUR", 1).partition("/")
    if slash and currency in CURRENCIES and per:
        whole = unit(per)
        return Unit(f"{currency}/{whole.symbol}", f"{currency} per {whole.dimension}", 1 / whole.factor)
    raise UnknownName.among(written[:40], "a unit", {*_BY_SYMBOL, *_OTHER_SPELLINGS})


def is_unit(symbol: str) -> bool:
    """Whether a spelling is a unit, or one that would be asked back.

    Parameters
    ----------
    symbol : str
        As written [text].

    Returns
    -------
    bool
        True for a spelling this table has an opinion on [yes or no].
    """
    written = _plain(symbol)
    return (
        written in _BY_SYMBOL
        or written in _OTHER_SPELLINGS
        or written in _ASKED_BACK
        or written in _ALSO_ASKED_BACK
        or written.replace("€", "EUR", 1).partition("/")[0] in CURRENCIES
    )


def _plain(symbol: str) -> str:
    """A spelling without what is only writing; a measure of two countries under the name of the one that was said."""
    written = " ".join(symbol.split()).replace("\u03bc", "µ")
    hit = _OF_A_COUNTRY.fullmatch(written)
    if hit is None:
        return written
    measure = (hit["before"] or hit["after"]).strip()
    of = "US" if (hit["nation"] or hit["behind"])[:2].upper() in ("US", "U.") else "UK"
    return f"{of} {_ALSO_ASKED_BACK.get(measure, measure)}"


def convert(value: float, have: str, want: str) -> float:
    """Change a number from one unit to another of the same dimension.

    Parameters
    ----------
    value : float
        The number [have].
    have : str
        The unit it is in [unit].
    want : str
        The unit wanted [unit].

    Returns
    -------
    float
        The same amount [want].

    Raises
    ------
    BadEntry
        The two units measure different things; says what would be needed.
    """
    old, new = unit(have), unit(want)
    if old.symbol == new.symbol:
        return value
    refuse_across(old, new)
    if not old.offset and not new.offset:
        return value * (old.factor / new.factor)
    return (value * old.factor + old.offset - new.offset) / new.factor


def refuse_across(old: Unit, new: Unit) -> None:
    """Raise when two units cannot stand for the same amount.

    Parameters
    ----------
    old : Unit
        The unit at hand [unit].
    new : Unit
        The unit wanted [unit].

    Raises
    ------
    BadEntry
        The dimensions differ, or both are contents on different bases (mg/g against g/L).
    """
    if old.dimension != new.dimension:
        need = _BETWEEN.get(frozenset({old.dimension, new.dimension}), "they measure different things")
        raise BadEntry(
            worded(
                "{symbol} ({dimension}) cannot be changed into {symbol_two} ({dimension_two})",
                symbol=old.symbol,
                dimension=old.dimension,
                symbol_two=new.symbol,
                dimension_two=new.dimension,
            ),
            do=need[0].title() + need[1:],
        )
    if old.implied_ratio and new.implied_ratio and old.implied_ratio != new.implied_ratio:
        raise BadEntry(
            worded(
                "{symbol} is {implied_ratio} and {symbol_two} is {implied_ratio_two}",
                symbol=old.symbol,
                implied_ratio=old.implied_ratio,
                symbol_two=new.symbol,
                implied_ratio_two=new.implied_ratio,
            ),
            do="Restate the basis first; a density would be needed",
        )
