"""The watch tried on hidden runs that are not the model it fits: three pools, a fading heater, channels, cut power.

Best is the first siphoning after which the next brings less than a hundredth of all within reach. Ninety in a hundred
within one siphoning of it are asked of every signal; most signals hold less than that, whoever reads them
(``best_that_could_be_told``). Those are asked to come near what they hold, and to hold their intervals all the same.
The runs of these tests were looked at only when the watch was finished: it was made on others (seeds below 10,000).
"""

from collections import defaultdict

import numpy as np
import pytest
from scipy.optimize import least_squares

from stillroom.reference.tables import row
from stillroom.science.extraction.diffusion import out_of_cylinder, out_of_slab, out_of_sphere
from stillroom.science.extraction.watching import THINNING, THINNING_LOG_SD, Seen
from stillroom.science.extraction.watching_advice import WORTH_SHARE, advise
from stillroom.science.extraction.watching_fit import fit
from stillroom.science.extraction.watching_misfits import drops_that_count
from tests.long_form import STUDY, studied
from tests.science.extraction.best_that_could_be_told import best_stop, chances_told, possible_runs
from tests.science.extraction.siphoned_runs import SIGNALS, before_of, hidden_run, judged, told_of

ASKED, NEAR = 0.90, 0.06
"""Share of runs within one siphoning of the best; how far below what its signals hold the watch may stay. [1]"""
SHORT = ("sample, 1 mg", "vials")
FIRST = 40_000
note = print if STUDY else str
RUNS = studied(500, 24, 24)
POSSIBLE = studied(20_000, 6_000, 6_000)


def test_advice_comes_near_the_best_that_could_be_told_and_its_intervals_hold():
    off, held, could, after, lost = (defaultdict(list) for _ in range(5))
    for seed in range(FIRST, FIRST + RUNS):
        run = hidden_run(seed)
        possible, best = possible_runs(run, seed, POSSIBLE), run.best(WORTH_SHARE)
        for name in SIGNALS if STUDY else SHORT:
            what, sure = SIGNALS[name], next((one for one in SIGNALS[name] if isinstance(one, float)), 1.0)
            away, inside, _ = judged(seed, name, begins=None if STUDY else 4)
            off[name].append(away)
            held[name] += inside
            lost[name].append(run.loses(WORTH_SHARE, best + away))
            rows = list(chances_told(possible, told_of(run, seed, sure), what, sure, WORTH_SHARE))
            could[name].append(best_stop(rows) - best)
            after[name].append(rows[-1].max())
    slack = 0.0 if STUDY else 0.03
    for name, away in off.items():
        near, holds = (np.mean(np.abs(one) <= 1) for one in (away, could[name]))
        two, inside = np.mean(np.abs(away) <= 2), np.mean(held[name])
        ever, little = np.mean(after[name]), np.mean(np.array(lost[name]) <= 1.0)
        note(
            f"{name}: {near:.3f} of {holds:.3f}, ever {ever:.3f}, within two {two:.2f}, intervals hold {inside:.3f}, "
            f"loses no more than one siphoning is worth {little:.3f}"
        )

        assert near >= min(ASKED, holds - NEAR) - (0.0 if STUDY else 0.21)
        assert abs(np.median(away)) <= (1 if STUDY else 2)
        assert 0.85 - slack <= inside <= 0.97 + slack
        assert little >= 0.75


def test_everything_looked_at_tells_more_than_any_one_of_it():
    widths = {}
    for name in ("taps", "vials", "sample, 1 mg", "all"):
        widths[name] = []
        for seed in range(6):
            run = hidden_run(seed)
            seen, counted = told_of(run, seed).after(run.best(WORTH_SHARE) + 1, SIGNALS[name])
            inside = advise(before_of(run), seen, counted.cycle_min).inside
            widths[name].append(np.log(inside.high / inside.low))
    assert np.mean(widths["all"]) < np.mean(widths["vials"]) < np.mean(widths["taps"])
    assert np.mean(widths["sample, 1 mg"]) < np.mean(widths["vials"])


def test_the_grams_of_the_next_siphoning_are_as_unsure_as_the_amount_within_reach():
    # a vial tells a share and no grams: the plan's doubt of what is within reach goes into them
    for name in ("vials", "sample, 1 mg"):
        held = []
        for seed in range(FIRST + 1000, FIRST + 1000 + studied(300, 80, 40)):
            run = hidden_run(seed)
            told, at = told_of(run, seed), max(run.best(WORTH_SHARE) - 1, 3)
            if at in told.tapped and at < run.gain.size:
                seen, counted = told.after(at, SIGNALS[name])
                next_g = advise(before_of(run), seen, counted.cycle_min).next_g
                held.append(next_g.low <= run.gain[at] * run.amount_g <= next_g.high)

        slack = 3.0 * (0.9 * 0.1 / len(held)) ** 0.5
        assert 0.9 - slack <= np.mean(held) <= 0.97 + slack, name


