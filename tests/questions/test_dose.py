"""A dose is asked without a laboratory: any marker, the ceiling of the law, what is left, the next lot."""

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.asking.question import Answered, answer
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, NotEnough, StillroomError, UnknownName
from stillroom.questions import declared
from stillroom.questions.dose_told import Dosed
from stillroom.records.sections import SeveralBadEntries

STORIES = {
    one["id"]: one
    for one in json.loads((Path(__file__).parents[1] / "reference_checks" / "stories.json").read_text())
}
S6, EXPECT = STORIES["S6"]["inputs"], STORIES["S6"]["expect"]
ASKED = {
    "strength": f"{S6['strength_pct']}",
    "of": "total alkaloids as quinine",
    "matter": "as is",
    "plus-minus": f"{S6['U_k2']}",
    "wanted": f"{S6['target_pct']}",
    "meets": "about",
    "amount": f"{S6['batch_g']} g",
    "kind": "hair leave-on",
    "market": "EU",
    "step": "0.01",
}


def fields(**said: str) -> dict[str, str]:
    return {**ASKED, **{name.replace("_", "-"): text for name, text in said.items()}}


def dosed(asked: dict[str, str]) -> Answered:
    return answer(declared("dose"), asked, date(2026, 11, 29))


def ask(**said: str) -> Dosed:
    found: Dosed = dosed(fields(**said)).found
    return found


def unsaid(**said: str) -> list[str]:
    return [one.field for one in dosed(fields(**said)).unsaid]


def test_an_aim_near_the_strength_is_dosed_and_the_example_of_another_lot_is_stronger() -> None:
    # 5 % from 6.4 %: 500 g of bulk take 390.625 g by hand; a lot a quarter weaker (4.8 %) could not make it.
    told = ask(strength="6.4", of="rosmarinic acid", wanted="5", amount="500 g", plus_minus="0.2")

    assert told.found.mass.value == pytest.approx(390.625, abs=0.0051)
    assert told.next_lot.strength.value == pytest.approx(8.0)
    with pytest.raises(BadEntry, match=r"stronger than its extract.*aim 5 %, next lot 4.8 %"):
        ask(
            strength="6.4",
            of="rosmarinic acid",
            wanted="5",
            amount="500 g",
            plus_minus="0.2",
            next_strength="4.8",
        )


def test_the_story_of_the_dose_is_answered_without_a_book() -> None:
    told = ask(next_strength=f"{S6['next_lot_pct']}", usual_share="0.6")
    by_share, kept = told.tempting

    # Story S6: tolerance 0.01 g as it states; half the last digit elsewhere.
    assert told.found.chosen.exact.value == pytest.approx(EXPECT["extract_g"], abs=0.0005)
    assert told.found.mass.value == pytest.approx(round(EXPECT["extract_g"], 2), abs=1e-9)
    assert told.found.chosen.top.value == pytest.approx(EXPECT["upper_pct"], abs=0.00005)
    assert told.next_lot.mass.value == pytest.approx(EXPECT["next_lot_g"], abs=0.01)
    assert told.next_lot.old_mass_gives.value == pytest.approx(EXPECT["old_weight_new_lot_pct"], abs=0.00005)
    assert by_share.content.answer.value == pytest.approx(EXPECT["mass_rule_0p6_pct"], abs=0.00005)
    assert by_share.judged.blocks is EXPECT["mass_rule_blocked"]
    assert kept.content.answer.value == told.next_lot.old_mass_gives.value


def test_a_strength_of_the_dried_extract_takes_more_and_weighing_by_it_falls_short() -> None:
    told = ask(matter="dried", loss_on_drying=f"{S6['lod_pct']}")

    assert told.found.chosen.exact.value == pytest.approx(EXPECT["if_dried_basis_g"], abs=0.0005)
    assert told.tempting[0].mass.value == pytest.approx(round(EXPECT["extract_g"], 2), abs=1e-9)
    # By hand: short by the loss on drying, 3.1 % of it, and the step of the scale.
    assert told.tempting[0].content.answer.value / 0.1 == pytest.approx(1 - 0.031, abs=0.0005)


