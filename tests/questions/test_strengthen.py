"""Extract lots blended to a strength: masses that close, doubt that is carried, what each kind of extract allows."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.asking.question import answer
from stillroom.documents.as_text import page_text
from stillroom.errors import NotAllowed, NotEnough, OutsideModel, StillroomError
from stillroom.evidence.answer import rerun
from stillroom.questions import declared
from stillroom.science.extraction.adjusting import blend_masses, most_of_blend_g, total_drug_extract_ratio

TWO = "E1 36.2 ± 0.8 % 120 g; E2 41.0 ± 1.0 % 60 g"


def asked(lots: str = TWO, **fields: str):
    return answer(declared("strengthen"), {"lots": lots, **fields}, date(2026, 11, 29))


lots = st.lists(st.tuples(st.floats(1.0, 60.0), st.floats(1.0, 500.0)), min_size=2, max_size=6)


@given(lots=lots, between=st.floats(0.05, 0.95), part=st.floats(0.05, 0.99))
def test_a_blend_closes_in_mass_and_marker_and_takes_no_more_than_there_is(
    lots: list[tuple[float, float]], between: float, part: float
) -> None:
    strong, held = [one for one, _ in lots], [one for _, one in lots]
    if max(strong) - min(strong) < 0.5:
        return
    wanted = min(strong) + between * (max(strong) - min(strong))
    most_g = most_of_blend_g(strong, held, wanted)

    masses = blend_masses(strong, held, wanted, part * most_g)

    assert masses.sum() == pytest.approx(part * most_g, rel=1e-6)
    assert masses @ np.array(strong) == pytest.approx(part * most_g * wanted, rel=1e-6)
    assert all(-1e-9 <= mass <= one + 1e-9 for mass, one in zip(masses, held, strict=True))
    with pytest.raises(NotEnough, match="at most"):
        blend_masses(strong, held, wanted, 1.01 * most_g + 1e-3)


def test_two_lots_are_parted_by_the_cross_of_their_strengths() -> None:
    # m_hi = M (a_t - a_lo) / (a_hi - a_lo), the alligation of every handbook of pharmacy; from-memory
    low, high = blend_masses([36.2, 41.0], [120.0, 60.0], 38.0, 100.0)

    assert high == pytest.approx(100.0 * (38.0 - 36.2) / (41.0 - 36.2))
    assert low == pytest.approx(100.0 - high)


def test_the_ratio_in_total_counts_the_carrier() -> None:
    # DER total = DER native (1 - e); from-memory
    assert total_drug_extract_ratio(6.0, 0.25) == pytest.approx(4.5)


def test_the_first_lot_is_used_as_far_as_the_strength_allows() -> None:
    masses = blend_masses([40.0, 30.0, 30.0], [100.0, 100.0, 100.0], 35.0, 100.0)

    assert masses == pytest.approx([50.0, 50.0, 0.0])


def test_the_doubt_of_the_blend_is_that_of_its_lots_by_their_masses() -> None:
    found = asked(want="38 %", amount="100 g").found
    low, high = (one.value / 100.0 for one in found.weigh)

    assert found.strength.answer.value == pytest.approx(38.0)
    assert found.strength.answer.standard_uncertainty == pytest.approx(
        np.hypot(0.4 * low, 0.5 * high), rel=1e-6
    )
    assert all(rerun(one) == one.value for one in found.weigh)


def test_strengths_that_say_no_doubt_are_off_together_and_that_is_told() -> None:
    # one method found both: what it is off, it is off in each, so that blending makes nothing surer
    found = asked("E1 36.2 % 120 g; E2 41.0 % 60 g", want="38 %")

    assert found.found.strength.answer.standard_uncertainty == pytest.approx(0.03 * 38.0, rel=1e-6)
    words = " ".join(page_text(found.page).split())
    assert "How sure the strength of E1, E2 is was not said: 3 % of it" in words
    assert "was not said" not in " ".join(page_text(asked(want="38 %").page).split())


@pytest.mark.parametrize("written", ["5.2", "5,2", "5.2:1", "5.2 : 1", "5,2:1"])
def test_a_drug_extract_ratio_is_taken_as_the_trade_writes_it(written: str) -> None:
    assert asked(want="38 %", native=written).found.ratio.value == pytest.approx(5.2)


@pytest.mark.parametrize("written", ["1:5", "4-6:1", "5.2:2", "5.2 g", "0:1"])
def test_a_ratio_that_is_none_is_asked_back(written: str) -> None:
    with pytest.raises(StillroomError):
        asked(want="38 %", native=written)


def test_only_a_standardised_extract_takes_carrier_and_any_other_is_not_adjusted() -> None:
    with pytest.raises(NotAllowed, match="blending batches alone"):
        asked(want="30 %", carrier="100 g")
    with pytest.raises(NotAllowed, match="not adjusted"):
        asked(want="38 %", kind="other")
    found = asked(want="30 %", amount="100 g", carrier="100 g", kind="standardised", native="5").found

    assert found.lots == ("E1", "carrier")
    assert found.ratio.value == pytest.approx(5.0 * 30.0 / 36.2)


def test_a_strength_outside_the_lots_is_no_blend() -> None:
    with pytest.raises(OutsideModel, match="weakest and its strongest"):
        asked(want="45 %")


@pytest.mark.parametrize(
    "lots", ["", "E1", "E1 36 120", "E1 36 % 120 g; E1 40 % 10 g", "E1 36 % v/v 10 g; E2 40 % 10 g"]
)
def test_what_is_no_lot_is_asked_back(lots: str) -> None:
    with pytest.raises(StillroomError):
        asked(lots, want="38 %")


def test_the_page_says_that_its_terms_were_recalled_and_that_a_blend_is_a_lot_of_its_own() -> None:
    words = " ".join(page_text(asked(want="38 %").page).split())

    assert "recalled from memory" in words
    assert "assayed and released by itself" in words
