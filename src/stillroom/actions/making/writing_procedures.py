"""Procedures and formulas written in a form: what was typed, looked through field by field, and kept as a new version.

A form and a text are two ways of writing the same procedure. Nothing is guessed, with one kindness: what a formula
lists and no step takes goes into its one blending step.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.errors import StillroomError, UnknownName
from stillroom.products.formula import check
from stillroom.products.formula_check import remarks_about
from stillroom.records.formula_starters import DOSED_TICK, starting_formula
from stillroom.records.from_yaml import procedure_from_yaml, procedure_to_yaml
from stillroom.records.procedure_from_fields import fields_of, procedure_from_fields
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_recipes import taken_of
from stillroom.records.sections import Troubles
from stillroom.reference.cautions import caution
from stillroom.reference.tables import table
from stillroom.stream.kinds import KINDS, kind_does
from stillroom.stream.run import kind_of
from stillroom.substances.plants import refuse_prohibited
from stillroom.substances.solvents import cleanup_solvent
from stillroom.substances.written_names import ingredient_as_written


@dataclass(frozen=True, slots=True)
class KindOffered:
    """A kind of step as a form offers it: its sentence, its doors in order, the settings it asks for and may take."""

    name: str
    says: str
    inlets: tuple[str, ...]
    outlets: tuple[str, ...]
    settings: tuple[str, ...]
    cautions: tuple[str, ...]
    may: tuple[str, ...] = ()


def kinds_offered() -> tuple[KindOffered, ...]:
    """Every kind of step a procedure may be made of."""
    return tuple(
        KindOffered(one.name, one.says, one.inlets, one.outlets, one.settings, one.cautions, one.may)
        for one in KINDS.values()
    )


def procedure_typed(fields: Mapping[str, str]) -> Procedure:
    """The procedure of a form, looked through.

    Parameters
    ----------
    fields : mapping of str to str
        What was typed, by the name of the field.

    Raises
    ------
    BadEntry, UnknownName, NotAllowed
        Something cannot be taken; the field is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    procedure = procedure_from_fields(_all_taken(fields))
    look_through(procedure)
    return procedure


def procedure_of_text(text: str) -> Procedure:
    """The procedure of a text, looked through in the same way."""
    procedure = procedure_from_yaml(text, "text")
    look_through(procedure)
    return procedure


def look_through(procedure: Procedure) -> None:
    """Tell at its field whatever a procedure cannot be worked by.

    Raises
    ------
    BadEntry, UnknownName, NotAllowed
        An ingredient, a caution or a kind of step is not known, a formula does not sum, or a plant or solvent may not
        be used.
    """
    troubles = Troubles()
    for at, line in enumerate(procedure.lines, start=1):
        where = f"line-{at}-substance"
        try:
            refuse_prohibited(line.substance)
            if (
                line.substance in {one.key for one in table("solvents").rows}
                and procedure.purpose == "extraction"
            ):
                cleanup_solvent(line.substance)
            if procedure.purpose == "formula" and line.role != "dosed":
                ingredient_as_written(line.substance, line.label_name)
            if procedure.purpose == "reagent" and line.amount:
                taken_of(line)
        except StillroomError as trouble:
            troubles.add(trouble.at(where))
    if procedure.purpose == "formula" and not len(troubles):
        try:
            check(procedure.lines)
        except StillroomError as trouble:
            troubles.add(trouble.at("lines"))
    for at, step in enumerate(procedure.steps, start=1):
        try:
            kind_of(step)
        except StillroomError as trouble:
            troubles.add(trouble.at(f"step-{at}-kind"))
        for key in step.cautions:
            try:
                caution(key)
            except UnknownName as trouble:
                troubles.add(trouble.at(f"step-{at}-cautions"))
    troubles.tell()


def write_typed(lab: Laboratory, fields: Mapping[str, str], **sign: Unpack[Signed]) -> Done:
    """Write the procedure of a form into the book."""
    return write_procedure(lab, procedure_typed(fields), **sign)


