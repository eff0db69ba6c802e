"""What is set up once: people, scales, procedures."""

from collections.abc import Iterable
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.planning.lawful import refuse_plants_and_solvents
from stillroom.products.formula import check
from stillroom.products.formula_check import lines_about, spoken
from stillroom.records.entries import ApparatusAdded, PersonJoined, ProcedureWritten
from stillroom.records.entry_json import body_to_json
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Procedure
from stillroom.reference.cautions import caution
from stillroom.store.book_writer import BookWriter
from stillroom.stream.run import kind_of
from stillroom.texts.catalogue import t


def join_person(
    lab: Laboratory, person: Person, *, by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """Write a person into the book.

    Raises
    ------
    BadEntry
        Somebody of the book has that name.
    NotAllowed
        Somebody who may not release gives another the right to release.
    """
    body = PersonJoined(person)
    with lab.act("join person", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        refuse_a_name_twice(pen.look.people(), person)
        refuse_a_right_not_held(pen, person)
        return Done(
            (pen.enter(body),),
            t("{person_name} signs as {person_code}.", person_name=person.name, person_code=person.code),
        )


def refuse_a_right_not_held(pen: BookWriter, person: Person) -> None:
    """Refuse that somebody who may not release gives another the right to release.

    Parameters
    ----------
    pen : BookWriter
        Of the person who signs.
    person : Person
        As the book will have them. [record]

    Raises
    ------
    NotAllowed
        The person who signs has no such right.
    """
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
    lab: Laboratory,
    apparatus: Apparatus,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write a scale, measure or thermometer into the book.

    Raises
    ------
    BadEntry
        Its smallest step or uncertainty is not above zero.
    """
    if apparatus.smallest_step <= 0 or apparatus.standard_uncertainty < 0:
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
    with lab.act("add apparatus", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done((pen.enter(body),), t("{apparatus_code} is in use.", apparatus_code=apparatus.code))


def write_procedure(
    lab: Laboratory,
    procedure: Procedure,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write a procedure, or a new version of one.

    Raises
    ------
    BadEntry
        The formula does not sum to 100, a step is of no known kind, or the version was used before.
    UnknownName
        An ingredient is spelt almost like a known one, or a caution is not in the reference; the nearest names are
        offered.
    NotAllowed
        It uses a plant or a solvent that may not be used.
    """
    if procedure.purpose == "formula":
        check(procedure.lines)
    for step in procedure.steps:
        kind_of(step)
        for key in step.cautions:
            caution(key)
    if procedure.purpose == "extraction":
        refuse_plants_and_solvents(procedure)
    body = ProcedureWritten(procedure)
    with lab.act("write procedure", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        earlier = [
            one.body.procedure.version
            for one in pen.look.entries(kind="procedure written", subject=procedure.code)
            if isinstance(one.body, ProcedureWritten)
        ]
        if procedure.version != max(earlier, default=0) + 1:
            raise BadEntry(
                worded(
                    "The next version of {procedure_code} is {earlier}",
                    procedure_code=procedure.code,
                    earlier=max(earlier, default=0) + 1,
                ),
                str(procedure.version),
            )
        said = t("{title}, version {version}, may be used.", title=procedure.title, version=procedure.version)
        return Done((pen.enter(body),), _with_what_stands_open(procedure, said))


def _with_what_stands_open(procedure: Procedure, said: str) -> str:
    """What was written, with every line that stops a release or needs a name before one."""
    lines = lines_about(procedure) if procedure.purpose == "formula" else ()
    stops = [spoken(one) for one in lines if one.stops]
    asks = [spoken(one) for one in lines if one.needs_a_name]
    if stops:
        said = t(
            "{title}, version {version}, is kept; what is made by it cannot be released as it stands.",
            title=procedure.title,
            version=procedure.version,
        )
    elif asks:
        said = t(
            "{title}, version {version}, is kept; before a release somebody decides by name.",
            title=procedure.title,
            version=procedure.version,
        )
    return "\n".join((said, *stops, *asks))
