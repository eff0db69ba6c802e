"""Every part of an answer is sealed, kept in the trail and read back; damage to a trail is told."""

import hashlib
from dataclasses import fields, replace

import pytest

from stillroom.errors import BadEntry, BookTrouble
from stillroom.evidence.answer import Answer, Leaf, assumed, leaves, published, reading, reckoned, rerun, walk
from stillroom.evidence.formulas import formula
from stillroom.evidence.seal import canonical, seal
from stillroom.evidence.trails import from_trail, trail


class Pair:
    """A result with parts."""

    def __init__(self, first: float) -> None:
        self.first = first
        self.inner = self if first > 100.0 else Pair(first + 100.0)


@formula("test-pair")
def pair(*, start: float, way: str = "up") -> Pair:
    return Pair(start if way == "up" else -start)


@formula("test-named", takes_named_inputs=True)
def named(*, inputs: dict[str, tuple[float, float]]) -> float:
    return inputs["a"][0] + inputs["a"][1]


FULL = Answer(
    "content",
    2.5,
    "%",
    standard_uncertainty=0.25,
    basis="w/w of extract",
    how="test-pair",
    says="in words",
    inputs=(("start", reading("a", 2.5, "g", "entry 3, mass", entry_no=3)),),
    fixed=(("way", "up"),),
    pick="first",
    sources=("one", "two"),
    degrees_of_freedom=4.5,
)
OTHERWISE = {
    "name": "other",
    "value": 2.6,
    "unit": "g",
    "standard_uncertainty": 0.26,
    "basis": "w/v",
    "how": "test-named",
    "says": "in other words",
    "inputs": (),
    "fixed": (("way", "down"),),
    "pick": "inner.first",
    "sources": ("one",),
    "degrees_of_freedom": 5.5,
}


def test_every_part_has_another_form_here() -> None:
    assert set(OTHERWISE) == {one.name for one in fields(Answer)} - {"leaf", "key"}


@pytest.mark.parametrize("part", OTHERWISE)
def test_every_part_is_sealed_and_comes_back(part: str) -> None:
    changed = replace(FULL, **{part: OTHERWISE[part]})

    assert changed.key != FULL.key
    assert from_trail(trail(changed)) == changed
    assert from_trail(trail(changed)).key == changed.key


@pytest.mark.parametrize(
    "leaf", [Leaf("reading", "x", 3), Leaf("reading", "y", 4), Leaf("assumed", "y", 3), Leaf("reading", "y")]
)
def test_a_leaf_is_sealed_and_comes_back(leaf: Leaf) -> None:
    answer = Answer("a", 1.0, "g", leaf=leaf)

    assert answer.key != Answer("a", 1.0, "g", leaf=Leaf("reading", "y", 3)).key
    assert from_trail(trail(answer)).leaf == leaf


def test_a_key_is_twenty_digits_of_the_seal_of_the_row() -> None:
    row = trail(FULL)["rows"][FULL.key]  # type: ignore[index, call-overload]

    assert FULL.key == hashlib.sha256(canonical(row).encode()).hexdigest()[:20]
    assert trail(FULL)["top"] == FULL.key


def test_a_leaf_that_is_also_reckoned_is_refused() -> None:
    with pytest.raises(BadEntry, match="come from somewhere or be calculated somehow"):
        Answer("a", 1.0, "g", leaf=Leaf("reading", "x"), how="test-pair")


def test_inputs_come_before_what_was_reckoned_from_them() -> None:
    assert [one.name for one in walk(FULL)] == ["a", "content"]
    assert [one.name for one in leaves(FULL)] == ["a"]


def test_readings_published_rows_and_assumptions_say_which_they_are() -> None:
    read = reading("a", 1.0, "g", "entry 3", entry_no=3, standard_uncertainty=0.1, basis="as is")
    row = published("b", 2.0, "g", "t, r", sources=("s",), standard_uncertainty=0.2, basis="dried")
    guess = assumed("c", 3.0, "g", "because", standard_uncertainty=0.3, basis="w/w")

    assert read == Answer("a", 1.0, "g", 0.1, "as is", leaf=Leaf("reading", "entry 3", 3))
    assert row == Answer("b", 2.0, "g", 0.2, "dried", leaf=Leaf("published", "t, r"), sources=("s",))
    assert guess == Answer("c", 3.0, "g", 0.3, "w/w", leaf=Leaf("assumed", "because"))
    assert guess.rests_on_an_assumption
    assert not read.rests_on_an_assumption
    assert not row.rests_on_an_assumption


