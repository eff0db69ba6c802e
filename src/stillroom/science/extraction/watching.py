"""The watch at a Soxhlet: what is still inside, from whatever was seen at each siphoning.

A share is washed out at once and falls by one ratio a siphoning; a slow rest leaves with time and is then washed
like the first. One exponential would stop too early, so both are fitted together, with a tail that may thin out.
Every signal is optional and has an error of its own. The prior says what is known before the run; where nothing was
seen, it is all that is told. Nothing here says whether what dissolves is the marker: only a drop of reagent does.
"""

import math
from dataclasses import dataclass

import numpy as np

from stillroom.science.arrays import Floats

UNKNOWNS = (
    "washed share", "slow time", "thinning tail", "volumes", "hold of the plant", "bypassed",
    "colour washed", "colour slow time", "amount", "refractometer scale", "reagent limit",
)  # fmt: skip
"""What is not known of a run: a standard normal stands for each [text]."""
SAMPLING = 0.05
"""Relative standard uncertainty of a sample, its volume and its place: common practice, no source [1]."""
MATCHING = 0.5
"""Standard uncertainty of a match by eye, in halvings: half a vial [1]."""
PALEST = 7.5
"""Halvings from which the sample is paler than the last vial, 1:128 [1]."""
FALSE_YES, FALSE_NO, DROP_WIDTH = 0.03, 0.2, 0.4


@dataclass(frozen=True, slots=True)
class BeforeTheRun:
    """What is known of a run before its first siphoning, each with the standard deviation of its logarithm or logit.

    Attributes
    ----------
    siphon_ml, heel_ml : float
        Liquid at the crest, and what stays of it, measured with one's own water or planned. [mL]
    volumes_log_sd : float
        Of heel over crest. [1]
    sorption_ml : float
        Hold of the plant, as liquid. [mL]
    sorption_log_sd : float
        [1]
    washed_share : float
        Washed out at once, of what is within reach. [1]
    washed_logit_sd : float
        [1]
    slow_min : float
        Time in which all but 1/e of the slow rest has left. [min]
    slow_log_sd : float
        [1]
    amount_g : float
        Extract within reach, by the plan. [g]
    amount_log_sd : float
        [1]
    """

    siphon_ml: float
    heel_ml: float
    volumes_log_sd: float = 0.05
    sorption_ml: float = 3.0
    sorption_log_sd: float = 0.6
    washed_share: float = 0.6
    washed_logit_sd: float = 0.5
    slow_min: float = 80.0
    slow_log_sd: float = 0.4
    amount_g: float = 5.0
    amount_log_sd: float = 1.5

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

    Attributes
    ----------
    minutes : array
        Time from the wetting of the plant to each siphoning, without the time that it stood cold. [min]
    vials : array
        Strength of colour by the dilution series of the first siphoning: 3.0 for 1:8, infinite for paler than the
        last vial. [1]
    sample_mg, sample_ml, scale_mg : array
        Dry residue of a sample from the thimble just before it siphons, its volume, and the standard uncertainty of
        its weighing. [mg, mL, mg]
    refractometer : array
        Reading less that of fresh condensate. [% by refractometer]
    drops : array
        1 where a drop of reagent showed something, 0 where it did not. [1]
    refractometer_sd : float
        Standard uncertainty of a reading less its blank. [% by refractometer]
    drop_limit : float
        Dilution of the first siphoning at which the drop just shows something, 0 where nobody tried. [1]
    """

    minutes: Floats
    vials: Floats
    sample_mg: Floats
    sample_ml: Floats
    scale_mg: Floats
    refractometer: Floats
    drops: Floats
    refractometer_sd: float = 0.12
    drop_limit: float = 0.0

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

    Attributes
    ----------
    weights : array
        They add up to one. [1]
    ratio, plant_ratio : array
        Fall at each siphoning, and what volumes and plant would make of it with no channel. [1]
    washed_share, slow_min, thinning : array
        [1, min, 1]
    colour_washed_share, colour_slow_min : array
        The same of what is coloured. [1, min]
    bypassed : array
        Share of the bed that a siphoning does not reach. [1]
    amount_g, held_ml : array
        Extract within reach; liquid of the thimble with the hold of the plant. [g, mL]
    refractometer_scale : array
        Reading of one gram in 100 mL. [% by refractometer]
    drop_limit : array
        Share of the first siphoning's strength at which a drop shows something half the time. [1]
    effective_draws : float
        [1]
    """

    weights: Floats
    ratio: Floats
    plant_ratio: Floats
    washed_share: Floats
    slow_min: Floats
    thinning: Floats
    colour_washed_share: Floats
    colour_slow_min: Floats
    bypassed: Floats
    amount_g: Floats
    held_ml: Floats
    refractometer_scale: Floats
    drop_limit: Floats
    effective_draws: float = 0.0


