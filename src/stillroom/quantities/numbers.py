"""A number as it was written: its value, and how many figures were shown.

Takes a decimal point, and a decimal comma wherever it has one reading. A comma before exactly three figures
("1,500 g"), an apostrophe or a plain space are asked back with the readings they could have, because a factor of a
thousand is at stake; where only one of the two can be ("1,184 g/mL", a factor of "1,002", "1.234,5 g"), that one is
taken. A thin or no-break space between groups of three (SI brochure, 5.4.4, from memory) is taken, since nobody types
one by accident; so are the digits of other scripts, and halves and quarters.
"""

import math
import re
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal

from stillroom.errors import BadEntry, StillroomError, worded

LONGEST_ENTRY = 200
"""Entries longer than this are not quantities [characters]."""

_THIN = "\u00a0\u2009\u202f"
_COMMA = r",(?=[0-9])"
_SIGN = r"(?:[+-]?|\u2212)"
_BODY = rf"(?:[0-9.]|{_COMMA})(?:[0-9.']|\u2019|{_COMMA}|\u00a0(?=[0-9])|[\u2009\u202f](?=[0-9]))*"
_POWER = r"\s?[×x·]\s?10(?:\^(?:-?|\u2212)[0-9]+|[\u207b\u2070\u00b9\u00b2\u00b3\u2074-\u2079]+)"
# A set of letters of three ranges or more, beyond the first 256, takes a millisecond to compile: signs stand apart.
NUMBER = rf"{_SIGN}{_BODY}(?:[eE]{_SIGN}[0-9]+(?![A-Za-z0-9])|{_POWER})?"
"""Pattern of anything that is meant as one number, right or wrong."""

_PERCENT_OF_WHAT = re.compile(
    r"(?<![^\W\d_])(?:(vol)(?:ume)?|wt|mass(?:en?)?|weight|gew)\.?[\s-]?(?:%|per ?cent)(?=\s?[±(]|[\s,;]|$)",
    re.IGNORECASE,
)
_GROUPED = re.compile(rf"[0-9]{{1,3}}(?:[{_THIN}][0-9]{{3}})+(?:[.,][0-9]+)?")
_DECIMAL_COMMA = re.compile(r"[0-9]+,[0-9]+")
_GROUPED_BY = {
    (",", "."): re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?"),
    (".", ","): re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+(?:,[0-9]+)?"),
}
"""A sign between thousands and one before the decimals."""
_IN_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_LARGEST_POWER = 30
_AS_TYPED_HERE: dict[int, str] = {
    **{one: chr(one - 0xFEE0) for one in range(0xFF01, 0xFF5F)},
    **{zero + digit: str(digit) for zero in (0x0660, 0x06F0, 0x0966) for digit in range(10)},
    0x3000: " ", 0x066A: "%", 0x066B: ".",
}  # fmt: skip
"""Full-width signs, Arabic and Devanagari digits as they are on another keyboard."""
_PARTS = {"½": ".5", "¼": ".25", "¾": ".75", "1/2": ".5", "1/4": ".25", "3/4": ".75"}
_WITH_PART = re.compile(r"^(?:([0-9]+) ?([½¼¾])|(?:([0-9]+) )?([13]/[24])(?![0-9/])|([½¼¾]))")
Between = tuple[float, float]
ANYTHING: Between = (-math.inf, math.inf)
CAN_BE: dict[str, Between] = {
    "%": (0.0, 999.0), "‰": (0.0, 1000.0), "g/mL": (0.0, 25.0), "kg/L": (0.0, 25.0), "kg/m³": (50.0, 25000.0),
    "mol/L": (0.0, 100.0), "mol/kg": (0.0, 100.0), "°C": (-273.15, 999.0), "°F": (-459.67, 999.0), "K": (0.0, 999.0),
    "bar": (0.0, 999.0), "atm": (0.0, 999.0),
}  # fmt: skip
"""Between what a figure in a unit can lie at a bench, with much room; decides what "1,184" means."""


