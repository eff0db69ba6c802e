"""Total alkaloids by titration; the story's figures within the tolerance it states (0.005 %)."""

import math
from dataclasses import replace

import pytest

from stillroom.answers.budget import stated
from stillroom.answers.repeatability import Repeatability, pooled, range_allowed_relative
from stillroom.answers.titration import total_alkaloids
from stillroom.answers.titres import Portion
from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import Answer, leaves, published, reading, rerun
from stillroom.evidence.formulas import formula
from stillroom.evidence.trails import from_trail, trail

# An invented practice case: back titration of bark, worked by hand from (Vb - Vs) c f M / m.
STORY_TOLERANCE_PERCENT = 0.005


def _read(name: str, value: float, unit: str, u: float | None = None, entry_no: int = 1) -> Answer:
    return reading(name, value, unit, f"entry {entry_no}, {name}", entry_no=entry_no, standard_uncertainty=u)


BLANK = _read("titre of the blank", 20.06, "mL", 0.02, 11)
TITRE = _read("titre of portion 1", 8.42, "mL", 0.02, 12)
MASS = _read("mass of portion 1", 1.0150, "g", 0.0003, 13)
STRENGTH = _read("nominal strength of the titrant", 0.0200, "mol/L", None, 14)
FACTOR = _read("factor of the titrant", 1.004, "", 0.002 * 1.004, 15)
DRYING = _read("loss on drying of bark", 9.5, "%", 0.3, 16)
NOMINAL = _read("titrant the blank should have used", 20.00, "mL", None, 17)


SAME_EACH_TIME = Repeatability(0.0, 1e9, "portions that never differ")
"""Leaves the doubt of the readings alone, as the story does."""


def _story(**changes):
    given = {
        "blank": BLANK,
        "strength": STRENGTH,
        "factor": FACTOR,
        "loss_on_drying": DRYING,
        "nominal": NOMINAL,
    } | changes
    portions = given.pop("portions", [Portion(MASS, TITRE)])
    return total_alkaloids(portions, **given)


def test_the_bark_of_the_story_comes_out_to_its_printed_digits():
    assay = _story(repeatability=SAME_EACH_TIME)

    assert assay.found[0].value == pytest.approx(72.32, abs=0.005)
    assert assay.as_is.answer.value == pytest.approx(7.125, abs=STORY_TOLERANCE_PERCENT)
    assert assay.dried.answer.value == pytest.approx(7.873, abs=STORY_TOLERANCE_PERCENT)
    assert assay.dried_compound.answer.value == pytest.approx(8.255, abs=STORY_TOLERANCE_PERCENT)
    assert assay.as_is_compound.answer.value == pytest.approx(7.47, abs=0.005)
    assert assay.falsely.value == pytest.approx(7.832, abs=STORY_TOLERANCE_PERCENT)
    assert assay.dried.k == 2.0
    assert round(assay.dried.expanded_uncertainty, 2) == pytest.approx(0.07, abs=0.005)
    assert assay.counts
    assert assay.dried_counts


def test_the_uncertainty_is_the_root_of_the_squared_shares_worked_by_hand():
    assay = _story(repeatability=SAME_EACH_TIME)

    titre = math.sqrt(2.0) * 0.02 / (20.06 - 8.42)
    relative = math.sqrt(titre**2 + 0.002**2 + (0.0003 / 1.0150) ** 2 + (0.3 / 90.5) ** 2)
    assert assay.dried.answer.standard_uncertainty == pytest.approx(
        relative * assay.dried.answer.value, rel=1e-4
    )
    assert assay.dried.budget.contributions[0].name == "loss on drying of bark"


def test_every_answer_reruns_and_opens_down_to_entries_and_published_rows():
    assay = _story()

    for one in (assay.as_is, assay.dried, assay.as_is_compound, assay.dried_compound):
        kept = from_trail(trail(one.answer))
        assert rerun(kept) == one.answer.value
        assert not kept.rests_on_an_assumption
        for leaf in leaves(kept):
            assert leaf.leaf.kind == "published" or leaf.leaf.entry_no is not None


def test_without_a_blank_nothing_counts_and_the_false_figure_is_named():
    assay = _story(blank=None)

    assert not assay.counts
    assert assay.as_is is None
    assert assay.dried is None
    assert assay.falsely.value == pytest.approx(7.832, abs=STORY_TOLERANCE_PERCENT)
    assert "no blank" in assay.because


@pytest.mark.parametrize(
    ("what", "change", "expected_ratio"),
    [
        ("factor", {"factor": replace(FACTOR, value=1.014)}, 1.014 / 1.004),
        ("blank", {"blank": replace(BLANK, value=20.16)}, 11.74 / 11.64),
        ("loss on drying", {"loss_on_drying": replace(DRYING, value=10.5)}, 90.5 / 89.5),
        ("mass", {"portions": [Portion(replace(MASS, value=1.03), TITRE)]}, 1.015 / 1.03),
    ],
)
def test_each_reading_alone_moves_the_dried_figure_by_the_ratio_worked_by_hand(what, change, expected_ratio):
    before, after = _story(), _story(**change)

    assert after.dried.answer.value / before.dried.answer.value == pytest.approx(expected_ratio, rel=1e-9)


