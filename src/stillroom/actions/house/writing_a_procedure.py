"""A version of a procedure is written into the book."""

from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry, worded
from stillroom.planning.lawful import refuse_plants_and_solvents
from stillroom.products.formula import check
from stillroom.products.formula_check import lines_about, spoken
from stillroom.records.entries import ProcedureWritten
from stillroom.records.entry_json import body_to_json
from stillroom.records.procedures import Procedure
from stillroom.reference.cautions import caution
from stillroom.stream.run import kind_of
from stillroom.texts.catalogue import t


def write_procedure(lab: Laboratory, procedure: Procedure, **sign: Unpack[Signed]) -> Done:
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
    with lab.act("write procedure", body_to_json(body), **sign) as pen:
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