@dataclass(frozen=True, slots=True)
class WrittenNumber:
    """A number with the figures that were shown."""

    value: float
    """The number [as written]."""
    decimals: int
    """Figures after the point; below zero when a power of ten was written [1]."""
    digits: int
    """Significant figures shown [1]."""


@contextmanager
def quoted(written: str) -> Iterator[None]:
    """Make an error quote what a person wrote, where it would quote what was made of it.

    Parameters
    ----------
    written : str
        As it was written, before a unit was added or a piece cut out [text].

    Raises
    ------
    StillroomError
        The error that was raised inside, or one like it.
    """
    try:
        yield
    except StillroomError as error:
        got = str(error.got)
        inside, _, after = got[1:].partition(got[:1] or " ")
        if got[:1] not in ("'", '"') or inside in written:
            raise
        raise type(error)(
            error.must, f"{written.strip()[:60]!r}{after}", error.do, where=error.where
        ) from None


def cleaned(text: str, *, where: str = "") -> str:
    """An entry without surrounding blanks, or a refusal when it cannot be one.

    Parameters
    ----------
    text : str
        As written [text].
    where : str
        File, line or field, for the error [text].

    Returns
    -------
    str
        The entry, single spaces between words; "vol%", "wt.-%" and "Gew.-%" as "% v/v" and "% w/w" [text].

    Raises
    ------
    BadEntry
        Nothing there, too long, or characters that cannot be seen.
    """
    if not isinstance(text, str):
        raise BadEntry(
            "A quantity must be written as text", type(text).__name__, 'Write "500 mL"', where=where
        )
    if len(text) > LONGEST_ENTRY:
        raise BadEntry(
            worded("A quantity must fit in {longest_entry} characters", longest_entry=LONGEST_ENTRY),
            worded("{text} characters", text=len(text)),
            "Write the number, its unit and its basis only",
            where=where,
        )
    hidden = [
        one
        for one in text
        if unicodedata.category(one) in ("Cc", "Cf", "Co", "Cs", "Cn") and one not in "\t\n\r"
    ]
    if hidden:
        raise BadEntry(
            "A quantity must be plain text",
            worded("a character that cannot be seen (U+{hidden:04X})", hidden=ord(hidden[0])),
            "Type it again by hand",
            where=where,
        )
    words = re.sub(r"[ \t\r\n]+", " ", text.translate(_AS_TYPED_HERE)).strip(f" {_THIN}")
    words = _WITH_PART.sub(_in_decimals, words)
    words = _PERCENT_OF_WHAT.sub(lambda hit: " % v/v" if hit[1] else " % w/w", words).replace("  ", " ")
    if not words:
        raise BadEntry(
            "A quantity is needed here", "nothing", 'Write a number and a unit, such as "500 mL"', where=where
        )
    return words


def _in_decimals(hit: re.Match[str]) -> str:
    """A half or a quarter, with the whole before it: "1½" as "1.5"; "2/4" and its like as they were."""
    part = _PARTS.get(hit[2] or hit[4] or hit[5], "")
    return f"{hit[1] or hit[3] or 0}{part}" if part else hit[0]


def number_in(text: str, *, can_be: Between = ANYTHING, where: str = "") -> WrittenNumber:
    """Read one bare number.

    Parameters
    ----------
    text : str
        As written: "0.100", "1.5e3", "−4" [text].
    can_be : (float, float)
        Between what it can lie; decides between two readings of "1,002", and refuses nothing [as written].
    where : str
        File, line or field, for the error [text].

    Returns
    -------
    WrittenNumber
        The value and the figures shown [as written].

    Raises
    ------
    BadEntry
        It is no number, not finite, or could be read in two ways.
    """
    words = cleaned(text, where=where)
    if not re.fullmatch(NUMBER, words):
        raise BadEntry(
            "A number is needed here", repr(words[:40]), "Write it with digits, such as 1.5", where=where
        )
    return read_number(words, "", can_be=can_be, where=where)


def in_digits(text: str) -> int | None:
    """A count or number written in digits alone, 12 at most; None for anything else, such as "²" or "1.5"."""
    return int(text) if text.isdecimal() and len(text) <= 12 else None