def washed_at(
    minutes: Floats, ratio: Floats, washed_share: Floats, slow_min: Floats, thinning: Floats
) -> tuple[Floats, Floats]:
    """What is dissolved before each siphoning, and what is still inside after it, of all within reach.

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

    Returns
    -------
    (array, array)
        A row for each siphoning, a column for each draw [1].

    Notes
    -----
    Slow rest: L = (1 - F) (1 + a t / s)^(-1/a), an exponential for a = 0. Dissolved before siphoning i:
    W_i = r W_(i-1) + L_(i-1) - L_i; inside after it: r W_i + L_i.

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
    slow = rest * np.exp(-np.log1p(thinning * minutes[:, None] / slow_min) / thinning)
    dissolved = np.empty_like(slow)
    now, before = washed_share / ratio, rest
    for at in range(minutes.size):
        now = ratio * now + before - slow[at]
        dissolved[at] = now
        before = slow[at]
    return dissolved, ratio * dissolved + slow


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
    >>> pools_of(np.zeros((11, 1)), BeforeTheRun(80.0, 20.0, washed_share=0.5)).washed_share
    array([0.5])

    References
    ----------
    extraction-practice
    """
    volume = before.fastest_ratio * np.exp(before.volumes_log_sd * z[3])
    volume = np.minimum(volume, 0.95)
    hold = before.sorption_ml * np.exp(before.sorption_log_sd * z[4])
    plant = (volume * before.siphon_ml + hold) / (before.siphon_ml + hold)
    bypassed = _logistic(-3.0 + 1.3 * z[5])
    washed = math.log(before.washed_share / (1.0 - before.washed_share)) + before.washed_logit_sd * z[0]
    slow = before.slow_min * np.exp(before.slow_log_sd * z[1])
    known = drop_limit > 0.0
    limit = math.log(1.0 / drop_limit) if known else math.log(1.0 / 120.0)
    return Pools(
        weights=np.full(z.shape[1], 1.0 / z.shape[1]),
        ratio=plant + (1.0 - plant) * bypassed,
        plant_ratio=plant,
        washed_share=_logistic(washed),
        slow_min=slow,
        thinning=0.3 * np.exp(1.2 * z[2]),
        colour_washed_share=_logistic(washed + 0.4 + 0.6 * z[6]),
        colour_slow_min=slow * np.exp(0.3 * z[7]),
        bypassed=bypassed,
        amount_g=before.amount_g * np.exp(before.amount_log_sd * z[8]),
        held_ml=before.siphon_ml + hold,
        refractometer_scale=1.1 * np.exp(0.25 * z[9]),
        drop_limit=np.exp(limit + (0.35 if known else 1.0) * z[10]),
    )


def misfits(pools: Pools, seen: Seen) -> Floats:
    """How far each draw is from each thing seen, in standard deviations.

    Parameters
    ----------
    pools : Pools
        One run a draw [records].
    seen : Seen
        What was seen [record].

    Returns
    -------
    array
        A row for each thing seen, a column for each draw; half the sum of squares is what the draw costs [1].

    Notes
    -----
    What is yes or no, or paler than the last vial, has the misfit whose half square is its surprise.

    Examples
    --------
    >>> pools = pools_of(np.zeros((11, 1)), BeforeTheRun(80.0, 20.0))
    >>> misfits(pools, Seen.nothing(np.array([12.0, 24.0]))).shape
    (0, 1)

    References
    ----------
    extraction-practice
    """
    dissolved, _ = washed_at(seen.minutes, pools.ratio, pools.washed_share, pools.slow_min, pools.thinning)
    in_100_ml = 100.0 * pools.amount_g * dissolved / pools.held_ml
    found = [np.zeros((0, pools.ratio.size))]
    at = np.flatnonzero(np.isfinite(seen.sample_mg))
    if at.size:
        expected = 10.0 * in_100_ml[at] * seen.sample_ml[at, None]
        sure = np.hypot(seen.scale_mg[at], SAMPLING * np.maximum(seen.sample_mg[at], 0.0))
        found.append((expected - seen.sample_mg[at, None]) / sure[:, None])
    at = np.flatnonzero(np.isfinite(seen.refractometer))
    if at.size:
        expected = pools.refractometer_scale * in_100_ml[at]
        sure = np.hypot(seen.refractometer_sd, SAMPLING * np.maximum(seen.refractometer[at], 0.0))
        found.append((expected - seen.refractometer[at, None]) / sure[:, None])
    at = np.flatnonzero(~np.isnan(seen.vials))
    if at.size:
        colour, _ = washed_at(
            seen.minutes, pools.ratio, pools.colour_washed_share, pools.colour_slow_min, pools.thinning
        )
        halvings = -np.log2(np.maximum(colour[at] / colour[0], 1e-300))
        pale = np.isinf(seen.vials[at])
        matched = np.where(pale, 0.0, seen.vials[at])[:, None]
        found.append(
            np.where(
                pale[:, None], _surprise((halvings - PALEST) / MATCHING), (halvings - matched) / MATCHING
            )
        )
    told = drops_that_count(seen.drops)
    at = np.flatnonzero(np.isfinite(told))
    if at.size:
        above = np.log(np.maximum(dissolved[at] / dissolved[0], 1e-300) / pools.drop_limit)
        shows = FALSE_YES + (1.0 - FALSE_YES - FALSE_NO) * _normal(above / DROP_WIDTH)
        found.append(np.sqrt(-2.0 * np.log(np.where(told[at, None] > 0.0, shows, 1.0 - shows))))
    return np.concatenate(found)


def _surprise(x: Floats) -> Floats:
    """The misfit of something that is likelier the larger x is."""
    from scipy.special import log_ndtr

    return np.asarray(np.sqrt(-2.0 * np.maximum(log_ndtr(x), -50.0)))


def drops_that_count(drops: Floats) -> Floats:
    """The drops of reagent with every lone "no" left out: one is worth nothing, two in a row are.

    Parameters
    ----------
    drops : array
        As in ``Seen`` [1].

    Returns
    -------
    array
        The same, NaN where it does not count [1].

    Examples
    --------
    >>> drops_that_count(np.array([1.0, 0.0, 1.0, 0.0, 0.0]))
    array([ 1., nan,  1.,  0.,  0.])

    References
    ----------
    extraction-practice
    """
    counted = drops.copy()
    tried = np.flatnonzero(np.isfinite(drops))
    for place, at in enumerate(tried):
        beside = [drops[tried[other]] for other in (place - 1, place + 1) if 0 <= other < tried.size]
        if drops[at] == 0.0 and 0.0 not in beside:
            counted[at] = np.nan
    return counted


def _logistic(x: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-x)))


def _normal(x: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(x))
