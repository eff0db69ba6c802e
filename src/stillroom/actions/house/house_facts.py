"""How the house is: room and tap temperature, altitude, working hours. Asked when first needed, the last one offered.

Nothing is ever filled in: where nobody noted a value there is none. What was noted last stands, with the time it was
noted, so that a person can see whether it still holds.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.errors import BadEntry, Phrase, UnknownName, worded
from stillroom.planning.plan_inputs import ALTITUDE, Known
from stillroom.quantities.parse import parse
from stillroom.questions import VERBS, declared
from stillroom.records.conditions import Condition
from stillroom.records.entries import ConditionNoted
from stillroom.records.entry_json import body_to_json
from stillroom.records.written_values import one_line
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

WARM_TO_THE_HAND_C = 35.0
"""Cooling water leaves at this at most: common practice, no source. [°C]"""
LEAST_RISE_K = 2.0
USUAL_HOURS_PER_DAY = 8.0
USUAL_HOURS = "assumed: nobody has noted the working hours"
_CLOCK = re.compile(r"([0-2]?[0-9])[:.h]([0-5][0-9])")
_FROM_TO = re.compile(rf"{_CLOCK.pattern}\s*(?:to|-|–|until)\s*{_CLOCK.pattern}")


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing a house is asked: its unit, between what it lies, and when it is needed.

    Attributes
    ----------
    unit : str
    low, high : float
        In the unit.
    needed : str
        When it is first needed.
    example : str
    """

    unit: str
    low: float
    high: float
    needed: str
    example: str


HOUSE: dict[str, Asked] = {
    "room temperature": Asked("°C", -5.0, 55.0, "when spirit is diluted or filled", "31 °C"),
    "tap temperature": Asked("°C", 0.0, 45.0, "when something is cooled with tap water", "24 °C"),
    "altitude": Asked("m", -450.0, 5000.0, "when something is boiled", "240 m"),
    "working hours": Asked("h", 0.5, 24.0, "when days of work are counted", "8 h a day, or 08:00 to 16:30"),
}


OFFERED: dict[str, dict[str, str]] = {
    "order": {"altitude": "altitude", "hours-a-day": "working hours"},
}
"""Fields that the house may answer, of questions that do not declare it: what was noted last is offered beside them."""


def note_condition(
    lab: Laboratory,
    what: str,
    text: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Note how the house is.

    Parameters
    ----------
    lab : Laboratory
    what : str
        One of ``HOUSE``.
    text : str
        As read off: "31 °C", "240 m", "08:00 to 16:30".
    by : str
    at : datetime or None
    request_key : str or None

    Raises
    ------
    UnknownName
        Nobody asks for that.
    BadEntry
        It is no such quantity, or lies where no laboratory works.
    """
    body = condition_noted(what, text)
    with lab.act("note condition", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done(
            (pen.enter(body),), t("Noted: {what} {as_written}.", what=what, as_written=body.as_written)
        )


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
                "The {what} lies between {low:g} and {high:g} {unit}",
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
        raise UnknownName.among(what[:40], "something a house is asked", HOUSE)
    return HOUSE[what]


def last_condition(lab: Laboratory, what: str) -> Condition | None:
    """How the house was when somebody last looked, None where nobody has."""
    with lab.look() as look:
        return condition_of(look, what)


def condition_of(look: Reader, what: str) -> Condition | None:
    """The same, from a book already open for reading; an altitude may stand where the book begins.

    Parameters
    ----------
    look : Reader
    what : str
        One of ``HOUSE``.
    """
    asked_of(what)
    noted = look.conditions(what)
    if noted:
        body = noted[-1].body
        return Condition(what, body.value, body.unit, body.as_written, noted[-1].done_at, noted[-1].entry_no)
    begun = look.book()
    if what == "altitude" and begun.altitude_m is not None:
        first = look.entry(1)
        return Condition(what, begun.altitude_m, "m", f"{begun.altitude_m:g} m", first.done_at, 1)
    return None


def offered(lab: Laboratory, question: str) -> dict[str, Condition]:
    """What the house can answer of a question, by field: the last value noted of each.

    Parameters
    ----------
    lab : Laboratory
    question : str
    """
    fields = declared(question).offers if question in VERBS else OFFERED.get(question, {})
    if not fields:
        return {}
    with lab.look() as look:
        found = {field: condition_of(look, what) for field, what in fields.items()}
    return {field: one for field, one in found.items() if one is not None}


def known_of_house(look: Reader) -> list[Known]:
    """What the house tells a plan: how far cooling water may warm, and how high it stands.

    Notes
    -----
    Tap water may leave at 35 °C, warm to the hand (common practice, no source); the rise is that less
    the tap's temperature. Water that is hardly colder is left to the plan's own assumption, and the cooling asks
    for ice.
    """
    found = []
    tap = condition_of(look, "tap temperature")
    if tap is not None and WARM_TO_THE_HAND_C - tap.value >= LEAST_RISE_K:
        found.append(
            Known(
                "tap water rise",
                "tap water/rise",
                WARM_TO_THE_HAND_C - tap.value,
                "K",
                origin="reading",
                because=f"from {tap.as_written}, entry {tap.entry_no}, to {WARM_TO_THE_HAND_C:g} °C",
                entry_no=tap.entry_no,
            )
        )
    height = condition_of(look, ALTITUDE)
    if height is not None:
        found.append(known_height(height.value, f"entry {height.entry_no}", entry_no=height.entry_no))
    return found


def hours_a_day(look: Reader) -> tuple[float, str]:
    """Working hours of a day as noted, or the usual ones, and where they come from [h].

    Parameters
    ----------
    look : Reader
    """
    noted = condition_of(look, "working hours")
    if noted is None:
        return USUAL_HOURS_PER_DAY, USUAL_HOURS
    return noted.value, f"noted as {noted.as_written}, entry {noted.entry_no}"


def known_height(altitude_m: float, because: str, *, entry_no: int | None = None) -> Known:
    """The height of the laboratory as a plan is told it.

    Parameters
    ----------
    altitude_m : float
        Height above the sea. [m]
    because : str
    entry_no : int or None
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


_READERS: dict[str, Callable[[str, str], float]] = {
    "room temperature": _temperature,
    "tap temperature": _temperature,
    "altitude": _height,
    "working hours": _hours,
}
