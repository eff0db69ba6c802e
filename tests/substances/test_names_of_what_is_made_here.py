"""What a starter makes is one substance where a formula names it, whatever the plant and the way."""

import pytest

from stillroom.records.starters import starter
from stillroom.substances.written_names import parts_of

WAYS = (
    "maceration", "percolation", "soxhlet", "reflux", "infusion", "alkaloid-clean-up", "oil-maceration",
    "glycerol-maceration",
)  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(
    "plant",
    ["horse chestnut seed", "black tea leaf", "hawthorn leaf and flower", "a plant that nobody knows"],
)
def test_the_extract_of_a_starter_is_one_name_and_its_way_no_second(way: str, plant: str) -> None:
    made = starter(way).procedure.makes.replace("{plant}", plant)

    (part,) = parts_of(made)
    assert part.written.startswith(plant.split()[0])
