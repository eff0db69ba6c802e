"""A setting of a step, in the unit its name carries: "soak_min: 2 h" is 120, and "soak_min: 2 mL" is refused.

The unit stands in the name ("liquid_ml_per_g"), so a value written in another unit of the same kind is turned
into it and anything else is a slip. A share ("evaporated_share", "water_mass_fraction") may be written as a
percentage. Does not know which settings a kind of step needs.
"""

import re
from math import prod
from typing import Literal, TypeAlias, get_args

from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.quantities.numbers import ANYTHING, CAN_BE, NUMBER, cleaned, number_in
from stillroom.quantities.strength_words import read_strength
from stillroom.quantities.units import convert
from stillroom.records.procedures import Setting, Spreading
from stillroom.records.reading_yaml import Written
from stillroom.records.sections import Section, Troubles
from stillroom.records.written_values import OneOf, note, one_line, share
from stillroom.substances.spirit_strengths import volume_percent_20c_of

Origin: TypeAlias = Literal["assumed", "published", "measured", "chosen"]
SPREAD: OneOf[Spreading] = OneOf(get_args(Spreading), "a spread")
ORIGIN: OneOf[Origin] = OneOf(get_args(Origin), "an origin of a setting")
KEYS = ("name", "value", "unit", "spread", "standard uncertainty", "origin", "because")

_NAME = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*")
_UNITS = {
    "g": "g", "kg": "kg", "mg": "mg", "ug": "µg", "ml": "mL", "l": "L", "s": "s", "min": "min", "h": "h",
    "d": "d", "c": "°C", "k": "K", "w": "W", "kw": "kW", "kwh": "kWh", "kj": "kJ", "pa": "Pa", "kpa": "kPa",
    "hpa": "hPa", "mm": "mm", "cm": "cm", "mol": "mol",
}  # fmt: skip
_OF_SPIRIT = "_volume_fraction_20c"
"""How the name of a setting ends that is a strength of spirit, by volume at 20 °C."""
_SHARES = ("share", "fraction")
_NOTHING = Setting("", 0.0, "")


def unit_in_name(name: str) -> tuple[str, tuple[str, ...]] | None:
    """The unit a name carries at its end.

    Parameters
    ----------
    name : str
        Such as "liquid_ml_per_g".

    Returns
    -------
    tuple or None
        The unit above the line and those below it, ("mL", ("g",)); None for a name without a unit.

    Examples
    --------
    >>> unit_in_name("drip_ml_per_min_kg")
    ('mL', ('min', 'kg'))
    >>> unit_in_name("heater_w")
    ('W', ())
    >>> unit_in_name("shakes")
    """
    before, per, after = name.rpartition("_per_")
    above = (before if per else name).split("_")
    below = after.split("_") if per else []
    if len(above) < 2 or any(one not in _UNITS for one in (above[-1], *below)):
        return None
    return _UNITS[above[-1]], tuple(_UNITS[one] for one in below)


def is_share(name: str) -> bool:
    """Whether a name means a share of one ("evaporated_share", "ethanol_volume_fraction_20c")."""
    return re.sub(r"_[0-9]+c$", "", name).endswith(_SHARES)


def printed_unit(name: str) -> str:
    """The unit a name carries as it is printed: "mL/g", "mL/(min·kg)", "" for none."""
    carried = unit_in_name(name)
    if carried is None:
        return ""
    above, below = carried
    if len(below) > 1:
        return f"{above}/({'·'.join(below)})"
    return "/".join((above, *below))


def setting_from(written: Written, troubles: Troubles) -> Setting:
    """A setting from its mapping.

    Parameters
    ----------
    written : Written
        The mapping.
    troubles : Troubles
        Where anything wrong is told.

    Returns
    -------
    Setting
        The setting; not to be used when anything was told.
    """
    begun = len(troubles)
    section = Section(written, "a setting", KEYS, troubles)
    name = section.read("name", setting_name, "")
    unit = section.read("unit", one_line, "", needed=False)
    text = section.read("value", one_line, "")
    spread: Spreading = section.read("spread", SPREAD, "fixed", needed=False)
    origin: Origin = section.read("origin", ORIGIN, "chosen", needed=False)
    because = section.read("because", note, "", needed=False)
    if len(troubles) > begun:
        return _NOTHING
    try:
        value, shown = value_in_name_unit(name, text, unit, section.where_of("value"))
    except StillroomError as trouble:
        troubles.add(trouble, section.where_of("value"))
        return _NOTHING

    def uncertainty_of(written_text: str, where: str) -> float:
        return standard_uncertainty(name, written_text, unit, spread, where)

    uncertain = 0.0
    if spread != "fixed":
        uncertain = section.read("standard uncertainty", uncertainty_of, 0.0, needed=False)
    _hold_together(section, spread, uncertain, origin, value)
    return Setting(name, value, shown, spread, uncertain, origin, because)


def setting_name(text: str, where: str) -> str:
    """The name of a setting; spaces and hyphens become underscores.

    Parameters
    ----------
    text : str
        As written, such as "liquid ml per g".
    where : str
        File and line.

    Raises
    ------
    BadEntry
        It holds more than letters, digits and underscores.
    """
    name = re.sub(r"[\s-]+", "_", text.strip().lower())
    if len(name) > 60 or not _NAME.fullmatch(name):
        raise BadEntry(
            "A setting is named with small letters, its unit at the end",
            repr(text[:40]),
            "Write something like soak_min",
            where=where,
        )
    return name


