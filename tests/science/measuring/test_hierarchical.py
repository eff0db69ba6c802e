"""Runs that resemble each other tell about the next: exact where it is linear and normal, robust to one bad run."""

import numpy as np
import pytest
from numpy.typing import NDArray

from stillroom.errors import BadEntry
from stillroom.science.measuring.hierarchical import Seen, mixed, robust_fit, shared_fit

Floats = NDArray[np.float64]
UNKNOWNS, RUNS = 4, 6


def made(seed: int) -> tuple[list[Seen], Floats, Floats]:
    """Runs with readings of several unknowns; two groups, and a laboratory over both."""
    chance = np.random.default_rng(seed)
    group = np.array([0, 0, 1, 0, 1, 1, 0])
    alike = np.zeros((UNKNOWNS, RUNS + 1, RUNS + 1))
    for unknown in range(UNKNOWNS):
        of_all, of_group = chance.uniform(0.05, 0.4, 2)
        alike[unknown] = of_all + of_group * (group[:, None] == group[None, :])
    run = chance.uniform(0.02, 0.4, UNKNOWNS)
    runs = [
        Seen(
            chance.normal(size=(size, UNKNOWNS)),
            chance.normal(size=size),
            np.diag(chance.uniform(0.01, 0.3, size)),
        )
        for size in chance.integers(1, 5, RUNS)
    ]
    return runs, alike, run


def closed_form(
    runs: list[Seen], alike: Floats, run: Floats, weights: Floats
) -> tuple[Floats, Floats, Floats, float]:
    """The conditional of one large normal distribution over the unknowns of every run, written out."""
    whole = UNKNOWNS * (RUNS + 1)
    shared = np.zeros((whole, whole))
    own = np.zeros(whole)
    for one in range(RUNS + 1):
        for unknown in range(UNKNOWNS):
            at = one * UNKNOWNS + unknown
            own[at] = run[unknown] / (weights[one] if one < RUNS else 1.0)
            for other in range(RUNS + 1):
                shared[at, other * UNKNOWNS + unknown] = alike[unknown, one, other]
    size = sum(len(one.shown) for one in runs)
    slopes, noise, begin = np.zeros((size, whole)), np.zeros((size, size)), 0
    for one, seen in enumerate(runs):
        rows = slice(begin, begin + len(seen.shown))
        slopes[rows, one * UNKNOWNS : (one + 1) * UNKNOWNS] = seen.slopes
        noise[rows, rows] = seen.scatter / weights[one]
        begin += len(seen.shown)
    shown = np.concatenate([one.shown for one in runs])
    unknowns = shared + np.diag(np.where(np.arange(whole) < RUNS * UNKNOWNS, own, 0.0))
    readings = slopes @ unknowns @ slopes.T + noise
    gain = unknowns @ slopes.T @ np.linalg.inv(readings)
    mean, covariance = gain @ shown, unknowns - gain @ slopes @ unknowns
    evidence = -0.5 * (
        shown @ np.linalg.solve(readings, shown) + np.linalg.slogdet(readings)[1] + size * np.log(2.0 * np.pi)
    )
    last = slice(RUNS * UNKNOWNS, None)
    return (
        mean[last],
        covariance[last, last],
        mean[: RUNS * UNKNOWNS].reshape(RUNS, UNKNOWNS),
        float(evidence),
    )


@pytest.mark.parametrize("seed", range(12))
def test_with_known_weights_it_is_the_closed_form_of_the_normal_distribution(seed: int) -> None:
    runs, alike, run = made(seed)
    weights = np.random.default_rng(100 + seed).uniform(0.2, 2.0, RUNS)
    mean, covariance, own, evidence = closed_form(runs, alike, run, weights)

    found = shared_fit(runs, alike, run, weights)

    np.testing.assert_allclose(found.mean, mean, rtol=0, atol=1e-9)
    np.testing.assert_allclose(found.covariance, covariance, rtol=0, atol=1e-9)
    np.testing.assert_allclose(found.run_means, own, rtol=0, atol=1e-9)
    assert found.log_evidence == pytest.approx(evidence, abs=1e-9)


def test_a_run_that_shares_nothing_moves_nothing() -> None:
    runs, alike, run = made(3)
    alike[:, :RUNS, RUNS] = alike[:, RUNS, :RUNS] = 0.0

    found = robust_fit(runs, alike, run)

    assert found.mean.tolist() == [0.0] * UNKNOWNS
    np.testing.assert_allclose(found.covariance, np.diag(alike[:, RUNS, RUNS]), rtol=0, atol=1e-12)


def test_the_mean_of_many_equal_runs_is_their_mean_and_its_doubt_falls_as_their_number() -> None:
    ones = [Seen(np.ones((1, 1)), np.array([0.7]), np.array([[1e-6]])) for _ in range(50)]

    found = shared_fit(ones, np.full((1, 51, 51), 0.8), np.array([0.2]), np.ones(50))

    assert found.mean[0] == pytest.approx(0.7 * 0.8 / (0.8 + 0.2 / 50), rel=1e-5)
    assert found.covariance[0, 0] == pytest.approx(1 / (1 / 0.8 + 50 / 0.2), rel=1e-4)


def test_one_bad_run_in_six_hardly_moves_what_five_agree_on() -> None:
    good = [
        Seen(np.ones((2, 1)), np.array([0.5 + at, 0.5 + at]), 0.01 * np.eye(2))
        for at in (-0.1, 0.0, 0.1, 0.05, -0.05)
    ]
    bad = Seen(np.ones((2, 1)), np.array([5.0, 5.0]), 0.01 * np.eye(2))
    run = np.array([0.05])
    five = robust_fit(good, np.full((1, 6, 6), 0.8), run)
    six = robust_fit([*good, bad], np.full((1, 7, 7), 0.8), run)
    plain = shared_fit([*good, bad], np.full((1, 7, 7), 0.8), run, np.ones(6))

    assert six.weights[-1] < 0.05 < 0.5 < six.weights[:-1].min()
    assert abs(six.mean[0] - five.mean[0]) < 0.1 < 0.5 < abs(plain.mean[0] - five.mean[0])


def test_the_same_again_gives_the_same_bits() -> None:
    runs, alike, run = made(5)

    one, two = robust_fit(runs, alike, run), robust_fit(runs, alike, run)

    assert one.mean.tobytes() == two.mean.tobytes()
    assert one.weights.tobytes() == two.weights.tobytes()


def test_several_distributions_become_one_with_the_spread_between_them() -> None:
    mean, covariance, shares = mixed(
        np.array([[0.0, 1.0], [4.0, 1.0]]), np.stack([np.eye(2)] * 2), np.log(np.array([3.0, 1.0]))
    )

    assert shares == pytest.approx([0.75, 0.25])
    assert mean == pytest.approx([1.0, 1.0])
    assert covariance == pytest.approx(np.array([[1.0 + 0.75 * 1.0 + 0.25 * 9.0, 0.0], [0.0, 1.0]]))


def test_pairs_that_are_not_stated_are_asked_for() -> None:
    runs, alike, run = made(0)
    with pytest.raises(BadEntry, match="every pair"):
        shared_fit(runs, alike[:, 1:, 1:], run, np.ones(RUNS))
