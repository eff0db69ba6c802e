"""The watch at a Soxhlet: what is still inside, from whatever was seen at each siphoning.

A share is washed out at once and falls by one ratio a siphoning; a slow rest leaves with time and is then washed
like the first. One exponential would stop too early, so both are fitted together, with a tail that may thin out.
Where liquid runs through a channel, what dissolves in the part of the bed beside it is caught there, and a share of it
comes over at each siphoning.
Every signal is optional and has an error of its own. The prior says what is known before the run; where nothing was
seen, it is all that is told. Nothing here says whether what dissolves is the marker: only a drop of reagent does.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from stillroom.science.arrays import Floats

UNKNOWNS = (
    "washed share", "slow time", "thinning tail", "volumes", "hold of the plant", "bypassed",
    "colour washed", "colour slow time", "amount", "refractometer scale", "reagent limit", "exchanged",
)  # fmt: skip
"""What is not known of a run: a standard normal stands for each [text]."""
THINNING, THINNING_LOG_SD, MOST_THINNING = 0.4, 0.7, 20.0
"""Middle, log spread and most: powders of the pharmacopoeia by Crank's series have 0.1 to 0.9 [1]."""
COLOURS = ((2.0 / 3.0, 1.0, 0.2), (1.0 / 3.0, 0.3, 0.4))
"""Slow rest of the colour over that of what dissolves: how likely, middle, log spread (chosen) [1]."""


@dataclass(frozen=True, slots=True)
class BeforeTheRun:
    """What is known of a run before its first siphoning, each with the standard deviation of its logarithm or logit.

    ``siphon_ml``, ``heel_ml``: liquid at the crest, and what stays of it, measured with one's own water or
    planned. [mL]
    """

    siphon_ml: float
    heel_ml: float
    volumes_log_sd: float = 0.05
    """Of heel over crest. [1]"""
    sorption_ml: float = 3.0
    """Hold of the plant, as liquid. [mL]"""
    sorption_log_sd: float = 0.6
    """[1]"""
    washed_share: float = 0.6
    """Washed out at once, of what is within reach. [1]"""
    washed_logit_sd: float = 0.5
    """[1]"""
    slow_min: float = 90.0
    """Time in which all but 1/e of the slow rest has left. [min]"""
    slow_log_sd: float = 0.4
    """[1]"""
    amount_g: float = 5.0
    """Extract within reach, by the plan. [g]"""
    amount_log_sd: float = 1.5
    """[1]"""

    @property
    def fastest_ratio(self) -> float:
        """The fastest fall there can be from one siphoning to the next [1]."""
        return self.heel_ml / self.siphon_ml

    @property
    def least_washed_share(self) -> float:
        """Washed out at once of a bed that is packed well, at the lower end of its 90 % interval [1]."""
        middle = math.log(self.washed_share / (1.0 - self.washed_share))
        return 1.0 / (1.0 + math.exp(-middle + 1.645 * self.washed_logit_sd))


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen, one place for each siphoning; NaN where nothing was.

    ``sample_mg``, ``sample_ml``, ``scale_mg``: dry residue of a sample from the thimble just before it
    siphons, its volume, and the standard uncertainty of its weighing. [mg, mL, mg]
    """

    minutes: Floats
    """Time from the wetting of the plant to each siphoning, without the time that it stood cold. [min]"""
    vials: Floats
    """Strength of colour by the dilution series of the first siphoning: 3.0 for 1:8, infinite for paler than
    the last vial. [1]"""
    sample_mg: Floats
    sample_ml: Floats
    scale_mg: Floats
    refractometer: Floats
    """Reading less that of fresh condensate. [% by refractometer]"""
    drops: Floats
    """1 where a drop of reagent showed something, 0 where it did not. [1]"""
    refractometer_sd: float = 0.12
    """Standard uncertainty of a reading less its blank. [% by refractometer]"""
    drop_limit: float = 0.0
    """Dilution of the first siphoning at which the drop just shows something, 0 where nobody tried. [1]"""

    @classmethod
    def nothing(cls, minutes: Floats) -> "Seen":
        """Siphonings at which nothing was looked at but the clock.

        Parameters
        ----------
        minutes : array
            As above [min].

        Returns
        -------
        Seen
            With NaN everywhere [record].
        """
        blank = np.full(minutes.size, np.nan)
        return cls(minutes, blank, blank.copy(), blank.copy(), blank.copy(), blank.copy(), blank.copy())

    @property
    def siphonings(self) -> int:
        """How many there were [1]."""
        return int(self.minutes.size)


@dataclass(frozen=True, slots=True)
class Pools:
    """What the draws say of a run; one value a draw.

    ``ratio``: fall at each siphoning of what it reaches. [1]
    ``washed_share``, ``slow_min``, ``thinning``: [1, min, 1]
    ``colour_washed_share``, ``colour_slow_min``: the same of what is coloured. [1, min]
    ``amount_g``, ``held_ml``: extract within reach; liquid of the thimble with the hold of the plant. [g, mL]
    """

    weights: Floats
    """They add up to one. [1]"""
    ratio: Floats
    washed_share: Floats
    slow_min: Floats
    thinning: Floats
    colour_washed_share: Floats
    colour_slow_min: Floats
    bypassed: Floats
    """Share of the bed that a siphoning does not reach. [1]"""
    exchanged: Floats
    """Share of what is caught there that comes over at each. [1]"""
    amount_g: Floats
    held_ml: Floats
    refractometer_scale: Floats
    """Reading of one gram in 100 mL. [% by refractometer]"""
    drop_limit: Floats
    """Share of the first siphoning's strength at which a drop shows something half the time. [1]"""
    effective_draws: float = 0.0
    """[1]"""