def value_in_name_unit(name: str, text: str, unit: str = "", where: str = "") -> tuple[float, str]:
    """The value of a setting in the unit its name carries.

    Parameters
    ----------
    name : str
        Such as "soak_min".
    text : str
        As written, "2 h" or a bare number.
    unit : str
        Unit written apart, where the text is a bare number.
    where : str
        File and line.

    Returns
    -------
    value : float
        The number. [unit in the name]
    printed : str
        The printed unit.

    Raises
    ------
    BadEntry
        The unit cannot be turned into that of the name, or the number is none.
    """
    if name.endswith(_OF_SPIRIT) and "%" in text:
        strength = read_strength(text, bare_ratio="v/v", where=where)
        if not strength.is_stated or strength.standard_uncertainty is not None:
            raise BadEntry(
                "A strength that is wanted is stated by volume or by mass, with no doubt",
                repr(text[:40]),
                'Write "70 % v/v"',
                where=where,
            )
        return volume_percent_20c_of(strength) / 100.0, ""
    number, own = _apart(text, where)
    if own and unit and own != unit:
        raise BadEntry(
            "A unit is written once",
            worded("{own!r} and {unit!r}", own=own, unit=unit),
            "Leave one of them out",
            where=where,
        )
    value, printed = _into(name, number, own or unit, where, own_unit=bool(own))
    if is_share(name) and not 0 <= value <= 1:
        raise BadEntry(
            worded("'{called}' is a share from 0 to 1", called=name),
            repr(text[:40]),
            "Write 0.05 or 5 %",
            where=where,
        )
    if value < 0 and printed and printed != "°C":
        raise BadEntry(
            worded("'{called}' cannot be negative", called=name),
            repr(text[:40]),
            "Check the sign",
            where=where,
        )
    return value, printed


def standard_uncertainty(name: str, text: str, unit: str, spread: str, where: str = "") -> float:
    """The standard uncertainty of a setting: a share for "lognormal", otherwise in the unit of the value.

    Parameters
    ----------
    name : str
        Such as "retention_ml_per_g".
    text : str
        As written.
    unit : str
        Unit written apart.
    spread : str
        Shape of the uncertainty.
    where : str
        File and line.

    Returns
    -------
    float
        The uncertainty. [unit in the name, or 1]

    Raises
    ------
    BadEntry
        It is negative, or in a unit it cannot have.
    """
    if spread == "lognormal":
        return share(text, where)
    number, own = _apart(text, where)
    if number < 0:
        raise BadEntry(
            "A standard uncertainty cannot be negative", repr(text[:40]), "Check the sign", where=where
        )
    if own == "%" and not is_share(name):
        raise BadEntry(
            "A normal uncertainty is written in the unit of its value",
            repr(text[:40]),
            "Write it in that unit, or make the spread lognormal",
            where=where,
        )
    spelled, carried = own or unit, unit_in_name(name)
    if carried and {spelled, carried[0]} <= {"°C", "K"}:
        return number
    return _into(name, number, spelled, where)[0] - _into(name, 0.0, spelled, where)[0]


def _apart(text: str, where: str) -> tuple[float, str]:
    words = cleaned(text, where=where)
    found = re.match(rf"({NUMBER})(.*)", words)
    if found is None:
        raise BadEntry("A setting is a number", repr(words[:40]), "Write 20 mL/g or 0.05", where=where)
    unit = found[2].strip()
    return number_in(found[1], can_be=CAN_BE.get(unit, ANYTHING), where=where).value, unit


def _into(name: str, number: float, unit: str, where: str, *, own_unit: bool = False) -> tuple[float, str]:
    carried = unit_in_name(name)
    if not unit:
        return number, printed_unit(name)
    if carried is None:
        if is_share(name) and unit == "%":
            return number / 100, ""
        if own_unit or is_share(name):
            raise BadEntry(
                worded("'{called}' carries no unit", called=name),
                unit[:20],
                "Write the bare number, or put the unit into the name",
                where=where,
            )
        return number, unit
    above, below = carried
    head, *tail = [part for part in re.split(r"[/()·\s]+", unit) if part] or [""]
    try:
        if not head or len(tail) != len(below):
            raise BadEntry("The units differ")
        factor = prod(convert(1.0, have, want) for have, want in zip(tail, below, strict=True))
        return convert(number, head, above) / factor, printed_unit(name)
    except StillroomError:
        raise BadEntry(
            worded(
                "'{called}' is in {called_two}, as its name says", called=name, called_two=printed_unit(name)
            ),
            repr(unit[:20]),
            "Check the unit",
            where=where,
        ) from None


def _hold_together(section: Section, spread: str, uncertain: float, origin: str, value: float) -> None:
    refuse = section.troubles.refuse
    if origin == "chosen" and spread != "fixed":
        refuse(
            "What is chosen has no spread",
            spread,
            "Say assumed, published or measured",
            where=section.where_of("spread"),
        )
    if spread == "fixed" and section.has("standard uncertainty"):
        refuse(
            "What is fixed has no uncertainty",
            "one",
            "Leave it out, or say how it spreads: normal, lognormal or logit",
            where=section.where_of("standard uncertainty"),
        )
    if spread != "fixed" and not uncertain:
        refuse(
            f"A {spread} spread needs its standard uncertainty",
            "none",
            "Add 'standard uncertainty'",
            where=section.where_of("spread"),
        )
    if spread == "lognormal" and value <= 0:
        refuse(
            "A lognormal value lies above zero", f"{value:g}", "Use normal", where=section.where_of("value")
        )
    if spread == "logit" and not 0 < value < 1:
        refuse(
            "A logit value lies between 0 and 1, the ends left out",
            f"{value:g}",
            "Use normal",
            where=section.where_of("value"),
        )
