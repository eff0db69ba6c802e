"""An entry of a question, a form or a card: a figure without a unit has the unit printed beside its field.

One reader for each kind of thing, the same at every door: an amount, a temperature, a share, a list of readings, how
sure a figure is. Everything that was written is used, or refused in a sentence that quotes it as it was written.
"""

import math
import re
from collections.abc import Collection
from dataclasses import replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import Basis
from stillroom.quantities.numbers import NUMBER, cleaned, number_in, quoted
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.uncertainty_words import SIGN, Sureness, plus_minus
from stillroom.quantities.units import unit

K_OF_A_FIELD = 2.0
"""Coverage factor of a bare ± in a field: every one of them prints it [1]."""
_BARE = re.compile(rf"\s*{NUMBER}\s*")
_BARE_AND_SURE = re.compile(rf"\s*({NUMBER})(\s*{SIGN}\s*{NUMBER}\s*)")
_PERCENT = re.compile(rf"\s*({NUMBER})\s?(%|‰|per\s?cent\b|ppm\b)?\s*", re.IGNORECASE)
_DEGREES = re.compile(rf"\s*({NUMBER})\s?(?:[°º]|degs?|degrees?|degrés?)\s*", re.IGNORECASE)
_BETWEEN = re.compile(r";|\n|,\s|,$|(?<=[0-9])\s+(?=[0-9])|(?<=[a-zA-Zµ])\s+(?=[0-9])")
_KELVIN = {"": 1.0, "K": 1.0, "°C": 1.0, "°F": 5.0 / 9.0}


def is_bare(text: str) -> bool:
    """Whether an entry is a figure and nothing else.

    Parameters
    ----------
    text : str
        As written [text].

    Returns
    -------
    bool
        True for "45", False for "45 %" [yes or no].
    """
    return _BARE.fullmatch(text) is not None


def with_unit(text: str, symbol: str) -> str:
    """The entry with the unit printed beside its field, where it has none of its own.

    Parameters
    ----------
    text : str
        As written: "5", "5 ± 0.1", "5 L" [text].
    symbol : str
        Unit printed there; "" where none is [unit].

    Returns
    -------
    str
        Such as "5 mL" [text].
    """
    if symbol and is_bare(text):
        return f"{text.strip()} {symbol}"
    if symbol == "°C" and (degrees := _DEGREES.fullmatch(text)):
        return f"{degrees[1]} °C"
    sure = _BARE_AND_SURE.fullmatch(text)
    return f"{sure[1]} {symbol}, {sure[2]}" if symbol and sure else text


def entry(
    text: str,
    symbol: str = "",
    *,
    want: str | Collection[str] | None = None,
    by_definition: Basis | None = None,
    basis_required: bool = True,
    negative_allowed: bool = False,
    zero_allowed: bool = False,
    sure_allowed: bool = False,
    where: str = "",
) -> Quantity:
    """Read the entry of a field.

    Parameters
    ----------
    text : str
        As written [text].
    symbol : str
        Unit printed beside the field, for a figure without one [unit].
    want : str, collection of str or None
        What the field takes; that of its unit where nothing is said [text].
    by_definition : Basis or None
        The basis the field prints; another that is written is left as it is [basis].
    basis_required : bool
        Whether a content must say its basis [yes or no].
    negative_allowed, zero_allowed : bool
        Whether the figure may be below zero, or zero; a temperature always may [yes or no].
    sure_allowed : bool
        Whether a ± may stand in the entry; a bare one has k = 2 [yes or no].
    where : str
        The field [text].

    Returns
    -------
    Quantity
        In the unit it was written in [unit].

    Raises
    ------
    BadEntry
        It cannot be read, or holds more than the field uses.
    UnknownName
        Its unit is not known.
    """
    with quoted(text):
        words = with_unit(cleaned(text, where=where), symbol)
        plain = want if want is not None or not symbol else unit(symbol).dimension
        found = parse(
            words,
            want=plain,
            by_definition=by_definition,
            basis_required=basis_required,
            negative_allowed=negative_allowed,
            zero_allowed=zero_allowed or plain == "temperature",
            words_after=False,
            bare_k=K_OF_A_FIELD,
            where=where,
        )
    if found.standard_uncertainty is not None and not sure_allowed:
        raise BadEntry(
            "No ± belongs here",
            repr(text.strip()[:40]),
            "Leave it out; how sure a figure is has its own field where it counts",
            where=where,
        )
    return replace(found, as_written=text)


