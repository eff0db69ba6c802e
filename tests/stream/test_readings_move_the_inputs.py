"""A reading moves the inputs, exactly so where things are linear, and is asked about where it cannot be."""

import numpy as np
import pytest

from stillroom.errors import BadEntry
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.quantities.draws import Draws, standard_normals
from stillroom.quantities.spread import Spread
from stillroom.stream.components import ETHANOL, whole_mass
from stillroom.stream.condition import condition, condition_through
from tests.planning.practice import practice_request

NAMES = tuple("abcde")
ROWS = np.array([[1.0, 2.0, 0.0, -1.0, 0.5], [0.0, 1.0, 1.0, 1.0, 0.0], [2.0, 0.0, -1.0, 0.3, 0.7]])
READINGS, DOUBTS = (1.7, -0.4, 2.2), (0.5, 1.0, 0.3)


def five(decorrelated: bool = True) -> Draws:
    return Draws.of({name: Spread.normal(0.0, 1.0) for name in NAMES}, 4096, 11, decorrelated)


def exact() -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of the five inputs after three readings, by the textbook's matrix formula."""
    doubts = np.diag(np.square(DOUBTS))
    gain = ROWS.T @ np.linalg.inv(ROWS @ ROWS.T + doubts)
    return gain @ np.array(READINGS), np.eye(5) - gain @ ROWS


def test_three_readings_of_a_linear_thing_give_the_exact_mean_and_covariance():
    draws = five()
    for weights, reading, doubt in zip(ROWS, READINGS, DOUBTS, strict=True):
        draws = condition(draws, draws.matrix @ weights, reading, doubt)
    mean, covariance = exact()

    assert draws.matrix.mean(axis=0) == pytest.approx(mean, abs=1e-12)
    assert np.cov(draws.matrix.T) == pytest.approx(covariance, abs=1e-12)


def test_the_order_of_the_readings_does_not_matter():
    forwards, backwards = five(), five()
    taken = list(zip(ROWS, READINGS, DOUBTS, strict=True))
    for weights, reading, doubt in taken:
        forwards = condition(forwards, forwards.matrix @ weights, reading, doubt)
    for weights, reading, doubt in taken[::-1]:
        backwards = condition(backwards, backwards.matrix @ weights, reading, doubt)

    assert np.cov(forwards.matrix.T) == pytest.approx(np.cov(backwards.matrix.T), abs=1e-12)


def test_taken_in_four_parts_a_linear_reading_is_still_exact():
    draws = condition_through(five(), lambda one: one.matrix @ ROWS[0], READINGS[0], DOUBTS[0], passes=4)
    gain = ROWS[0] / (ROWS[0] @ ROWS[0] + DOUBTS[0] ** 2)

    assert draws.matrix.mean(axis=0) == pytest.approx(gain * READINGS[0], abs=1e-12)
    assert np.cov(draws.matrix.T) == pytest.approx(np.eye(5) - np.outer(gain, ROWS[0]), abs=1e-12)


def test_a_useless_reading_moves_nothing():
    draws = five()
    moved = condition(draws, draws.matrix @ ROWS[0], 1.0, 1e6)

    assert moved.matrix == pytest.approx(draws.matrix, abs=1e-5)


def test_a_reading_far_off_is_asked_about():
    draws = five()
    forecast = draws.matrix @ ROWS[0]
    off = float(np.hypot(forecast.std(ddof=1), 0.1))

    condition(draws, forecast, 3.4 * off, 0.1)
    for reading in (3.6 * off, -3.6 * off):
        with pytest.raises(BadEntry, match=r"more than 3\.5 standard deviations"):
            condition(draws, forecast, reading, 0.1)
        with pytest.raises(BadEntry, match="Read it again"):
            condition_through(draws, lambda one: one.matrix @ ROWS[0], reading, 0.1)


@pytest.mark.parametrize("doubt", [0.0, -1.0, float("nan")])
def test_a_reading_without_doubt_is_refused(doubt):
    draws = five()
    with pytest.raises(BadEntry, match="above zero"):
        condition(draws, draws.matrix @ ROWS[0], 1.0, doubt)


def test_masses_still_close_after_three_weighings_and_the_forecast_narrows():
    request = practice_request()
    draws = charge_draws(request)
    before = charge_account(request, 250.0, draws)
    weighed = {"percolate": 4480.0, "recovered spirit": 3270.0, "soft extract": 52.0}
    for name, reading in weighed.items():

        def model(one: Draws, name: str = name) -> np.ndarray:
            return whole_mass(charge_account(request, 250.0, one).given(name))

        draws = condition_through(draws, model, reading, 2.0 if reading > 100 else 0.05)
    after = charge_account(request, 250.0, draws)

    for name, reading in weighed.items():
        found = whole_mass(after.given(name))
        assert found.mean() == pytest.approx(reading, rel=2e-3), name
        assert found.std() < whole_mass(before.given(name)).std(), name
    came = sum(whole_mass(one) for one in after.from_shelf.values())
    went = sum(whole_mass(one) for one in after.outs.values())
    lost = sum(whole_mass(one) for step in after.steps for one in step.losses.values())
    assert np.abs(went + lost - came).max() < 1e-9 * came.min()
    assert after.given("recovered spirit")[ETHANOL].min() > 0


def test_hidden_laboratories_lie_in_their_narrowed_bands_as_often_as_they_should():
    # A laboratory is drawn, its soft extract is weighed, and the extract it really gave is looked for in the
    # 80 % band. Three standard deviations of 64 such looks are 15 %.
    request = practice_request(draws=512)
    hidden = charge_draws(practice_request(draws=64, seed=99), decorrelated=False)
    real = charge_account(request, 250.0, hidden)
    soft, extract = whole_mass(real.given("soft extract")), whole_mass(real.outs["extract"])
    ours = charge_draws(request)
    forecast = charge_account(request, 250.0, ours)
    slips = standard_normals("scale", 64, 5)
    inside, used = 0, 0
    for at in range(64):
        reading = float(soft[at] + 0.2 * slips[at])
        try:
            moved = condition(ours, whole_mass(forecast.given("soft extract")), reading, 0.2)
        except BadEntry:
            continue
        found = whole_mass(charge_account(request, 250.0, moved).outs["extract"])
        low, high = np.percentile(found, (10.0, 90.0))
        inside, used = inside + int(low <= extract[at] <= high), used + 1

    assert used >= 60
    assert 0.65 <= inside / used <= 0.95