def test_reckoning_keeps_all_it_was_told() -> None:
    answer = reckoned(
        "content",
        pair,
        unit="%",
        inputs={"start": reading("a", 2.5, "g", "entry 3, mass", entry_no=3)},
        fixed={"way": "up"},
        pick="first",
        basis="w/w of extract",
        says="in words",
        sources=("one", "two"),
        standard_uncertainty=0.25,
        degrees_of_freedom=4.5,
    )

    assert answer == FULL
    assert answer.key == FULL.key


def test_what_was_not_told_stays_empty() -> None:
    leaf = reading("a", 2.5, "g", "entry 3, mass", entry_no=3)
    answer = reckoned("content", named, unit="%", inputs={"a": leaf})

    assert (answer.basis, answer.says, answer.pick, answer.sources) == ("", "", "", ())
    assert (leaf.basis, leaf.says, leaf.how) == ("", "", "")
    assert published("b", 2.0, "g", "t, r", sources=()).basis == ""
    assert assumed("c", 3.0, "g", "because").basis == ""


def test_a_part_of_a_part_of_a_result_is_picked() -> None:
    assert rerun(FULL) == 2.5
    assert rerun(replace(FULL, pick="inner.first")) == 102.5
    assert rerun(replace(FULL, fixed=(("way", "down"),))) == -2.5


def test_a_leaf_is_its_own_value() -> None:
    assert rerun(reading("a", 7.25, "g", "entry 1")) == 7.25


def test_an_input_without_uncertainty_goes_in_with_none() -> None:
    sure, unsure = reading("a", 3.0, "g", "e"), reading("a", 3.0, "g", "e", standard_uncertainty=0.5)

    assert reckoned("x", named, unit="g", inputs={"a": sure}).value == 3.0
    assert reckoned("x", named, unit="g", inputs={"a": unsure}).value == 3.5


@pytest.mark.parametrize("how", ["test-gone", "stillroom.nowhere:pair", "os:getpid"])
def test_what_is_not_a_formula_is_told_by_its_name_and_never_called(how: str) -> None:
    with pytest.raises(BookTrouble, match=f"must be known.*{how}"):
        rerun(replace(FULL, how=how))


def test_a_trail_whose_rows_are_no_table_is_told() -> None:
    with pytest.raises(BookTrouble, match="must hold its rows"):
        from_trail({"top": "x", "rows": []})


def test_a_row_that_is_no_table_is_told() -> None:
    with pytest.raises(BookTrouble, match="no row x"):
        from_trail({"top": "x", "rows": {"x": "words"}})


def test_a_row_with_only_what_it_must_have_reads_as_plain() -> None:
    plain = {"name": "a", "value": 2, "unit": "g", "leaf": {"kind": "reading", "where": "entry 1"}}
    answer = reading("a", 2.0, "g", "entry 1")

    assert from_trail({"top": answer.key, "rows": {answer.key: plain}}) == answer


def test_text_is_sealed_as_it_stands_and_content_by_its_canonical_text() -> None:
    assert canonical({"b": [1, 2.5, None], "a": "Löß"}) == '{"a":"Löß","b":[1,2.5,null]}'
    assert seal("Löß") == hashlib.sha256("Löß".encode()).hexdigest()
    assert seal({"b": 1, "a": 2}) == seal('{"a":2,"b":1}')


def test_a_number_that_is_not_finite_is_found_in_tuples_and_tables_within() -> None:
    for deep in ({"a": ({"b": float("nan")},)}, [[float("inf")]], {"a": {"b": float("-inf")}}):
        with pytest.raises(BadEntry, match="must be finite"):
            canonical(deep)
