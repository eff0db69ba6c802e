"""The lots that come out of a batch: what each becomes, how long it keeps, and that a code stands for one thing."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from stillroom.errors import BadEntry, worded
from stillroom.records.lot_kinds import MADE_AS, LotKind, kinds_that
from stillroom.records.lots import Lot
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import is_called_water, known_ingredient
from stillroom.substances.reagents import last_day
from stillroom.substances.spirit_strengths import strength_in_name


def lot_made(procedure: Procedure, line: str, lot: str, batch: str, *, to_shelf: bool, on: str) -> Lot:
    """The lot that something coming out of a batch becomes.

    Parameters
    ----------
    line : str
        Name among what its steps give.
    to_shelf : bool
        False for what goes to the waste.
    on : str
        ISO time.
    """
    if not to_shelf:
        return Lot(lot, MADE_AS["waste"], line, line, supplier="made here", made_by=batch)
    if line == procedure.steps[-1].gives[0]:
        kind = kind_made_by(procedure)
        by_rules = kind.traits.spoils == "by its rules"
        keeps = (
            date.fromisoformat(on[:10]) + timedelta(days=procedure.keeps_days)
            if procedure.keeps_days
            else None
        )
        use_by = keeps.isoformat() if keeps else None
        if by_rules and procedure.keeps_days:
            use_by = last_day(on, procedure.keeps_days)
        name = procedure.title if by_rules else procedure.makes
        return Lot(lot, kind, procedure.makes, name, supplier="made here", use_by=use_by, made_by=batch)
    called = procedure.beside_called(line)
    return Lot(lot, MADE_AS["beside"], called, f"{line} of {batch}", supplier="made here", made_by=batch)


def is_plant_water(lot: Lot) -> bool:
    """Whether it is a hydrosol, a juice, an infusion: water of a plant, in which germs live and no spirit is."""
    listed = known_ingredient(lot.substance)
    plain = lot.kind.traits.by_volume == "water" or (listed is not None and listed.what_for == "water")
    return not plain and is_called_water(lot.substance)


def kind_made_by(procedure: Procedure) -> LotKind:
    """The kind of lot a procedure makes: spirit, where it only dilutes spirit."""
    if (
        procedure.purpose == "reagent"
        and strength_in_name(procedure.makes)
        and procedure.makes.startswith("spirit")
    ):
        return kinds_that(lambda one: one.spirit == "stock")[0]
    return MADE_AS[procedure.purpose]


def one_kind_of_thing(look: Reader, new: Lot, others: Sequence[Lot]) -> None:
    """Refuse the code of a scale, and one that stands for another kind of thing from the same batch.

    Raises
    ------
    BadEntry
    """
    other = next((one for one in others if one.code == new.code and one.kind != new.kind), None)
    if other is not None or new.code in {one.code for one in look.apparatus_list()}:
        held = worded("{code}, which is {what}", code=new.code, what=other.name if other else "a scale")
        raise BadEntry(
            worded("{name} becomes a lot with a code of its own", name=new.name),
            held,
            "Give it another code, or none",
            where="lot",
        )


def as_its_parts_allow(look: Reader, procedure: Procedure, lot: Lot, taken: Mapping[str, str]) -> Lot:
    """A reagent keeps no longer than what it was made from; spirit with recovered spirit in it is recovered spirit."""
    if procedure.purpose != "reagent":
        return lot
    lines = {one.name for one in procedure.lines}
    parts = [look.lot(code) for line, code in taken.items() if line in lines and code]
    if lot.kind.traits.spirit == "stock" and any(one.kind.traits.spirit == "recovered" for one in parts):
        return replace(lot, kind=MADE_AS["beside"])
    if lot.kind.traits.made_as != "reagent":
        return lot
    return replace(
        lot, use_by=min((one for one in (lot.use_by, *(of.use_by for of in parts)) if one), default=None)
    )