def test_a_colour_that_goes_first_and_a_channel_are_noticed_and_seldom_where_they_are_not():
    runs = studied(200, 40, 24)
    first, channel, said_first, said_channel = [], [], [], []
    for seed in range(runs):
        run = hidden_run(seed)
        seen, counted = told_of(run, seed).after(run.best(WORTH_SHARE), SIGNALS["all"])
        advice = advise(before_of(run), seen, counted.cycle_min)
        first.append(run.colour_first)
        channel.append(run.channel)
        said_first.append(advice.colour_first)
        said_channel.append(advice.channelled)
    first, channel = np.array(first), np.array(channel)
    said_first, said_channel = np.array(said_first), np.array(said_channel)

    assert said_first[first].mean() >= 0.7
    assert said_first[~first].mean() <= 0.1
    assert said_channel[channel].mean() >= 0.6
    assert said_channel[~channel].mean() <= 0.12


def test_no_verdict_is_given_while_the_fast_share_is_most_of_what_comes():
    for seed in range(8):
        run = hidden_run(seed)
        seen, counted = told_of(run, seed).after(2, SIGNALS["sample, 1 mg"])

        assert advise(before_of(run), seen, counted.cycle_min).verdict == "not yet"


@pytest.mark.parametrize("name", ["taps", "vials", "sample, 1 mg"])
def test_whoever_siphons_on_past_the_stop_is_not_told_to_go_on(name):
    for seed in range(6):
        run = hidden_run(seed)
        told = told_of(run, seed)
        for past in (6, 12, 20):
            seen, counted = told.after(run.best(WORTH_SHARE) + past, SIGNALS[name])
            advice = advise(before_of(run), seen, counted.cycle_min)

            assert advice.verdict == "stop" or advice.more.middle >= 1.0, (seed, past)


def test_taps_alone_say_no_more_than_the_plan_and_say_so():
    run = hidden_run(0)
    seen = Seen.nothing(run.minutes[:8])

    assert advise(before_of(run), seen, 12.0).by_plan_alone


def test_a_refractometer_is_said_to_be_blind_when_it_is():
    run = hidden_run(1)
    told = told_of(run, 1)
    blind_from = [
        number
        for number in range(2, 16)
        if "refractometer" in advise(before_of(run), *_seen(told, number)).blind
    ]

    assert 3 <= blind_from[0] <= 9
    assert blind_from == list(range(blind_from[0], 16))


def _seen(told, number):
    seen, counted = told.after(number, SIGNALS["refractometer"])
    return seen, counted.cycle_min


def test_a_lone_no_of_a_drop_changes_nothing_and_two_in_a_row_do():
    run = hidden_run(3)
    bare = Seen.nothing(run.minutes[:9])
    drops = np.full(9, np.nan)
    drops[[4, 5, 6]] = (1.0, 0.0, 1.0)
    one = _with(bare, drops)
    drops = drops.copy()
    drops[[7, 8]] = 0.0
    two = _with(bare, drops)
    inside = [advise(before_of(run), each, 12.0).inside.middle for each in (bare, one, two)]

    assert np.isnan(drops_that_count(one.drops)[5])
    assert inside[2] < 0.9 * inside[1]


def _with(seen, drops):
    return Seen(
        seen.minutes, seen.vials, seen.sample_mg, seen.sample_ml, seen.scale_mg, seen.refractometer, drops
    )


@pytest.mark.parametrize("grain", [out_of_slab, out_of_cylinder, out_of_sphere])
@pytest.mark.parametrize("term", ["coarse", "medium", "fine"])
def test_the_slow_rest_is_taken_to_thin_out_as_that_of_a_sieved_powder(term, grain):
    # International Pharmacopoeia, powders (second-hand); Crank's series (from memory), grains even in the log of size
    sieves = row("powder_terms", term)
    ends = (sieves.number(each) for each in ("not_more_than_40_percent_pass_um", "all_pass_um"))
    size = np.geomspace(*ends, 15)
    size /= np.sqrt(np.mean(size**2))
    fourier = np.linspace(0.0, 1.2, 200)
    left = np.mean([1.0 - np.array([grain(one / each**2) for one in fourier]) for each in size], axis=0)

    def off(logs):
        slow, thin = np.exp(logs)
        return np.exp(-np.log1p(np.expm1(thin) * fourier / slow) / thin) / (0.02 + left) - left / (
            0.02 + left
        )

    thinning = float(np.exp(least_squares(off, np.log([0.1, 0.5])).x[1]))
    assert abs(np.log(thinning / THINNING)) < 1.645 * THINNING_LOG_SD


def test_the_same_run_gives_the_same_figures():
    run = hidden_run(5)
    seen, _ = told_of(run, 5).after(9, SIGNALS["all"])

    assert np.array_equal(fit(before_of(run), seen).weights, fit(before_of(run), seen).weights)