def test_a_weighed_titrant_gives_the_same_as_a_measured_one_of_the_same_moles():
    density = 1.0012
    by_weight = total_alkaloids(
        [Portion(MASS, _read("titrant for portion 1", 8.42 * density, "g", 0.02))],
        blank=_read("titrant for the blank", 20.06 * density, "g", 0.02),
        strength=_read("strength", 0.0200 / density, "mol/kg"),
        factor=FACTOR,
        loss_on_drying=DRYING,
    )

    assert by_weight.dried.answer.value == pytest.approx(_story().dried.answer.value, rel=1e-12)


def test_a_direct_titration_takes_the_blank_off():
    direct = total_alkaloids(
        [Portion(MASS, _read("titre", 11.70, "mL", 0.02))],
        blank=_read("blank", 0.06, "mL", 0.02),
        strength=STRENGTH,
        factor=FACTOR,
        loss_on_drying=DRYING,
        way="direct",
    )

    assert direct.dried.answer.value == pytest.approx(_story().dried.answer.value, rel=1e-12)


def test_half_as_many_moles_of_an_acid_of_two_protons_say_the_same():
    titrated = [Portion(MASS, _read("titre", 11.70, "mL", 0.02))]
    given = {
        "blank": _read("blank", 0.06, "mL", 0.02),
        "factor": FACTOR,
        "loss_on_drying": DRYING,
        "way": "direct",
    }
    once = total_alkaloids(titrated, **given, strength=STRENGTH, titrant="hydrochloric acid")
    halved = _read("nominal strength of the titrant", 0.0100, "mol/L")
    twice = total_alkaloids(titrated, **given, strength=halved, titrant="sulfuric acid 0.01 mol/L")

    assert twice.dried.answer.value == pytest.approx(once.dried.answer.value, rel=1e-12)
    assert twice.dried.expanded_uncertainty == pytest.approx(once.dried.expanded_uncertainty, rel=1e-9)


def test_portions_share_their_blank_in_the_budget():
    twice = [
        Portion(MASS, TITRE),
        Portion(
            _read("mass of portion 2", 1.0150, "g", 0.0003, 23),
            _read("titre of portion 2", 8.42, "mL", 0.02, 22),
        ),
    ]
    earlier = pooled([[7.1, 7.12], [6.9, 6.93], [7.4, 7.38]], "entries 1 to 6")
    assay = _story(portions=twice, repeatability=earlier)

    by_name = {one.name: one for one in assay.as_is.budget.contributions}
    blank, titre = by_name["titre of the blank"], by_name["titre of portion 1"]
    assert blank.contribution == pytest.approx(2.0 * titre.contribution, rel=1e-6)
    assert by_name["repeatability of the method, mean of 2"].dof == 3.0


def test_portions_without_earlier_ones_bring_the_usual_repeatability_pooled_with_their_own_spread():
    twice = [Portion(MASS, TITRE), Portion(MASS, replace(TITRE, value=8.52))]
    assay = _story(portions=twice)

    repeat = next(one for one in assay.as_is.budget.contributions if one.name.startswith("repeatability"))
    assert repeat.dof == 15.0
    own = math.sqrt(2.0) * (8.52 - 8.42) / (2.0 * 20.06 - 8.42 - 8.52)
    pooled_by_hand = math.sqrt((14.0 * 0.02**2 + own**2) / 15.0)
    assert repeat.standard_uncertainty == pytest.approx(pooled_by_hand / math.sqrt(2.0), rel=1e-3)
    assert assay.as_is.k > 2.0
    assert assay.spread.range_percent == pytest.approx(0.1 * 0.02 * 1.004 * 309.41 / 1.015 / 10.0, rel=1e-3)


def test_portions_further_apart_than_the_method_explains_do_not_count():
    earlier = pooled([[7.1, 7.12], [6.9, 6.93], [7.4, 7.38]], "entries 1 to 6")
    assay = _story(
        portions=[Portion(MASS, TITRE), Portion(MASS, replace(TITRE, value=9.4))], repeatability=earlier
    )

    assert not assay.counts
    assert not assay.dried_counts
    assert "another portion" in assay.because


def test_the_pooled_spread_is_worked_by_hand():
    # Two duplicates: relative differences 2 % and 1 %; s^2 = mean of d^2/2 (ISO 5725-2, from-memory).
    found = pooled([[99.0, 101.0], [199.0, 201.0]], "entries")

    assert found.degrees_of_freedom == 2.0
    assert found.relative_standard_deviation == pytest.approx(
        math.sqrt((0.02**2 / 2 + 0.01**2 / 2) / 2), rel=1e-12
    )


@pytest.mark.parametrize(("portions", "factor"), [(2, 2.8), (3, 3.3), (4, 3.6), (5, 3.9), (6, 4.0)])
def test_the_allowed_range_is_the_printed_critical_range_when_much_is_known(portions, factor):
    # ISO 5725-6, critical range factors f(n), printed to one decimal; from-memory.
    known = pooled([[1.0, 1.0 + 1e-9]] * 2, "x")
    known = replace(known, relative_standard_deviation=1.0, degrees_of_freedom=1e6)

    assert range_allowed_relative(known, portions) == pytest.approx(factor, abs=0.05)


