"""A thousand blends: mass and ethanol close, the target is met, nothing is negative, no better one is found."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from stillroom.errors import BadEntry, NotEnough, OutsideModel
from stillroom.science.liquids.blending import AIMS, LEAST_COST, Stock, blend, most_that_can_be_made_g
from tests.long_form import times

STOCKS = st.lists(
    st.builds(
        Stock,
        mass_g=st.floats(1.0, 20_000.0),
        ethanol_mass_fraction=st.floats(0.0, 1.0),
        fresh=st.booleans(),
        price_per_g=st.sampled_from([0.0, 0.004, 0.014, 0.02]),
    ),
    min_size=1,
    max_size=6,
)


def spent(stocks: list[Stock], taken: tuple[float, ...], aim: str) -> float:
    if aim == LEAST_COST:
        return sum(mass * one.price_per_g for one, mass in zip(stocks, taken, strict=True))
    return sum(mass * one.ethanol_mass_fraction for one, mass in zip(stocks, taken, strict=True) if one.fresh)


@settings(max_examples=times(1000, 150), deadline=None)
@given(STOCKS, st.floats(0.02, 1.0), st.floats(0.01, 1.0), st.sampled_from(AIMS))
def test_a_blend_closes_and_meets_what_was_wanted(stocks, part_of_strongest, part_of_most, aim):
    want = part_of_strongest * max(one.ethanol_mass_fraction for one in stocks)
    assume(want > 0.005)
    mass_g = part_of_most * most_that_can_be_made_g(stocks, want)
    made = blend(stocks, want, mass_g, aim)
    poured = sum(made.taken_g) + made.water_g
    ethanol = sum(mass * one.ethanol_mass_fraction for one, mass in zip(stocks, made.taken_g, strict=True))

    assert poured == pytest.approx(mass_g, rel=1e-9)
    assert ethanol == pytest.approx(want * mass_g, rel=1e-9)
    assert made.water_g >= 0.0
    assert all(0.0 <= mass <= one.mass_g for one, mass in zip(stocks, made.taken_g, strict=True))


def test_a_blend_that_takes_all_there_is_closes_as_well() -> None:
    stocks = [Stock(1.0, 1.0, fresh=False), Stock(1.0, 1e-05, fresh=False), Stock(199.0, 0.5, fresh=False)]
    mass_g = most_that_can_be_made_g(stocks, 0.5)

    made = blend(stocks, 0.5, mass_g)

    assert sum(made.taken_g) + made.water_g == pytest.approx(mass_g, rel=1e-12)
    assert made.taken_g == pytest.approx((1.0, 1.0, 199.0), rel=1e-6)


@settings(max_examples=times(200, 50), deadline=None)
@given(STOCKS, st.floats(0.1, 1.0), st.floats(0.01, 0.9), st.sampled_from(AIMS), st.floats(0.0, 1.0))
def test_no_other_blend_that_fits_serves_the_aim_better(stocks, part, part_of_most, aim, towards):
    want = part * max(one.ethanol_mass_fraction for one in stocks)
    assume(want > 0.005)
    mass_g = part_of_most * most_that_can_be_made_g(stocks, want)
    best = blend(stocks, want, mass_g, aim)
    turned = [
        Stock(one.mass_g, one.ethanol_mass_fraction, not one.fresh, 0.03 - one.price_per_g) for one in stocks
    ]
    other = blend(turned, want, mass_g, aim)
    between = tuple(
        towards * one + (1.0 - towards) * two for one, two in zip(best.taken_g, other.taken_g, strict=True)
    )

    assert spent(stocks, best.taken_g, aim) <= spent(stocks, between, aim) + 1e-6 * mass_g


def test_recovered_spirit_goes_first_and_only_what_is_missing_is_fresh():
    # By hand: 100 g of 0.6 need 60 g of ethanol; 60 g of 0.5 bring 30, the other 30 stand in 30/0.9 g of 0.9.
    made = blend([Stock(500.0, 0.9), Stock(60.0, 0.5, fresh=False)], 0.6, 100.0)

    assert made.taken_g == pytest.approx((33.333333, 60.0), rel=1e-6)
    assert made.water_g == pytest.approx(6.666667, rel=1e-6)


def test_more_than_the_stocks_hold_is_refused_with_the_most():
    with pytest.raises(NotEnough, match="enough for 180 g"):
        blend([Stock(100.0, 0.9)], 0.5, 200.0)

    assert most_that_can_be_made_g([Stock(100.0, 0.9)], 0.5) == pytest.approx(180.0)


def test_a_plant_that_brings_too_much_water_is_told():
    with pytest.raises(NotEnough, match=r"must fit in 1000 g.*400 g of water"):
        blend([Stock(5000.0, 0.9), Stock(400.0, 0.0, all_of_it=True)], 0.7, 1000.0)


@pytest.mark.parametrize(
    ("stocks", "want", "mass_g", "aim", "kind", "says"),
    [
        ([], 0.5, 1.0, AIMS[0], BadEntry, "no stock"),
        ([Stock(1.0, 0.9)], 0.95, 1.0, AIMS[0], OutsideModel, r"strongest stock, 90\.0 % by mass"),
        ([Stock(0.0, 0.9)], 0.5, 1.0, AIMS[0], BadEntry, "mass above zero"),
        ([Stock(1.0, 1.9)], 0.5, 1.0, AIMS[0], BadEntry, "strength from 0 to 1"),
        ([Stock(1.0, 0.9)], 0.5, 0.0, AIMS[0], BadEntry, "mass above zero"),
        ([Stock(1.0, 0.9)], 0.0, 1.0, AIMS[0], BadEntry, "strength above zero"),
        ([Stock(1.0, 0.9)], 0.5, 1.0, "most fun", BadEntry, "least fresh spirit or least cost"),
    ],
)
def test_what_cannot_be_blended_is_told(stocks, want, mass_g, aim, kind, says):
    with pytest.raises(kind, match=says):
        blend(stocks, want, mass_g, aim)
