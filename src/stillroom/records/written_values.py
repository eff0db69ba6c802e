"""What a single text means: a name, a code, a date, a share, a whole number, yes or no.

Each reader takes the text and its place and gives the value, or raises what must hold, what came in and what
to do. Quantities with units are read by ``quantities.parse``; only what records share stands here.
"""

import re
import unicodedata
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.quantities.numbers import number_in

Choice = TypeVar("Choice", bound=str)
LONGEST_LINE = 200
LONGEST_NOTE = 5_000
_CODE = re.compile(r"[^\W_][\w.-]*")
_YEAR_FIRST = re.compile(r"(?P<year>\d{4})(?P<mark>[-/.]?)(?P<month>\d{2})(?P=mark)(?P<day>\d{2})", re.ASCII)
_DAY_FIRST = re.compile(
    r"(?P<day>\d{1,2})(?P<mark>[-/.]) ?(?P<month>\d{1,2})(?P=mark) ?(?P<year>\d{4})", re.ASCII
)
_IN_WORDS = re.compile(
    r"(?P<day>\d{1,2})(?:st|nd|rd|th|er)?\.?[ -]?(?P<month>[^\W\d_]+)\.?,?[ -]?(?P<year>\d{4})", re.ASCII
)
_MONTH_OF_YEAR = re.compile(
    r"(?P<year_first>\d{4})[-/.](?P<last>\d{1,2})"
    r"|(?:(?P<first>\d{1,2})[-/.]|(?P<month>[^\W\d_]+)\.?,?[ -]?)(?P<year>\d{4})",
    re.ASCII,
)
_MONTHS = (
    ("january", "janvier", "januar"),
    ("february", "fevrier", "februar"),
    ("march", "mars", "marz"),
    ("april", "avril"),
    ("may", "mai"),
    ("june", "juin", "juni"),
    ("july", "juillet", "juli"),
    ("august", "aout"),
    ("september", "septembre"),
    ("october", "octobre", "oktober"),
    ("november", "novembre"),
    ("december", "decembre", "dezember"),
)
"""Names of the months in English, French and German, without their accents."""
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def one_line(text: str, where: str) -> str:
    """A name or title: one line, single spaces.

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Raises
    ------
    BadEntry
        It is empty, too long or holds characters that cannot be seen.
    """
    line = " ".join(text.split())
    if not line:
        raise BadEntry("Something must be written here", "nothing", "Write a name", where=where)
    if len(line) > LONGEST_LINE:
        raise BadEntry(
            worded("A name must fit in {longest_line} characters", longest_line=LONGEST_LINE),
            worded("{line} characters", line=len(line)),
            "Shorten it, or put it into the notes",
            where=where,
        )
    _refuse_hidden(line, where)
    return line


def note(text: str, where: str) -> str:
    """Free text of any number of lines, white space at the ends left out.

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Raises
    ------
    BadEntry
        It is too long or holds characters that cannot be seen.
    """
    kept = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if len(kept) > LONGEST_NOTE:
        raise BadEntry(
            worded("A note must fit in {longest_note} characters", longest_note=LONGEST_NOTE),
            worded("{kept} characters", kept=len(kept)),
            "Shorten it, or keep it as a file of its own",
            where=where,
        )
    _refuse_hidden(kept.replace("\n", "").replace("\t", ""), where)
    return kept


def code(text: str, where: str) -> str:
    """A code that is written on jars and used in accounts and file names.

    Parameters
    ----------
    text : str
        As written, such as "ORD-1".
    where : str
        File and line, or field.

    Raises
    ------
    BadEntry
        It holds more than letters, digits, "-", "." and "_", or is too long.
    """
    line = one_line(text, where)
    if not _CODE.fullmatch(line) or len(line) > 60:
        raise BadEntry(
            "A code has at most 60 letters, digits, '-', '.' and '_', and begins with a letter or digit",
            repr(line[:40]),
            "Write something like ORD-1",
            where=where,
        )
    return line


def iso_date(text: str, where: str) -> str:
    """A date in any wording that has one reading: "2027-01-29", "29.1.2027", "29 Jan 2027", "29/01/2027".

    Parameters
    ----------
    text : str
        As written. With a stroke the day may stand first or second: where both could be a month it is asked back.
    where : str
        File and line, or field.

    Returns
    -------
    str
        Year-month-day.

    Raises
    ------
    BadEntry
        It is written another way, has two readings, or there is no such day.
    """
    line = one_line(text, where)
    found = _YEAR_FIRST.fullmatch(line) or _DAY_FIRST.fullmatch(line) or _IN_WORDS.fullmatch(_plain(line))
    month = _month(found["month"]) if found else 0
    if found is None or not month:
        raise BadEntry(
            "A date is written year-month-day, or day, month and year",
            repr(line[:40]),
            "Write it like 2027-01-29 or 29 January 2027",
            where=where,
        )
    day = int(found["day"])
    if found.re is _DAY_FIRST and found["mark"] != ".":
        if day <= 12 and month <= 12 and day != month:
            raise BadEntry(
                "A date must have one reading",
                repr(line[:40]),
                "Write it like 2027-01-29 or 29 January 2027",
                where=where,
            )
        day, month = (month, day) if month > 12 else (day, month)
    try:
        return date(int(found["year"]), month, day).isoformat()
    except ValueError:
        raise BadEntry(
            "A date must be in the calendar", line, "Check the month and the day", where=where
        ) from None


