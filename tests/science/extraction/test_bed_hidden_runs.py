"""The watch of macerations and percolations on hidden beds of another model, and its balance against another solver."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from stillroom.errors import NotEnough
from stillroom.science.extraction.bed_advice import advise_bed
from stillroom.science.extraction.bed_watching import BeforeTheBed, SeenInBed, bed_at, bed_pools_of
from tests.long_form import STUDY, studied, times
from tests.science.extraction.hidden_beds import SIGNALS, dripping, seen_of, standing

RUNS = studied(500, 120, 24)
CASES = [
    (standing, ("sample",)), (standing, ("density",)), (standing, SIGNALS),
    (dripping, ("sample",)), (dripping, SIGNALS),
]  # fmt: skip


@pytest.mark.parametrize(
    ("bed", "signals"), CASES, ids=["still sample", "still density", "still all", "drips sample", "drips all"]
)
def test_a_ninety_percent_interval_of_what_is_inside_holds_it_nine_times_in_ten(bed, signals):
    held = 0
    for seed in range(RUNS):
        hidden = bed(seed)
        advice = advise_bed(hidden.before, seen_of(hidden, seed, signals), hidden.ahead_min)
        held += advice.inside.low <= hidden.inside[-2] <= advice.inside.high
    slack = 0.0 if STUDY else 2.0 * (0.9 * 0.1 / RUNS) ** 0.5

    assert 0.85 - slack <= held / RUNS <= 0.95 + slack


def test_the_grams_of_another_stretch_are_as_unsure_as_the_amount_within_reach():
    hidden = standing(3)
    advice = advise_bed(hidden.before, seen_of(hidden, 3, ("colour",)), hidden.ahead_min)
    share, grams, amount = (
        np.log(one.high / one.low) for one in (advice.next_shares[0], advice.next_g, advice.amount_g)
    )

    assert grams >= 0.9 * np.hypot(share, amount)


def test_dripping_agrees_with_another_integration():
    # independent: two tanks and the law of what is not dissolved, by solve_ivp with its own steps
    one = bed_pools_of(np.zeros((14, 1)), BeforeTheBed(200.0, washed_share=0.6))
    minutes, drips = np.array([720.0, 900.0, 1200.0, 2000.0, 3000.0]), np.array([0.0, 1.0, 0.7, 0.9, 0.5])
    undissolved, dissolved, strength = bed_at(minutes, drips, one)
    share, fast, slow, thin = 0.6, one.fast_min[0], one.slow_min[0], one.thinning[0]
    near_ml = 200.0 * one.behind[0]
    far_ml = 200.0 - near_ml

    def leaves(at):
        rest = (1 + thin * at / slow) ** (-1 / thin - 1) / slow
        return share * np.exp(-at / fast) / fast + (1 - share) * rest

    def change(at, now, drip):
        over = drip * now[0] / far_ml
        return [
            leaves(at) * far_ml / 200.0 - over,
            leaves(at) * near_ml / 200.0 + over - drip * now[1] / near_ml,
        ]

    now, begins = [0.0, 0.0], 0.0
    for row, (until, drip) in enumerate(zip(minutes, drips, strict=True)):
        run = solve_ivp(change, (begins, until), now, args=(drip,), rtol=1e-10, atol=1e-12)
        now, begins = run.y[:, -1], until
        assert dissolved[row, 0] == pytest.approx(sum(now), abs=1e-3)
        assert strength[row, 0] == pytest.approx(now[1] * 200.0 / near_ml, abs=1e-3)
    assert (np.diff(undissolved[:, 0]) < 0).all()


def test_a_bed_that_stands_gives_the_law_itself():
    one = bed_pools_of(np.zeros((14, 1)), BeforeTheBed(500.0))
    undissolved, dissolved, _ = bed_at(np.array([100.0, 5000.0]), np.zeros(2), one)

    assert undissolved + dissolved == pytest.approx(np.ones((2, 1)), abs=1e-12)


def test_one_look_gives_no_verdict_and_none_is_asked_for():
    hidden = standing(3)
    seen = seen_of(hidden, 3, ("sample",))
    first = SeenInBed(*(getattr(seen, name)[:1] for name in list(SeenInBed.__dataclass_fields__)[:10]))

    assert advise_bed(hidden.before, first, 1440.0).verdict == "not yet"
    with pytest.raises(NotEnough, match="look before there is advice"):
        advise_bed(hidden.before, SeenInBed.nothing(np.array([])), 1440.0)


def test_samples_that_stand_still_say_stop_and_samples_that_climb_say_go_on():
    def told(milligrams):
        minutes = np.array([240.0, 1440.0, 2880.0, 4320.0, 5760.0])[: len(milligrams)]
        bare = SeenInBed.nothing(minutes)
        seen = SeenInBed(
            minutes, bare.drips_ml_min, np.array(milligrams), np.full(minutes.size, 10.0),
            np.full(minutes.size, 0.5), *(getattr(bare, name) for name in ("refractometer", "density_kg_m3", "colour",
            "drops", "collected_ml")),
        )  # fmt: skip
        return advise_bed(BeforeTheBed(500.0), seen, 1440.0)

    assert told([300.0, 398.0, 400.0, 401.0, 400.0]).verdict == "stop"
    climbing = told([150.0, 230.0, 290.0])
    assert climbing.verdict == "go on"
    assert climbing.more.middle >= 1
    assert climbing.inside.low < climbing.inside.middle < climbing.inside.high


def test_drops_of_a_bed_four_times_as_large_as_planned_are_told_and_not_advised_on():
    def before(dry_g):
        return BeforeTheBed(0.6 * dry_g, amount_g=0.26 * dry_g, amount_log_sd=0.6, slow_min=500.0)

    # 267 g are in it, 300 mL pass in four hours
    minutes, drips = np.array([1440.0, 1500.0, 1740.0]), np.array([0.0, 1.25, 1.25])
    strength = bed_at(minutes, drips, bed_pools_of(np.zeros((14, 1)), before(267.0)))[2][:, 0]
    seen = replace(
        SeenInBed.nothing(minutes, drips),
        sample_mg=np.array([np.nan, *(5.0 * 1000.0 * 0.26 / 0.6 * strength[1:])]),
        sample_ml=np.full(3, 5.0),
        scale_mg=np.full(3, 0.6),
    )
    planned = {dry_g: advise_bed(before(dry_g), seen, dry_g / 1.25) for dry_g in (66.0, 267.0)}

    assert (planned[66.0].fits, planned[66.0].verdict) == (False, "not yet")
    assert planned[267.0].fits


def test_no_bed_as_planned_is_said_not_to_fit():
    for bed in (standing, dripping):
        for seed in range(times(60, 8)):
            hidden = bed(seed)
            assert advise_bed(hidden.before, seen_of(hidden, seed), hidden.ahead_min).fits


def test_the_doubt_of_what_is_inside_narrows_with_what_was_seen():
    hidden = standing(5)
    blind = advise_bed(hidden.before, SeenInBed.nothing(hidden.minutes), 1440.0)
    seen = advise_bed(hidden.before, seen_of(hidden, 5), 1440.0)

    assert blind.by_plan_alone
    assert seen.inside.high - seen.inside.low < 0.8 * (blind.inside.high - blind.inside.low)
