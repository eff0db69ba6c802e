"""An answer opens to its reason, and its reason gives the answer again."""

import pytest

from stillroom.errors import BadEntry, BookTrouble
from stillroom.evidence.answer import Answer, assumed, leaves, published, reading, reckoned, rerun, walk
from stillroom.evidence.formulas import formula
from stillroom.evidence.trails import from_trail, trail


@formula("test-product-of-two")
def product(left: float, right: float) -> float:
    return left * right


@formula("test-product-of-spreads", takes_named_inputs=True)
def spread_product(*, inputs: dict[str, tuple[float, float]], times: float) -> float:
    return times * inputs["a"][0] * inputs["a"][1]


def _deep(steps: int) -> Answer:
    answer = reading("a", 1.0, "g", "entry 1", entry_no=1)
    for number in range(steps):
        answer = reckoned(f"step {number}", product, unit="g", inputs={"left": answer, "right": answer})
    return answer


def test_rerunning_gives_the_value_that_was_kept() -> None:
    answer = reckoned(
        "mass",
        product,
        unit="g",
        inputs={"left": reading("a", 2.5, "g", "entry 3"), "right": assumed("b", 4.0, "", "x")},
    )

    assert answer.value == 10.0
    assert rerun(answer) == answer.value


def test_a_function_that_wants_the_spread_gets_it() -> None:
    spread = assumed("a", 3.0, "g", "common practice, no source", standard_uncertainty=0.5)
    answer = reckoned("mass", spread_product, unit="g", inputs={"a": spread}, fixed={"times": 2.0})

    assert answer.value == 3.0


def test_a_trail_comes_back_as_the_same_answer() -> None:
    answer = _deep(3)

    assert from_trail(trail(answer)) == answer


def test_a_shared_input_stands_once_in_the_trail() -> None:
    assert len(tuple(walk(_deep(40)))) == 41
    assert len(leaves(_deep(40))) == 1


def test_a_row_changed_in_the_trail_is_noticed() -> None:
    table = trail(_deep(2))
    rows = table["rows"]
    assert isinstance(rows, dict)
    next(iter(rows.values()))["value"] = 99.0

    with pytest.raises(BookTrouble, match="seal it is filed under"):
        from_trail(table)


def test_a_missing_row_is_noticed() -> None:
    with pytest.raises(BookTrouble, match="Every row of a trail must be there"):
        from_trail({"top": "nothing", "rows": {}})


def test_one_assumption_below_marks_the_whole_answer() -> None:
    sure = reading("a", 2.0, "g", "entry 1")
    row = published("M", 324.42, "g/mol", "markers, quinine", sources=("x",))
    guess = assumed("b", 1.0, "", "not measured")

    assert not reckoned("s", product, unit="", inputs={"left": sure, "right": row}).rests_on_an_assumption
    assert reckoned("s", product, unit="", inputs={"left": sure, "right": guess}).rests_on_an_assumption


def test_an_answer_without_a_reason_is_refused() -> None:
    with pytest.raises(BadEntry, match="come from somewhere or be calculated somehow"):
        Answer("a", 1.0, "g")