def test_a_dried_figure_does_not_count_while_the_mass_is_not_constant():
    assay = _story(dried_counts=False)

    assert assay.counts
    assert not assay.dried_counts


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"portions": []}, "at least one portion"),
        ({"strength": replace(STRENGTH, unit="mol/kg")}, "needs a strength in mol/L"),
        ({"blank": replace(BLANK, unit="g")}, "all in mL or all in g"),
        ({"factor": replace(FACTOR, value=10.04)}, "lies near 1"),
        ({"portions": [Portion(replace(MASS, unit="mL"), TITRE)]}, "weighed in grams"),
    ],
)
def test_readings_that_cannot_be_right_are_asked_back(change, message):
    with pytest.raises(BadEntry, match=message):
        _story(**change)


@pytest.mark.parametrize("mass_g", [0.0, -0.01])
def test_of_a_portion_that_weighs_nothing_there_is_no_share(mass_g):
    with pytest.raises(OutsideModel, match="mass above zero"):
        _story(portions=[Portion(replace(MASS, value=mass_g), TITRE)])


@pytest.mark.parametrize("titre_ml", [20.05, 20.06, 20.07, 21.0, 61.5, 84.2])
@pytest.mark.parametrize("beside", [(), (Portion(MASS, TITRE),)])
def test_a_titre_at_the_blank_or_beyond_is_kept_and_does_not_count(titre_ml, beside):
    assay = _story(portions=[*beside, Portion(MASS, replace(TITRE, value=titre_ml))], nominal=None)
    (alone,) = _story(portions=[Portion(MASS, replace(TITRE, value=titre_ml))], nominal=None).found

    assert alone.value == pytest.approx((20.06 - titre_ml) / (20.06 - 8.42) * 72.32, abs=0.05)
    assert not assay.counts
    assert not assay.dried_counts
    assert assay.because.startswith(f"It does not count. The titre of portion {len(beside) + 1} lies on")


def test_a_back_titration_told_as_a_direct_one_does_not_count():
    assert not _story(way="direct").counts


def test_a_content_of_more_than_all_is_kept_and_does_not_count():
    tenth = _story(portions=[Portion(replace(MASS, value=0.0615), TITRE)], nominal=None)
    wet = _story(
        portions=[Portion(replace(MASS, value=0.1), TITRE)], loss_on_drying=replace(DRYING, value=40.0)
    )

    assert tenth.as_is.answer.value > 100.0
    assert not tenth.counts
    assert "more than all there is" in tenth.because
    assert wet.counts
    assert not wet.dried_counts
    assert "leave more than all there is" in wet.because


def test_a_portion_that_its_scale_cannot_tell_from_nothing_is_kept_and_does_not_count():
    tiny = Portion(
        _read("mass of portion 1", 0.02, "g", 0.0104, 13), _read("titre of portion 1", 20.04, "mL", 0.015, 12)
    )
    assay = _story(
        portions=[tiny], blank=replace(BLANK, value=20.07, standard_uncertainty=0.015), nominal=None
    )

    assert not math.isfinite(assay.as_is.expanded.k)
    assert not assay.counts
    assert assay.because.startswith("It does not count.")
    assert "Take larger portions" in assay.because


def test_a_budget_from_the_leaves_reproduces_a_published_one():
    # QUAM (EURACHEM/CITAC) example A2, titre of sodium hydroxide, c = 1000 m P / (M V): value 0.10214 mol/L,
    # u 0.00010 mol/L; inputs m 0.3888 g (0.00013), P 1.0 (0.00029), M 204.2212 (0.0038), V 18.64 mL (0.013),
    # repeatability 1.0 (0.0005). Second-hand, as carried in an open collection of worked examples.
    from stillroom.evidence.answer import reckoned

    inputs = {
        "mass_g": _read("mass", 0.3888, "g", 0.00013, 1),
        "purity": _read("purity", 1.0, "", 0.00029, 2),
        "molar_mass_g_mol": published(
            "molar mass", 204.2212, "g/mol", "markers, x", sources=("quam-2012",), standard_uncertainty=0.0038
        ),
        "volume_ml": _read("volume", 18.64, "mL", 0.013, 4),
        "repeatability": _read("repeatability", 1.0, "", 0.0005, 5),
    }
    answer = reckoned("strength", strength_mol_l, unit="mol/L", inputs=inputs)

    found = stated(answer)
    assert found.answer.value == pytest.approx(0.10214, abs=0.000005)
    assert found.answer.standard_uncertainty == pytest.approx(0.00010, abs=0.000005)


@formula("test-titre-of-alkali")
def strength_mol_l(mass_g, purity, molar_mass_g_mol, volume_ml, repeatability):
    return 1000.0 * mass_g * purity / (molar_mass_g_mol * volume_ml) * repeatability
