"""Finished batches make the next plan one's own: narrower where they resemble it, untouched where they do not."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.evidence.answer import leaves, rerun
from stillroom.planning.finished import Finished
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.planning.inputs import all_inputs
from stillroom.planning.memory import NOTHING, Remembered, remembered, with_memory
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.planning.resemblance import OF_HOUSE, Belongs, how_of, levels_of, unknowns_of
from stillroom.quantities.draws import Draws
from stillroom.quantities.spread import Spread
from stillroom.stream.components import MARKER, OTHERS, SOLIDS, whole_mass
from tests.planning.any_plant import WAYS, asked
from tests.planning.virtual_laboratory import CHARGE_G, DRAWS, VirtualLaboratory


def taught(way: str, batches: int, seed: int = 1) -> VirtualLaboratory:
    """A laboratory that has made some batches."""
    lab = VirtualLaboratory(seed, way)
    for number in range(batches):
        run_of = lab.belongs(number)
        lab.make(run_of, lab.truth(run_of))
    return lab


def told_of(lab: VirtualLaboratory, request: PlanRequest, plant: str, marker: str) -> Remembered:
    coming = Belongs(plant, "", "", "next", marker, how_of(request.extraction))
    return remembered(request, coming, tuple(lab.batches), tuple(lab.lots))


def test_without_a_run_the_plan_is_the_starters() -> None:
    request = asked("maceration", draws=DRAWS)

    assert told_of(taught("maceration", 0), request, "rosemary leaf", "rosmarinic acid") is NOTHING
    assert with_memory(request, NOTHING) == request


def test_the_same_runs_are_fitted_once_and_another_weighing_fits_them_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    request, lab = asked("maceration", draws=DRAWS), taught("maceration", 3)
    first = told_of(lab, request, "rosemary leaf", "rosmarinic acid")
    with monkeypatch.context() as no_fit:
        no_fit.setattr("stillroom.planning.memory._Runs", None)
        assert told_of(lab, request, "rosemary leaf", "rosmarinic acid") is first
    weighed = {name: (1.05 * mass_g, share) for name, (mass_g, share) in lab.batches[-1].weighed.items()}
    lab.batches[-1] = replace(lab.batches[-1], weighed=weighed)

    assert told_of(lab, request, "rosemary leaf", "rosmarinic acid") != first


def test_runs_of_another_plant_by_another_way_move_nothing() -> None:
    request = asked("infusion", draws=DRAWS)

    found = told_of(taught("hydrodistillation", 4), request, "green tea leaf", "total phenols")

    assert found == NOTHING


def test_runs_of_another_plant_by_the_same_way_move_only_what_is_the_houses() -> None:
    request = asked("maceration", "sage leaf", draws=DRAWS)

    found = told_of(taught("maceration", 4), request, "sage leaf", "rosmarinic acid")

    named = unknowns_of(request.extraction)
    assert found.known
    assert {named[one.role].partition("/")[2] for one in found.known} <= OF_HOUSE
    before = all_inputs(request)
    for one in found.known:
        assert one.uncertainty_in_unit / one.value <= 1.05 * (
            before[one.role].uncertainty_in_unit / before[one.role].value
        )


def test_runs_of_the_same_plant_and_way_narrow_the_next_and_say_from_how_many() -> None:
    lab = taught("maceration", 6)
    request, own = lab.planned(lab.belongs(6))
    alone = replace(request, remembered=(), together=())
    widths = {}
    for name, one in (("own", request), ("alone", alone)):
        product = charge_account(one, 200.0, charge_draws(one)).given("extract")
        widths[name] = [
            float(np.ptp(np.log(np.percentile(drawn, (10, 90)))))
            for drawn in (whole_mass(product), product[MARKER])
        ]

    assert widths["own"][0] < 0.6 * widths["alone"][0]
    assert widths["own"][1] < 0.6 * widths["alone"][1]
    others = next(one for one in own.known if one.role == "other extractables")
    assert others.origin == "own runs"
    assert "from 6 runs of yours" in others.because
    assert "the starter alone would have said" in others.because
    assert 0.0 < own.starter_counts_runs < 2.0


def test_one_spoiled_run_hardly_counts_and_is_named() -> None:
    lab = taught("maceration", 5, seed=3)
    without = lab.planned(lab.belongs(5))[1]
    spoiled = lab.batches[2]
    less = {line: (0.4 * mass, doubt) for line, (mass, doubt) in spoiled.weighed.items()}
    lab.batches[2] = replace(spoiled, weighed=less)

    found = lab.planned(lab.belongs(5))[1]

    assert "B2" in found.far_off
    before = {one.role: one.value for one in without.known}
    for one in found.known:
        if one.role in before and one.role == "other extractables":
            assert one.value == pytest.approx(before[one.role], rel=0.15)


def test_a_plant_that_gives_a_third_of_what_its_starter_says_is_run_again_where_it_lies() -> None:
    # ten standard deviations below the starter: a straight line drawn at its middle promised 0.63 of what came
    lab, reach = VirtualLaboratory(1, "infusion"), {"extraction/infuse/marker_within_reach_share": 0.3}
    for number in range(3):
        run_of = lab.belongs(number)
        lab.make(run_of, lab.truth(run_of) | reach)
    run_of = lab.belongs(3)
    truth = lab.truth(run_of) | reach
    request, _ = lab.planned(run_of, lab.assayed(run_of, truth))
    product = request.extraction.steps[-1].gives[0]
    drawn = charge_account(request, CHARGE_G, charge_draws(request)).given(product)[MARKER]
    came = lab.really(truth, CHARGE_G).given(product)[MARKER][0]

    assert np.median(drawn) == pytest.approx(came, rel=0.3)


def test_a_remembered_figure_serves_a_plan_only_and_opens_to_its_reason() -> None:
    lab = taught("infusion", 3)
    request, own = lab.planned(lab.belongs(3))
    made = plan(request)
    line = next(one for one in made.lines if one.key == "plant_g")
    kinds = {one.leaf.kind for one in leaves(line.answer) if one.leaf}

    assert {"own runs", "assumed"} <= kinds
    own_leaf = next(one for one in leaves(line.answer) if one.leaf and one.leaf.kind == "own runs")
    assert own_leaf.rests_on_an_assumption
    assert rerun(line.answer) == line.value
    assert PlanRequest.from_json(request.to_json()) == request
    assert len(own.together) == len(own.known)


def test_a_figure_that_somebody_measured_since_is_not_replaced() -> None:
    lab = taught("infusion", 3)
    run_of = lab.belongs(3)
    truth = lab.truth(run_of)
    request, own = lab.planned(run_of, lab.assayed(run_of, truth))
    inputs = all_inputs(request)

    assert inputs["loss on drying"].origin == "reading"
    assert all(inputs[one.role].origin == "own runs" for one in own.known)
    assert "loss on drying" not in {one.role for one in own.known}


def test_inputs_that_go_together_keep_their_own_spread() -> None:
    spreads = {name: Spread.normal(10.0, 2.0) for name in ("a", "b", "c")}
    draws = Draws.of(spreads, 4000, 7)

    tied = draws.together({"c": [1.0, -0.8], "a": [-0.8, 1.0]})

    assert np.corrcoef(tied.value("a"), tied.value("c"))[0, 1] == pytest.approx(-0.8, abs=1e-6)
    assert tied.value("a").std(ddof=1) == pytest.approx(2.0, abs=1e-6)
    assert np.corrcoef(tied.value("a"), tied.value("b"))[0, 1] == pytest.approx(0.0, abs=1e-6)
    assert draws.together({}) is draws


@pytest.mark.parametrize(
    "unknown", ["other extractables", "assay of the plant", "macerate/uptake_min", "dry/film_g"]
)
def test_what_does_not_change_has_shares_that_sum_to_one(unknown: str) -> None:
    levels, _, _ = levels_of(unknown, Belongs("sage leaf", "L1", "S", "B1", "m", "spirit 5"))

    assert sum(share for share, _ in levels) == pytest.approx(1.0)


def test_every_setting_a_starter_assumes_is_of_the_house_or_of_the_plant() -> None:
    known = {one.partition("/")[2] for way in WAYS for one in unknowns_of(asked(way).extraction).values()}

    assert len(known & OF_HOUSE) >= 6


def test_a_run_in_the_same_apparatus_says_more_than_one_in_another() -> None:
    lab = taught("maceration", 4)
    in_still = [replace(one, belongs=_in(one.belongs, "STILL-1")) for one in lab.batches]
    request = asked("maceration", draws=DRAWS)
    plain = Belongs("rosemary leaf", "", "", "next", "rosmarinic acid", how_of(request.extraction))
    widths = {}
    for still in ("STILL-1", "STILL-2"):
        own = remembered(request, _in(plain, still), tuple(in_still), tuple(lab.lots))
        known = {one.role: one for one in own.known}
        widths[still] = known["extraction/concentrate/past_condenser_share"].uncertainty_in_unit

    assert widths["STILL-1"] < 0.97 * widths["STILL-2"]


def _in(belongs: Belongs, still: str) -> Belongs:
    return replace(belongs, apparatus=(("concentrate", still),))


def test_a_marc_that_was_extracted_again_tells_what_the_extract_alone_cannot() -> None:
    lab = taught("maceration", 0)
    for number in range(3):
        run_of = lab.belongs(number)
        truth = lab.truth(run_of)
        lab.make(run_of, truth)
        account = lab.really(truth, CHARGE_G)
        plant, (marc,) = (
            account.from_shelf["plant"],
            [one for one in account.outs.values() if one[SOLIDS][0] > 0],
        )
        out_of_reach, came = 0.0, 0.0
        for part, whose in ((MARKER, "marker"), (OTHERS, "others")):
            reach = lab.inputs[f"extraction/macerate/{whose}_within_reach_share"].value
            reach = truth.get(f"extraction/macerate/{whose}_within_reach_share", reach)
            out_of_reach += (1.0 - reach) * plant[part][0]
            came += plant[part][0] - marc[part][0]
        inside = marc[MARKER][0] + marc[OTHERS][0] - out_of_reach
        dry = marc[SOLIDS][0] + marc[MARKER][0] + marc[OTHERS][0]
        lab.batches[-1] = replace(lab.batches[-1], dry_marc_g=dry, left_share=inside / (inside + came))
    without = replace_marcs(lab)
    checked = lab.planned(lab.belongs(3))[1]
    lab.batches[:] = without
    bare = lab.planned(lab.belongs(3))[1]
    told = ("extraction/macerate/others_within_reach_share", "extraction/macerate/sorption_ml_per_g")
    widths = [{one.role: one.uncertainty_in_unit / one.value for one in own.known} for own in (checked, bare)]

    narrower = [
        role for role in told if role in widths[0] and widths[0][role] < 0.97 * widths[1].get(role, 9.9)
    ]
    assert narrower


def replace_marcs(lab: VirtualLaboratory) -> list[Finished]:
    return [replace(one, dry_marc_g=0.0, left_share=0.0) for one in lab.batches]
