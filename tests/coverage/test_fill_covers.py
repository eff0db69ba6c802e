"""The mean content of a filling holds the truth as often as its ± says: scale, density, bottles not weighed."""

import numpy as np
import pytest

from stillroom.evidence.answer import reading
from stillroom.products.filling import check_fill
from tests.coverage.limits import holds_95, limits
from tests.long_form import studied

TRIES = studied(600, 200, 100)
U_SCALE_G, U_DENSITY = 0.02, 0.0004


@pytest.mark.parametrize(("weighed", "scatter_g"), [(3, 0.4), (8, 0.2), (8, 0.02), (51, 0.3)])
def test_the_mean_content_of_all_bottles_holds_the_truth_95_times_in_100(
    weighed: int, scatter_g: float
) -> None:
    chance, held = np.random.default_rng(weighed), 0
    for _ in range(TRIES):
        density = 0.95 + U_DENSITY * chance.standard_normal()
        contents_g = 96.0 + scatter_g * chance.standard_normal(51)
        seen = contents_g[:weighed] + U_SCALE_G * chance.standard_normal(weighed)
        found = check_fill(
            [
                reading(f"bottle {at}", float(one), "g", "as read", standard_uncertainty=U_SCALE_G)
                for at, one in enumerate(seen)
            ],
            reading("nominal", 100.0, "mL", "label"),
            reading("density", 0.95, "g/mL", "bottle", standard_uncertainty=U_DENSITY),
            51,
        ).sure
        held += abs(found.answer.value - contents_g.mean() / density) <= found.expanded_uncertainty

    assert holds_95(held, TRIES)


def test_the_limits_of_a_series_follow_from_its_number_of_tries() -> None:
    # By hand: of 20 tries of 95 in 100, 14 or fewer hold 3 times in 10,000, 15 or fewer 26 times; 20 of 20 may be.
    assert limits(20) == (0.75, 1.0)
    assert limits(100_000) == (0.93, 0.97)
    assert not holds_95(540, 600)  # 90 in 100
    assert holds_95(570, 600)