def test_a_strength_that_says_dried_itself_is_of_the_dried_extract_and_only_another_word_is_asked_back() -> (
    None
):
    alone = fields(strength=f"{ASKED['strength']} % w/w dried", loss_on_drying=f"{S6['lod_pct']}")
    del alone["matter"]

    assert dosed(alone).found.found.chosen.exact.value == pytest.approx(
        EXPECT["if_dried_basis_g"], abs=0.0005
    )
    assert ask(strength=f"{ASKED['strength']} % w/w dried", matter="dried").drying.value > 0.0
    with pytest.raises(BadEntry, match=r"on one basis.*dried in .* and as is beside it"):
        ask(strength=f"{ASKED['strength']} % w/w dried", matter="as is")


@pytest.mark.parametrize(
    "marker", ["rosmarinic acid", "(-)-menthol", "1,8-cineole", "escin", "total phenolics as gallic acid"]
)
def test_any_marker_can_be_dosed_and_no_rule_found_is_never_permission(marker: str) -> None:
    told = ask(of=marker)
    text = " ".join(page_text(dosed(fields(of=marker)).page).split())

    assert told.found.judged.verdict in (
        "no rule found",
        "rule needs a condition the tool cannot see",
        "within",
    )
    if told.found.judged.verdict == "no rule found":
        assert "That never means it is allowed." in text
        assert text.index("never means it is allowed") < text.index("Extract to weigh")


def test_above_the_ceiling_nothing_is_dosed() -> None:
    with pytest.raises(NotAllowed, match=r"at most 0\.2 % as quinine base.*upper bound"):
        ask(wanted="0.2")


def test_another_market_has_no_rule_here() -> None:
    assert ask(market="another", wanted="0.2").found.judged.verdict == "no rule found"


def test_a_misspelt_name_cannot_slip_past_a_rule() -> None:
    with pytest.raises(UnknownName, match="Did you mean 'quinine'"):
        ask(of="quinin")


def test_a_coarse_scale_is_answered_with_a_stock_solution() -> None:
    told = ask(step="0.2")
    stock = told.found.stock_solution

    assert stock is not None
    # One step is at most a hundredth of what is weighed, of solution and of extract alike.
    assert 0.01 * stock.extract_g * (1 + 1e-9) >= 0.2
    assert stock.portion_g * stock.extract_g / stock.solution_g == pytest.approx(
        told.found.chosen.exact.value, rel=0.005
    )
    assert ask(step="0.01").found.stock_solution is None


def test_what_is_left_is_told_and_what_is_missing_is_refused() -> None:
    left = ask(at_hand="39.2").left

    assert left is not None
    assert left.value == pytest.approx(39.2 - 13.02, abs=1e-9)
    with pytest.raises(NotEnough, match=r"10\.02 g more"):
        ask(at_hand="3")


def test_bottles_are_weighed_by_a_density_that_is_assumed_until_it_is_said() -> None:
    assumed, said = ask(amount="50 x 100 mL"), ask(amount="50 × 100 mL", density="0.95")

    assert [assumed.bulk.value, said.bulk.value] == pytest.approx([5000.0, 4750.0])
    assert "density" in unsaid(amount="50 x 100 mL")
    assert "density" not in unsaid(amount="50 x 100 mL", density="0.95")
    assert "density" not in unsaid()
    assert assumed.found.content.expanded_uncertainty > 2 * ask().found.content.expanded_uncertainty
    assert assumed.found.content.answer.rests_on_an_assumption


def test_the_less_is_known_of_a_strength_the_higher_its_upper_bound() -> None:
    tops = [
        ask(plus_minus="", measured_by=way).found.chosen.top.value
        for way in ("outside certificate", "titrated here", "not known")
    ]

    assert tops == sorted(tops)
    # By hand: 20 % of the content beside the step of the scale.
    assert tops[-1] == pytest.approx(0.12, abs=0.0005)


