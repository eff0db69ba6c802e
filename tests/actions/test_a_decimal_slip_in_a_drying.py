"""A drying of more than there ever was, and of too little for the scale."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.lot_waits import waits_for
from stillroom.actions.testing.drying import weigh_drying
from stillroom.actions.testing.identity import decide_identity, identity_stands
from stillroom.answers.drying import allowed_difference_mg, smallest_sample_g
from stillroom.errors import BadEntry
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot


def came(lab: Laboratory, code: str) -> None:
    receive_lot(lab, Lot(code, LotKind.PLANT, "calendula flower", "calendula"), "200.00 g", by="TO")


def dried(lab: Laboratory, with_sample: str) -> tuple[float, bool, str]:
    came(lab, "CAL-01")
    weigh_drying(
        lab, "CAL-01", dish="31.42 g", with_sample=with_sample, dried=("40.61 g", "40.61 g"),
        apparatus="SCALE-1", by="TO",
    )  # fmt: skip
    return last(lab)


def last(lab: Laboratory) -> tuple[float, bool, str]:
    with lab.look() as look:
        body = look.results("CAL-01", "loss on drying")[-1].body
    return body.value, body.counts, body.because


def missing(lab: Laboratory) -> list[str]:
    with lab.look() as look:
        return [one.partition(":")[0] for one in waits_for(look, "CAL-01") if "without it" in one]


def test_a_sample_heavier_than_its_lot_is_kept_and_does_not_count_until_it_is_corrected(
    lab: Laboratory,
) -> None:
    _, counts, because = dried(lab, "416.2 g")
    assert not counts
    assert missing(lab) == ["Loss on drying", "Assay"]  # what does not count is still waited for
    assert "384.8 g" in because
    assert "200 g" in because
    with lab.look() as look:
        wrong = look.readings("CAL-01", series="drying/1")[1].entry_no
    correct_reading(lab, wrong, "41.62 g", why="a point in the wrong place", by="TO")
    loss, _, because = last(lab)
    # 41.62 less 31.42 is 10.20 g, and 1.01 g of it was lost.
    assert loss == pytest.approx(100 * 1.01 / 10.20, abs=1e-9)
    assert "ever came" not in because


@pytest.mark.parametrize("step_g", [0.0001, 0.001, 0.002, 0.005, 0.01, 0.1, 1.0])
def test_the_sample_that_is_asked_for_is_one_the_scale_can_judge(step_g: float) -> None:
    needed = smallest_sample_g(step_g)
    assert allowed_difference_mg(needed) == pytest.approx(1000 * step_g)
    assert allowed_difference_mg(0.9 * needed) <= 1000 * step_g


def test_an_identity_that_compares_nothing_is_asked_for_again_where_the_lot_is_read(lab: Laboratory) -> None:
    came(lab, "CAL-02")
    decide_identity(lab, "CAL-02", accepted=True, evidence="as CAL-01", by="TO")
    with lab.look() as look:
        assert not identity_stands(look, "CAL-02")
    with lab.look() as look:
        assert any("Identity" in one for one in waits_for(look, "CAL-02"))
    decide_identity(lab, "CAL-02", accepted=True, evidence="compared with a herbarium sheet", by="TO")
    with lab.look() as look:
        assert identity_stands(look, "CAL-02")


def test_portions_that_differ_by_more_than_the_sample_are_asked_about(lab: Laboratory) -> None:
    came(lab, "CAL-01")
    with pytest.raises(BadEntry, match="10 % of the sample at most") as caught:
        weigh_drying(
            lab, "CAL-01", dish="31.42 g", with_sample="41.62 g", dried=("40.61 g", "40.61 g"), method_spread="500 %",
            apparatus="SCALE-1", by="TO",
        )  # fmt: skip
    assert caught.value.where == "method-spread"
