"""The dose of the story to its printed digits, both readings of "meets it", and what must be refused."""

import math
from dataclasses import replace

import pytest

from stillroom.errors import BadEntry, NotAllowed, NotEnough
from stillroom.evidence.answer import Answer, assumed, leaves, reading, rerun
from stillroom.evidence.trails import from_trail, trail
from stillroom.products.dose import dose
from stillroom.products.dose_otherwise import by_mass_rule, stock_solution
from stillroom.products.strength import strength_for

# An invented practice case; the story states a tolerance of 0.01 g.
STORY_TOLERANCE_G = 0.01
IN_EXTRACT = "w/w total alkaloids as quinine, of extract, as is"
IN_PRODUCT = "w/w total alkaloids as quinine, of product"


def _read(name: str, value: float, unit: str, basis: str = "", u: float | None = None) -> Answer:
    return reading(name, value, unit, f"entry 1, {name}", entry_no=1, basis=basis, standard_uncertainty=u)


STRENGTH = _read("strength of the extract", 38.4, "%", IN_EXTRACT, 0.6)
BULK = _read("bulk", 5000.0, "g")
AIM = _read("aim", 0.100, "%", IN_PRODUCT)
DECLARED = _read("declared at least", 0.095, "%", IN_PRODUCT)
STEP = _read("step of the scale", 0.01, "g")
NEXT = _read("strength of the next lot", 29.7, "%", IN_EXTRACT)


def _story(**changes):
    given = {
        "strength": STRENGTH,
        "bulk": BULK,
        "aim": AIM,
        "scale_step": STEP,
        "product_type": "hair leave-on",
        "declared": DECLARED,
        "next_strength": NEXT,
    } | changes
    return dose(given.pop("strength"), given.pop("bulk"), given.pop("aim"), **given)


def test_the_dose_of_the_story_comes_out_to_its_printed_digits():
    found = _story()

    assert found.chosen.exact.value == pytest.approx(13.021, abs=0.0005)
    assert found.mass.value == pytest.approx(13.02, abs=1e-9)
    assert found.content.answer.value == pytest.approx(0.100, abs=0.0005)
    assert found.content.expanded_uncertainty == pytest.approx(0.003, abs=0.0005)
    assert found.chosen.top.value == pytest.approx(0.1031, abs=0.00005)
    assert found.chosen.upper.value == pytest.approx(0.103, abs=0.0005)
    assert found.judged.verdict == "within"
    assert found.option("aim at least").exact.value == pytest.approx(13.36, abs=STORY_TOLERANCE_G)
    assert found.what_if.mass.value == pytest.approx(16.835, abs=STORY_TOLERANCE_G)
    assert found.what_if.old_mass_gives.value == pytest.approx(0.0773, abs=0.00005)


def test_the_aim_is_met_only_half_the_time_and_the_chances_are_told():
    found = _story()

    # The scale rounds 13.021 g down to 13.02 g, so the chance is just under one half.
    assert found.chosen.chance_of_aim.value == pytest.approx(50.0, abs=0.5)
    # At least 0.095 %: the extract may be as weak as 36.48 %, 3.2 standard deviations below.
    assert found.chosen.chance_of_declared.value == pytest.approx(100.0 * 0.99931, abs=0.005)
    assert found.option("aim at least").chance_of_aim.value >= 95.0
    assert found.option("declared at least").chance_of_declared.value >= 95.0
    assert "on average" in found.notes[0]


def test_a_strength_of_the_dried_extract_takes_more():
    dried = replace(STRENGTH, basis="w/w total alkaloids as quinine, of extract, dried")
    found = _story(strength=dried, loss_on_drying=_read("loss on drying of the extract", 3.1, "%", u=0.1))

    assert found.chosen.exact.value == pytest.approx(13.437, abs=0.0005)
    assert any("dried extract" in note for note in found.notes)
    with pytest.raises(BadEntry, match="loss on drying of the extract"):
        _story(strength=dried)


def test_a_fixed_share_of_extract_passes_the_ceiling_and_is_refused():
    share = _read("extract in the product", 0.6, "%")

    with pytest.raises(NotAllowed, match=r"at most 0\.2 % as quinine base"):
        by_mass_rule(share, STRENGTH, AIM, product_type="hair leave-on")
    content, judged = by_mass_rule(share, STRENGTH, AIM, product_type="hair rinse-off")
    assert content.answer.value == pytest.approx(0.2304, abs=0.00005)
    assert judged.verdict == "within"


def test_the_upper_bound_and_not_the_middle_stands_against_the_ceiling():
    below = replace(AIM, value=0.193)
    wide = replace(STRENGTH, standard_uncertainty=1.2)

    assert _story(aim=below).judged.verdict == "within"
    with pytest.raises(NotAllowed, match="upper bound"):
        _story(aim=below, strength=wide)


