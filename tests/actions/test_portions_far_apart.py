"""A portion that is far from the others of its sample is asked about once, and kept with a note."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.testing.absorbance import measure_absorbance
from stillroom.actions.testing.portions import Gave, ask_about_unlike
from stillroom.errors import BadEntry
from tests.practice import copied, extracted_folder, opened


@pytest.fixture
def lab(tmp_path):
    with opened(copied(tmp_path, extracted_folder)) as found:
        yield found


def _alike(*pairs: tuple[float, float]) -> list[Gave]:
    return [Gave(f"titre-{at}", f"{mass}, {gave}", mass, gave) for at, (mass, gave) in enumerate(pairs, 1)]


@pytest.mark.parametrize(
    ("pairs", "field"),
    [
        ([(0.2, 8.42), (0.2, 84.2), (0.2, 8.4)], "titre-2"),  # a point one place off
        ([(0.2, 8.42), (2.0, 8.42), (0.2, 8.4)], "titre-2"),  # of the mass
        ([(0.2, 8.42), (0.2, 0.842)], "titre-2"),  # two that differ: the later
        ([(0.2, 8.42), (0.2, 8.4), (0.2, -3.0)], "titre-3"),
    ],
)
def test_a_slip_of_the_point_is_asked_about_at_its_portion(pairs, field):
    with pytest.raises(BadEntry, match="as much for a gram") as refused:
        ask_about_unlike(_alike(*pairs), 0.1, None)
    ask_about_unlike(_alike(*pairs), 0.1, "it showed so")

    assert refused.value.where == field


@pytest.mark.parametrize(
    "pairs",
    [
        [(0.2, 8.42)],
        [(0.2, 8.42), (0.1, 4.25), (0.4, 16.5)],
        [(0.2, 5.0), (0.2, 8.0), (0.2, 6.0)],  # what a poor method scatters
        [(0.2, 0.02), (0.2, 0.08)],  # near nothing, within what readings differ by
        [(0.2, 8.42), (0.0, 8.42)],
    ],
)
def test_portions_in_proportion_or_near_nothing_are_not_asked_about(pairs):
    ask_about_unlike(_alike(*pairs), 0.1, None)


def test_an_absorbance_ten_times_off_leaves_the_book_as_it_was_until_it_is_said_that_it_showed_so(
    lab: Laboratory,
) -> None:
    said = {
        "portions": [("0.2000 g", "0.523"), ("0.2010 g", "0.0523")], "marker": "total phenols",
        "reckoned_as": "gallic acid", "scale": "SCALE-3", "made_up_to": "10 mL", "diluted": "100",
        "standards": (("10 mg/L", "0.120"), ("50 mg/L", "0.568")),
    }  # fmt: skip
    before = lab.book.digest()
    with pytest.raises(BadEntry, match="as much for a gram"):
        measure_absorbance(lab, "CIN-01", by="TO", **said)
    untouched = lab.book.digest()
    done = measure_absorbance(lab, "CIN-01", by="TO", **said, note="a bubble in the cell")

    with lab.look() as look:
        noted = look.entry(done.entries[0]).why

    assert untouched == before
    assert noted == "a bubble in the cell"
    assert len(done.entries) >= 4
