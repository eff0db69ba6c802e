"""How fine a plant is: the middle of a sieved grind, and of one that is only called by its term."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, OutsideModel
from stillroom.reference.tables import table
from stillroom.science.extraction.grinding import named_grind, sieved_grind


@given(
    median_mm=st.floats(0.2, 1.0), log_sd=st.floats(0.3, 1.0), coarser_mm=st.floats(0.5, 1.0), seed=st.integers(0, 99)
)  # fmt: skip
def test_two_sieves_find_the_middle_of_a_powder_that_was_drawn(
    median_mm: float, log_sd: float, coarser_mm: float, seed: int
) -> None:
    sizes = median_mm * np.exp(log_sd * np.random.default_rng(seed).normal(size=20_000))
    finer_mm = 0.5 * coarser_mm
    on_coarser = float(np.mean(sizes > coarser_mm))
    on_finer = float(np.mean((sizes > finer_mm) & (sizes <= coarser_mm)))
    if not (on_coarser < 0.8 and 0.2 < on_coarser + on_finer < 0.98 and on_coarser > 0.02 and on_finer > 0.1):
        return

    if not 0.6 * finer_mm < median_mm < 1.7 * coarser_mm:
        return
    found = sieved_grind(coarser_mm, finer_mm, 50.0 * on_coarser, 50.0 * on_finer, 50.0)

    assert math.log(found.median_mm / median_mm) == pytest.approx(0.0, abs=0.1 + 2.0 * found.log_sd)
    assert found.log_sd >= 0.05


def test_a_middle_far_outside_the_sieves_is_not_made_up() -> None:
    with pytest.raises(OutsideModel, match="finer or a coarser sieve"):
        sieved_grind(0.71, 0.5, 0.3, 0.4, 50.0)


@pytest.mark.parametrize(
    ("sieves", "stayed"),
    [
        ((0.25, 0.71), (8.0, 34.0)),
        ((0.71, 0.25), (30.0, 34.0)),
        ((0.71, 0.25), (8.0, -1.0)),
        ((0.71, 0.25), (0.0, 0.0)),
    ],
)
def test_what_cannot_have_been_sieved_is_asked_back(
    sieves: tuple[float, float], stayed: tuple[float, float]
) -> None:
    with pytest.raises(BadEntry):
        sieved_grind(*sieves, *stayed, 50.0)


def test_every_term_lies_between_its_sieves_and_they_grow_coarser_upwards() -> None:
    # International Pharmacopoeia, powders: 2000/355, 710/250, 355/180 µm; second-hand
    printed = {"coarse": (2000.0, 355.0), "medium": (710.0, 250.0), "fine": (355.0, 180.0)}
    columns = ("all_pass_um", "not_more_than_40_percent_pass_um")
    found = {one.key: tuple(one.number(each) for each in columns) for one in table("powder_terms").rows}

    assert found == printed
    middles = [named_grind(*(um / 1000.0 for um in found[term])).median_mm for term in printed]
    assert middles == sorted(middles, reverse=True)
    for term, middle in zip(printed, middles, strict=True):
        assert found[term][1] / 1000.0 < middle < found[term][0] / 1000.0
