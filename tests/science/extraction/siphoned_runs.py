"""Hidden Soxhlet runs to try the watch on: three pools, a drifting heater, a channel, a colour that goes first.

This is on purpose not the model that is fitted: three pools let go into the liquid while the thimble fills, and of
what a channel bypasses a share is exchanged at each siphoning. What a person sees of it has errors that the fit is not
told exactly either.
"""

from dataclasses import dataclass

import numpy as np

from stillroom.science.extraction.watching import BeforeTheRun, Seen
from stillroom.science.extraction.watching_advice import WORTH_SHARE, advise
from stillroom.science.extraction.watching_taps import siphonings_of

MOST = 60


@dataclass(frozen=True)
class HiddenRun:
    """One run as it truly went, and what a person would know beforehand."""

    siphon_ml: float
    heel_ml: float
    sorption_ml: float
    amount_g: float
    minutes: np.ndarray  # when each siphoning came
    strength: np.ndarray  # g/mL in the thimble just before each siphoning
    inside: np.ndarray  # share still inside after each
    gain: np.ndarray  # share each siphoning carried over
    colour: np.ndarray  # colour before each siphoning, over that before the first
    colour_first: bool
    channel: bool
    fades: bool
    drop_limit: float
    refractometer_scale: float

    def best(self, worth):
        """The first siphoning after which the next brings less than is worth it."""
        return int(np.argmax(self.gain[1:] < worth)) + 1

    def loses(self, worth, at):
        """What a stop there loses against the best, in siphonings that are worth it."""
        won = np.cumsum(self.gain / worth - 1.0)
        return won.max() - won[at - 1]


def pools_through(pools, times, siphon_ml, heel_ml, sorption_ml, bypassed, exchanged, wet_min):
    """Three pools let go into a thimble that fills and empties: dissolved before, and inside after, each siphoning.

    Each figure may stand for many runs: pools then have a column for each of them.
    """
    left, rates = (np.asarray(one, dtype=float) for one in pools)
    keeps = (heel_ml + sorption_ml) / (siphon_ml + sorption_ml)
    caught = free = 0.0  # caught: in the liquid of the part that a channel bypasses
    before, after = [], []
    for minutes in np.diff(times, prepend=-wet_min):
        stays = left * np.exp(-rates * minutes)
        gone, left = (left - stays).sum(axis=0), stays
        caught = caught + gone * bypassed
        over = caught * exchanged
        caught = caught - over
        free = free + gone * (1.0 - bypassed) + over
        before.append(free)
        free = free * keeps
        after.append(free + caught + left.sum(axis=0))
    return np.array(before), np.array(after)


def hidden_run(seed):
    """One run, everything about it by the seed."""
    rng = np.random.default_rng(seed)
    siphon_ml = rng.uniform(50, 120)
    heel_ml = siphon_ml * rng.uniform(0.2, 0.4)
    plant_g = siphon_ml / rng.uniform(6, 9)
    sorption_ml = plant_g * rng.lognormal(np.log(0.3), 0.4)
    amount_g = plant_g * rng.lognormal(np.log(0.25), 0.35)
    washed = 1 / (1 + np.exp(-rng.normal(np.log(0.62 / 0.38), 0.45)))
    middle = rng.uniform(0.3, 0.7)
    shares = (washed, (1 - washed) * middle, (1 - washed) * (1 - middle))
    rates = (1 / rng.uniform(1.0, 3.0), 1 / rng.uniform(30, 70), 1 / rng.uniform(100, 250))
    cycle = rng.uniform(9, 18)
    fades = rng.random() < 0.2
    drift = rng.uniform(0.02, 0.05) if fades else rng.normal(0.0, 0.004)
    cycles = cycle * np.exp(drift * np.arange(MOST) + rng.normal(0, 0.03, MOST))
    cycles = np.minimum(cycles, 4 * cycle)
    times = np.cumsum(cycles) - cycles[0]
    channel = rng.random() < 0.15
    bypassed, exchanged = (rng.uniform(0.3, 0.6), rng.uniform(0.1, 0.25)) if channel else (0.0, 1.0)
    before, after = pools_through(
        (shares, rates), times, siphon_ml, heel_ml, sorption_ml, bypassed, exchanged, cycle
    )
    first = rng.random() < 0.35
    kept = rng.uniform(0.15, 0.45) if first else rng.uniform(0.7, 1.2)
    rest = np.array(shares[1:]) * kept
    coloured, _ = pools_through(
        ((1 - rest.sum(), *rest), rates), times, siphon_ml, heel_ml,
        sorption_ml * rng.lognormal(0, 0.3), bypassed, exchanged, cycle,
    )  # fmt: skip
    whole = np.concatenate([[1.0], after])
    return HiddenRun(
        siphon_ml, heel_ml, sorption_ml, amount_g, times + cycle,
        before * amount_g / (siphon_ml + sorption_ml), after, whole[:-1] - whole[1:], coloured / coloured[0],
        first, channel, fades, float(np.exp(-rng.uniform(np.log(60), np.log(400)))),
        1.1 * rng.lognormal(0, 0.2),
    )  # fmt: skip


