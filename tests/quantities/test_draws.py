"""Named draws keep their place, are what they claim, and can be verified with another seed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from stillroom.errors import BadEntry, UnknownName
from stillroom.quantities.contributions import contributions
from stillroom.quantities.draws import Draws, Spread, standard_normals
from tests.quantities.strategies import spreads

LAB = {
    "lot CIN-01/assay": Spread.logit(0.079, 0.004),
    "lot CIN-01/loss on drying": Spread.logit(0.095, 0.003),
    "practice extraction/recovered": Spread.between(0.72, 0.88, "logit"),
    "flask": Spread.rectangular(99.9, 100.1),
    "factor": Spread.fixed(1.004),
}


def test_the_bit_stream_is_the_published_one():
    # Philox 4x64-10, counter 0, key 0: first known answer of the Random123 test vectors (from-memory).
    printed = [0x16554D9ECA36314C, 0xDB20FE9D672D0FDC, 0xD7E772CEE186176B, 0x7E68B68AEC7BA23B]
    before_zero = np.full(4, 2**64 - 1, dtype=np.uint64)

    words = np.random.Philox(counter=before_zero, key=np.zeros(2, dtype=np.uint64)).random_raw(4)

    assert [int(word) for word in words] == printed


def test_adding_an_input_anywhere_moves_no_other_draw():
    some = Draws.of(LAB, draws=512, decorrelated=False)
    more = Draws.of({"new": Spread.normal(0, 1), **LAB}, draws=512, decorrelated=False)

    assert all(np.array_equal(some.normals(name), more.normals(name)) for name in LAB)


def test_an_input_added_last_moves_no_decorrelated_draw_either():
    some = Draws.of(LAB, draws=512)
    more = Draws.of({**LAB, "new": Spread.normal(0, 1), "newer": Spread.normal(0, 1)}, draws=512)

    assert all(np.array_equal(some.value(name), more.value(name)) for name in LAB)


def test_two_plans_with_one_seed_share_the_draws_of_a_lot():
    one = Draws.of({"lot CIN-01/assay": Spread.normal(7, 1)}, decorrelated=False)
    two = Draws.of(
        {"other": Spread.normal(0, 1), "lot CIN-01/assay": Spread.logit(0.07, 0.01)}, decorrelated=False
    )
    decorrelated = Draws.of({"other": Spread.normal(0, 1), "lot CIN-01/assay": Spread.normal(7, 1)})
    name = "lot CIN-01/assay"

    assert np.array_equal(one.normals(name), two.normals(name))
    assert np.corrcoef(one.normals(name), decorrelated.normals(name))[0, 1] > 0.999


def test_decorrelated_draws_have_exact_means_deviations_and_no_correlation():
    matrix = Draws.of({f"input {place}": Spread.normal(0, 1) for place in range(30)}, draws=4096).matrix

    assert np.abs(matrix.mean(axis=0)).max() < 1e-14
    assert np.abs(np.cov(matrix.T) - np.eye(30)).max() < 1e-13


def test_decorrelating_is_the_qr_factorisation_with_the_signs_kept():
    # Two ways to the same number: LAPACK's Householder factorisation.
    names = [f"input {place}" for place in range(8)]
    raw = np.column_stack([np.ones(256), *(standard_normals(name, 256, 7) for name in names)])
    q, r = np.linalg.qr(raw)
    expected = (q * np.sign(np.diag(r)))[:, 1:] * np.sqrt(255)

    found = Draws.of({name: Spread.normal(0, 1) for name in names}, draws=256).matrix

    assert found == pytest.approx(expected, abs=1e-12)


def test_draws_as_drawn_are_standard_normals_and_names_are_independent():
    one, two = (standard_normals(name, 65_536, 7) for name in ("a", "b"))

    assert stats.kstest(one, "norm").pvalue > 0.001
    assert abs(np.corrcoef(one, two)[0, 1]) < 4 / 256
    assert np.isfinite(one).all()


def test_another_seed_is_another_set_and_the_same_seed_the_same():
    first = Draws.of(LAB)
    other = Draws.of(LAB, seed=8)

    assert np.array_equal(first.matrix, Draws.of(LAB).matrix)
    assert abs(np.corrcoef(first.normals("flask"), other.normals("flask"))[0, 1]) < 4 / 64
    assert other.count == first.count == 4096


def test_a_fixed_input_takes_no_column():
    draws = Draws.of(LAB, draws=64)

    assert draws.names == tuple(LAB)
    assert draws.matrix.shape == (64, 4)
    assert set(draws.value("factor")) == {1.004}
    assert not draws.normals("factor").any()


def test_draws_cannot_be_written_into_but_may_be_moved_by_a_reading():
    draws = Draws.of(LAB, draws=64)

    with pytest.raises(ValueError, match="read-only"):
        draws.matrix[0, 0] = 0.0
    with pytest.raises(BadEntry, match="same shape"):
        draws.moved(np.zeros((3, 3)))

    moved = draws.moved(draws.matrix + 1.0)
    assert not moved.decorrelated
    assert np.all(moved.value("lot CIN-01/assay") > draws.value("lot CIN-01/assay"))


def test_wrong_names_seeds_and_counts_are_refused():
    with pytest.raises(UnknownName, match="lot CIN-01/assay"):
        Draws.of(LAB, draws=64).value("lot CIN-01/asay")
    with pytest.raises(BadEntry, match="seed"):
        Draws.of(LAB, seed=-1)
    with pytest.raises(BadEntry, match="more draws than inputs"):
        Draws.of(LAB, draws=5)


@given(spreads())
def test_a_spread_rises_with_its_normal_and_has_its_median_in_the_middle(spread):
    normals = np.linspace(-6, 6, 101)
    values = spread.value(normals)

    assert np.all(np.diff(values) >= 0)
    assert values[50] == pytest.approx(spread.median, rel=1e-9, abs=1e-12)


@settings(max_examples=40)
@given(spreads(), st.floats(0.01, 0.99))
def test_the_share_of_draws_below_a_quantile_is_its_probability(spread, probability):
    values = Draws.of({"x": spread}, draws=4096).value("x")

    assert np.mean(values <= spread.at(probability)) == pytest.approx(probability, abs=0.02)


def test_spreads_agree_with_general_statistics():
    # Mean and deviation of the lognormal, the rectangle (GUM 4.3.7) against scipy.stats.
    log = Spread.lognormal(100.0, 0.1)
    reference = stats.lognorm(s=log.width, scale=100.0)
    box = Draws.of({"x": Spread.rectangular(-1, 1)}, draws=65_536).value("x")

    assert reference.std() / reference.mean() == pytest.approx(0.1, rel=1e-9)
    assert log.at(0.9) == pytest.approx(reference.ppf(0.9), rel=1e-9)
    assert box.std() == pytest.approx(1 / np.sqrt(3), rel=0.005)


@pytest.mark.parametrize("kind", ["normal", "lognormal", "logit"])
def test_between_has_the_two_bounds_as_its_5_and_95_per_cent_points(kind):
    spread = Spread.between(0.72, 0.88, kind)

    assert spread.at(0.05) == pytest.approx(0.72, rel=1e-9)
    assert spread.at(0.95) == pytest.approx(0.88, rel=1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Spread.logit(7.1, 0.2),
        lambda: Spread.lognormal(-1, 0.1),
        lambda: Spread.normal(1, -0.1),
        lambda: Spread.normal(float("nan"), 1),
        lambda: Spread.between(2, 1),
        lambda: Spread.between(0.0, 1.0, "logit"),
        lambda: Spread.rectangular(2, 1),
        lambda: Spread.normal(0, 1).at(1.0),
    ],
)
def test_a_spread_that_cannot_be_is_refused(wrong):
    with pytest.raises(BadEntry, match="Got"):
        wrong()


def test_shares_of_a_straight_sum_are_the_shares_of_its_variances():
    # Variances 9, 4 and 1 of 14.
    draws = Draws.of({name: Spread.normal(0, sd) for name, sd in (("small", 1), ("large", 3), ("middle", 2))})

    found = contributions(sum(draws.value(name) for name in draws.names), draws)

    assert list(found.shares) == ["large", "middle", "small"]
    assert list(found.shares.values()) == pytest.approx([9 / 14, 4 / 14, 1 / 14], abs=1e-12)
    assert found.r_squared == pytest.approx(1.0, abs=1e-12)
    assert found.slopes["large"] == pytest.approx(3.0, abs=1e-12)
    assert (found.note, found.largest) == ("", "large")


def test_inputs_that_work_through_each_other_are_called_an_interaction():
    draws = Draws.of({"a": Spread.normal(0, 1), "b": Spread.normal(0, 1)})

    found = contributions(draws.value("a") * draws.value("b"), draws)

    assert found.note.startswith("interaction")
    assert found.r_squared < 0.1


def test_a_result_that_does_not_vary_owes_nothing_to_anybody():
    draws = Draws.of({"a": Spread.normal(0, 1)}, draws=64)

    with pytest.raises(BadEntry, match="one value for each draw"):
        contributions(np.zeros(3), draws)

    assert contributions(np.full(64, 0.1), draws).shares == {}
