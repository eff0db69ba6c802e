"""The plan works for any plant, any marker, any way: the plant by a sum on paper, the marker named, nothing idle.

The sums are plain numbers from the settings of the procedures and the equations as their brief states them; of the
code they share only the published density of spirit. What a plant holds is assumed, from memory.
"""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from stillroom.documents.as_text import page_text
from stillroom.documents.ordering import charge_page, plan_page
from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import rerun
from stillroom.evidence.trails import from_trail, trail
from stillroom.planning.forecast import charge_account, charge_draws, forecast
from stillroom.planning.plan import plan
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.working_days import WhenToBegin, WorkingDays
from stillroom.stream.components import MARKER, SOLIDS
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from tests.planning.any_plant import WAYS, asked, planned
from tests.planning.practice import practice_request, without_doubt

WHEN = WhenToBegin(WorkingDays(3, "macerate", 24.0), "2027-01-04", 8.0, "as said")
PAGE = {"practice": False, "laboratory": "", "date": "", "book": ""}
WATER_G_ML = 0.9982  # at 20 °C; a handbook's, from memory
GAS = 8.314462618e-3  # kJ/(mol K), exact since 2019; from memory


def settings_of(request: PlanRequest) -> dict[str, float]:
    return {
        f"{step.name}/{one.name}": one.value for step in request.extraction.steps for one in step.settings
    }


def shares_of_plant(request: PlanRequest) -> tuple[float, float, float]:
    """Marker, other extractables and dry matter of a gram of plant as is, at the medians."""
    used = {one.role: one.value / 100.0 for one in request.used}
    dry = 1.0 - used["loss on drying"]
    return used["assay of the plant"], used["other extractables"] * dry, dry


def plant_for(active_g: float, marker: float, others: float, water_share: float, fixed_g: float) -> float:
    """Plant whose extract is just enough, from what a gram of it gives: [g]."""
    strength = marker / ((marker + others) / (1.0 - water_share))
    return (active_g + fixed_g * strength) / marker


def came_out(drug_g: float, volume_ml: float, x: dict[str, float], tau_min: float) -> float:
    """One portion that stands: to rest as V/(V + K m), so far in time, and what then drains."""
    at_rest = volume_ml / (volume_ml + x["sorption_ml_per_g"] * drug_g)
    gone = 1.0 - (1.0 - x["washed_share"]) * math.exp(-x["contact_min"] / tau_min)
    return at_rest * gone * (volume_ml - x["retention_ml_per_g"] * drug_g) / volume_ml


def step_of(settings: dict[str, float], step: str) -> dict[str, float]:
    return {name.partition("/")[2]: value for name, value in settings.items() if name.startswith(f"{step}/")}


def test_the_tea_an_infusion_needs_is_what_the_sum_on_paper_gives():
    request = without_doubt(asked("infusion"))
    s, (marker, others, dry) = settings_of(request), shares_of_plant(request)
    x, filtered, steamed = step_of(s, "infuse"), step_of(s, "filter"), step_of(s, "evaporate")
    made = plan(request)

    volume_ml = x["water_ml_per_g"] + (1.0 - dry) / WATER_G_ML
    kelvin, measured = 273.15 + x["temperature_c"], 273.15 + 80.0
    tau_min = x["uptake_at_80c_min"] * math.exp(
        x["activation_energy_kj_per_mol"] / GAS * (1.0 / kelvin - 1.0 / measured)
    )
    came = came_out(dry, volume_ml, x, tau_min)
    clear = 1.0 - filtered["liquor_in_filter_share"]
    marker *= x["marker_within_reach_share"] * came * (1.0 - x["broken_down_share"]) * clear
    marker *= 1.0 - steamed["broken_down_share"]
    others *= x["others_within_reach_share"] * came * (1.0 - filtered["sediment_share"]) * clear
    fixed_g = s["dry/film_g"] + s["set a sample aside/sample_g"]
    on_paper = plant_for(made.line("active_g").value, marker, others, s["dry/water_mass_fraction"], fixed_g)
    assert made.supply.plant_g == pytest.approx(on_paper, rel=1e-4)


