"""What an instrument cannot have shown is told at its entry, in every test of a lot; nothing is written then."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.testing.kinds import KINDS
from stillroom.errors import StillroomError

DRYING = {
    "apparatus": "SCALE-3", "dish": "31.2040 g", "dish-with-sample": "33.2040 g", "dish-after-drying-1": "33.0216 g",
}  # fmt: skip
TITRATION = {
    "sample-taken-portion-1": "1.0150 g", "sample-titre-portion-1": "8.42 mL", "blank-titre": "20.06 mL",
    "titrant": "NAOH-01", "scale": "SCALE-2", "burette": "BUR-1",
}  # fmt: skip
RESIDUE = {"solvent": "ethyl acetate", "found": "310 mg/kg", "report": "R 12"}
SEEN = {"sample": "clear", "blank": "clear", "positive": "precipitate"}


@pytest.mark.parametrize(
    ("test", "lot", "said", "where"),
    [
        ("drying", "CIN-01", DRYING | {"dish": "31 mL"}, "dish"),
        ("titration", "E1", TITRATION | {"sample-taken-portion-1": "1 mL"}, "sample-taken-portion-1"),
        ("titration", "E1", TITRATION | {"burette": "SCALE-1"}, "sample-titre-portion-1"),
        ("residue", "E1", RESIDUE | {"found": "310 ppm"}, "found"),
        ("residue", "E1", RESIDUE | {"uncertainty": "10 %"}, "uncertainty"),
        ("residue", "E1", RESIDUE | {"found": "310 mL"}, "found"),
        ("residue", "E1", RESIDUE | {"solvent": "beer"}, "solvent"),
        ("precipitate", "CIN-01", SEEN | {"reagent": "SPI-01"}, "reagent"),
    ],
)
def test_what_cannot_have_been_read_is_told_at_its_entry(
    lab: Laboratory, test: str, lot: str, said: dict[str, str], where: str
) -> None:
    act = KINDS[test]
    with lab.look() as look:
        before = look.head
    with pytest.raises(StillroomError) as refused:
        act.do(lab, lot, said, by="MA")
    assert refused.value.where == where
    with lab.look() as look:
        assert look.head == before
