"""A step that gives more than it took is asked about: one of two weighings is wrong, or something was added."""

from datetime import timedelta

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.errors import BadEntry
from tests.practice import later

BEGINS = later(0) - timedelta(hours=8)


def step(lab: Laboratory, name: str, note: str = "", **weighed: str) -> str:
    ticks = ("Pot stands firm, nobody behind it", "Somebody stays with it")
    lines = tuple(
        Weighed(line.replace("_", " "), mass, {"plant": "CIN-01", "water": "WAT-01"}.get(line, ""))
        for line, mass in weighed.items()
    )
    return do_step(lab, "I1", name, lines, ticks=ticks, note=note, by="TO", at=BEGINS).says


@pytest.fixture
def tea(lab: Laboratory) -> Laboratory:
    copy_procedure(lab, "infusion", "cinchona bark", "quinine", "bark-tea", by="TO", at=BEGINS)
    begin_batch(lab, "I1", "bark-tea", "80 g", by="TO", at=BEGINS)
    step(lab, "infuse", "by hand", plant="80.00 g", water="1198 g", infusion="980 g", wet_marc="262 g")
    return lab


def test_a_liquor_heavier_than_what_was_filtered_is_asked_about(tea: Laboratory) -> None:
    with pytest.raises(BadEntry, match="clear infusion: 9610 g, of infusion: 980 g"):
        step(tea, "filter", clear_infusion="9610 g")

    step(tea, "filter", "the filter was rinsed", clear_infusion="1020 g")


def test_a_slip_in_what_was_weighed_before_is_seen_where_its_parts_are_weighed(tea: Laboratory) -> None:
    step(tea, "filter", clear_infusion="961 g")
    step(tea, "evaporate", soft_extract="15.10 g")
    with pytest.raises(BadEntry, match=r"dry extract: 1.05 g where .* was expected"):
        step(tea, "dry", dry_extract="1.05 g")  # 10.5 g
    step(tea, "dry", "as the scale showed", dry_extract="1.05 g")

    with pytest.raises(BadEntry, match=r"extract, sample: 10.5 g, of dry extract: 1.05 g"):
        step(tea, "set a sample aside", extract="10.00 g", sample="0.50 g")


def test_it_is_kept_with_what_happened(tea: Laboratory) -> None:
    step(tea, "filter", "half of yesterday's joined", clear_infusion="1500 g")

    with tea.look() as look:
        assert "of infusion: 980 g" in look.deviations("I1")[-1].body.what
