"""Every answer of a dose says its unit and its basis, and every note says what it is about.

All figures are round and worked by hand: 4000 g at 0.1 % from an extract of 40 % take 10 g.
"""

from dataclasses import replace

import pytest

from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.products.counted_words import counted_in
from stillroom.products.dose import dose
from stillroom.products.dose_otherwise import by_mass_rule, stock_solution, with_next_lot
from stillroom.products.dosing import on_the_scale_g
from stillroom.products.strength import strength_for

AS_IS = "w/w total alkaloids as quinine, of extract, as is"
DRIED = "w/w total alkaloids as quinine, of extract, dried"
AS_MEAN = "w/w total alkaloids as mean of quinine and cinchonine, of extract, as is"
IN_PRODUCT = "w/w total alkaloids as quinine, of product"
MASS_BASIS = "of extract, as is"


def _read(name: str, value: float, unit: str, basis: str = "", u: float | None = None) -> Answer:
    return reading(name, value, unit, f"entry 7, {name}", entry_no=7, basis=basis, standard_uncertainty=u)


STRENGTH = _read("strength", 40.0, "%", AS_IS, 0.5)
BULK = _read("bulk", 4000.0, "g")
AIM = _read("aim", 0.1, "%", IN_PRODUCT)
STEP = _read("step", 0.01, "g")
LOSS = _read("loss on drying", 3.0, "%", u=0.1)


def _dosed(**changes):
    given = {
        "strength": STRENGTH,
        "bulk": BULK,
        "scale_step": STEP,
        "product_type": "hair leave-on",
    } | changes
    return dose(given.pop("strength"), given.pop("bulk"), AIM, **given)


def _names(answer: Answer) -> tuple[str, str]:
    return answer.unit, answer.basis


def test_masses_are_grams_of_extract_as_is_and_contents_per_cent_of_the_product():
    found = _dosed(declared=_read("declared", 0.095, "%", IN_PRODUCT), next_strength=STRENGTH)

    for option in found.options:
        assert _names(option.exact) == ("g", MASS_BASIS)
        assert _names(option.mass) == ("g", MASS_BASIS)
        assert _names(option.content.answer) == ("%", IN_PRODUCT)
        assert _names(option.upper) == _names(option.top) == ("%", IN_PRODUCT)
        assert option.chance_of_aim.unit == option.chance_of_declared.unit == "%"
    assert _names(found.what_if.mass) == ("g", MASS_BASIS)
    assert _names(found.what_if.old_mass_gives) == ("%", IN_PRODUCT)
    assert found.what_if.strength == STRENGTH


def test_the_next_lot_is_reckoned_as_is_from_its_own_loss_on_drying():
    dried = replace(STRENGTH, value=30.0, basis=DRIED, standard_uncertainty=None)
    found = with_next_lot(dried, LOSS, AIM, BULK, STEP, _read("old mass", 10.0, "g"))

    # 30 % of the dried extract is 30 x 0.97 = 29.1 % as is; 4000 x 0.1 / 29.1 = 13.7457 g.
    assert found.strength.value == pytest.approx(29.1, rel=1e-12)
    assert _names(found.strength) == ("%", AS_IS)
    assert found.mass.value == pytest.approx(13.75, abs=1e-9)
    assert [below.unit for _, below in found.mass.inputs] == ["g", "g"]
    assert _names(dict(found.mass.inputs)["mass_g"]) == ("g", MASS_BASIS)
    # 10 g of 29.1 % in 4000 g.
    assert found.old_mass_gives.value == pytest.approx(0.07275, rel=1e-12)


def test_a_fixed_share_of_a_dried_strength_is_brought_to_as_is():
    share = _read("share", 0.4, "%")
    content, judged = by_mass_rule(
        share, replace(STRENGTH, basis=DRIED), AIM, product_type="hair leave-on", loss_on_drying=LOSS
    )

    # 0.4 % of an extract of 40 x 0.97 %.
    assert content.answer.value == pytest.approx(0.1552, rel=1e-12)
    assert _names(content.answer) == ("%", IN_PRODUCT)
    assert judged.verdict == "within"


def test_the_rule_of_another_market_is_not_the_rule_of_this_one():
    share = _read("share", 0.6, "%")

    with pytest.raises(NotAllowed, match=r"0\.24"):
        by_mass_rule(share, STRENGTH, AIM, product_type="hair leave-on")
    _, judged = by_mass_rule(share, STRENGTH, AIM, product_type="hair leave-on", market="nowhere")
    assert judged.verdict == "no rule found"
    assert _dosed(market="nowhere").judged.verdict == "no rule found"


def test_a_strength_restated_names_its_unit_and_both_bases():
    found = strength_for(replace(STRENGTH, basis=AS_MEAN), AIM)

    # The mean of 324.42 and 294.40 g/mol is 309.41 g/mol.
    assert found.answer.value == pytest.approx(40.0 * 324.42 / 309.41, rel=1e-4)
    assert _names(found.answer) == ("%", AS_IS)
    assert found.basis.reckoned_as == "quinine"
    assert len(found.notes) == 1
    assert found.notes[0].startswith("It was expressed as mean of quinine and cinchonine; as quinine it is")