def without_sign(text: str) -> str:
    """The entry of a field that prints ±, without the sign a person may write again.

    Parameters
    ----------
    text : str
        "± 0.3", "+/- 0.3", "0.3" [text].

    Returns
    -------
    str
        "0.3"; a minus sign alone stays, and is refused where nothing lies below zero [text].
    """
    return re.sub(rf"^\s*{SIGN}\s?", "", text)


def step_of(found: Quantity, symbol: str) -> float:
    """One step of the last figure that was written, in any unit of the same kind.

    Parameters
    ----------
    found : Quantity
        As it was read [unit].
    symbol : str
        Unit the step is wanted in [unit].

    Returns
    -------
    float
        0.001 g/mL for "1.184 g/mL", and for "1184 kg/m³" [symbol].
    """
    return float(10.0 ** -(found.decimals or 0) * unit(found.unit).factor / unit(symbol).factor)


def sureness_beside(text: str, beside: Quantity, symbol: str, *, where: str) -> Sureness:
    """How sure a figure is by the field beside it, read in the unit of what it stands beside.

    Parameters
    ----------
    text : str
        "0.3", "± 0.3", "3 mL/L", "2 % of it", "0.1 (k = 1)", "0.3 (tolerance)" [text].
    beside : Quantity
        What it stands beside, as it was written [unit].
    symbol : str
        Unit the width is wanted in [unit].
    where : str
        The field [text].

    Raises
    ------
    BadEntry
        It is no uncertainty, on another basis, not above zero, or may be read in two ways.
    """
    cleaned(text, where=where)
    known = unit(beside.unit)
    with quoted(text):
        found = plus_minus(text, known.symbol, beside.value, ratio=beside.basis.ratio, where=where)
    return found.times(known.factor / unit(symbol).factor)


def sureness_of(found: Quantity, beside: str, symbol: str, *, where: str) -> Sureness:
    """How sure a figure is: inside its entry, in the field beside it, or nowhere.

    Parameters
    ----------
    found : Quantity
        The figure as it was read [unit].
    beside : str
        The field beside it; "" where nobody said [text].
    symbol : str
        Unit the width is wanted in [unit].
    where : str
        That field [text].

    Raises
    ------
    BadEntry
        Both were said, and they differ.
    """
    inside = Sureness(found.standard_uncertainty, found.coverage_factor).times(
        unit(found.unit).factor / unit(symbol).factor
    )
    if not beside.strip():
        return inside
    said = sureness_beside(beside, found, symbol, where=where)
    if inside.half_width and not math.isclose(said.half_width, inside.half_width, rel_tol=1e-9):
        raise BadEntry(
            "A strength has one ±",
            worded("{inside!r} and {beside!r}", inside=found.as_written[:40], beside=beside.strip()[:40]),
            "Leave one of them out",
            where=where,
        )
    return said


def nothing_but(found: Quantity, names: Collection[str], *, where: str) -> None:
    """Refuse a strength that says more of itself than its field uses.

    Parameters
    ----------
    found : Quantity
        As it was read [unit].
    names : collection of str
        What it may be of, in small letters [text].
    where : str
        The field [text].

    Raises
    ------
    BadEntry
        It is of something else, or says "as", "of", "dried" where nothing of that is used.
    """
    basis = found.basis
    for said in (basis.of, basis.reckoned_as, basis.carrier, basis.matter, basis.form):
        if said is not None and said.casefold() not in names:
            raise BadEntry(
                "Only a figure with its basis is used here",
                repr(found.as_written.strip()[:60]),
                worded("Leave out {said!r}", said=said),
                where=where,
            )


