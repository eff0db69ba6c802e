"""An extract that would hold more of its active than its plant did is asked about at its release."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.releasing.list_lines import lines_from_book
from stillroom.actions.testing.outside import enter_outside_result


@pytest.mark.parametrize(
    ("found", "asked"),
    [("38.4 % ± 1 (k = 2)", False), ("384 mg/g ± 10 (k = 2)", False), ("99 % ± 1 (k = 2)", True)],
)
def test_more_active_than_the_plant_held_is_to_be_decided_by_name(
    lab: Laboratory, found: str, asked: bool
) -> None:
    enter_outside_result(
        lab, "E1", marker="total alkaloids", found=found,
        matter="as is", laboratory="Kura", certificate="9", method="UV", reckoned_as="quinine", by="TO",
    )  # fmt: skip
    with lab.look() as look:
        lines = [one for one in lines_from_book(look, "E1") if one.key == "active-account"]
    assert [one.standing for one in lines] == (["undecided"] if asked else [])
