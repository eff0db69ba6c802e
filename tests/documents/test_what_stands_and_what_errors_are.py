"""What stands weighed in a batch is not called lost, and an error of zero is told by how far it may go."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.answers.spirit_strength import assumed_doubt, doubt
from stillroom.documents.as_text import page_text
from stillroom.documents.certificate import with_decision
from stillroom.documents.numbers_shown import leaf_text
from stillroom.pages.batches import show_batch
from stillroom.products.check_lines import CheckLine
from stillroom.products.release_record import Decided
from tests.practice import extracted, lab, told

__all__ = ["extracted", "lab", "told"]
TICKS = ("No flame and no open element in the room", "An acidified drop gives no precipitate beside a blank")


def account(lab: Laboratory, batch: str) -> dict[str, str]:
    text = page_text(show_batch(lab, batch))
    names = ("Went in", "Stands weighed in the batch", "Came out, weighed", "Not weighed, or lost")
    return {
        name: line.removeprefix(name).strip()
        for line in text.splitlines()
        for name in names
        if line.startswith(name)
    }


def test_what_was_weighed_and_waits_for_the_next_step_is_not_lost(lab: Laboratory) -> None:
    begin_batch(lab, "E9", "bark-extract", "100 g", by="TO")
    weighed = [
        Weighed("stock spirit", "1178 g", "SPI-01", "SCALE-1"),
        Weighed("water", "594 g", "WAT-01", "SCALE-1"),
    ]
    do_step(lab, "E9", "mix spirit", weighed, ticks=TICKS, temperature="20 °C", by="TO")
    bark = [Weighed("bark", "100.00 g", "CIN-01", "SCALE-2")]
    do_step(lab, "E9", "moisten", bark, ticks=TICKS, by="TO")
    percolated = [
        Weighed("water", "120 g", "WAT-01", "SCALE-1"),
        Weighed("percolate", "1775 g", "", "SCALE-1"),
        Weighed("marc", "200 g", "", "SCALE-1"),
    ]
    do_step(lab, "E9", "percolate", percolated, ticks=TICKS, by="TO", note="dripped for a night")
    found = account(lab, "E9")

    # 1178 + 594 + 100 + 120 in; 200 g of marc left; 1775 g of percolate stand there; 17 g are missing.
    assert found["Went in"] == "1992.00 g"
    assert found["Came out, weighed"] == "200.00 g"
    assert found["Stands weighed in the batch"] == "1775.00 g"
    assert found["Not weighed, or lost"].startswith("17.00 g (0.85 %")


def test_when_all_is_out_nothing_stands(told: Laboratory) -> None:
    assert "Stands weighed in the batch" not in account(told, "E1")


@pytest.mark.parametrize(
    ("leaf", "says"),
    [
        (assumed_doubt("label"), "error of the label ± 0.3 %: the law of labels"),
        (assumed_doubt("alcoholometer"), "error of the alcoholometer ± 0.5 %"),
        (doubt("error of the label", 0.4, "%", "as asked", said=True, k=2.0), "± 0.4 (k = 2) %: as asked"),
    ],
)
def test_an_error_of_zero_is_told_by_how_far_it_may_go(leaf, says: str) -> None:
    assert says in leaf_text(leaf).text


@pytest.mark.parametrize("says", ["nobody knows its limits", "nobody knows its limits."])
def test_a_line_ends_in_one_full_stop_before_its_decision(says: str) -> None:
    line = CheckLine("unknown/x", "x", "undecided", says)
    decided = Decided("BN", "Ida Berg", "2026-11-30T09:00", says, "looked up")

    assert with_decision(line, decided) == "nobody knows its limits. Decided by Ida Berg: looked up"
