"""A second-order surface through designed trials against the analyses that are printed of them.

``response_surface.json``: data of a reaction in two blocks (second-hand, as a public package of worked examples carries
them) and of a textbook example (recalled); every printed figure recalled, to the digits of the print.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from stillroom.science.measuring.response_surface import Surface, second_order_surface

CASES = {one["id"]: one for one in json.loads((Path(__file__).parent / "response_surface.json").read_text())}
STEP, MIDDLE = np.array([5.0, 5.0]), np.array([85.0, 175.0])
"""Both designs are coded alike: (time - 85) / 5 and (temperature - 175) / 5."""


def surface(name: str) -> Surface:
    inputs = CASES[name]["inputs"]
    if "coded" in inputs:
        return second_order_surface(inputs["coded"], inputs["y"])
    points = (np.column_stack([inputs["Time"], inputs["Temp"]]) - MIDDLE) / STEP
    return second_order_surface(points.tolist(), inputs["Yield"], inputs["Block"])


def figures(found: Surface) -> dict[str, float]:
    at = found.stationary
    assert at is not None
    return {
        "b0": found.constant,
        "b1": found.slopes[0],
        "b2": found.slopes[1],
        "b12": 2.0 * found.curvature[0, 1],
        "b11": found.curvature[0, 0],
        "b22": found.curvature[1, 1],
        "block2": found.blocks[0] if len(found.blocks) else np.nan,
        "xs1": at[0],
        "xs2": at[1],
        "time": (MIDDLE + STEP * at)[0],
        "temp": (MIDDLE + STEP * at)[1],
        "ys": found.at(at)[0],
        "ev1": found.eigenvalues[0],
        "ev2": found.eigenvalues[1],
    }


@pytest.mark.parametrize(
    ("case", "figure"), [(name, one) for name, case in CASES.items() for one in case["printed"]]
)
def test_every_printed_figure_of_a_surface_is_met(case: str, figure: str) -> None:
    printed = CASES[case]["printed"][figure]

    assert figures(surface(case))[figure] == pytest.approx(printed["value"], abs=printed["tol"])


@pytest.mark.parametrize("case", CASES)
def test_both_surfaces_have_a_top(case: str) -> None:
    assert surface(case).shape == "top"
