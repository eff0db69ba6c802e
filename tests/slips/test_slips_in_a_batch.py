"""Random batches through random slips: every page answers, every slip can be put right, every batch can be ended.

A few batches with fixed seeds; thousands by hand: ``python -m tests.slips.test_slips_in_a_batch 1 2001``.
"""

import sys

import pytest

from stillroom.actions.orders import forecasting
from tests.long_form import times
from tests.slips import bench
from tests.slips.bench import slip

DRAWS = 64
"""Fewer than a person sees: whether a page opens does not hang on how many draws stand behind it."""


def test_no_slip_closes_a_page_and_every_batch_can_be_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forecasting, "DRAWS", DRAWS)
    seeds = (300, 301, 302, 305)[: times(4, 2)]
    tally = slip(seeds, acts=8)

    assert [str(one) for one in tally.findings] == []
    assert tally.batches == len(seeds)
    assert tally.pages > 15 * len(seeds)
    assert tally.corrections > len(seeds)


def test_the_hand_finds_what_cannot_be_recorded(monkeypatch: pytest.MonkeyPatch) -> None:
    def stubborn(*_: object, **__: object) -> object:
        raise ValueError("a mass far off")

    monkeypatch.setattr(forecasting, "DRAWS", DRAWS)
    monkeypatch.setattr(bench, "do_step", stubborn)
    tally = slip((300,), acts=6)

    assert any("a mass far off" in one.error for one in tally.findings)


def test_an_ingredient_of_which_nothing_was_weighed_closes_no_label(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forecasting, "DRAWS", DRAWS)

    assert [str(one) for one in slip((1177,), sheets=True).findings] == []


if __name__ == "__main__":
    forecasting.DRAWS = DRAWS
    found = slip(range(int(sys.argv[1]), int(sys.argv[2])), sheets=True)
    told = (
        f"{found.batches} batches, {found.tries} acts, {found.corrections} corrections, {found.pages} pages"
    )
    sys.stdout.write("\n".join((told, *map(str, found.findings))) + "\n")
