"""Minutes, heat and cooling of each kind, worked by hand."""

import numpy as np
import pytest

from stillroom.stream.kinds import KINDS
from stillroom.stream.run import run
from tests.planning.practice import procedure
from tests.stream.practice import FEEDS, extraction, stream

NONE = np.zeros((10, 1))


def asked(kind: str, inlets, outlets, settings):
    return KINDS[kind].asks(inlets, outlets, settings)


def test_mixing_spirit_takes_a_minute_for_each_kilogram():
    assert asked("mix to strength", (NONE,), (stream(1, water=2500.0),), {}).hands_min == pytest.approx(2.5)


def test_filling_takes_hands_for_each_kilogram_filled():
    work = asked("fill", (NONE,), (stream(1, water=500.0),), {"fill_min_per_kg": 8.0})

    assert work.hands_min == pytest.approx(4.0)


def test_filtering_is_watched_for_each_kilogram_of_clear_liquor():
    work = asked("acidify and filter", (NONE,), (stream(1, water=500.0),), {"filter_min_per_kg": 30.0})

    assert work.watch_min == pytest.approx(15.0)


def test_stripping_is_watched_for_each_kilogram_put_in():
    work = asked("strip solvent", (stream(1, water=2000.0),), (NONE,), {"strip_min_per_kg": 30.0})

    assert work.watch_min == pytest.approx(60.0)


def test_a_shake_takes_ten_minutes_of_hands_and_a_quarter_of_an_hour_to_part():
    work = asked("partition", (NONE,), (NONE,), {"shakes": 3})

    assert (work.hands_min, work.free_min) == (30.0, 45.0)


def test_a_percolate_drips_by_the_kilogram_of_plant_without_its_water():
    plant = stream(1, plant_solids=300.0, marker=80.0, other_extractables=120.0, water=77.0)
    # 998.201 g of water is 1000 mL; half a kilogram of plant at 4 mL/min for each kilogram gives 2 mL/min.
    work = asked("percolate", (plant,), (stream(1, water=998.201),), {"drip_ml_per_min_kg": 4.0})

    assert work.free_min == pytest.approx(500.0, rel=1e-5)


def test_boiling_water_over_takes_the_heat_of_the_steam_tables():
    # Water: 4.19 J/(g K) from 20 to 100 °C and 2257 J/g at 100 °C (steam tables, from memory); good to 5 %.
    settings = {"heater_w": 1000.0, "heat_reaching_share": 0.5}
    heat_j = 1000.0 * 4.19 * 80.0 + 100.0 * 2257.0
    work = asked("distil", (stream(1, water=1000.0),), (stream(1, water=100.0),), settings)

    assert work.watch_min == pytest.approx(heat_j / 500.0 / 60.0, rel=0.05)
    assert work.heat_kwh == pytest.approx(heat_j / 0.5 / 3.6e6, rel=0.05)
    assert work.cooling_j == pytest.approx(100.0 * 2257.0, rel=0.05)


def test_boiling_spirit_over_takes_its_own_lesser_heat():
    # Pure ethanol: boils at 78.3 °C, 2.6 J/(g K) on the way, 838 J/g there (CRC Handbook, from memory).
    settings = {"heater_w": 1000.0, "heat_reaching_share": 1.0}
    heat_j = 1000.0 * 2.6 * 58.3 + 500.0 * 838.0
    spirit, over = stream(1, ethanol=999.0, water=1.0), stream(1, ethanol=500.0)
    work = asked("drive off spirit", (spirit,), (over,), settings)

    assert work.heat_kwh == pytest.approx(heat_j / 3.6e6, rel=0.05)
    assert work.cooling_j == pytest.approx(500.0 * 838.0, rel=0.05)


def test_the_minutes_of_a_step_are_those_written_and_those_its_kind_asks():
    account = extraction()
    for step in procedure("bark-extract").steps:
        found = account.step(step.name)
        own = KINDS[step.kind].asks(
            tuple(found.taken.values()), tuple(found.given.values()),
            {one.name: one.value for one in step.settings},
        )  # fmt: skip

        for part in ("hands_min", "watch_min", "free_min"):
            expected = getattr(step, part) + np.asarray(getattr(own, part))
            assert np.asarray(getattr(found.work, part)) == pytest.approx(expected, rel=1e-12), step.name
        assert np.asarray(found.work.heat_kwh) == pytest.approx(np.asarray(own.heat_kwh), rel=1e-12)
        assert np.asarray(found.work.cooling_j) == pytest.approx(np.asarray(own.cooling_j), rel=1e-12)


def test_work_is_reckoned_only_where_it_is_asked_for():
    plain = run(procedure("bark-extract"), FEEDS, {}, 250.0, 1)

    assert all(step.work.hands_min == step.work.watch_min == 0.0 for step in plain.steps)
