"""What a step ran in is noted with it, put right like the rest, and tells runs apart on the page of a plant."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.house.equipment_and_people import add_instrument
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders import remembering
from stillroom.actions.orders.requesting import request_for
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, UnknownName
from stillroom.pages.batches import show_batch
from stillroom.pages.plants import show_plant
from tests.practice import later, row_of


def percolators(lab: Laboratory, number: int) -> None:
    for _ in range(number):
        add_instrument(lab, "percolators", "2000 mL", by="MA", at=later(0))


def percolated(lab: Laboratory) -> int:
    with lab.look() as look:
        return next(one.entry_no for one in look.steps("E1") if one.body.step == "percolate")


def ran_in(lab: Laboratory, batch: str) -> str:
    with lab.look() as look:
        found = remembering._finished(look, batch)
    assert found is not None
    return found.belongs.ran_in("percolate")


def test_where_there_is_one_of_a_kind_it_is_the_one_and_of_two_nobody_knows_which(lab: Laboratory) -> None:
    assert ran_in(lab, "E1") == ""
    percolators(lab, 1)
    assert ran_in(lab, "E1") == "PERC-1"
    percolators(lab, 1)
    assert ran_in(lab, "E1") == ""


def test_it_is_put_right_with_the_step_and_shown_with_its_batch_and_its_plant(lab: Laboratory) -> None:
    percolators(lab, 2)
    put_right(lab, percolated(lab), {"apparatus": "PERC-2"}, why="it stood beside", by="TO", at=later(1))

    assert ran_in(lab, "E1") == "PERC-2"
    assert row_of(show_plant(lab, "cinchona-bark"), "Batch", "E1")["In"] == "PERC-2"
    assert "in PERC-2" in page_text(show_batch(lab, "E1"))


@pytest.mark.parametrize(
    ("said", "error", "words"),
    [("SCALE-2", BadEntry, "Choose of percolator"), ("PERC-1, PERC-2", BadEntry, "one of a kind"),
     ("PERC-7", UnknownName, "PERC")],
)  # fmt: skip
def test_a_step_runs_in_one_of_what_it_can_run_in(
    lab: Laboratory, said: str, error: type[Exception], words: str
) -> None:
    percolators(lab, 2)
    with pytest.raises(error, match=words):
        put_right(lab, percolated(lab), {"apparatus": said}, why="it stood beside", by="TO", at=later(1))


def test_a_step_is_done_in_one_and_the_next_plan_takes_the_one_there_is(lab: Laboratory) -> None:
    add_instrument(lab, "heaters", "10 W", largest="500 W", by="MA", at=later(0))
    begin_batch(lab, "E9", "bark-extract", "100 g", by="TO", at=later(0))
    with lab.look() as look:
        steps = look.procedure("bark-extract").steps
        coming = request_for(look, "ORD-1")
    drives = next(one for one in steps if one.kind == "drive off spirit")
    in_hand = step_in_hand(lab, "E9", drives.name)
    assert in_hand is not None
    assert [(one.kind, one.taken) for one in in_hand.runs_in] == [("heater", "HEAT-1")]
    weighed = [Weighed(one.line, "50.0 g", "", "") for one in in_hand.lines]
    done = do_step(
        lab,
        "E9",
        drives.name,
        weighed,
        ticks=drives.ticks,
        note="tried",
        ran_in=["HEAT-1"],
        by="TO",
        at=later(1),
    )
    with lab.look() as look:
        body = look.entry(done.entries[0]).body
        assert ("drive off spirit", "HEAT-1") in remembering.ran_in_what(look, coming.extraction, ())

    assert body.ran_in == ("HEAT-1",)