def washed_at(
    minutes: Floats,
    ratio: Floats,
    washed_share: Floats,
    slow_min: Floats,
    thinning: Floats,
    bypassed: Floats | float = 0.0,
    exchanged: Floats | float = 1.0,
) -> tuple[Floats, Floats]:
    """What is dissolved and within reach before each siphoning, and what is still inside after it, of all there was.

    Parameters
    ----------
    minutes : array
        Times of the siphonings [min].
    ratio : array
        Fall at each siphoning, one value a draw [1].
    washed_share : array
        Share washed out at once, one value a draw [1].
    slow_min : array
        Time in which all but 1/e of the slow rest has left, one value a draw [min].
    thinning : array
        How much slower the rest gets as it leaves, 0 for an exponential, one value a draw [1].
    bypassed : array or float
        Share of what dissolves that is caught beside a channel [1].
    exchanged : array or float
        Share of what is caught that comes over at each siphoning [1].

    Returns
    -------
    (array, array)
        A row for each siphoning, a column for each draw [1].

    Notes
    -----
    Slow rest: L = (1 - F) (1 + (e^a - 1) t / s)^(-1/a), an exponential for a = 0. Of what dissolves, the share b is
    caught: C_i = (1 - e) (C_(i-1) + b (L_(i-1) - L_i)), with L_0 = 1. The rest and what comes over is within reach:
    W_i = r W_(i-1) + L_(i-1) - L_i + C_(i-1) - C_i; inside after it: r W_i + C_i + L_i.

    Examples
    --------
    >>> one = np.ones(1)
    >>> dissolved, inside = washed_at(np.array([10.0, 20.0]), 0.25 * one, one, 60.0 * one, one)
    >>> inside[:, 0]
    array([0.25  , 0.0625])

    References
    ----------
    extraction-practice
    """
    rest = 1.0 - washed_share
    slow = rest * np.exp(-np.log1p(np.expm1(thinning) * minutes[:, None] / slow_min) / thinning)
    dissolved, inside = np.empty_like(slow), np.empty_like(slow)
    kept = caught = np.zeros_like(rest)
    undissolved = np.ones_like(rest)
    for at, left in enumerate(slow):
        gone = undissolved - left
        stays = (1.0 - exchanged) * (caught + bypassed * gone)
        dissolved[at] = kept + gone + caught - stays
        kept, caught, undissolved = ratio * dissolved[at], stays, left
        inside[at] = kept + caught + left
    return dissolved, inside


def pools_of(z: Floats, before: BeforeTheRun, drop_limit: float = 0.0) -> Pools:
    """The pools that standard normals stand for.

    Parameters
    ----------
    z : array
        A row for each of ``UNKNOWNS``, a column for each draw [1].
    before : BeforeTheRun
        What is known [record].
    drop_limit : float
        As in ``Seen`` [1].

    Returns
    -------
    Pools
        One value a draw [records].

    Examples
    --------
    >>> pools_of(np.zeros((12, 1)), BeforeTheRun(80.0, 20.0, washed_share=0.5)).washed_share
    array([0.5])

    References
    ----------
    extraction-practice
    """
    volume = before.fastest_ratio * np.exp(before.volumes_log_sd * z[3])
    volume = np.minimum(volume, 0.95)
    hold = before.sorption_ml * np.exp(before.sorption_log_sd * z[4])
    washed = _logistic(
        math.log(before.washed_share / (1.0 - before.washed_share)) + before.washed_logit_sd * z[0]
    )
    slow = before.slow_min * np.exp(before.slow_log_sd * z[1])
    known = drop_limit > 0.0
    limit = math.log(1.0 / drop_limit) if known else math.log(1.0 / 120.0)
    return Pools(
        weights=np.full(z.shape[1], 1.0 / z.shape[1]),
        ratio=(volume * before.siphon_ml + hold) / (before.siphon_ml + hold),
        washed_share=washed,
        slow_min=slow,
        thinning=np.minimum(THINNING * np.exp(THINNING_LOG_SD * z[2]), MOST_THINNING),
        colour_washed_share=np.maximum(1.0 - (1.0 - washed) * _rest_of_colour(z[6]), 0.01),
        colour_slow_min=slow * np.exp(0.1 * z[7]),
        bypassed=_logistic(-3.0 + 1.3 * z[5]),
        exchanged=_logistic(-1.5 + 0.6 * z[11]),
        amount_g=before.amount_g * np.exp(before.amount_log_sd * z[8]),
        held_ml=before.siphon_ml + hold,
        refractometer_scale=1.1 * np.exp(0.25 * z[9]),
        drop_limit=np.exp(limit + (0.35 if known else 1.0) * z[10]),
    )


def _rest_of_colour(z: Floats) -> Floats:
    """Slow rest of the colour over that of what dissolves: alike in most plants, else the colour goes first."""
    at, logs = _colour_table()
    return np.asarray(np.exp(np.interp(z, at, logs)))


@cache
def _colour_table() -> tuple[Floats, Floats]:
    from scipy.special import ndtr, ndtri

    logs = np.linspace(-3.0, 1.2, 800)
    below = sum(share * ndtr((logs - math.log(middle)) / sd) for share, middle, sd in COLOURS)
    return np.asarray(ndtri(np.clip(below, 1e-12, 1.0 - 1e-12))), logs


def _logistic(x: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-x)))
