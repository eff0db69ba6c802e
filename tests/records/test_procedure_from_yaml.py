"""A procedure from a file: what could never be worked by is refused with its line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, StillroomError, UnknownName
from stillroom.records.from_yaml import SeveralBadEntries, procedure_from_yaml
from stillroom.records.procedures import Line, Procedure, Setting, Step

TONIC = """\
procedure: tonic
version: 2
title: Invented tonic
purpose: formula
makes: tonic
scaled by: bulk
product type: hair leave-on
keeps: 730 d
lines:
  - {name: spirit, substance: spirit 96 %, percent: "35.50", phase: B, label name: Alcohol}
  - {name: extract, substance: bark extract, role: dosed}
  - {name: water, substance: purified water, role: q.s.}
steps:
  - name: blend
    kind: blend
    says: Join them slowly.
    takes: [spirit, extract, water]
    gives: [bulk]
    weighs: [spirit, bulk]
    ticks: [No flame in the room]
    cautions: flammable-vapour
    hands: 1 h
    free min: 30
    longest wait: 2 d
    settings:
      film_g: {value: 0.02 kg, spread: lognormal, standard uncertainty: 30 %, origin: assumed, because: guess}
      stirs: 3
  - name: fill
    kind: fill
    says: >-
      Fill by mass.
    takes: bulk
    gives: [filled]
"""
WANTED = Procedure(
    code="tonic",
    version=2,
    title="Invented tonic",
    purpose="formula",
    makes="tonic",
    scaled_by="bulk",
    lines=(
        Line("spirit", "spirit 96 %", 35.5, "", "B", "Alcohol"),
        Line("extract", "bark extract", None, "dosed"),
        Line("water", "purified water", None, "q.s."),
    ),
    steps=(
        Step(
            name="blend",
            kind="blend",
            says="Join them slowly.",
            takes=("spirit", "extract", "water"),
            gives=("bulk",),
            settings=(
                Setting("film_g", 20.0, "g", "lognormal", 0.3, "assumed", "guess"),
                Setting("stirs", 3.0, ""),
            ),
            weighs=("spirit", "bulk"),
            ticks=("No flame in the room",),
            cautions=("flammable-vapour",),
            hands_min=60.0,
            free_min=30.0,
            longest_wait_min=2880.0,
        ),
        Step("fill", "fill", "Fill by mass.", ("bulk",), ("filled",)),
    ),
    keeps_days=730,
    product_type="hair leave-on",
)


def test_a_procedure_is_read_whole():
    assert procedure_from_yaml(TONIC) == WANTED


def test_lines_may_be_written_under_their_names():
    lines = TONIC[TONIC.index("lines:") : TONIC.index("steps:")]
    named = """lines:
  spirit: {substance: spirit 96 %, percent: 35.5 %, phase: B, label name: Alcohol}
  extract: {substance: bark extract, role: dosed}
  water: {substance: purified water, role: q.s.}
