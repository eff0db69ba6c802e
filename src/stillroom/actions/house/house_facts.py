"""How the house is: room and tap temperature, altitude, working hours. Asked when first needed, the last one offered.

Nothing is ever filled in: where nobody noted a value there is none. What was noted last stands, with the time it was
noted, so that a person can see whether it still holds.
"""

from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.planning.house_said import (
    USUAL_HOURS,
    USUAL_HOURS_PER_DAY,
    asked_of,
    condition_noted,
    known_height,
)
from stillroom.planning.plan_inputs import ALTITUDE, Known
from stillroom.questions import VERBS, declared
from stillroom.records.conditions import Condition
from stillroom.records.entry_json import body_to_json
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

WARM_TO_THE_HAND_C = 35.0
"""Cooling water leaves at this at most: common practice, no source. [°C]"""
LEAST_RISE_K = 2.0


def note_condition(lab: Laboratory, what: str, text: str, **sign: Unpack[Signed]) -> Done:
    """Note how the house is.

    Parameters
    ----------
    what : str
        One of ``HOUSE``.
    text : str
        As read off: "31 °C", "240 m", "08:00 to 16:30".

    Raises
    ------
    UnknownName
        Nobody asks for that.
    BadEntry
        It is no such quantity, or lies where no laboratory works.
    """
    body = condition_noted(what, text)
    with lab.act("note condition", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done(
            (pen.enter(body),), t("Noted: {what} {as_written}.", what=what, as_written=body.as_written)
        )


def last_condition(lab: Laboratory, what: str) -> Condition | None:
    """How the house was when somebody last looked, None where nobody has."""
    with lab.look() as look:
        return condition_of(look, what)


def condition_of(look: Reader, what: str) -> Condition | None:
    """The same, from a book already open for reading; an altitude may stand where the book begins.

    Parameters
    ----------
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
    """What the house can answer of a question, by field: the last value noted of each."""
    fields = declared(question).offers if question in VERBS else {}
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
    """Working hours of a day as noted, or the usual ones, and where they come from [h]."""
    noted = condition_of(look, "working hours")
    if noted is None:
        return USUAL_HOURS_PER_DAY, USUAL_HOURS
    return noted.value, f"noted as {noted.as_written}, entry {noted.entry_no}"
