"""What may not be used is refused when its procedure is written, and at the order, before anything is bought."""

from dataclasses import replace

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.orders.ordering import take_order
from stillroom.errors import NotAllowed, UnknownName
from stillroom.records.entries import ProcedureWritten
from stillroom.records.procedures import Procedure


def with_substance(lab: Laboratory, line: str, substance: str) -> Procedure:
    with lab.look() as look:
        found = look.procedure("bark-extract")
    lines = tuple(replace(one, substance=substance) if one.name == line else one for one in found.lines)
    return replace(found, version=2, lines=lines)


@pytest.mark.parametrize(
    ("line", "substance"),
    [("bark", "aconite root"), ("ammonia", "aconite root"), ("ethyl acetate", "chloroform")],
)
def test_a_prohibited_plant_or_solvent_is_refused_where_written_and_where_ordered(
    lab: Laboratory, line: str, substance: str
) -> None:
    procedure = with_substance(lab, line, substance)
    with lab.look() as look:
        order = replace(look.order("ORD-1"), code="ORD-9")

    with pytest.raises(NotAllowed, match=r"\w"):
        write_procedure(lab, procedure, by="MA")

    with lab.act("written by an older version", {}, by="MA") as pen:
        pen.enter(ProcedureWritten(procedure))

    with pytest.raises(NotAllowed, match=r"\w"):
        take_order(lab, order, by="MA")
    with lab.look() as look:
        assert "ORD-9" not in {one.code for one in look.orders()}


def test_a_caution_that_nobody_wrote_is_refused_with_the_nearest(lab: Laboratory) -> None:
    procedure = with_substance(lab, "bark", "cinchona bark")
    first = replace(procedure.steps[0], cautions=("flamable-vapour",))

    with pytest.raises(UnknownName, match="Did you mean 'flammable-vapour'"):
        write_procedure(lab, replace(procedure, steps=(first, *procedure.steps[1:])), by="MA")
