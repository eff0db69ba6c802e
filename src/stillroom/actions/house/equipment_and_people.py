"""What a laboratory has: instruments named in a word, and people with their signature offered."""

import re
from dataclasses import replace
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.defining import add_apparatus, join_person
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.quantities.numbers import NUMBER
from stillroom.records.laboratory_from_yaml import UNITS, apparatus_from_fields
from stillroom.records.people import Person, signature_of
from stillroom.records.written_values import code as code_in
from stillroom.records.written_values import one_line

KINDS: dict[str, tuple[str, str, str]] = {
    "scales": ("scale", "SCALE", "mass"),
    "measures": ("measure", "MEAS", "volume"),
    "thermometers": ("thermometer", "THERM", "temperature"),
    "burettes": ("burette", "BUR", "volume"),
    "heaters": ("heater", "HEAT", "power"),
    "vessels": ("vessel", "VESSEL", "volume"),
}
"""Instruments by the word of their page: kind, beginning of the code, what they show."""
AS_THE_STEP = (
    "Taken as the readability: reading to one step alone is 0.29 of it, and a small scale wanders by about as much "
    "again. Common practice, no source; a certificate or your own repeats are better."
)
_STEP = re.compile(rf"({NUMBER}\s*(?:°C|[A-Za-zµ]+))\b(.*)", re.DOTALL)


def kind_of_instrument(page: str) -> tuple[str, str, str]:
    """Kind, beginning of the code and dimension by the word of a page.

    Raises
    ------
    UnknownName
        There is no such page.
    """
    if page not in KINDS:
        raise UnknownName.among(page, "a kind of instrument", KINDS)
    return KINDS[page]


def next_code(lab: Laboratory, page: str) -> str:
    """The next free code of a kind of instrument: SCALE-2."""
    begins = kind_of_instrument(page)[1]
    with lab.look() as look:
        taken = {one.code for one in look.apparatus_list()}
    return next(code for number in range(1, 10_000) if (code := f"{begins}-{number}") not in taken)


def add_instrument(
    lab: Laboratory,
    page: str,
    step: str,
    *,
    code: str = "",
    name: str = "",
    largest: str = "",
    uncertainty: str = "",
    material: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Put an instrument into use, from as little as "0.01 g scale".

    Parameters
    ----------
    lab : Laboratory
    page : str
        One of ``KINDS``.
    step : str
        The smallest step it shows, "0.01 g", also with words after it.
    code, name : str
        The next free code and the words of the step where they are left empty.
    largest : str
        The most it takes; "" where that is not said.
    uncertainty : str
        Standard uncertainty of one reading; the smallest step where it is left empty.
    material : str
        What a measuring vessel is made of; "" where that is not said.
    by : str
    at : datetime or None
    request_key : str or None

    Raises
    ------
    BadEntry
        A figure is none, not above zero, or not of this kind of instrument.
    """
    kind, _, dimension = kind_of_instrument(page)
    smallest = _without_words(step)
    found = apparatus_from_fields(
        {
            "code": code or next_code(lab, page),
            "kind": kind,
            "name": name or one_line(_called(step, kind), "smallest step"),
            "unit": UNITS[dimension],
            "smallest step": smallest,
            "standard uncertainty": uncertainty,
            "largest": largest,
            "made of": material,
        }
    )
    if found.largest is not None and found.largest < found.smallest_step:
        raise BadEntry(
            "The most an instrument takes is more than its readability",
            worded(
                "{largest:g} {unit} and {smallest_step:g} {unit}",
                largest=found.largest,
                unit=found.unit,
                smallest_step=found.smallest_step,
            ),
            "Check both",
            where="largest",
        )
    done = add_apparatus(lab, found, by=by, at=at, request_key=request_key)
    return replace(done, says=f"{done.says} {AS_THE_STEP}" if done.says and not uncertainty else done.says)


def add_person(
    lab: Laboratory,
    name: str,
    code: str = "",
    *,
    may_release: bool = False,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write that somebody signs from now on; the signature comes from the initials where it is left empty.

    Raises
    ------
    BadEntry
        Somebody else signs with that code.
    """
    full = one_line(name, "name")
    with lab.look() as look:
        taken = {one.code: one.name for one in look.people()}
        others = set(look.codes())
    known = next((one for one, whose in taken.items() if whose == full), "")
    signs = code_in(code, "code") if code else known or signature_of(full, taken)
    if signs in taken and taken[signs] != full:
        raise _taken(signs, taken[signs])
    if signs in others - set(taken):
        raise _taken(signs, "something else of this book")
    return join_person(lab, Person(signs, full, may_release), by=by, at=at, request_key=request_key)


def _taken(code: str, whose: str) -> BadEntry:
    return BadEntry(
        "Everybody signs with a code of their own",
        worded("{code}, which is {whose}", code=code, whose=whose),
        "Choose another",
        where="code",
    )


def _without_words(step: str) -> str:
    found = _STEP.match(step.strip())
    return found[1] if found else step


def _called(step: str, kind: str) -> str:
    found = _STEP.match(step.strip())
    words = found[2].strip(" ,") if found else ""
    return step.strip() if words else f"{step.strip()} {kind}"