def iso_month(text: str, where: str) -> str:
    """A month in any wording: "2026-09", "09/2026", "Sep 2026", or a day in it.

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Returns
    -------
    str
        Year and month.

    Raises
    ------
    BadEntry
        It is written another way, or there is no such month.
    """
    line = one_line(text, where)
    found = _MONTH_OF_YEAR.fullmatch(_plain(line))
    if found is None:
        return iso_date(line, where)[:7]
    month = _month(found["month"] or found["first"] or found["last"])
    if not 1 <= month <= 12:
        raise BadEntry(
            "A month must be in the calendar", repr(line[:40]), "Write it like 2026-09", where=where
        )
    return f"{found['year'] or found['year_first']}-{month:02d}"


def _plain(text: str) -> str:
    return "".join(one for one in unicodedata.normalize("NFD", text) if not unicodedata.combining(one))


def _month(text: str) -> int:
    """The number of a month, or of its name or the first letters of it; 0 where several months begin so."""
    if text.isdecimal():
        return int(text)
    begins = text.casefold()
    meant = [
        at
        for at, names in enumerate(_MONTHS, start=1)
        if any(name == begins or (len(begins) >= 3 and name.startswith(begins)) for name in names)
    ]
    return meant[0] if len(meant) == 1 else 0


def percentage(text: str, where: str) -> float:
    """A percentage that needs no basis, with or without its sign.

    Parameters
    ----------
    text : str
        As written, such as "95 %" or "95".
    where : str
        File and line, or field.

    Returns
    -------
    float
        The number. [%]

    Raises
    ------
    BadEntry
        It is no number between 0 and 100.
    """
    value = number_in(text.strip().removesuffix("%"), can_be=(0.0, 100.0), where=where).value
    if not 0 <= value <= 100:
        raise BadEntry(
            "A percentage lies between 0 and 100", one_line(text, where)[:40], "Check it", where=where
        )
    return value


def share(text: str, where: str) -> float:
    """A share of one, written "0.05" or "5 %".

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Returns
    -------
    float
        The share. [1]

    Raises
    ------
    BadEntry
        It is no number, or below zero.
    """
    if text.rstrip().endswith("%"):
        return percentage(text, where) / 100
    value = number_in(text, where=where).value
    if value < 0:
        raise BadEntry("A share cannot be negative", text[:40], "Check the sign", where=where)
    return value


def whole_number(text: str, where: str) -> int:
    """A whole number of zero or more.

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Returns
    -------
    int
        The number. [1]

    Raises
    ------
    BadEntry
        It is no whole number, negative, or beyond a million.
    """
    value = number_in(text, where=where).value
    if value != int(value) or not 0 <= value <= 1_000_000:
        raise BadEntry(
            "A whole number from 0 to 1000000 is needed here",
            one_line(text, where)[:40],
            "Check it",
            where=where,
        )
    return int(value)


def yes_or_no(text: str, where: str) -> bool:
    """True for "yes", False for "no".

    Parameters
    ----------
    text : str
        As written.
    where : str
        File and line, or field.

    Raises
    ------
    BadEntry
        It is neither.
    """
    said = text.strip().casefold()
    if said not in ("yes", "no", "true", "false"):
        raise BadEntry("Write yes or no here", repr(said[:40]), where=where)
    return said in ("yes", "true")


def names_nothing(text: str) -> bool:
    """Whether a reason is none, or one word such as "ok".

    Parameters
    ----------
    text : str
        As written. [text]
    """
    return len(text.split()) < 2


@dataclass(frozen=True, slots=True)
class OneOf(Generic[Choice]):
    """A reader that takes one of a few words."""

    known: tuple[Choice, ...]
    """The words."""
    what: str
    """What they are, with its article ("a purpose")."""

    def __call__(self, text: str, where: str) -> Choice:
        """The word that is meant.

        Raises
        ------
        UnknownName
            It is none of them.
        """
        try:
            meant = UnknownName.unless(text[:40], self.what, self.known)
        except UnknownName as error:
            raise error.at(where) from error
        return next(one for one in self.known if one == meant)


def _refuse_hidden(text: str, where: str) -> None:
    hidden = [one for one in text if unicodedata.category(one) in ("Cc", "Cs") or one in _TURNING]
    if hidden:
        raise BadEntry(
            "A text may only hold characters that can be seen",
            f"U+{ord(hidden[0]):04X}",
            "Type it again by hand",
            where=where,
        )
