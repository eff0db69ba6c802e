"""What a laboratory has: instruments named in a word, and people with their signature offered."""

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry, NotAllowed, Phrase, UnknownName, worded
from stillroom.quantities.numbers import NUMBER
from stillroom.records.entries import ApparatusAdded, PersonJoined
from stillroom.records.entry_json import body_to_json
from stillroom.records.laboratory_from_yaml import UNITS, apparatus_from_fields
from stillroom.records.people import GLASS, Apparatus, Person, signature_of
from stillroom.records.written_values import code as code_in
from stillroom.records.written_values import one_line
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

KINDS: dict[str, tuple[str, str, str]] = {
    "scales": ("scale", "SCALE", "mass"),
    "measures": ("measure", "MEAS", "volume"),
    "thermometers": ("thermometer", "THERM", "temperature"),
    "burettes": ("burette", "BUR", "volume"),
    "heaters": ("heater", "HEAT", "power"),
    "vessels": ("vessel", "VESSEL", "volume"),
    "extractors": ("extractor", "SOX", "volume"),
    "thimbles": ("thimble", "THIMBLE", "volume"),
    "flasks": ("flask", "BOIL", "volume"),
    "condensers": ("condenser", "COND", "power"),
    "percolators": ("percolator", "PERC", "volume"),
    "stills": ("still", "STILL", "volume"),
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
    **sign: Unpack[Signed],
) -> Done:
    """Put an instrument into use, from as little as "0.01 g scale".

    Parameters
    ----------
    page : str
        One of ``KINDS``.
    step : str
        The smallest step it shows, "0.01 g", also with words after it; of glass how much it holds or takes.
    code, name : str
        The next free code and the words of the step where they are left empty.
    largest : str
        The most it takes; "" where that is not said.
    uncertainty : str
        Standard uncertainty of one reading; the smallest step where it is left empty.
    material : str
        What a measuring vessel is made of; "" where that is not said.

    Raises
    ------
    BadEntry
        A figure is none, not above zero, or not of this kind of instrument.
    """
    kind, _, dimension = kind_of_instrument(page)
    smallest, shows = _without_words(step), kind not in GLASS
    found = apparatus_from_fields(
        {
            "code": code or next_code(lab, page),
            "kind": kind,
            "name": name or one_line(_called(step, kind), "smallest step"),
            "unit": UNITS[dimension],
            "smallest step": smallest if shows else "",
            "standard uncertainty": uncertainty if shows else "",
            "largest": largest if shows else smallest,
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
    done = add_apparatus(lab, found, is_new=True, **sign)
    assumed = done.says and shows and not uncertainty
    return replace(done, says=f"{done.says} {AS_THE_STEP}" if assumed else done.says)


def add_person(
    lab: Laboratory, name: str, code: str = "", *, may_release: bool = False, **sign: Unpack[Signed]
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
    return join_person(lab, Person(signs, full, may_release), **sign)


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


def join_person(lab: Laboratory, person: Person, **sign: Unpack[Signed]) -> Done:
    """Write a person into the book.

    Raises
    ------
    BadEntry
        Somebody of the book has that name.
    NotAllowed
        Somebody who may not release gives another the right to release.
    """
    body = PersonJoined(person)
    with lab.act("join person", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        refuse_a_name_twice(pen.look.people(), person)
        refuse_a_right_not_held(pen, person)
        return Done(
            (pen.enter(body),),
            t("{person_name} signs as {person_code}.", person_name=person.name, person_code=person.code),
        )


def refuse_a_right_not_held(pen: BookWriter, person: Person) -> None:
    """Refuse that somebody who may not release gives another the right to release, or gives it beside the duties.

    Parameters
    ----------
    pen : BookWriter
        Of the person who signs.
    person : Person
        As the book will have them. [record]

    Raises
    ------
    NotAllowed
        The person who signs has no such right, or what the person may do was given with the duties.
    """
    given = pen.look.duties().get(person.code)
    if given is not None and given.checks != person.may_release:
        raise NotAllowed(
            "Who was given duties releases as a checker",
            worded("{person}, whose duties say otherwise", person=person.code),
            "Give the duties again: Laboratory, People",
        )
    if person.may_release and not pen.look.person(pen.by).may_release:
        raise NotAllowed(
            "Only a person who may release gives that right to another", pen.by, "Ask the responsible person"
        )


def refuse_a_name_twice(people: Iterable[Person], person: Person) -> None:
    """Refuse a name that another person of the book has: a signature names one person.

    Parameters
    ----------
    people : iterable of Person
        Of the book. [records]
    person : Person
        Joins, or is called otherwise from now on. [record]

    Raises
    ------
    BadEntry
        Another has that name.
    """
    names = {" ".join(one.name.casefold().split()): one.code for one in people if one.code != person.code}
    code = names.get(" ".join(person.name.casefold().split()))
    if code:
        raise BadEntry(
            "Two people of one book have two names",
            worded("{person_name}, who signs as {code}", person_name=person.name, code=code),
            "Sign with that code; or add a second name or a place if it is somebody else",
            where="name",
        )


def add_apparatus(
    lab: Laboratory, apparatus: Apparatus, *, is_new: bool = False, **sign: Unpack[Signed]
) -> Done:
    """Write a scale, measure or thermometer into the book.

    Parameters
    ----------
    is_new : bool
        Whether its code must be its own; else it stands as it was written last.

    Raises
    ------
    BadEntry
        Its smallest step or uncertainty is not above zero, or its code is that of another.
    """
    shows_nothing = apparatus.is_glass and apparatus.largest
    if (apparatus.smallest_step <= 0 and not shows_nothing) or apparatus.standard_uncertainty < 0:
        raise BadEntry(
            "An apparatus must show steps above zero, with an uncertainty of zero or more",
            worded(
                "step {smallest_step}, uncertainty {standard_uncertainty}",
                smallest_step=apparatus.smallest_step,
                standard_uncertainty=apparatus.standard_uncertainty,
            ),
            worded("Write the smallest difference {apparatus_code} shows", apparatus_code=apparatus.code),
        )
    body = ApparatusAdded(apparatus)
    with lab.act("add apparatus", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if is_new:
            _refuse_a_code_twice(pen.look, apparatus)
        return Done((pen.enter(body),), t("{apparatus_code} is in use.", apparatus_code=apparatus.code))


def _refuse_a_code_twice(look: Reader, apparatus: Apparatus) -> None:
    """What was read on one instrument must not become a reading of another."""
    standing = {one.code: one for one in look.apparatus_list()}.get(apparatus.code)
    if (standing is None and not look.knows(apparatus.code)) or standing == apparatus:
        return
    raise BadEntry(
        "Every instrument has a code of its own",
        worded(
            "{code}, which is {whose}",
            code=apparatus.code,
            whose=standing.name if standing else Phrase("something else of this book"),
        ),
        "Choose another; one that was entered wrongly is corrected at its entry",
        where="code",
    )
