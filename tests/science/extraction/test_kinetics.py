"""Fits of a yield over time: truth comes back, intervals hold it, the simpler law is kept; diffusion by volumes."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.errors import BadEntry, NotEnough, UnknownName
from stillroom.science.extraction.diffusion import out_of_cylinder, out_of_slab, out_of_sphere
from stillroom.science.extraction.kinetics import FIT_BY_ITSELF, LAWS, law_called, yield_by_law
from stillroom.science.extraction.kinetics_fit import CLEARLY_BETTER, choose_law, fit_law

MINUTES = [0.0, 2.0, 5.0, 10.0, 15.0, 25.0, 40.0, 60.0, 90.0, 120.0]
TRUE = {
    "first order": [0.05], "Peleg": [0.04], "diffusion, sphere": [0.002], "diffusion, slab": [0.004],
    "diffusion, cylinder": [0.003], "washing and diffusion": [0.35, 0.02], "two sites": [0.5, 0.01, 29.0],
}  # fmt: skip


@pytest.mark.parametrize("law", LAWS)
def test_a_curve_of_a_law_gives_its_figures_back(law):
    yields = yield_by_law(law, np.array(MINUTES), 12.0, TRUE[law])
    found = fit_law(law, MINUTES, yields, with_intervals=False)

    assert found.yield_at_end.value == pytest.approx(12.0, rel=2e-3)
    assert [one.value for one in found.parameters.values()] == pytest.approx(TRUE[law], rel=2e-2)


@given(st.floats(0.005, 0.2), st.floats(0.5, 200.0))
@settings(max_examples=15)
def test_the_unit_of_the_yield_changes_nothing_but_the_yield(rate, scale):
    yields = (
        yield_by_law("first order", np.array(MINUTES), 1.0, [rate]) + 0.004 * np.cos(np.arange(10.0)) ** 2
    )
    one, many = (
        fit_law("first order", MINUTES, list(yields * by), with_intervals=False) for by in (1.0, scale)
    )

    assert many.yield_at_end.value == pytest.approx(scale * one.yield_at_end.value, rel=1e-5)
    assert many.parameters["rate"].value == pytest.approx(one.parameters["rate"].value, rel=1e-4)


def test_intervals_of_95_percent_hold_the_truth_about_as_often():
    chance, held = np.random.default_rng(11), 0
    clean = yield_by_law("first order", np.array(MINUTES[1:]), 10.0, [0.04])
    for _ in range(60):
        found = fit_law("first order", MINUTES[1:], list(clean + chance.normal(0.0, 0.25, len(clean))))
        rate = found.parameters["rate"]
        held += rate.low <= 0.04 <= rate.high

    assert 0.88 <= held / 60 <= 1.0


def test_a_plain_curve_keeps_the_plain_law_and_a_washed_one_does_not():
    chance = np.random.default_rng(3)
    plain = yield_by_law("first order", np.array(MINUTES), 10.0, [0.05]) + chance.normal(0, 0.05, 10) * (
        np.arange(10) > 0
    )
    washed = yield_by_law("washing and diffusion", np.array(MINUTES), 10.0, [0.45, 0.015])
    washed = washed + chance.normal(0, 0.05, 10) * (np.arange(10) > 0)

    assert choose_law(MINUTES, list(plain))[0].law == "first order"
    assert choose_law(MINUTES, list(washed))[0].law == "washing and diffusion"


@given(st.lists(st.floats(0.1, 2.0), min_size=8, max_size=10), st.floats(0.01, 0.3))
@settings(max_examples=15)
def test_a_law_of_more_figures_is_taken_only_where_aicc_falls_clearly(steps, scatter):
    yields = list(np.cumsum(steps) * (1 + scatter * np.sin(np.arange(len(steps)) * 2.0)) + 1.0)
    minutes = MINUTES[1 : len(steps) + 1] if len(steps) < 10 else [*MINUTES[1:], 150.0]
    chosen, *others = choose_law(minutes, yields)
    simpler = [one for one in others if len(one.parameters) < len(chosen.parameters)]

    assert all(chosen.aicc < one.aicc - CLEARLY_BETTER for one in simpler)
    assert {one.law for one in (chosen, *others)} <= set(FIT_BY_ITSELF)


def test_second_order_is_the_curve_of_peleg():
    assert law_called("second order").name == "Peleg"
    # q = q² k t / (1 + q k t) with q 8, k 0.01
    assert yield_by_law("second order", 30.0, 8.0, [0.08]) == pytest.approx(
        64 * 0.01 * 30 / (1 + 8 * 0.01 * 30)
    )


@cache
def modes(geometry: int) -> tuple[np.ndarray, np.ndarray]:
    """Rates and shares of a slab (1), cylinder (2) or sphere (3) of radius 1, cut into shells of equal thickness."""
    shells = 400
    edges = np.linspace(0.0, 1.0, shells + 1)
    faces, volumes = edges ** (geometry - 1), np.diff(edges**geometry) / geometry
    middle = 0.5 * (edges[1:] + edges[:-1])
    between = faces[1:-1] / np.diff(middle)
    leaving = np.append(between, faces[-1] / (1.0 - middle[-1])) + np.append(0.0, between)
    exchange = np.diag(-leaving) + np.diag(between, 1) + np.diag(between, -1)
    root = np.sqrt(volumes)
    rates, shapes = np.linalg.eigh(exchange / np.outer(root, root))
    return rates, (shapes.T @ root) ** 2 * geometry


def by_finite_volumes(geometry: int, fourier: float) -> float:
    """Share out with a clean surface: finite volumes in space, exact in time."""
    rates, shares = modes(geometry)
    return float(1.0 - (shares * np.exp(rates * fourier)).sum())


@pytest.mark.parametrize(("geometry", "law"), [(1, out_of_slab), (2, out_of_cylinder), (3, out_of_sphere)])
@pytest.mark.parametrize("fourier", [0.001, 0.015, 0.03, 0.1, 0.4, 1.0])
def test_the_series_of_diffusion_agree_with_finite_volumes(geometry, law, fourier):
    assert law(fourier) == pytest.approx(by_finite_volumes(geometry, fourier), abs=1e-3)


@pytest.mark.parametrize("law", [out_of_slab, out_of_cylinder, out_of_sphere])
def test_short_form_and_series_meet(law):
    below, above = law(0.002 - 1e-9), law(0.002 + 1e-9)

    assert below == pytest.approx(above, abs=2e-6)
    assert law(0.0) == 0.0
    assert law(50.0) == pytest.approx(1.0)


def test_what_cannot_be_fitted_says_why():
    with pytest.raises(NotEnough, match="takes more points"):
        fit_law("first order", [0.0, 10.0, 20.0], [0.0, 1.0, 2.0])
    with pytest.raises(BadEntry, match="Each time has its yield"):
        fit_law("first order", [1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0])
    with pytest.raises(BadEntry, match="Something must have come out"):
        fit_law("first order", [1.0, 2.0, 3.0, 4.0], [0.0, 0.0, 0.0, 0.0])
    with pytest.raises(UnknownName, match="law of a yield"):
        fit_law("zeroth order", [1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, 4.0])
