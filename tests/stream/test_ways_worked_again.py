"""Fresh plant, reflux, percolation in two parts and drying worked again with nothing of ours: five cases each.

Equations: equilibrium of a portion, out = (V - kept) S / (V + K m), the way there 1 - (1 - b) exp(-t/tau); tanks in a
row, 1 - (1/N) sum Q(i, N V / (beta m)) by the Poisson tail; Arrhenius; dry plant over (1 - water). Densities of spirit
at 20 °C (handbook, from-memory) and boiling points of spirit at one atmosphere (from-memory), both interpolated.
"""

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from scipy.stats import poisson

from stillroom.stream.components import ETHANOL, MARKER, OTHERS, SOLIDS, WATER
from stillroom.stream.kinds import KINDS
from tests.stream.practice import stream, works

TENTHS = np.linspace(0.0, 1.0, 11)
DENSITY = PchipInterpolator(
    TENTHS, [0.9982, 0.9819, 0.9686, 0.9538, 0.9352, 0.9138, 0.8911, 0.8677, 0.8434, 0.8180, 0.7893]
)
BOILS_C = PchipInterpolator(
    [0.0, 0.195, 0.384, 0.422, 0.522, 0.6, 0.70, 0.86, 0.94],
    [100.0, 87.7, 83.1, 82.6, 81.5, 80.9, 80.1, 78.7, 78.2],
)
CASES = range(5)


def drawn(case: int, low: float, high: float, salt: int) -> float:
    return float(np.random.default_rng([case, salt]).uniform(low, high))


def charge(case: int, wet_low: float, wet_high: float) -> tuple[dict[str, float], dict[str, float]]:
    """A plant of 100 g dry with its water, and spirit of 8 to 14 mL for a gram."""
    wet = drawn(case, wet_low, wet_high, 1)
    plant = {
        "plant_solids": 70.0,
        "marker": 5.0,
        "other_extractables": 25.0,
        "water": 100.0 * wet / (1.0 - wet),
    }
    spirit, share = drawn(case, 700.0, 1200.0, 2), drawn(case, 0.45, 0.9, 3)
    return plant, {"ethanol": spirit * share, "water": spirit * (1.0 - share)}


def stands(volume_ml: float, kept_ml: float, sorbs_ml: float, portions: int, still: float) -> float:
    """Share drained off by equal portions; ``still`` of the way is not gone, a third of the first is gone at once."""
    left, dissolved, held, out = 1.0, 0.0, 0.0, 0.0
    for number in range(portions):
        liquid = volume_ml / portions + held
        at_rest = left * liquid / (liquid + sorbs_ml)
        dissolved += (at_rest - dissolved) * (1.0 - (0.65 if number == 0 else 1.0) * still)
        gone = dissolved * (liquid - kept_ml) / liquid
        out, left, dissolved, held = out + gone, left - gone, dissolved - gone, kept_ml
    return out


@pytest.mark.parametrize("case", CASES)
def test_a_fresh_plant_brings_its_water_into_the_liquid(case: int) -> None:
    plant, spirit = charge(case, 0.5, 0.85)
    portions = 1.0 + case % 3
    settings = {
        "retention_ml_per_g": 1.4, "sorption_ml_per_g": 0.4, "portions": portions, "contact_min": 2000.0,
        "uptake_min": drawn(case, 500.0, 3000.0, 4), "washed_share": 0.35, "evaporated_share": 0.0,
        "marker_within_reach_share": 0.9, "others_within_reach_share": 0.8,
    }  # fmt: skip
    drained, marc = works("macerate", (stream(1, **plant), stream(1, **spirit)), settings).outlets
    water = plant["water"] + spirit["water"]
    volume = (water + spirit["ethanol"]) / DENSITY(spirit["ethanol"] / (water + spirit["ethanol"]))
    share = stands(volume, 140.0, 40.0, round(portions), np.exp(-2000.0 / settings["uptake_min"]))

    assert drained[MARKER][0] == pytest.approx(5.0 * 0.9 * share, rel=2e-3)
    assert drained[OTHERS][0] == pytest.approx(25.0 * 0.8 * share, rel=2e-3)
    assert drained[ETHANOL][0] == pytest.approx(spirit["ethanol"] * (1.0 - 140.0 / volume), rel=2e-3)
    assert marc[WATER][0] == pytest.approx(water * 140.0 / volume, rel=2e-3)


