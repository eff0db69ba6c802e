"""The watch tried on hidden runs that are not the model it fits: three pools, a fading heater, channels, cut power.

Best is the first siphoning after which the next brings less than a hundredth of all within reach. Measured over 500
runs (seeds 0 to 499; taps forgotten and power cut in all of them): see ``WITHIN_ONE``. What cannot reach 90 % says so
by the width of what it tells, and its intervals hold all the same.
"""

import numpy as np
import pytest

from stillroom.science.extraction.watching import Seen, drops_that_count
from stillroom.science.extraction.watching_advice import WORTH_SHARE, advise
from stillroom.science.extraction.watching_fit import fit
from tests.long_form import STUDY, studied
from tests.science.extraction.siphoned_runs import SIGNALS, before_of, hidden_run, judged, told_of

WITHIN_ONE = {
    "sample, 1 mg": 0.90,
    "sample, 0.1 mg": 0.90,
    "all": 0.90,
    "sample, 10 mg": 0.55,
    "all but a sample": 0.5,
    "refractometer": 0.45,
    "vials": 0.3,
    "drops": 0.2,
    "taps": 0.2,
}
"""Share of runs whose advice lies within one siphoning of the best: at least this."""
SHORT = ("sample, 1 mg", "vials")
RUNS = studied(500, 24, 16)


@pytest.mark.parametrize("name", WITHIN_ONE if STUDY else SHORT)
def test_advice_lies_near_the_best_and_its_intervals_hold(name):
    off, held = [], []
    for seed in range(RUNS):
        away, inside, _ = judged(seed, name, begins=None if STUDY else 4)
        off.append(away)
        held += inside
    off = np.array(off)

    assert np.mean(np.abs(off) <= 1) >= WITHIN_ONE[name] - (0.0 if STUDY else 0.07)
    assert abs(np.median(off)) <= 1
    assert 0.85 <= np.mean(held) <= 0.97 + (0.0 if STUDY else 0.03)


def test_everything_looked_at_tells_more_than_any_one_of_it():
    assert set(WITHIN_ONE) == set(SIGNALS)
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


def test_the_same_run_gives_the_same_figures():
    run = hidden_run(5)
    seen, _ = told_of(run, 5).after(9, SIGNALS["all"])

    assert np.array_equal(fit(before_of(run), seen).weights, fit(before_of(run), seen).weights)