SAMPLE_ML = 10.0
SIGNALS = {
    "taps": (),
    "vials": ("vials",),
    "sample, 1 mg": ("sample", 1.0),
    "sample, 0.1 mg": ("sample", 0.1),
    "sample, 10 mg": ("sample", 6.0),
    "40 mL, 10 mg": ("sample", 1.5),
    "refractometer": ("refractometer",),
    "drops": ("drops",),
    "all": ("vials", "sample", 1.0, "refractometer", "drops"),
    "all but a sample": ("vials", "refractometer", "drops"),
}
"""What is looked at, with the standard uncertainty of the residue of 10 mL in mg (its scale, and drying it)."""


@dataclass(frozen=True)
class Told:
    """What a person has of a hidden run: a clock that is tapped, and what was seen at every siphoning."""

    taps: np.ndarray
    tapped: np.ndarray  # number of the siphoning at each tap
    cut_min: float
    vials: np.ndarray
    sample_mg: np.ndarray
    refractometer: np.ndarray
    drops: np.ndarray

    def after(self, siphoning, what):
        """What the watch knows after a siphoning, and how long the next one takes."""
        taps = self.taps[self.tapped <= siphoning]
        counted = siphonings_of(taps)
        blank = np.full(counted.minutes.size, np.nan)
        seen = {name: blank.copy() for name in ("vials", "sample_mg", "refractometer", "drops")}
        for tap, number in zip(self.tapped[self.tapped <= siphoning], counted.number_of_tap, strict=True):
            if number == 0:
                continue
            for name in seen:
                if name.partition("_")[0] in what:
                    seen[name][number - 1] = getattr(self, name)[tap - 1]
        sure = next((one for one in what if isinstance(one, float)), 1.0)
        size = counted.minutes.size
        return Seen(
            counted.minutes, seen["vials"], seen["sample_mg"], np.full(size, SAMPLE_ML), np.full(size, sure),
            seen["refractometer"], seen["drops"],
        ), counted  # fmt: skip


def told_of(run, seed, sample_sd_mg=1.0):
    """What a person sees of a hidden run: taps forgotten, a cut of power in every fifth run, errors in every signal."""
    rng = np.random.default_rng(seed + 10_000)
    size = run.minutes.size
    sample = run.strength * 1000 * SAMPLE_ML * (1 + rng.normal(0, 0.04, size)) + rng.normal(
        0, sample_sd_mg, size
    )
    halvings = np.round(np.clip(-np.log2(run.colour) + rng.normal(0, 0.35, size), 0, None))
    halvings[0] = 0
    read = np.round(run.refractometer_scale * 100 * run.strength + rng.normal(0, 0.1, size), 1)
    shows = run.strength / run.strength[0] * np.exp(rng.normal(0, 0.3, size)) > run.drop_limit
    drops = np.where(shows, rng.random(size) > 0.15, rng.random(size) < 0.02).astype(float)
    clock = run.minutes + rng.normal(0, 0.3, size)
    cut = rng.uniform(25, 120) if rng.random() < 0.2 else 0.0
    clock[rng.integers(3, 9) :] += cut
    kept = rng.random(size) > 0.04
    kept[:2] = True
    return Told(
        clock[kept],
        np.flatnonzero(kept) + 1,
        cut,
        np.where(halvings > 7, np.inf, halvings),
        sample,
        read,
        drops,
    )


def before_of(run):
    """What the plan would say of a run: its own water measured, the rest as starters say it."""
    plant_g = run.siphon_ml / 7.5
    return BeforeTheRun(
        run.siphon_ml, run.heel_ml, sorption_ml=0.3 * plant_g, amount_g=0.25 * plant_g, amount_log_sd=0.45
    )


def judged(seed, name, begins=None):
    """Siphonings from the best to the one the watch says stop at; whether each 90 % interval held what was inside."""
    run, what = hidden_run(seed), SIGNALS[name]
    told = told_of(run, seed, next((one for one in what if isinstance(one, float)), 1.0))
    best, held = run.best(WORTH_SHARE), []
    for siphoning in range(3 if begins is None else max(best - begins, 3), MOST):
        if siphoning not in told.tapped:
            continue
        seen, counted = told.after(siphoning, what)
        advice = advise(before_of(run), seen, counted.cycle_min)
        held.append(advice.inside.low <= run.inside[siphoning - 1] <= advice.inside.high)
        if advice.verdict == "stop":
            break
    return siphoning - best, held, advice
