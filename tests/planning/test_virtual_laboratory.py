"""Four hundred orders of laboratories with hidden truths: the plan's bands hold it, narrow, and keep their promise.

After its eleven orders each house plans a plant that it never had, by the same way.
"""

import pickle
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from zlib import crc32

import numpy as np
import pytest

from tests.long_form import STUDY, studied
from tests.planning.any_plant import WAYS
from tests.planning.virtual_laboratory import Order, VirtualLaboratory, ordered, orders_of
from tests.practice import told_once

ORDERS_EACH = 11
LABORATORIES = studied(36, 8, 6)
"""Of eleven orders each: 396 in the long form."""
NAMES = ("extract", "marker")
ANOTHER = {"infusion": "nettle leaf", "maceration": "sage leaf", "hydrodistillation": "rosemary leaf"}


@cache
def _told() -> tuple[tuple[VirtualLaboratory, tuple[Order, ...]], ...]:
    """The laboratories and their orders, reckoned once for all processes of a run."""
    written = sorted(Path(__file__).parent.glob("*.py"))
    sealed = crc32(b"".join(one.read_bytes() for one in written))
    kept = told_once(f"orders-of-{LABORATORIES}-{sealed}", _tell) / "orders"
    told: tuple[tuple[VirtualLaboratory, tuple[Order, ...]], ...] = pickle.loads(kept.read_bytes())
    return told


def _tell(folder: Path) -> None:
    ways = list(WAYS)
    labs = (VirtualLaboratory(seed, ways[seed % len(ways)]) for seed in range(LABORATORIES))
    folder.mkdir(parents=True)
    (folder / "orders").write_bytes(pickle.dumps([(lab, tuple(orders_of(lab, ORDERS_EACH))) for lab in labs]))


def orders() -> tuple[Order, ...]:
    return tuple(order for _, made in _told() for order in made)


@cache
def orders_of_another_plant() -> tuple[Order, ...]:
    return tuple(_of_another())


def _of_another() -> Iterator[Order]:
    for lab, _ in _told():
        other = lab.with_another(ANOTHER[lab.way])
        run_of = other.belongs(ORDERS_EACH)
        yield ordered(other, run_of, other.truth(run_of), ORDERS_EACH)


def _held(found: tuple[Order, ...], name: str) -> float:
    return float(np.mean([one.bands[name][0] <= one.bands[name][2] <= one.bands[name][1] for one in found]))


def test_bands_of_80_in_100_hold_the_truth_as_often_as_they_say() -> None:
    both = [_held(orders(), name) for name in NAMES]
    slack = 0.0 if STUDY else 0.08

    assert 0.75 - slack <= float(np.mean(both)) <= 0.85 + slack
    for held in both:
        assert 0.75 - slack <= held <= 0.88 + slack


@pytest.mark.parametrize("name", NAMES)
def test_after_ten_batches_of_the_plant_they_are_at_most_half_as_wide_as_after_none(name: str) -> None:
    tenth = [one.wide[name] / one.wide_alone[name] for one in orders() if one.number == ORDERS_EACH - 1]

    assert float(np.median(tenth)) <= 0.5


def test_what_was_planned_to_be_enough_in_95_of_100_is_enough_in_93() -> None:
    claims = [one.claim for one in orders()]

    assert float(np.mean([bool(one) for one in claims])) >= 0.93


@pytest.mark.parametrize("name", NAMES)
def test_of_another_plant_they_are_no_wider_than_before(name: str) -> None:
    wide = [one.wide[name] / one.wide_alone[name] for one in orders_of_another_plant()]

    assert float(np.median(wide)) <= 1.01
    assert max(wide) <= 1.1