"""

    assert procedure_from_yaml(TONIC.replace(lines, named)) == WANTED


@pytest.mark.parametrize(
    ("old", "new", "line", "sentence"),
    [
        ('percent: "35.50"', 'percent: "101"', 10, "between 0 and 100"),
        ('percent: "35.50"', 'percent: "-1"', 10, "between 0 and 100"),
        ('percent: "35.50"', 'percent: "35,500,0"', 10, "A number must have one reading"),
        ('percent: "35.50", ', "", 10, "has a percent, or is q.s. or dosed"),
        ("role: dosed", "role: q.s.", 12, "At most one line is q.s."),
        ("role: q.s.", "role: dosed", 12, "At most one line is dosed"),
        ("role: q.s.", "role: qsp", 12, "'qsp' is not a role of a line known here. Did you mean 'q.s.'?"),
        ("role: dosed", "role: dosed, percent: 3", 11, "no percent of its own"),
        ("{name: water", "{name: spirit", 12, "Each line has a name of its own"),
        ("{name: water", "{nam: water", 12, "'nam' is not a key of a line known here. Did you mean 'name'?"),
        ("name: fill", "name: blend", 28, "Each step has a name of its own"),
        ("takes: bulk", "takes: bulkk", 28, "Did you mean 'bulk'?"),
        ("[spirit, extract, water]", "[spirit, filled, extract, water]", 14, "before 'blend'"),
        ("[spirit, extract, water]", "[spirit, extract]", 14, "'water' taken by none"),
        ("[spirit, extract, water]", "[spirit, spirit, extract, water]", 14, "taken twice"),
        ("gives: [filled]", "gives: [water]", 28, "a name of its own"),
        ("gives: [filled]", "gives: [bulk]", 28, "given by 'blend'"),
        ("[spirit, bulk]", "[spirit, filled]", 14, "something that step 'blend' takes or gives"),
        ("[No flame in the room]", "[a, b, c, d]", 14, "at most 3 ticks"),
        ("hands: 1 h", "hands: 1 g", 22, "A time is needed here"),
        ("hands: 1 h", "hands: 60", 22, "A unit is needed"),
        ("free min: 30", "free min: -30", 23, "cannot be negative"),
        ("free min: 30", "hands min: 30", 23, "written once"),
        ("version: 2", "version: 0", 2, "Versions begin at 1"),
        ("version: 2", "version: 1.5", 2, "A whole number"),
        ("purpose: formula", "purpose: recipe", 4, "is not a purpose known here"),
        ("scaled by: bulk", "scaled by: balk", 6, "Did you mean 'bulk'?"),
        ("keeps: 730 d", "keeps: 24 months", 8, "written in days"),
        ("keeps: 730 d", "keeps: 36 h", 8, "A whole number"),
        ("0.02 kg", "0.02 mL", 26, "'film_g' is in g, as its name says"),
        ("30 %, origin: assumed", "30 %, origin: chosen", 26, "What is chosen has no spread"),
        ("30 %, origin: assumed", "30 %, origin: guessed", 26, "is not an origin of a setting"),
        ("spread: lognormal, ", "", 26, "What is fixed has no uncertainty"),
        ("standard uncertainty: 30 %, ", "", 26, "needs its standard uncertainty"),
        ("spread: lognormal", "spread: logit", 26, "in the unit of its value"),
        ("0.02 kg", "0 g", 26, "lies above zero"),
        ("stirs: 3", "film_g: 3", 27, "a second time"),
        ("stirs: 3", "film-g: 3", 27, "Each setting has a name of its own"),
        ("stirs: 3", "Rührt: 3", 27, "A setting is named with small letters"),
        ("because: guess", "because: guess, by us", 26, "a comma inside { } ends a text"),
        ("kind: fill", "kind: ", 29, "A step needs 'kind'"),
        ("    gives: [filled]", "    gives: {a: b}", 33, "'gives' is a list"),
    ],
)
def test_what_could_never_be_worked_by_is_refused_with_its_line(old, new, line, sentence):
    assert TONIC.count(old) >= 1
    with pytest.raises(StillroomError) as told:
        procedure_from_yaml(TONIC.replace(old, new, 1), "tonic.yaml")

    assert sentence in str(told.value)
    first = told.value.errors[0] if isinstance(told.value, SeveralBadEntries) else told.value
    assert isinstance(first, BadEntry | UnknownName)
    assert first.where == f"tonic.yaml:{line}"


def test_a_thing_a_step_gave_cannot_be_taken_twice():
    again = TONIC + "  - {name: fill again, kind: fill, says: Again., takes: bulk, gives: more}\n"

    with pytest.raises(BadEntry, match="'bulk' taken by 'fill' and 'fill again'"):
        procedure_from_yaml(again)


def test_an_extraction_is_scaled_by_a_line_and_not_by_a_bulk():
    with pytest.raises(UnknownName, match="'bulk' is not a line to scale by"):
        procedure_from_yaml(TONIC.replace("purpose: formula", "purpose: extraction"))


def test_slips_in_lines_steps_and_settings_are_told_together():
    text = (
        TONIC.replace("version: 2", "version: two")
        .replace("hands: 1 h", "hands: 1 g")
        .replace("0.02 kg", "1 mL")
    )

    with pytest.raises(SeveralBadEntries) as told:
        procedure_from_yaml(text, "t.yaml")

    assert [one.where for one in told.value.errors] == ["t.yaml:2", "t.yaml:22", "t.yaml:26"]


PIECES = st.sampled_from(
    ["[", "]", "{}", "- ", ": ", "\n", "''", "x: y", "%", "1e9", "é", "1,5", "&", "~", "\t"]
)


@given(st.integers(0, len(TONIC) - 1), st.integers(0, 8), PIECES | st.text(max_size=4))
def test_no_slip_of_the_hand_brings_forth_any_other_error(at, gone, typed):
    text = TONIC[:at] + typed + TONIC[at + gone :]
    try:
        procedure = procedure_from_yaml(text)
    except StillroomError:
        return

    assert procedure.version >= 1
    assert all(line.percent is None or 0 <= line.percent <= 100 for line in procedure.lines)
