"""A charge of 250 g of the practice bark, and what is on the shelf taken off the buying list."""

from itertools import pairwise

import numpy as np
import pytest

from stillroom.planning.forecast import charge_account, charge_draws, forecast
from stillroom.planning.plan import plan
from stillroom.planning.request import Held
from stillroom.stream.components import MARKER, whole_mass
from stillroom.stream.condition import condition_through
from tests.planning.practice import practice_plan, practice_request

CHARGE = forecast(practice_request(), 250.0)


def line(key):
    return CHARGE.line(key)


def test_the_practice_charge_is_what_the_forecast_leads_to_expect():
    # The invented practice batch: 39.20 g at 38.4 % as quinine, recovery 80.6 %.
    for key, happened in (
        ("extract_from_charge_g", 39.20),
        ("extract_strength_percent", 38.4),
        ("recovery_percent", 80.6),
    ):
        assert line(key).low < happened < line(key).high
        assert line(key).median == pytest.approx(happened, rel=0.05)


def test_a_simple_still_gives_back_what_rayleigh_says():
    # Worked by hand for the practice laboratory: about 3.8 L at 83 % v/v for 91 % of the ethanol of 5.00 L
    # at 70 %.
    # The percolate here also holds some of the plant's water, so it comes a little weaker and larger.
    assert line("recovered_spirit_ml").median / 1000 == pytest.approx(3.8, abs=0.1)
    assert line("recovered_strength_percent").median == pytest.approx(83.0, abs=1.0)
    assert line("recovered_ethanol_percent").median == pytest.approx(91.0, abs=1.0)


def test_twice_the_charge_gives_a_little_more_than_twice_the_extract():
    twice = forecast(practice_request(), 500.0)
    before, after = line("extract_from_charge_g").median, twice.line("extract_from_charge_g").median

    assert 2.0 < after / before < 2.05


def test_every_step_of_the_stream_closes_on_the_active():
    for bend in (*CHARGE.bends, *practice_plan().bends):
        gone = sum(one.median_g for one in bend.elsewhere)

        assert bend.out_g + gone == pytest.approx(bend.into_g, rel=0.01), bend.step
        assert bend.out_low_g <= bend.out_g <= bend.out_high_g


def test_the_bends_hang_together():
    bends = CHARGE.bends

    assert [one.step for one in bends][:2] == ["moisten", "percolate"]
    for before, after in pairwise(bends):
        assert after.into_g == before.out_g


def test_the_bends_run_from_plant_to_bottle():
    steps = [one.step for one in practice_plan().bends]

    assert steps[0] == "moisten"
    assert steps[-2:] == ["blend", "fill"]


def test_what_is_on_the_shelf_need_not_be_bought():
    made = plan(practice_request(stock=(Held("plant_g", 40.0), Held("bottles", 100.0))))
    list_ = {one.item: one for one in made.buying}

    assert list_["plant_g"].to_buy == pytest.approx(made.supply.plant_g - 40.0)
    assert list_["bottles"].to_buy == 0.0
    assert list_["caps"].to_buy == 55.0  # 50 ordered and 2 kept back, 5 % spares: 54.6


def test_the_buying_list_has_everything_of_both_procedures():
    items = {one.item for one in practice_plan().buying}

    assert items == {
        "plant_g", "all_stock_spirit_g", "acid_g", "ammonia_g", "ethyl_acetate_g", "process_water_g",
        "bottles", "caps", "labels", "formula/glycerin", "formula/panthenol",
    }  # fmt: skip


def test_a_weighed_extract_narrows_the_forecast_and_the_stream_still_closes():
    request = practice_request()
    before = charge_draws(request)

    def extract_g(draws):
        return whole_mass(charge_account(request, 250.0, draws).outs["extract"])

    after = condition_through(before, extract_g, 39.20, 0.02)

    assert extract_g(after).std() < 0.05 * extract_g(before).std()
    assert extract_g(after).mean() == pytest.approx(39.20, abs=0.02)
    strength = [
        one[MARKER] / whole_mass(one)
        for one in (charge_account(request, 250.0, draws).outs["extract"] for draws in (before, after))
    ]
    assert np.std(strength[1]) < 0.6 * np.std(strength[0])
