"""Earlier portions tell how a titration repeats for the plant they were of, and for no other."""

import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.testing.titration import keep_earlier_portions, titrate
from stillroom.demo.shelves import EARLIER_EXTRACTS
from stillroom.evidence.trails import from_trail
from tests.practice import later

WILD = tuple((one[0], f"{float(one[1]) + 9:.1f}") for one in EARLIER_EXTRACTS) * 5


def sure(lab: Laboratory, hours: int) -> float:
    """The standard uncertainty of the content of E1, titrated again [%]."""
    titrate(
        lab, "E1", portions=[("0.2000 g", "8.42 mL"), ("0.2000 g", "8.16 mL"), ("0.2000 g", "8.23 mL")],
        blank="20.06 mL", titrant="NAOH-01", scale="SCALE-3", burette="BUR-1", by="TO", at=later(hours),
    )  # fmt: skip
    with lab.look() as look:
        last = next(one for one in reversed(look.results("E1")) if one.body.what.endswith("as is"))
    return from_trail(last.body.trail).standard_uncertainty or 0.0


def test_wild_portions_of_another_plant_change_nothing_and_those_of_its_own_do(lab: Laboratory) -> None:
    copy_procedure(lab, "maceration", "rosemary leaf", "rosmarinic acid", "rosemary-extract", by="TO")
    before = sure(lab, 1)
    keep_earlier_portions(lab, "rosemary-extract", WILD, carrier="extract", by="MA", at=later(2))
    beside = sure(lab, 3)
    keep_earlier_portions(lab, "bark-extract", WILD, carrier="extract", by="MA", at=later(4))

    assert beside == pytest.approx(before, rel=1e-12)
    assert sure(lab, 5) > 2.0 * before