def test_a_dried_strength_as_the_mean_is_restated_twice_and_says_so_twice():
    both = "w/w total alkaloids as mean of quinine and cinchonine, of extract, dried"
    found = strength_for(replace(STRENGTH, basis=both), AIM, LOSS)

    assert found.answer.value == pytest.approx(40.0 * 0.97 * 324.42 / 309.41, rel=1e-4)
    assert _names(found.answer) == ("%", AS_IS)
    assert (found.basis.matter, found.basis.reckoned_as) == ("as is", "quinine")
    assert len(found.notes) == 2
    assert "as is it is 38.8 %" in found.notes[0]


def test_a_stock_solution_of_seven_steps_in_a_dose_holds_ten_doses():
    # One step of 0.01 g must be 1 % or less: 1 g at least, 7.1 doses of 0.14 g; the next of 1, 2, 5, 10 is 10.
    found = stock_solution(0.14, 0.01)

    assert found.extract_g == pytest.approx(1.4, rel=1e-12)
    assert found.solution_g == pytest.approx(14.0, rel=1e-12)
    assert found.portion_g == pytest.approx(1.4, rel=1e-12)


def test_the_notes_are_whole_sentences_about_the_dose_the_other_dose_and_nothing_else():
    notes = _dosed().notes

    assert notes[0] == "Meets the aim on average: 50 of 100 such batches hold at least the aim."
    assert notes[1] == "The scale shows steps of 0.01 g, so 10 g becomes 10 g (+0 g)."
    # The strength is above 40 - 1.645 x 0.5 = 39.178 % in 95 of 100; 400 / 39.178 = 10.2099 g.
    assert notes[2] == "The dose that meets the aim in 95 of 100 such batches would be 10.21 g."
    assert len(notes) == 4
    assert "the safe side" in notes[3]


def test_the_reading_of_the_scale_is_named_by_where_its_step_stands():
    content = _dosed().content.answer
    of_scale = dict(content.inputs)["weighing_difference_g"]

    assert of_scale.value == 0.0
    assert of_scale.unit == "g"
    assert of_scale.leaf.entry_no == 7
    assert "entry 7, step" in of_scale.leaf.where
    # Half a step either way, taken as even: 0.01 / sqrt(12).
    assert of_scale.standard_uncertainty == pytest.approx(0.01 * 0.288675, rel=1e-5)


def test_a_step_that_was_itself_reckoned_is_the_scale_used():
    step = reckoned(
        "step", on_the_scale_g, unit="g", inputs={"mass_g": STEP, "scale_step_g": STEP},
        fixed={"way": "nearest"},
    )  # fmt: skip
    of_scale = dict(_dosed(scale_step=step).content.answer.inputs)["weighing_difference_g"]

    assert of_scale.leaf.where == "half a step either way: the scale used"
    assert of_scale.leaf.entry_no is None


def test_a_dose_keeps_its_strength_and_has_no_next_lot_unless_one_is_given():
    found = _dosed()

    assert found.strength.answer == STRENGTH
    assert found.what_if is None
    dried = replace(STRENGTH, value=30.0, basis=DRIED, standard_uncertainty=None)
    assert _dosed(next_strength=dried, next_loss_on_drying=LOSS).what_if.mass.value == pytest.approx(13.75)


def test_a_dose_of_a_few_steps_is_weighed_and_a_stock_solution_is_offered():
    found = _dosed(bulk=replace(BULK, value=56.0))

    # 56 g x 0.1 / 40 = 0.14 g.
    assert found.mass.value == pytest.approx(0.14, abs=1e-9)
    assert found.stock_solution.extract_g == pytest.approx(1.4, rel=1e-12)


def test_a_weak_extract_is_dosed_by_its_weak_strength():
    found = _dosed(strength=replace(STRENGTH, value=0.5, standard_uncertainty=0.01))

    # 4000 g x 0.1 / 0.5.
    assert found.mass.value == pytest.approx(800.0, abs=1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        {"bulk": replace(BULK, unit="kg")},
        {"scale_step": replace(STEP, unit="mg")},
        {"declared": _read("declared", 0.95, "mg/g", IN_PRODUCT)},
        {"declared": _read("declared", 0.0, "%", IN_PRODUCT)},
    ],
)
def test_a_number_in_another_unit_or_of_nothing_is_not_dosed_with(wrong):
    with pytest.raises(BadEntry, match="must be above zero in"):
        _dosed(**wrong)


def test_the_mean_may_be_called_the_mean():
    the_mean = AS_MEAN.replace("as mean of", "as the mean of")

    assert strength_for(replace(STRENGTH, basis=the_mean), AIM).answer.value == pytest.approx(
        40.0 * 324.42 / 309.41, rel=1e-4
    )


def test_the_molar_masses_of_a_restated_strength_say_their_unit():
    found = strength_for(replace(STRENGTH, basis=AS_MEAN), AIM).answer

    masses = {name: one for name, one in found.inputs if name != "percent"}
    assert {one.unit for one in masses.values()} == {"g/mol"}
    assert masses["molar_mass_g_mol"].value == pytest.approx(309.41, abs=0.005)
    assert masses["compound_molar_mass_g_mol"].value == pytest.approx(324.42, abs=0.005)


@pytest.mark.parametrize("text", ["as cinchonine", "AS cinchonine", "cinchonine", "as as cinchonine"])
def test_a_compound_with_as_before_it_is_never_said_as_as(text: str) -> None:
    assert counted_in(text, "of").words == "cinchonine"
    assert counted_in(f"total alkaloids as {text}", "of").words.count(" as ") == 1
