"""Laws of a yield over time against curves others have published, and against fits others have made of them.

Published: the points of ``kinetics_tables.csv`` (flow through a bed, and stirred batches; second-hand, from the example
data of a public package that cites each paper). Computed: ``kinetics_fits.json``, least squares by somebody else on
these points: it guards against slips and is no outside evidence. None of the curves is a Soxhlet's: no published table
of one was found.
"""

import csv
import json
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

from stillroom.errors import NotEnough
from stillroom.science.extraction.diffusion import out_of_cylinder, out_of_sphere
from stillroom.science.extraction.kinetics import yield_by_law
from stillroom.science.extraction.kinetics_fit import choose_law, fit_law
from stillroom.science.extraction.uptake import time_at_size_min

HERE = Path(__file__).parent
POINTS: dict[str, list[tuple[float, float]]] = defaultdict(list)
for _row in csv.DictReader((HERE / "kinetics_tables.csv").read_text().splitlines()):
    POINTS[_row["dataset"]].append((float(_row["time_min"]), float(_row["cumulative_yield"])))
COMPUTED = json.loads((HERE / "kinetics_fits.json").read_text())
CALLED = {
    "first_order": "first order", "peleg": "Peleg", "instant_washing_then_slow": "washing and diffusion",
}  # fmt: skip
CASES = [(name, law) for name, found in COMPUTED.items() for law in found["fits"]]


def curve(name: str) -> tuple[list[float], list[float]]:
    minutes, yields = zip(*POINTS[name], strict=True)
    return list(minutes), list(yields)


@pytest.mark.parametrize(("name", "law"), CASES)
def test_least_squares_agree_with_those_of_somebody_else(name: str, law: str) -> None:
    # computed: printed to four or five digits
    minutes, yields = curve(name)
    found, printed = fit_law(CALLED[law], minutes, yields, with_intervals=False), COMPUTED[name]["fits"][law]

    assert found.yield_at_end.value == pytest.approx(printed["y_inf"], rel=2e-4)
    assert found.rmse == pytest.approx(printed["RMSE"], rel=2e-4)
    assert found.r_squared == pytest.approx(printed["R2"], abs=2e-5)
    if law == "peleg":
        assert 1.0 / found.yield_at_end.value == pytest.approx(printed["K2"], rel=2e-4)
        first = found.parameters["rate"].value * found.yield_at_end.value
        assert first == pytest.approx(printed["initial_rate"], rel=2e-4)
        assert 1.0 / first == pytest.approx(printed["K1"], rel=2e-4)
    else:
        assert found.parameters["rate"].value == pytest.approx(printed["k_per_min"], rel=3e-4)
    if law == "instant_washing_then_slow":
        assert found.parameters["washed share"].value == pytest.approx(
            printed["b_washed"], rel=1e-3, abs=1e-6
        )


@pytest.mark.parametrize("name", sorted(COMPUTED))
def test_a_law_of_two_figures_passes_through_a_published_curve(name: str) -> None:
    # published points; the best of the plain laws explains at least 99 % of their spread
    minutes, yields = curve(name)
    best = choose_law(minutes, yields, ("first order", "Peleg"))[0]

    assert best.r_squared > 0.99
    low, high = best.yield_at_end.low, best.yield_at_end.high
    assert low < best.yield_at_end.value < high
    assert high > max(yields) * 0.98


def test_curves_of_three_points_are_too_few_for_three_figures() -> None:
    minutes, yields = curve("pomace_EtOH50_1to10")
    with pytest.raises(NotEnough, match="takes more points"):
        fit_law("washing and diffusion", minutes, yields)


@pytest.mark.parametrize(
    ("geometry", "printed", "allowed"), [(out_of_sphere, 0.77048, 2e-4), (out_of_cylinder, 0.60582, 3e-4)]
)
def test_diffusion_at_a_tenth_of_the_fourier_number(geometry, printed, allowed) -> None:
    # Crank, The mathematics of diffusion (from memory); two forms agree
    assert geometry(0.1) == pytest.approx(printed, abs=allowed)


def test_lemongrass_after_two_hours_by_first_order() -> None:
    # Baou and others 2022 (abstract, second-hand): 0.0087 /min and 0.89 %; 0.57668 is the same equation
    assert yield_by_law("first order", 120.0, 0.89, [0.0087]) == pytest.approx(0.57668, rel=0.002)


def test_two_sites_after_half_an_hour() -> None:
    # So and Macdonald 1986 (from memory), same equation: 60 of 100 at 0.5 /min, the rest at 0.01 /min: 70.367
    assert yield_by_law("two sites", 30.0, 100.0, [0.6, 0.01, 49.0]) == pytest.approx(70.367, rel=0.002)


def test_constants_of_peleg_as_an_abstract_prints_them() -> None:
    # Baou and others 2022 (abstract, second-hand): K1 217.94 min/%, K2 0.6022 /%; the ratio printed is K2/K1, 0.0028
    rate = 0.6022 / 217.94

    assert rate == pytest.approx(0.0028, abs=5e-5)
    assert yield_by_law("Peleg", 120.0, 1 / 0.6022, [rate]) == pytest.approx(
        120 / (217.94 + 0.6022 * 120), rel=1e-9
    )


def test_finer_leaf_gives_as_much_faster_as_printed() -> None:
    # Price and Spiro 1985 (abstract, second-hand): 2.2 times as fast from 500-600 as from 850-1000 µm; exponent 1.5166
    # is the same equation on the means of the sieves
    assert time_at_size_min(2.2, 0.925, 0.550, 1.5166) == pytest.approx(1.0, rel=0.001)


def test_curves_that_do_not_meet_at_equal_volume_are_not_washing_alone() -> None:
    # Barrera Vázquez and others 2015 (second-hand): 3 mL/min gives 9.6 mg/g at 360 mL, 7 mL/min 16.0 at 385 mL
    at_3, at_7 = (dict(POINTS[f"barrera_anthraquinones_{flow}mLmin"]) for flow in (3, 7))
    slow = np.interp(360.0 / 3.0, list(at_3), list(at_3.values()))
    fast = np.interp(385.0 / 7.0, list(at_7), list(at_7.values()))

    assert fast > 1.4 * slow