def test_the_rosemary_a_maceration_needs_is_what_the_sum_on_paper_gives():
    request = without_doubt(asked("maceration"))
    s, (marker, others, dry) = settings_of(request), shares_of_plant(request)
    x, pressed, filtered = step_of(s, "macerate"), step_of(s, "press"), step_of(s, "filter")
    made = plan(request)

    def g_ml(ethanol: float) -> float:
        return float(spirit_density_kg_m3(ethanol, 20.0)) / 1000.0

    by_mass = float(spirit_mass_fraction(s["mix spirit/want_volume_fraction_20c"]))
    spirit_g = s["mix spirit/spirit_ml_per_g"] * g_ml(by_mass)
    ethanol = spirit_g * by_mass * (1.0 - s["mix spirit/evaporated_share"])
    water = spirit_g * (1.0 - by_mass) + 1.0 - dry
    liquid_g_ml = g_ml(ethanol / (ethanol + water))
    volume_ml = (ethanol + water) / liquid_g_ml
    came = came_out(dry, volume_ml, x, x["uptake_min"])
    kept_ml = x["retention_ml_per_g"] * dry
    drained_ml = (volume_ml - kept_ml) * (1.0 - x["evaporated_share"])
    pressed_ml = kept_ml - pressed["retention_ml_per_g"] * dry
    more = pressed_ml / drained_ml * (1.0 - pressed["left_in_press_share"])
    clear = 1.0 - filtered["liquor_in_filter_share"]
    marker *= x["marker_within_reach_share"] * came * (1.0 + more) * clear
    others *= (
        x["others_within_reach_share"] * came * (1.0 + more) * clear * (1.0 - filtered["sediment_share"])
    )
    fixed_g = s["dry/film_g"] + s["set a sample aside/sample_g"]
    on_paper = plant_for(made.line("active_g").value, marker, others, s["dry/water_mass_fraction"], fixed_g)
    assert made.supply.plant_g == pytest.approx(on_paper, rel=1e-4)


def test_the_lavender_a_distillation_needs_is_what_the_sum_on_paper_gives():
    request = without_doubt(asked("hydrodistillation"))
    s, (marker, others, dry) = settings_of(request), shares_of_plant(request)
    x, parted = step_of(s, "distil the oil"), step_of(s, "draw off the oil")
    made = plan(request)

    minutes, fast = x["distil_min"], x["washed_share"]
    left = fast * math.exp(-minutes / x["fast_min"]) + (1.0 - fast) * math.exp(-minutes / x["slow_min"])
    caught = (1.0 - left) * (1.0 - x["past_condenser_share"])
    marker *= x["marker_volatile_share"] * caught
    others *= x["others_volatile_share"] * caught
    hydrosol_ml = x["distillate_ml_per_min_kg"] * minutes * dry / 1000.0 * (1.0 - x["past_condenser_share"])
    free = 1.0 - hydrosol_ml * parted["dissolved_mg_per_l"] * 1e-6 / (marker + others)
    wet = parted["water_in_oil_share"]
    fixed_g = parted["film_g"] + s["set a sample aside/sample_g"]
    on_paper = plant_for(
        made.line("active_g").value, marker * free, others * free, wet / (1.0 + wet), fixed_g
    )
    assert made.supply.plant_g == pytest.approx(on_paper, rel=1e-3)


@pytest.mark.parametrize("way", WAYS)
def test_plan_and_charge_name_their_own_marker_and_no_other(way):
    made = planned(way)
    found = forecast(made.request, 250.0)
    text = page_text(plan_page(made, WHEN, **PAGE)) + page_text(charge_page(found, charge="250 g", **PAGE))
    words = text.casefold() + " ".join(
        f"{line.label} {line.says} {line.basis}" for line in (*made.lines, *found.lines)
    )

    assert made.request.order.aim.counted in words
    for stranger in ("quinine", "cinchonine", "alkaloid", "bark"):
        assert stranger not in words.casefold()


@pytest.mark.parametrize("way", WAYS)
def test_nothing_in_a_plan_is_idle(way):
    made = planned(way)
    keys = {line.key for line in made.lines}

    assert all(line.high > 0 for line in made.lines)
    assert all(one.amount > 0 for one in made.costs)
    assert not keys & {"acid_g", "ammonia_g", "ethyl_acetate_g", "recovery_on_mixed_bases_percent"}
    assert ("stock_spirit_g" in keys) is (way == "maceration")
    assert ("recovered_spirit_ml" in keys) is (way == "maceration")
    bought = {one.item for one in made.buying}
    assert {"plant_g", "bottles", "process_water_g", "formula/glycerin"} <= bought <= keys


@pytest.mark.parametrize("way", WAYS)
def test_an_input_that_no_line_asks_for_is_not_carried(way):
    roles = {name for name, _ in planned(way).answers["cost"].inputs}

    assert not roles & {"strength of the acid", "strength of the ammonia", "price of ethyl acetate"}
    assert ("strength of the stock spirit" in roles) is (way == "maceration")
    assert not any(role.startswith("molar mass") for role in roles)


@pytest.mark.parametrize("way", WAYS)
def test_every_figure_reruns_from_its_written_trail(way):
    for line in planned(way).lines:
        assert rerun(from_trail(json.loads(json.dumps(trail(line.answer))))) == line.value


