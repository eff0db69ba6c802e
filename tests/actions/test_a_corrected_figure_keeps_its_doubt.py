"""A figure that was said with its ± is put right with the ± that is said now."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.errors import BadEntry
from stillroom.records.entries import ResultReckoned
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot


def found(lab: Laboratory, text: str) -> int:
    """The entry of an assay of another laboratory."""
    receive_lot(lab, Lot("CAL-01", LotKind.PLANT, "calendula flower", "calendula"), "200.00 g", by="TO")
    return enter_outside_result(
        lab, "CAL-01", marker="total flavonoids", found=text, matter="dried", laboratory="Kura", certificate="7",
        method="UV", reckoned_as="hyperoside", by="TO",
    ).entries[0]  # fmt: skip


def last(lab: Laboratory) -> ResultReckoned:
    with lab.look() as look:
        return look.results("CAL-01")[-1].body


@pytest.mark.parametrize(
    ("text", "value", "u"),
    [
        ("0,62 % w/w ± 0,05 (k = 2)", 0.62, 0.025),
        ("6.2 mg/g ± 0.5 (k = 2)", 0.62, 0.025),
        ("0.62 ± 0.03 % (k = 1)", 0.62, 0.03),
    ],
)
def test_a_point_in_the_wrong_place_is_put_right_in_the_figure_and_in_its_doubt(
    lab: Laboratory, text: str, value: float, u: float
) -> None:
    correct_reading(lab, found(lab, "6.2 % w/w ± 0.5 (k = 2)"), text, why="a point", by="TO")
    body = last(lab)
    assert (body.value, body.standard_uncertainty) == (pytest.approx(value), pytest.approx(u))


def test_a_figure_said_with_its_doubt_is_not_put_right_without_one(lab: Laboratory) -> None:
    number = found(lab, "6.2 % w/w ± 0.5 (k = 2)")
    with pytest.raises(BadEntry, match="said with it again"):
        correct_reading(lab, number, "0.62 %", why="a point", by="TO")
    assert last(lab).value == pytest.approx(6.2)


def test_a_result_that_did_not_count_for_want_of_a_doubt_counts_once_it_is_said(lab: Laboratory) -> None:
    number = found(lab, "0.62 % w/w")
    assert not last(lab).counts
    correct_reading(lab, number, "0.62 % w/w ± 0.05 (k = 2)", why="the laboratory told it", by="TO")
    body = last(lab)
    assert body.counts
    assert body.standard_uncertainty == pytest.approx(0.025)
    assert "Kura" in body.because
