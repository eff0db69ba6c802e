"""Plan and watch say the same of what is still inside at every siphoning, whatever plant, grind and spirit."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.siphonings_tapped import watched_step
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.orders.remembering import starter_inputs
from stillroom.actions.watching.as_planned import each_planned, siphonings_planned
from stillroom.actions.watching.before_the_run import prior
from stillroom.actions.watching.siphonings_noted import tap
from stillroom.answers import soxhlet_watched as names
from stillroom.answers.soxhlet_watched import watched
from stillroom.evidence.answer import assumed
from stillroom.planning.forecast import runs_of_starter
from stillroom.planning.plan_inputs import Known
from tests.long_form import times
from tests.practice import later


def soxhlet(lab: Laboratory) -> None:
    copy_procedure(lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=later(-600))
    begin_batch(lab, "S1", "bark-soxhlet", "12 g", by="TO", at=later(-590))


def otherwise(inputs: dict[str, Known], seed: int) -> dict[str, Known]:
    """Another spirit, grind, slow rest and filling."""
    rng = np.random.default_rng(seed)
    asked = {
        "strength of the stock spirit": rng.uniform(88.0, 96.0),
        "extraction/siphon/particle_mm": rng.uniform(0.25, 1.2),
        "extraction/siphon/slow_min": rng.uniform(50.0, 180.0),
        "extraction/siphon/washed_share": rng.uniform(0.3, 0.7),
        "extraction/siphon/heel_ml_per_g": rng.uniform(1.4, 3.0),
        "extraction/siphon/heater_w": rng.uniform(250.0, 450.0),
        "extraction/siphon/below_boiling_k": rng.uniform(12.0, 35.0),
    }
    assert set(asked) <= set(inputs)
    return inputs | {role: replace(inputs[role], value=float(one)) for role, one in asked.items()}


def test_plan_and_watch_agree_on_what_is_still_inside_at_every_siphoning(lab: Laboratory) -> None:
    soxhlet(lab)
    with lab.look() as look:
        name = watched_step(look, "S1")
        procedure = look.procedure("bark-soxhlet", look.batch("S1").version)
        step = procedure.step(name)
        inputs = starter_inputs(look, "S1")
        for seed in range(times(24, 6)):
            runs = runs_of_starter(procedure, otherwise(inputs, seed), 12.0, {}, 256)
            planned = runs[name].siphonings
            assert planned is not None
            known = prior(look, "S1", step, planned) | {names.WORTH: assumed(names.WORTH, 1.0, "%", "")}
            each = each_planned(planned)
            assert len(each) == 14
            for number, at in enumerate(each, 1):
                known[f"{names.TAP} {number}"] = assumed(
                    f"{names.TAP} {number}", at.minutes - each[0].minutes, "min", ""
                )
                found = watched(known)[0].advice.inside

                assert found.low <= at.left <= found.high, (seed, number)
                assert at.left_low <= found.middle <= at.left_high, (seed, number)
                assert found.middle == pytest.approx(at.left, abs=0.07), (seed, number)


def test_the_watch_begins_with_the_plan_of_its_batch(lab: Laboratory) -> None:
    soxhlet(lab)
    for minute in (0, 12, 24):
        tap(lab, "S1", by="TO", at=later(-300 + minute))
    with lab.look() as look:
        step = watched_step(look, "S1")
        planned = siphonings_planned(look, "S1", step)
        assert planned is not None
        known = prior(look, "S1", look.procedure("bark-soxhlet", 1).step(step), planned)

    assert known[names.SLOW].value == pytest.approx(float(np.median(planned.slow_min)))
    assert known[names.WITHIN_REACH].value == pytest.approx(float(np.median(planned.within_reach_g)))