def write_text(lab: Laboratory, text: str, *, code: str = "", **sign: Unpack[Signed]) -> Done:
    """Write the procedure of a text into the book.

    Parameters
    ----------
    code : str
        The code it must have, where a version of a known procedure is written; "" for any.

    Raises
    ------
    UnknownName
        The text is of another procedure.
    """
    procedure = procedure_of_text(text)
    if code and procedure.code != code:
        raise UnknownName.among(procedure.code, "the procedure of this page", (code,)).at("text")
    return write_procedure(lab, procedure, **sign)


def fields_to_begin(purpose: str, base: str = "water") -> dict[str, str]:
    """The form of a new procedure: a formula begins as a plain base, the rest empty.

    Parameters
    ----------
    purpose : str
        "formula", "extraction" or "reagent".
    base : str
        What a formula begins from.
    """
    if purpose != "formula":
        return {"version": "1", "purpose": purpose, "keeps": "365 d"}
    kept = fields_of(starting_formula(base, code="formula", title="", extract="extract"))
    return {name: value for name, value in kept.items() if name not in ("code", "title", "makes")}


def fields_to_alter(lab: Laboratory, code: str) -> dict[str, str]:
    """The form of the next version, filled with the last one.

    Raises
    ------
    UnknownName
        There is no such procedure.
    """
    with lab.look() as look:
        last = look.procedure(code)
    return fields_of(replace(last, version=last.version + 1))


def text_of_fields(fields: Mapping[str, str]) -> str:
    """What a form holds, as the text of its file.

    Raises
    ------
    BadEntry
        It cannot be read yet.
    """
    return procedure_to_yaml(procedure_from_fields(_all_taken(fields)))


def fields_of_text(text: str) -> dict[str, str]:
    """What a text holds, as the fields of its form.

    Raises
    ------
    BadEntry
        It cannot be read yet; the line is named.
    """
    return fields_of(procedure_from_yaml(text, "text"))


def remarks(procedure: Procedure) -> tuple[str, ...]:
    """What is to be thought of before a formula is sold; nothing for what is no formula."""
    return remarks_about(procedure) if procedure.purpose == "formula" else ()


def _all_taken(fields: Mapping[str, str]) -> Mapping[str, str]:
    """The same, with the one blending step of a formula taking each of its lines, and none that is no longer there."""
    blending = [
        name for name, value in fields.items() if name.endswith("-kind") and kind_does(value, "blends")
    ]
    if fields.get("purpose") != "formula" or len(blending) != 1:
        return fields
    begins = blending[0].removesuffix("kind")
    taken, given = _named(fields, "step-", "-takes"), _named(fields, "step-", "-gives")
    listed = _named(fields, "line-", "-name")
    idle = [one for one in listed if one not in taken]
    more = {}
    for part in ("takes", "weighs"):
        before = _named({part: fields.get(f"{begins}{part}", "")}, "", part)
        there = [one for one in before if one in listed]
        comes = [one for one in before if one in given and one not in listed]
        more[f"{begins}{part}"] = "\n".join([*there, *(one for one in idle if one not in there), *comes])
    roles = {value for name, value in fields.items() if name.startswith("line-") and name.endswith("-role")}
    if "dosed" not in roles:
        ticks = fields.get(f"{begins}ticks", "").splitlines()
        more[f"{begins}ticks"] = "\n".join(one for one in ticks if one.strip() != DOSED_TICK)
    return {**fields, **more}


def _named(fields: Mapping[str, str], begins: str, ends: str) -> list[str]:
    """What the fields of one kind name, one on each line, as it is read."""
    return [
        " ".join(one.split())
        for name, value in fields.items()
        if name.startswith(begins) and name.endswith(ends)
        for one in value.splitlines()
        if one.strip()
    ]