@pytest.mark.parametrize("way", WAYS)
def test_the_marker_closes_in_every_draw_and_none_is_below_zero(way):
    request = replace(asked(way), draws=512)
    account = charge_account(request, 300.0, charge_draws(request))
    plant = account.from_shelf["plant"]

    came = sum(part[MARKER] for part in account.outs.values())
    lost = sum(part[MARKER] for step in account.steps for part in step.losses.values())
    np.testing.assert_allclose(came + lost, plant[MARKER], rtol=1e-9)
    marc = sum(part[SOLIDS] for part in account.outs.values())
    np.testing.assert_allclose(marc, plant[SOLIDS], rtol=1e-9)
    assert all(
        part.min() >= -1e-9
        for step in account.steps
        for part in (*step.given.values(), *step.losses.values())
    )


@pytest.mark.parametrize("way", WAYS)
def test_the_plant_of_the_plan_gives_enough_and_clearly_less_does_not(way):
    made = planned(way)
    # The extract meant for the bulk, once the charge of the plan is run forward at the medians.
    enough = forecast(made.request, made.supply.plant_g)
    short = forecast(made.request, 0.5 * made.supply.low_g)

    needed = made.line("extract_g")
    assert enough.line("extract_from_charge_g").median > needed.median
    assert short.line("extract_from_charge_g").median < needed.median


def test_what_is_usual_of_a_plant_is_taken_and_said():
    by_role = {one.role: one for one in asked("maceration").used}
    assay = by_role["assay of the plant"]

    assert assay.origin == "assumed"
    assert "rosemary leaf/rosmarinic acid" in assay.because
    assert assay.spread == "lognormal"
    assert "rosemary leaf" in by_role["other extractables"].because


def test_an_unknown_plant_is_planned_with_a_wide_assumption_that_says_so():
    made = plan(asked("maceration", plant="moon wort"))
    first = made.doubts[0]

    assert first.name == "assumed/assay of the plant"
    assert first.because.startswith("nothing is known here about rosmarinic acid in moon wort")
    assert "an assay would narrow it most" in first.because
    assert first.share > 0.7
    # Three times less or more, 90 in 100: so the plant at 95 % over the middle is near three.
    assert made.supply.high_g / made.supply.median_g == pytest.approx(3.0, rel=0.15)
    assert any("moon wort" in said and "never means allowed" in said for said in made.not_known)
    assert any("Nothing is known here" in said for said in made.not_known)


def test_an_assay_replaces_the_wide_assumption():
    assay = Known(
        "assay of the plant", "lot A/assay", 1.3, "%", 0.03, "normal", "reading", "lot A, entry 9", 9
    )
    made = plan(asked("maceration", plant="moon wort", known=(assay,)))

    assert all(one.name != "assumed/assay of the plant" for one in made.doubts)
    assert not any("Nothing is known here" in said for said in made.not_known)


@pytest.mark.parametrize("way", WAYS)
def test_no_rule_found_is_said_and_only_the_declared_strength_counts(way):
    content = planned(way).content
    of = planned(way).request.order.aim.of

    assert content.ceiling_percent is None
    assert content.share_above_percent == 0.0
    assert content.share_within_percent + content.share_below_percent == pytest.approx(100.0, abs=1e-9)
    said = f"No rule found for {of} in skin leave-on (EU); that is not permission: look it up before release."
    assert content.no_rule == said
    assert said in page_text(plan_page(planned(way), WHEN, **PAGE)).replace("\n", " ")


def test_a_prohibited_plant_is_refused_whatever_it_is_extracted_for():
    with pytest.raises(NotAllowed, match="foxglove may not"):
        plan(with_plant(asked("infusion"), "foxglove leaf"))


def test_a_content_counted_as_another_compound_is_restated_by_the_molar_masses():
    # Caffeic acid 180.16 and rosmarinic acid 360.31 g/mol; atomic weights, from memory.
    as_caffeic = Known(
        "assay of the plant", "lot A/assay", 1.0, "%", 0.0, "fixed", "reading", "lot A, entry 9", 9
    )
    plain = without_doubt(asked("maceration", known=(as_caffeic,)))
    restated = replace(plain, assay_reckoned_as="caffeic acid")

    ratio = (
        plan(restated).line("plant_content_percent").value / plan(plain).line("plant_content_percent").value
    )
    assert ratio == pytest.approx(360.31 / 180.16, rel=1e-4)


def test_a_content_counted_as_something_without_a_molar_mass_is_asked_back():
    request = replace(asked("maceration"), assay_reckoned_as="brown stuff")

    with pytest.raises(
        BadEntry,
        match="Enter the marker with its molar mass under Laboratory, or give the assay as rosmarinic acid",
    ):
        plan(request)


def test_the_two_of_the_practice_chain_are_still_told_apart():
    keys = {line.key for line in plan(without_doubt(practice_request())).lines}

    assert {"plant_content_as_mean_percent", "recovery_on_mixed_bases_percent", "acid_g"} <= keys


def with_plant(request: PlanRequest, plant: str) -> PlanRequest:
    one = request.extraction
    lines = tuple(
        replace(line, substance=plant) if line.name == one.scaled_by else line for line in one.lines
    )
    return replace(request, extraction=replace(one, lines=lines))