@pytest.mark.parametrize("case", CASES)
def test_a_reflux_goes_as_fast_as_its_liquid_boils(case: int) -> None:
    plant, spirit = charge(case, 0.06, 0.14)
    settings = {
        "retention_ml_per_g": 1.4, "sorption_ml_per_g": 0.4, "portions": 1.0, "contact_min": 60.0,
        "uptake_at_80c_min": drawn(case, 20.0, 90.0, 4), "activation_energy_kj_per_mol": drawn(case, 20.0, 45.0, 5),
        "washed_share": 0.35, "lost_g_per_kg_h": 0.0, "broken_down_share": 0.0, "heater_w": 300.0,
        "heat_reaching_share": 0.6, "marker_within_reach_share": 0.9, "others_within_reach_share": 0.8,
    }  # fmt: skip
    liquor = works("reflux", (stream(1, **plant), stream(1, **spirit)), settings).outlets[0]
    water = plant["water"] + spirit["water"]
    strength = spirit["ethanol"] / (water + spirit["ethanol"])
    volume = (water + spirit["ethanol"]) / DENSITY(strength)
    warm_k = float(BOILS_C(strength)) + 273.15
    hastened = np.exp(
        1000.0 * settings["activation_energy_kj_per_mol"] / 8.314 * (1.0 / warm_k - 1.0 / 353.15)
    )
    share = stands(volume, 140.0, 40.0, 1, np.exp(-60.0 / (settings["uptake_at_80c_min"] * hastened)))

    assert liquor[MARKER][0] == pytest.approx(5.0 * 0.9 * share, rel=4e-3)
    assert liquor[OTHERS][0] == pytest.approx(25.0 * 0.8 * share, rel=4e-3)
    assert liquor[WATER][0] == pytest.approx(water * (1.0 - 140.0 / volume), rel=2e-3)


@pytest.mark.parametrize("case", CASES)
def test_a_percolation_in_two_parts_parts_what_the_tanks_give(case: int) -> None:
    plant, spirit = charge(case, 0.06, 0.75)
    tanks, beta, reserve = 1 + case % 2, drawn(case, 0.5, 1.6, 4), drawn(case, 0.7, 3.0, 5)
    settings = {
        "retention_ml_per_g": 1.4, "washing_capacity_ml_per_g": beta, "tanks": float(tanks), "pushed_out_share": 0.0,
        "evaporated_share": 0.0, "reserve_ml_per_g": reserve, "marker_within_reach_share": 0.9,
        "others_within_reach_share": 0.8,
    }  # fmt: skip
    moist = {**plant, "ethanol": 1e-9}
    pushing = stream(1, water=1e-9)
    first, after, marc = works(
        "percolate in two parts", (stream(1, **moist), stream(1, **spirit), pushing), settings
    ).outlets
    water = plant["water"] + spirit["water"]
    volume = (water + spirit["ethanol"]) / DENSITY(spirit["ethanol"] / (water + spirit["ethanol"]))
    drips = volume - 140.0

    def out(collected_ml: float) -> float:
        mean = tanks * collected_ml / (beta * 100.0)
        return 1.0 - sum(poisson.cdf(one - 1, mean) for one in range(1, tanks + 1)) / tanks

    assert first[MARKER][0] == pytest.approx(4.5 * out(100.0 * reserve), rel=2e-3)
    assert after[MARKER][0] == pytest.approx(4.5 * (out(drips) - out(100.0 * reserve)), rel=1e-2, abs=2e-4)
    assert first[ETHANOL][0] == pytest.approx(spirit["ethanol"] * 100.0 * reserve / volume, rel=2e-3)
    assert marc[OTHERS][0] == pytest.approx(25.0 - 20.0 * out(drips), rel=2e-3)


@pytest.mark.parametrize("case", CASES)
def test_a_dried_plant_keeps_its_dry_matter_and_the_water_that_is_wanted(case: int) -> None:
    plant, _ = charge(case, 0.6, 0.88)
    wanted, lost = drawn(case, 0.06, 0.13, 4), drawn(case, 0.0, 0.2, 5)
    settings = {
        "dried_water_share": wanted, "marker_lost_share": lost, "rack_h": 60.0, "spread_min_per_kg": 12.0,
    }  # fmt: skip
    fresh = stream(1, **plant)
    done = works("dry plant", (fresh,), settings)
    dry = done.outlets[0]
    work = KINDS["dry plant"].asks((fresh,), done.outlets, settings)

    assert dry[WATER][0] == pytest.approx(100.0 / (1.0 - wanted) - 100.0, rel=1e-12)
    assert dry[MARKER][0] == pytest.approx(5.0 * (1.0 - lost), rel=1e-12)
    assert dry[SOLIDS][0] == pytest.approx(70.0, rel=1e-12)
    assert work.hands_min == pytest.approx(12.0 * (100.0 + plant["water"]) / 1000.0)