def test_an_aim_above_the_ceiling_is_refused():
    with pytest.raises(NotAllowed, match="may hold at most"):
        _story(aim=replace(AIM, value=0.25))


def test_every_answer_reruns_and_opens_down_to_its_leaves():
    found = _story()

    for option in found.options:
        for one in (
            option.exact,
            option.mass,
            option.content.answer,
            option.upper,
            option.top,
            option.chance_of_aim,
        ):
            kept = from_trail(trail(one))
            assert rerun(kept) == one.value
            for leaf in leaves(kept):
                assert leaf.leaf.kind in ("reading", "published")


def test_the_content_follows_the_assay_once_the_extract_is_weighed():
    found = _story()

    by_hand = math.hypot(0.6 / 38.4, 0.01 / math.sqrt(12.0) / 13.02)
    assert found.content.answer.standard_uncertainty / found.content.answer.value == pytest.approx(
        by_hand, rel=1e-6
    )


@pytest.mark.parametrize(
    ("change", "ratio"),
    [
        ({"strength": replace(STRENGTH, value=39.4)}, 38.4 / 39.4),
        ({"bulk": replace(BULK, value=5100.0)}, 5100.0 / 5000.0),
        ({"aim": replace(AIM, value=0.110)}, 1.1),
    ],
)
def test_each_input_alone_moves_the_dose_by_the_ratio_worked_by_hand(change, ratio):
    assert _story(**change).chosen.exact.value / _story().chosen.exact.value == pytest.approx(
        ratio, rel=1e-12
    )


def test_a_strength_as_the_mean_alkaloid_is_restated_before_it_is_dosed():
    as_mean = replace(
        STRENGTH, basis="w/w total alkaloids as mean of quinine and cinchonine, of extract, as is"
    )
    found = _story(strength=as_mean)

    assert found.chosen.exact.value == pytest.approx(13.021 * 309.41 / 324.42, abs=0.001)
    assert any("as quinine" in note for note in found.notes)


def test_a_scale_too_coarse_for_the_dose_asks_for_a_stock_solution():
    found = _story(scale_step=replace(STEP, value=1.0))

    assert found.mass.value == 13.0
    solution = found.stock_solution
    in_portion = solution.extract_g / solution.solution_g * solution.portion_g
    assert in_portion == pytest.approx(found.chosen.exact.value, rel=0.005)
    assert 1.0 / solution.portion_g < 0.01
    assert 1.0 / solution.extract_g < 0.01
    assert any("stock solution" in note for note in found.notes)
    assert stock_solution(13.02, 0.01) is None


def test_a_dose_the_scale_cannot_show_at_all_is_asked_back():
    with pytest.raises(BadEntry, match="scale must show the dose"):
        _story(scale_step=replace(STEP, value=50.0))


def test_extract_that_does_not_reach_says_how_many_bottles_fewer():
    with pytest.raises(NotEnough, match=r"1.02 g more, or 4 bottles fewer"):
        _story(available=_read("on the shelf", 12.0, "g"), units=50)
    assert _story(available=_read("on the shelf", 13.02, "g"), units=50).mass.value == 13.02


@pytest.mark.parametrize(("shelf_g", "units", "fewer"), [(12.9, 1000, "10 bottles"), (12.5, 50, "2 bottles")])
def test_the_bottles_that_are_too_many_are_counted_up(shelf_g, units, fewer):
    with pytest.raises(NotEnough, match=f"or {fewer} fewer"):
        _story(available=_read("on the shelf", shelf_g, "g"), units=units)


def test_a_pure_compound_can_be_dosed():
    pure = replace(STRENGTH, value=100.0)

    assert _story(strength=pure).chosen.exact.value == pytest.approx(5.0, rel=1e-12)


def test_a_strength_without_uncertainty_is_refused_before_anything_is_reckoned():
    with pytest.raises(BadEntry, match=r"strength of the extract.*needs its uncertainty"):
        strength_for(replace(STRENGTH, standard_uncertainty=None), AIM)
    assert (
        strength_for(replace(STRENGTH, standard_uncertainty=None), AIM, uncertainty_needed=False).answer.value
        == 38.4
    )


def test_half_sure_and_a_declared_strength_equal_to_the_aim_are_taken():
    found = _story(how_sure_percent=50.0, declared=replace(DECLARED, value=0.100))

    assert found.option("declared at least").exact.value == pytest.approx(found.chosen.exact.value, rel=1e-12)
    with pytest.raises(BadEntry, match="from 50"):
        _story(how_sure_percent=49.9)


