"""Offers in a virtual laboratory: dates promised at 80 % are kept, costs lie in their bands, as often as said."""

import pytest
from scipy.stats import binom

from tests.coverage.offered import enquiry, lived, promise
from tests.long_form import STUDY, studied

ENQUIRIES = studied(400, 90, 60)
OUTSIDE = 0.001
KEPT = 0.75, 0.85
"""What is asked of dates promised at 80 %. [fraction]"""


@pytest.fixture(scope="module")
def came() -> list[tuple[bool, float, bool]]:
    found = []
    for seed in range(ENQUIRIES):
        one = enquiry(seed)
        said, truth = promise(one), lived(one, seed)
        found.append((truth.days <= said.days, said.stated_percent, said.low <= truth.cost <= said.high))
    return found


def holds(held: int, stated: float) -> bool:
    low, high = (binom.ppf(at, ENQUIRIES, stated) for at in (OUTSIDE / 2, 1 - OUTSIDE / 2))
    return bool(low <= held <= high)


def test_a_date_promised_at_80_percent_is_kept_so_often(came):
    kept = sum(one for one, _, _ in came)
    stated = sum(one for _, one, _ in came) / len(came) / 100.0

    assert holds(kept, stated)
    if STUDY:
        assert KEPT[0] <= kept / ENQUIRIES <= KEPT[1]


def test_what_an_order_came_to_cost_lies_in_its_band_as_often_as_said(came):
    assert holds(sum(inside for _, _, inside in came), 0.90)