def degrees_apart(text: str, *, where: str) -> float:
    """A difference between two temperatures, or how far a thermometer may be off.

    Parameters
    ----------
    text : str
        "20 K", "20 °C", "36 °F", "± 0.2" [text].
    where : str
        The field [text].

    Returns
    -------
    float
        The difference; a degree Fahrenheit is five ninths of it [K].

    Raises
    ------
    BadEntry
        It is no difference of temperature.
    """
    words = without_sign(cleaned(text, where=where))
    hit = re.fullmatch(rf"({NUMBER})\s?(.*)", words)
    symbol = unit(hit[2]).symbol if hit and hit[2] else ""
    if hit is None or symbol not in _KELVIN:
        raise BadEntry(
            "A difference of temperature is a figure in K", repr(words[:40]), 'Write "0.5 K"', where=where
        )
    return number_in(hit[1], where=where).value * _KELVIN[symbol]


def share(text: str, *, least: float = 0.0, most: float = 1.0, where: str) -> float:
    """A part of a whole that needs no basis, from a field with "%" beside it.

    Parameters
    ----------
    text : str
        "91 %", "91", "9 ‰" [text].
    least, most : float
        Between what it lies [1].
    where : str
        The field [text].

    Returns
    -------
    float
        The part [1].

    Raises
    ------
    BadEntry
        It is none, lies outside, or is a bare figure up to 1, which may be a part of one or of a hundred.
    """
    words = cleaned(text, where=where)
    hit = _PERCENT.fullmatch(words)
    if hit is None:
        raise BadEntry(
            "A share is a figure in %", repr(words[:40]), 'Write "91 %"; it has no basis', where=where
        )
    number = number_in(hit[1], where=where).value
    if hit[2] is None and 0 < number <= 1:
        raise BadEntry(
            "A share up to 1 could be a part of one or of a hundred",
            repr(words[:40]),
            worded("Write {hundred:.10g} % or {one:.10g} %", hundred=100 * number, one=number),
            where=where,
        )
    found = number * unit(hit[2].casefold() if hit[2] else "%").factor
    if not least <= found <= most:
        raise BadEntry(
            worded("A share here lies between {low:g} and {high:g} %", low=100 * least, high=100 * most),
            repr(words[:40]),
            "Check it",
            where=where,
        )
    return found


def several(
    text: str, symbol: str, *, want: str | None = None, zero_allowed: bool = False, where: str
) -> tuple[Quantity, ...]:
    """Readings in one entry: between semicolons, on lines, between commas with a space, or between blanks.

    Parameters
    ----------
    text : str
        "412; 251; 156 mg", "0.412 g 0.251 g", "24,31; 74,12; 64,60 g"; figures without a unit have that of the last
        one, where it has one [text].
    symbol : str
        Unit printed beside the field [unit].
    want : str or None
        What the field takes [text].
    zero_allowed : bool
        Whether a reading may be zero [yes or no].
    where : str
        The field [text].

    Returns
    -------
    tuple of Quantity
        In the order they were written [unit].

    Raises
    ------
    BadEntry
        One of them cannot be read; it is quoted.
    """
    parts = [one.strip() for one in _BETWEEN.split(text.strip()) if one.strip()]
    last = re.fullmatch(rf"{NUMBER}\s?([^0-9.,\s].*)", parts[-1]) if parts else None
    printed = last[1] if last else symbol
    wanted = want or unit(symbol).dimension
    found = (entry(one, printed, want=wanted, zero_allowed=zero_allowed, where=where) for one in parts)
    return tuple(
        replace(each, as_written=with_unit(one, printed)) for each, one in zip(found, parts, strict=True)
    )