def test_the_notes_tell_every_other_dose_and_not_the_chosen_one_twice():
    notes = _story().notes

    assert sum(note.startswith("The dose that meets") for note in notes) == 2


def test_extract_that_does_not_reach_without_bottles_named_says_so():
    with pytest.raises(NotEnough, match=r"1\.02 g more, or a smaller bulk"):
        _story(available=_read("on the shelf", 12.0, "g"))


def test_the_notes_tell_the_rounding_and_the_safe_side():
    notes = _story().notes

    assert any("13.021 g becomes 13.02 g (-0.0008 g)" in note for note in notes)
    assert any("the safe side" in note for note in notes)


def test_a_content_of_one_alkaloid_alone_is_not_called_the_safe_side():
    of_quinine = replace(STRENGTH, basis="w/w quinine as quinine, of extract, as is")
    aim = replace(AIM, basis="w/w quinine as quinine, of product")
    notes = _story(strength=of_quinine, aim=aim, declared=None, next_strength=None).notes

    assert not any("the safe side" in note for note in notes)


def test_where_no_rule_is_found_the_notes_say_so_and_claim_no_safe_side():
    found = _story(substance="cinchonine")

    assert found.judged.verdict == "no rule found"
    assert any("never means it is allowed" in note for note in found.notes)
    assert not any("the safe side" in note for note in found.notes)


def test_another_dose_that_would_pass_the_ceiling_is_told():
    near = _story(aim=replace(AIM, value=0.193), strength=replace(STRENGTH, standard_uncertainty=0.68))

    assert near.judged.verdict == "within"
    assert near.option("aim at least").judged.verdict == "over"
    assert any("but over: upper bound" in note for note in near.notes)


def test_a_strength_that_rests_on_an_assumption_serves_a_plan_only():
    guess = assumed("strength", 38.4, "%", "like the last lot", standard_uncertainty=0.6, basis=IN_EXTRACT)

    assert any("never a bottle" in note for note in _story(strength=guess).notes)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"strength": replace(STRENGTH, basis="w/w total alkaloids as quinine, of extract")},
            "as is or dried",
        ),
        (
            {"strength": replace(STRENGTH, basis="w/w total alkaloids, of extract, as is")},
            "as which compound",
        ),
        (
            {"strength": replace(STRENGTH, basis="w/v total alkaloids as quinine, of extract, as is")},
            "by mass",
        ),
        (
            {"strength": replace(STRENGTH, basis="w/w tannins as quinine, of extract, as is")},
            "count the same thing",
        ),
        (
            {"strength": replace(STRENGTH, basis="w/w total alkaloids as hokum, of extract, as is")},
            "molar mass",
        ),
        ({"strength": replace(STRENGTH, standard_uncertainty=None)}, "needs its uncertainty"),
        ({"strength": replace(STRENGTH, value=120.0)}, "between 0 and 100"),
        ({"strength": replace(STRENGTH, value=100.5)}, "between 0 and 100"),
        ({"strength": replace(STRENGTH, value=0.0)}, "between 0 and 100"),
        ({"strength": replace(STRENGTH, unit="mg/g")}, "between 0 and 100"),
        ({"bulk": replace(BULK, value=-5000.0)}, "above zero in g"),
        ({"aim": replace(AIM, value=50.0), "declared": None}, "stronger than its extract"),
        ({"declared": replace(DECLARED, value=0.11)}, "must not be above the aim"),
        (
            {"declared": replace(DECLARED, basis="w/w total alkaloids as cinchonine, of product")},
            "basis of the aim",
        ),
        ({"declared": None, "meets": "declared at least"}, "declared strength is needed"),
        ({"how_sure_percent": 100.0}, "from 50 to below 100"),
    ],
)
def test_what_cannot_be_dosed_is_asked_back(change, message):
    with pytest.raises(BadEntry, match=message):
        _story(**change)


@pytest.mark.parametrize("step_g", [0.2, 1.0, 5.0, 13.0])
def test_a_stock_solution_is_one_the_same_scale_can_weigh_or_there_is_none(step_g):
    solution = stock_solution(13.02, step_g)

    assert solution.extract_g / solution.solution_g * solution.portion_g == pytest.approx(13.02, rel=0.01)
    assert min(solution.portion_g, solution.extract_g) >= 100.0 * step_g
    assert stock_solution(13.02, 14.0) is None


def test_a_scale_too_coarse_for_any_solution_is_told_the_step_that_would_do():
    # 13 g are wanted: one step of a scale is to be no more than a hundredth of it.
    with pytest.raises(BadEntry, match=r"Take a scale that shows steps of 100 mg"):
        _story(scale_step=replace(STEP, value=50.0))
