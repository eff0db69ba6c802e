"""How near the best siphoning anybody could place the stop who knew how hidden runs are made, but not the run.

Many runs are made as ``siphoned_runs`` makes one, with its glass and its clock, and each is weighed by how likely it
would have shown what was seen, with the true errors of every signal. The stop is where the chance of being within one
is greatest. No fit of what was seen does better in the long run; what this does not reach is not in the signal. Whoever
siphons on to the 45th, and says only then which would have been the best to stop after, is the bound above all.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from tests.science.extraction.siphoned_runs import SAMPLE_ML, pools_through

UP_TO = 45


@dataclass(frozen=True)
class Possible:
    """Runs that could be: a row a siphoning, a column a run."""

    strength: np.ndarray
    gain: np.ndarray
    colour: np.ndarray
    drop_limit: np.ndarray
    refractometer_scale: np.ndarray

    def bests(self, worth):
        """The best siphoning of each."""
        below = self.gain[1:] < worth
        return np.where(below.any(axis=0), below.argmax(axis=0) + 1, UP_TO)


def possible_runs(run, seed, count):
    """Runs with the glass and the clock of one, everything else as any run could have it."""
    rng = np.random.default_rng(seed + 77_000)
    plant_g = run.siphon_ml / rng.uniform(6, 9, count)
    sorption_ml = plant_g * rng.lognormal(np.log(0.3), 0.4, count)
    amount_g = plant_g * rng.lognormal(np.log(0.25), 0.35, count)
    washed = 1 / (1 + np.exp(-rng.normal(np.log(0.62 / 0.38), 0.45, count)))
    middle = rng.uniform(0.3, 0.7, count)
    rest = (1 - washed) * np.stack([middle, 1 - middle])
    times = [rng.uniform(*ends, count) for ends in ((1.0, 3.0), (30, 70), (100, 250))]
    rates = 1 / np.stack(times)
    channel = rng.random(count) < 0.15
    bypassed = np.where(channel, rng.uniform(0.3, 0.6, count), 0.0)
    exchanged = np.where(channel, rng.uniform(0.1, 0.25, count), 1.0)
    clock = run.minutes[:UP_TO]

    def through(slow, sorption_ml):
        pools = np.concatenate([1 - slow.sum(axis=0, keepdims=True), slow]), rates
        return pools_through(pools, clock, run.siphon_ml, run.heel_ml, sorption_ml, bypassed, exchanged, 0.0)

    before, after = through(rest, sorption_ml)
    first = rng.random(count) < 0.35
    kept = np.where(first, rng.uniform(0.15, 0.45, count), rng.uniform(0.7, 1.2, count))
    coloured, _ = through(rest * kept, sorption_ml * rng.lognormal(0, 0.3, count))
    return Possible(
        before * amount_g / (run.siphon_ml + sorption_ml),
        -np.diff(after, axis=0, prepend=np.ones((1, count))),
        coloured / coloured[0],
        np.exp(-rng.uniform(np.log(60), np.log(400), count)),
        1.1 * rng.lognormal(0, 0.2, count),
    )


def likely(possible, told, what, sample_sd_mg, at):
    """How likely each run would have shown what was seen at one siphoning, as a logarithm."""
    strength, found = possible.strength[at], np.zeros(possible.strength.shape[1])
    if "sample" in what:
        expected = strength * 1000 * SAMPLE_ML
        sure = np.hypot(0.04 * expected, sample_sd_mg)
        found += -0.5 * ((told.sample_mg[at] - expected) / sure) ** 2 - np.log(sure)
    if "vials" in what and at:
        off, seen = -np.log2(possible.colour[at]), told.vials[at]
        above = 1.0 if np.isinf(seen) else ndtr((seen + 0.5 - off) / 0.35)
        under = 0.0 if seen == 0 else ndtr(((7.5 if np.isinf(seen) else seen - 0.5) - off) / 0.35)
        found += np.log(np.maximum(above - under, 1e-12))
    if "refractometer" in what:
        away = told.refractometer[at] - possible.refractometer_scale * 100 * strength
        found += np.log(np.maximum(ndtr((away + 0.05) / 0.1) - ndtr((away - 0.05) / 0.1), 1e-12))
    if "drops" in what:
        above = ndtr(np.log(strength / possible.strength[0] / possible.drop_limit) / 0.3)
        shows = 0.85 * above + 0.02 * (1 - above)
        found += np.log(shows if told.drops[at] else 1 - shows)
    return found


def chances_told(possible, told, what, sample_sd_mg, worth):
    """After each siphoning, how likely a stop at each one is within one of the best: a row of chances."""
    bests, logs = possible.bests(worth), np.zeros(possible.strength.shape[1])
    for at in range(UP_TO):
        if at + 1 in told.tapped:
            logs += likely(possible, told, what, sample_sd_mg, at)
        chance = np.bincount(bests, np.exp(logs - logs.max()), UP_TO + 2)
        yield (chance[:-2] + chance[1:-1] + chance[2:]) / chance.sum()


def best_stop(rows):
    """The first siphoning at which stopping is likelier within one of the best than at any later one."""
    stops = (at + 1 for at, row in enumerate(rows) if at >= 2 and row[at] >= row[at + 1 :].max(initial=0.0))
    return next(stops, UP_TO)
