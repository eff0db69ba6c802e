"""A laboratory from a file: people, scales, apparatus and prices."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import StillroomError
from stillroom.quantities.money import Money
from stillroom.records.from_yaml import Laboratory, Price, SeveralBadEntries, laboratory_from_yaml
from stillroom.records.people import Apparatus, Person

TEXT = """\
laboratory: Invented stillroom
practice: yes
altitude: 240 m
people:
  - {code: MA, name: Invented Person, may release: yes}
  - {code: NB, name: Another Invented}
scales:
  - {code: SCALE-1, name: kitchen, smallest step: 1 g, standard uncertainty: 600 mg, largest: 5 kg}
  - {code: SCALE-2, smallest step: "0.01", standard uncertainty: "0.01"}
apparatus:
  TH-1: {kind: thermometer, smallest step: 0.1 °C, standard uncertainty: 0.2 K}
  B-1: {kind: burette, name: burette, smallest step: 0.05 mL, standard uncertainty: 20 µL, largest: 25 mL}
prices:
  cinchona bark: 18.00 EUR/kg
  bottle: 0.55 EUR/piece
"""


def test_a_laboratory_is_read_whole():
    found = laboratory_from_yaml(TEXT)

    assert found == Laboratory(
        name="Invented stillroom",
        practice=True,
        altitude_m=240.0,
        people=(Person("MA", "Invented Person", True), Person("NB", "Another Invented")),
        apparatus=(
            Apparatus("SCALE-1", "scale", "kitchen", 1.0, "g", 0.6, 5000.0),
            Apparatus("SCALE-2", "scale", "SCALE-2", 0.01, "g", 0.01),
            Apparatus("TH-1", "thermometer", "TH-1", 0.1, "°C", 0.2),
            Apparatus("B-1", "burette", "burette", 0.05, "mL", 0.02, 25.0),
        ),
        prices=(
            Price("cinchona bark", Money(Decimal("18.00"), "EUR"), "kg", "18.00 EUR/kg"),
            Price("bottle", Money(Decimal("0.55"), "EUR"), "pieces", "0.55 EUR/piece"),
        ),
    )


def test_one_reading_is_as_unsure_as_the_smallest_step_where_nothing_else_is_written():
    found = laboratory_from_yaml(TEXT.replace(", standard uncertainty: 600 mg", ""))

    assert found.apparatus[0] == Apparatus("SCALE-1", "scale", "kitchen", 1.0, "g", 1.0, 5000.0)


@pytest.mark.parametrize(
    ("old", "new", "line", "sentence"),
    [
        ("may release: yes", "may release: perhaps", 5, "Write yes or no"),
        ("code: NB", "code: MA", 6, "a second time"),
        ("code: SCALE-2", "code: MA", 9, "a second time"),
        ("code: SCALE-2", "code: SCALE 2", 9, "letters, digits"),
        ("smallest step: 1 g", "smallest step: 1 mL", 8, "A density would be needed"),
        ("smallest step: 1 g", "smallest step: 0 g", 8, "above zero"),
        ("standard uncertainty: 600 mg", "standard uncertainty: -600 mg", 8, "cannot be negative"),
        ("kind: burette", "kind: burret", 12, "Did you mean 'burette'?"),
        ("largest: 25 mL", "larges: 25 mL", 12, "Did you mean 'largest'?"),
        ("18.00 EUR/kg", "18.00 EUR", 14, "its currency and for how much"),
        ("18.00 EUR/kg", "18,000 EUR/kg", 14, "one reading"),
        ("18.00 EUR/kg", "18.00 $/kg", 14, "unit"),
        ("bottle: 0.55 EUR/piece", "cinchona bark: 1.00 EUR/kg", 15, "a second time"),
        ("240 m", "24000 m", 3, "above the sea"),
        ("240 m", "240 g", 3, "A length is needed"),
        ("practice: yes", "practise: yes", 2, "Did you mean 'practice'?"),
    ],
)
def test_what_cannot_be_taken_is_told_with_its_line(old, new, line, sentence):
    assert TEXT.count(old) == 1
    with pytest.raises(StillroomError) as told:
        laboratory_from_yaml(TEXT.replace(old, new), "lab.yaml")

    assert sentence in str(told.value)
    assert told.value.where == f"lab.yaml:{line}"
    assert not isinstance(told.value, SeveralBadEntries)


def test_a_laboratory_needs_people():
    with pytest.raises(StillroomError, match="A laboratory needs 'people'"):
        laboratory_from_yaml("laboratory: Empty\n")


@given(
    st.integers(0, len(TEXT) - 1), st.integers(0, 8), st.text(alphabet="ab1.,%-:[]{}'\" \n\t&°µé", max_size=5)
)
def test_no_slip_of_the_hand_brings_forth_any_other_error(at, gone, typed):
    try:
        found = laboratory_from_yaml(TEXT[:at] + typed + TEXT[at + gone :])
    except StillroomError:
        return

    assert found.people
    assert all(one.smallest_step > 0 and one.standard_uncertainty > 0 for one in found.apparatus)