def read_number(written: str, unit: str, *, can_be: Between | None = None, where: str = "") -> WrittenNumber:
    """Read a piece of text that matched ``NUMBER``.

    Parameters
    ----------
    written : str
        The number as written [text].
    unit : str
        The unit that followed, so that the readings can be spelled out [text].
    can_be : (float, float) or None
        Between what it can lie; that of its unit otherwise [as written].
    where : str
        File, line or field, for the error [text].

    Returns
    -------
    WrittenNumber
        The value and the figures shown [as written].

    Raises
    ------
    BadEntry
        The number could be read in two ways, or is out of all bounds.
    """
    text = written.replace("\u2212", "-")
    text = re.sub(r"\s?[×x·]\s?10\^?", "e", text).translate(_RAISED)
    body, _, power = text.lower().partition("e")
    sign = body[0] if body[0] in "+-" else ""
    body = body.removeprefix(sign)
    if re.search(f"[{_THIN}]", body):
        if not _GROUPED.fullmatch(body):
            raise _asked_back(
                written, unit, where, "Group the digits in threes, or write them without spaces"
            )
        body = re.sub(f"[{_THIN}]", "", body).replace(",", ".")
    for (group, point), pattern in _GROUPED_BY.items():
        if pattern.fullmatch(body) and (point in body or body.count(group) > 1):
            body = body.replace(group, "").replace(point, ".")
    if _DECIMAL_COMMA.fullmatch(body):
        body = _one_reading(sign, body, can_be or CAN_BE.get(unit, ANYTHING))
    if not re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", body):
        raise _asked_back(written, unit, where, _readings(sign, body, unit))
    if (power and abs(int(power)) > _LARGEST_POWER) or len(body) > 40:
        raise BadEntry(
            "A number must be of a size a laboratory can weigh", written[:40], "Check the digits", where=where
        )
    exact = Decimal(sign + body + (f"e{power}" if power else ""))
    exponent = exact.as_tuple().exponent
    figures = len(body.replace(".", "").lstrip("0")) or 1
    return WrittenNumber(float(exact), -int(exponent), figures)


def _one_reading(sign: str, body: str, can_be: Between) -> str:
    """A figure with one comma as it can only be read; as it was written where it can be read in two ways."""
    decimal = body.replace(",", ".")
    if not _IN_THOUSANDS.fullmatch(body):
        return decimal
    can = [one for one in (decimal, body.replace(",", "")) if can_be[0] <= float(sign + one) <= can_be[1]]
    return can[0] if len(can) == 1 else body


def _asked_back(written: str, unit: str, where: str, do: str) -> BadEntry:
    got = f"{written} {unit}".strip()
    return BadEntry("A number must have one reading", repr(got), do, where=where)


def _readings(sign: str, body: str, unit: str) -> str:
    def as_entry(number: str) -> str:
        return f"{sign.removeprefix('+')}{number} {unit}".strip()

    commas, points = body.count(","), body.count(".")
    if not commas and points == 1:
        whole, _, part = body.partition(".")
        return (
            f"Write {as_entry(f'{whole or 0}.{part}' if part else whole)}; a bare point is easily overlooked"
        )
    pieces = re.split(r"[.,'\u2019]", body)
    if not all(pieces) or len(body) > 40:
        return f"Write it with digits and one point, such as {as_entry('1.5')}"
    grouped = all(len(piece) == 3 for piece in pieces[1:]) and len(pieces[0]) <= 3 and pieces[0][0] != "0"
    if len(pieces) == 2:
        decimal = f"{pieces[0]}.{pieces[1]}"
        if grouped:
            return f"Write {as_entry(''.join(pieces))} or {as_entry(decimal.rstrip('0').rstrip('.'))}"
        return f"Write {as_entry(decimal)} or {as_entry(''.join(pieces))}"
    if grouped and not (commas and points):
        return f"Write {as_entry(''.join(pieces))}"
    return f"Write {as_entry(''.join(pieces[:-1]) + '.' + pieces[-1])} with one point and no grouping"
