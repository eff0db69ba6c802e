"""How a house is said to be: its rooms, its water, its height, its working hours; each read one way at every door."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from stillroom.errors import BadEntry, Phrase, UnknownName, worded
from stillroom.planning.plan_inputs import ALTITUDE, Known
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.records.entries import ConditionNoted
from stillroom.records.written_values import one_line
from stillroom.schedule.bench import CONDENSER_L_MIN

USUAL_HOURS_PER_DAY = 8.0
USUAL_HOURS = "assumed: nobody has noted the working hours"
HOURS_UNSAID = "assumed: the working hours were not said"
_CLOCK = re.compile(r"([0-2]?[0-9])[:.h]([0-5][0-9])")
_FROM_TO = re.compile(rf"{_CLOCK.pattern}\s*(?:to|-|–|until)\s*{_CLOCK.pattern}")


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing a house is asked: its unit, between what it lies, and when it is needed.

    ``low``, ``high``: in the unit.
    """

    unit: str
    low: float
    high: float
    needed: str
    """When it is first needed."""
    example: str


HOUSE: dict[str, Asked] = {
    "room temperature": Asked("°C", -5.0, 55.0, "when spirit is diluted or filled", "31 °C"),
    "tap temperature": Asked("°C", 0.0, 45.0, "when something is cooled with tap water", "24 °C"),
    "altitude": Asked("m", -450.0, 5000.0, "when something is boiled", "240 m"),
    "working hours": Asked("h", 0.5, 24.0, "when days of work are counted", "8 h a day, or 08:00 to 16:30"),
    "break": Asked("h", 0.1, 4.0, "when a day is laid out", "12:30 to 13:00"),
    "days of work": Asked("d", 1.0, 7.0, "when a day is laid out", "Mon to Fri"),
    "water days": Asked("d", 1.0, 7.0, "when cooling is laid out", "Mon, Wed, Fri"),
    "breaker": Asked("A", 1.0, 125.0, "when heaters are laid out", "16 A"),
    "mains voltage": Asked("V", 90.0, 420.0, "when heaters are laid out", "230 V"),
    "tap flow": Asked("L/min", 0.1, 60.0, "when cooling is laid out", "4 L/min"),
    "cooling water": Asked(
        "L/min", 0.0, 60.0, "when cooling is laid out", "side by side, or one after the other at 0.6 L/min"
    ),
    "condensers": Asked("pieces", 0.0, 20.0, "when cooling is laid out", "2"),
    "bath places": Asked("pieces", 0.0, 20.0, "when a day is laid out", "1"),
    "sets of glass": Asked("pieces", 1.0, 50.0, "when a day is laid out", "2"),
}


def condition_from_text(what: str, text: str) -> float:
    """The value of a condition, in its own unit.

    Parameters
    ----------
    what : str
        One of ``HOUSE``.
    text : str
        As a person writes it.
    """
    asked = asked_of(what)
    value = _READERS[what](text, what)
    if not asked.low <= value <= asked.high:
        raise BadEntry(
            worded(
                "The {what} must lie between {low:g} and {high:g} {unit}",
                what=Phrase(what),
                low=asked.low,
                high=asked.high,
                unit=asked.unit,
            ),
            repr(text[:40]),
            worded("Write it like {example}", example=asked.example),
            where=what,
        )
    return value


def condition_noted(what: str, text: str) -> ConditionNoted:
    """A condition as the book writes it.

    Parameters
    ----------
    what : str
        One of ``HOUSE``.
    text : str
        As a person writes it.
    """
    return ConditionNoted(what, condition_from_text(what, text), HOUSE[what].unit, one_line(text, what))


def asked_of(what: str) -> Asked:
    """What is asked under that name.

    Raises
    ------
    UnknownName
        Nobody asks for that; the nearest names are offered.
    """
    if what not in HOUSE:
        raise UnknownName.among(what[:40], "a fact of room or site", HOUSE)
    return HOUSE[what]


def in_its_unit(what: str, value: float) -> str:
    """A condition as it is read: "16 A"; pieces are counted in nothing.

    Parameters
    ----------
    what : str
        One of ``HOUSE``.
    value : float
        In its unit.

    Examples
    --------
    >>> in_its_unit("breaker", 10.0), in_its_unit("condensers", 1.0)
    ('10 A', '1')
    """
    unit = asked_of(what).unit
    return f"{value:g}" if unit == "pieces" else f"{value:g} {unit}"


def known_height(altitude_m: float, because: str, *, entry_no: int | None = None) -> Known:
    """The height of the laboratory as a plan is told it.

    Parameters
    ----------
    altitude_m : float
        Height above the sea. [m]
    """
    return Known(
        ALTITUDE,
        f"house/{ALTITUDE}",
        altitude_m,
        "m",
        origin="reading",
        because=because,
        entry_no=entry_no,
        basis="above the sea",
    )


WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def clock_times(text: str) -> tuple[int, int] | None:
    """From when to when, in minutes of the day, where a text says so; None where it says only how long [min].

    Parameters
    ----------
    text : str
        "08:00 to 16:30". [text]

    Examples
    --------
    >>> clock_times("08:00 to 16:30")
    (480, 990)
    """
    clocks = _FROM_TO.fullmatch(" ".join(text.split()).casefold())
    if not clocks:
        return None
    return tuple(60 * int(clocks[at]) + int(clocks[at + 1]) for at in (1, 3))  # type: ignore[return-value]


def weekdays_said(text: str, where: str = "") -> tuple[int, ...]:
    """Days of the week, Monday is 0.

    Parameters
    ----------
    text : str
        "Mon to Fri", "Mon, Wed, Fri". [text]

    Raises
    ------
    BadEntry
        It names no day of the week.

    Examples
    --------
    >>> weekdays_said("Monday to Friday"), weekdays_said("Tue, Sat")
    ((0, 1, 2, 3, 4), (1, 5))
    """
    words = re.findall(r"[a-z]+|[-–]", text.casefold())
    found: list[int] = []
    through = False
    for one in words:
        if one in ("to", "until", "-", "–"):
            through = bool(found)
            continue
        if one in ("and", "a", "week", "every", "each"):
            continue
        day = next((at for at, name in enumerate(WEEKDAYS) if one.startswith(name)), None)
        if day is None:
            found = []
            break
        found += [*range(found[-1] + 1, day), day] if through else [day]
        through = False
    if not found:
        raise BadEntry(
            "Days of the week are named",
            repr(text[:40]),
            "Write them like Mon to Fri, or Mon, Wed, Fri",
            where=where,
        )
    return tuple(sorted(set(found)))


def _days(text: str, where: str) -> float:
    return float(len(weekdays_said(text, where)))


def _pieces(text: str, where: str) -> float:
    count = number_in(re.sub(r"[^\d.,]+$", "", text.strip()), where=where).value
    if count != int(count):
        raise BadEntry("Pieces are counted", repr(text[:40]), "Write a whole number", where=where)
    return count


def _in(unit: str) -> Callable[[str, str], float]:
    def read(text: str, where: str) -> float:
        bare = text.strip()
        return parse(bare if re.search(r"[A-Za-z]", bare) else f"{bare} {unit}", where=where).in_unit(unit)

    return read


def _temperature(text: str, where: str) -> float:
    return parse(text, want="temperature", where=where).in_unit("°C")


def _height(text: str, where: str) -> float:
    return parse(text, want="length", negative_allowed=True, where=where).in_unit("m")


def _hours(text: str, where: str) -> float:
    clocks = _FROM_TO.fullmatch(" ".join(text.split()).casefold())
    if clocks:
        begin, end = (int(clocks[at]) + int(clocks[at + 1]) / 60 for at in (1, 3))
        if begin >= end or end > 24:
            raise BadEntry(
                "A working day ends after it begins",
                repr(text[:40]),
                "Write it like 08:00 to 16:30",
                where=where,
            )
        return end - begin
    words = re.sub(r"\s*(?:a|per|each)\s+day$", "", text.strip())
    return parse(words, want="time", where=where).in_unit("h")


def _cooling(text: str, where: str) -> float:
    """What flows through condensers one after the other; 0 where each has its own water."""
    words = text.casefold()
    if re.search(r"side by side|parallel|each (?:has )?its own", words):
        return 0.0
    chain = re.search(
        r"(?:one after (?:the |an)?other|in series|in a row)(?:\s*[,:;]|\s+at\b)?\s*(.*)", words
    )
    if chain is None:
        raise BadEntry(
            "Condensers have their water side by side, or one after the other",
            repr(text[:40]),
            worded("Write it like {example}", example=HOUSE["cooling water"].example),
            where=where,
        )
    return _READERS["tap flow"](chain[1], where) if chain[1].strip() else CONDENSER_L_MIN


_READERS: dict[str, Callable[[str, str], float]] = {
    "room temperature": _temperature,
    "tap temperature": _temperature,
    "altitude": _height,
    "working hours": _hours,
    "break": _hours,
    "days of work": _days,
    "water days": _days,
    "breaker": _in("A"),
    "mains voltage": _in("V"),
    "tap flow": _in("L/min"),
    "cooling water": _cooling,
    "condensers": _pieces,
    "bath places": _pieces,
    "sets of glass": _pieces,
}
