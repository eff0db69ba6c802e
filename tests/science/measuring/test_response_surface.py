"""Second-order surfaces, and which next trial would teach most, against the same worked out another way."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from stillroom.errors import BadEntry, NotEnough
from stillroom.science.measuring.response_surface import (
    after_trials,
    second_order_surface,
    second_order_terms,
    what_a_trial_teaches,
)

COEFFICIENTS = arrays(np.float64, 6, elements=st.floats(-5.0, 5.0).map(lambda one: round(one, 3)))
GRID = np.array([(along, up) for along in (-1.0, 0.0, 1.0) for up in (-1.0, 0.0, 1.0)])


@given(COEFFICIENTS)
def test_a_surface_without_noise_is_found_again_anywhere(true: np.ndarray) -> None:
    found = second_order_surface(GRID.tolist(), (second_order_terms(GRID) @ true).tolist())
    elsewhere = np.array([[0.3, -0.7], [1.9, 2.2]])

    assert found.at(elsewhere) == pytest.approx(second_order_terms(elsewhere) @ true, abs=1e-9)
    if found.stationary is not None:
        aside = np.array([1e-3, 0.0]), np.array([0.0, 1e-3])
        slopes = [found.at(found.stationary + one)[0] - found.at(found.stationary - one)[0] for one in aside]
        assert slopes == pytest.approx([0.0, 0.0], abs=1e-7 * max(1.0, np.abs(found.stationary).max()))


@pytest.mark.parametrize(
    ("true", "shape"),
    [
        ((1, 0, 0, -1, 0, -1), "top"),
        ((1, 0, 0, 1, 0, 2), "bottom"),
        ((1, 0, 0, 1, 0, -1), "saddle"),
        ((1, 2, 0, 0, 0, -1), "ridge"),
        ((1, 2, 3, 0, 0, 0), "ridge"),
    ],
)
def test_it_says_what_the_stationary_point_is(true: tuple[float, ...], shape: str) -> None:
    found = second_order_surface(GRID.tolist(), (second_order_terms(GRID) @ np.array(true, float)).tolist())

    assert found.shape == shape
    assert (found.stationary is None) == (shape == "ridge")


def test_trials_on_one_line_are_not_taken_for_a_surface() -> None:
    line = [(at, at) for at in (-1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0)]
    with pytest.raises(NotEnough, match="as many trials that differ"):
        second_order_surface(line, [1.0] * 7)
    with pytest.raises(BadEntry, match="one result"):
        second_order_surface(line, [1.0])


def _covariance(size: int, seed: int) -> np.ndarray:
    draws = np.random.default_rng(seed).normal(size=(size, size + 2))
    return draws @ draws.T


@given(st.integers(2, 8), st.integers(0, 99), st.floats(0.1, 5.0))
def test_what_a_trial_teaches_is_what_is_left_after_making_it(size: int, seed: int, noise: float) -> None:
    # independently: the joint normal of places and trial, conditioned by inverting its whole precision matrix
    before = _covariance(size, seed)
    told = what_a_trial_teaches(before, noise)
    for place in range(size):
        row = np.zeros((1, size))
        row[0, place] = 1.0
        after = np.linalg.inv(np.linalg.inv(before) + row.T @ row / noise**2)
        assert told[place] == pytest.approx(1.0 - np.trace(after) / np.trace(before), abs=1e-6)


def test_it_is_the_i_optimal_trial_of_a_quadratic_nobody_knows_anything_of() -> None:
    # independently: of every candidate added to the design, the average of x' (X'X)^-1 x over the region, tried in turn
    done = np.array([(-1, -1), (-1, 1), (1, -1), (1, 1), (0, 0), (1, 0)], dtype=float)
    places = np.array([(a, b) for a in np.linspace(-1, 1, 5) for b in np.linspace(-1, 1, 5)])
    terms, tried = second_order_terms(places), second_order_terms(done)
    vague = 1e5 * terms @ terms.T
    at = [int(np.argmin(np.abs(places - one).sum(axis=1))) for one in done]
    _, left = after_trials(np.zeros(len(places)), vague, at, [0.0] * len(at), 1.0)

    def average(candidate: np.ndarray) -> float:
        design = np.vstack([tried, candidate])
        return float(np.trace(terms @ np.linalg.solve(design.T @ design + 1e-5 * np.eye(6), terms.T)))

    best = min(range(len(places)), key=lambda one: average(terms[one]))
    assert average(terms[int(np.argmax(what_a_trial_teaches(left, 1.0)))]) == pytest.approx(
        average(terms[best]), rel=1e-6
    )


def test_trials_made_one_after_the_other_tell_the_same_as_together() -> None:
    before = _covariance(5, 3)
    together = after_trials(np.zeros(5), before, [0, 3], [1.0, -2.0], 0.7)
    first = after_trials(np.zeros(5), before, [0], [1.0], 0.7)
    second = after_trials(*first, [3], [-2.0], 0.7)

    assert second[0] == pytest.approx(together[0])
    assert second[1] == pytest.approx(together[1], abs=1e-9)
    nothing = after_trials(np.zeros(5), before, [], [], 0.7)
    assert nothing[1] == pytest.approx(before)