def test_at_least_takes_more_than_about_and_says_how_sure_it_is_meant() -> None:
    about, least = ask(), ask(meets="at least")

    # By hand: the lower bound of 38.4 with u 0.6 is 38.4 - 1.6449 x 0.6 (normal, one-sided 95 %).
    assert least.found.chosen.exact.value == pytest.approx(500 / (38.4 - 1.6449 * 0.6), abs=0.001)
    assert least.found.mass.value > about.found.mass.value
    assert "how-sure" in unsaid(meets="at least")
    assert "how-sure" not in unsaid()


def test_a_loss_on_drying_nobody_measured_is_assumed_and_listed() -> None:
    told = ask(matter="dried")

    assert told.found.strength.answer.rests_on_an_assumption
    assert {"loss-on-drying", "next-strength"} == set(unsaid(matter="dried"))


@settings(max_examples=40, deadline=None)
@given(
    strength=st.floats(5.0, 90.0), wanted=st.floats(0.01, 2.0), bulk=st.floats(0.2, 50.0),
)  # fmt: skip
def test_the_dose_makes_what_was_wanted_within_a_step_of_the_scale(
    strength: float, wanted: float, bulk: float
) -> None:
    said = {"strength": f"{strength:.4f}", "wanted": f"{wanted:.5f}", "amount": f"{bulk:.4f} kg"}
    told = ask(of="rosmarinic acid", plus_minus="", **said)
    step_percent = 0.01 * strength / (10.0 * bulk)

    assert told.found.content.answer.value == pytest.approx(wanted, abs=0.51 * step_percent + 1e-5)
    assert told.found.chosen.upper.value > told.found.content.answer.value


@pytest.mark.parametrize(
    ("said", "kind", "says"),
    [
        ({"wanted": "50"}, BadEntry, "stronger than its extract"),
        ({"strength": "38 % v/v"}, BadEntry, "w/w here"),
        ({"amount": "0 x 100 mL"}, BadEntry, "At least one bottle is filled"),
        ({"amount": "5"}, BadEntry, "unit"),
        ({"plus-minus": "0"}, BadEntry, "above zero"),
        ({"measured-by": "guess", "plus-minus": ""}, UnknownName, "Known: not known, outside certificate"),
        ({"density": "9.5", "amount": "5 x 10 mL"}, BadEntry, r"from 0\.5 to 2"),
        ({"of": "12"}, BadEntry, "named compound"),
        ({"meets": "perhaps"}, UnknownName, "about, at least"),
    ],
)
def test_what_cannot_be_dosed_says_so_in_one_sentence(
    said: dict[str, str], kind: type[StillroomError], says: str
) -> None:
    with pytest.raises(kind, match=says):
        dosed({**ASKED, **said})


def test_entries_left_empty_are_told_all_at_once() -> None:
    with pytest.raises(SeveralBadEntries, match="needed") as refused:
        dosed({"matter": "as is"})

    assert [one.where for one in refused.value.errors] == [
        "strength",
        "of",
        "wanted",
        "amount",
        "kind",
        "step",
    ]


def test_the_lesson_asks_and_answers_on_the_back() -> None:
    front, _, back = page_text(dosed(fields(matter="dried", loss_on_drying="3.1")).lesson).partition(
        " Turn over "
    )

    assert "as if it were that of the jar" in front
    assert "below what is wanted" in back
    assert "below what is wanted" not in front
    assert "Upper bound" in back


def test_a_tolerance_beside_the_strength_is_the_one_inside_it() -> None:
    # A rectangle of half width 1.2 on 38.4: 95 of 100 lie within 0.95 x 1.2 = 1.14, by hand (JCGM 101, a rectangle)
    beside, inside = (
        ask(strength=strength, plus_minus=plus_minus).found.strength.stated
        for strength, plus_minus in (("38.4 %", "1.2 (tolerance)"), ("38.4 ± 1.2 (tolerance) %", ""))
    )

    assert beside.expanded_uncertainty == inside.expanded_uncertainty == pytest.approx(1.14, abs=0.02)
