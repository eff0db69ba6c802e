"""The watch at a bed that stands or drips: what is still inside a maceration or a percolator, from what was looked at.

A share goes into the liquid at once, a slow rest with time and ever more slowly; where it drips, the liquid carries off
what is dissolved. Both ways are one balance: a maceration is a bed that drips nothing. Every signal is optional and has
an error of its own. The prior says what is known before; nothing here says whether what dissolves is the marker.
"""

import math
from dataclasses import dataclass

import numpy as np

from stillroom.science.arrays import Floats
from stillroom.science.extraction.watching_misfits import drops_that_count

UNKNOWNS = (
    "washed share in a bed", "time of the washed share", "slow time in a bed", "thinning tail in a bed",
    "liquid of a bed", "amount in a bed", "density of what dissolves", "density of the clean liquid",
    "refractometer scale of a bed", "colour washed in a bed", "colour slow time in a bed", "reagent limit of a bed",
    "drops that make a millilitre", "liquid behind the front",
)  # fmt: skip
"""What is not known of a bed: a standard normal stands for each [text]."""
DENSITY_OF_EXTRACT = 0.38
"""Density gained by a gram in a millilitre: sugars and phenols in water about 0.38 (common practice, no source) [1]."""
STEPS = 12
"""Steps between two looks; what dissolves within one is taken as even [1]."""


@dataclass(frozen=True, slots=True)
class BeforeTheBed:
    """What is known of a bed before anybody looked, each with the standard deviation of its logarithm or logit."""

    liquid_ml: float
    """Liquid that holds what is dissolved, the hold of the plant in: all of it where it stands, that of the
    bed where it drips. [mL]"""
    liquid_log_sd: float = 0.1
    """[1]"""
    washed_share: float = 0.5
    """Gone into the liquid at once, of what is within reach. [1]"""
    washed_logit_sd: float = 0.6
    """[1]"""
    fast_min: float = 90.0
    """Time in which all but 1/e of that has gone. [min]"""
    fast_log_sd: float = 0.7
    """[1]"""
    slow_min: float = 1080.0
    """Time in which all but 1/e of the slow rest has left. [min]"""
    slow_log_sd: float = 0.6
    """[1]"""
    amount_g: float = 20.0
    """Extract within reach. [g]"""
    amount_log_sd: float = 0.8
    """[1]"""
    clean_density_sd_kg_m3: float = 1.0
    """Doubt of the density of the liquid without extract: its blank, and the plant's own water. [kg/m3]"""
    pace_log_sd: float = 0.05
    """Doubt of the millilitres that drops stand for. [1]"""
    clean_density_kg_m3: float = 0.0
    """By what the plant's own water moves the density of the liquid without extract. [kg/m3]"""


@dataclass(frozen=True, slots=True)
class SeenInBed:
    """What was seen of a bed, one place for each look; NaN where nothing was.

    ``sample_mg``, ``sample_ml``, ``scale_mg``: dry residue of a sample, its volume, and the standard
    uncertainty of its weighing. [mg, mL, mg]
    ``refractometer_sd``, ``density_sd_kg_m3``: standard uncertainty of one reading less its blank. [% by
    refractometer, kg/m3]
    """

    minutes: Floats
    """From the first wetting. [min]"""
    drips_ml_min: Floats
    """How fast it dripped since the look before, 0 where it stood. [mL/min]"""
    sample_mg: Floats
    sample_ml: Floats
    scale_mg: Floats
    refractometer: Floats
    """Reading less that of the clean liquid. [% by refractometer]"""
    density_kg_m3: Floats
    """Density less that of the clean liquid, as warm. [kg/m3]"""
    colour: Floats
    """Strength of colour over that of the first look that has one. [1]"""
    drops: Floats
    """1 where a drop of reagent showed something, 0 where it did not. [1]"""
    collected_ml: Floats
    """All that dripped so far. [mL]"""
    refractometer_sd: float = 0.15
    density_sd_kg_m3: float = 0.7
    drop_limit: float = 0.0
    """Dilution of what was tried first at which a drop just shows something, 0 where nobody tried. [1]"""
    from_now_ml_min: float | None = None
    """How fast a bed with a tap drips from the last look on; None where it goes on as before. [mL/min]"""

    @classmethod
    def nothing(cls, minutes: Floats, drips_ml_min: Floats | None = None) -> "SeenInBed":
        """Looks at nothing but the clock.

        Parameters
        ----------
        minutes : array
            As above [min].
        drips_ml_min : array or None
            As above; None where it stands [mL/min].

        Returns
        -------
        SeenInBed
            With NaN everywhere [record].
        """
        drips = np.zeros(minutes.size) if drips_ml_min is None else drips_ml_min
        blank = np.full(minutes.size, np.nan)
        return cls(
            minutes, drips, blank, blank.copy(), blank.copy(), blank.copy(), blank.copy(), blank.copy(), blank.copy(),
            blank.copy(),
        )  # fmt: skip

    @property
    def looks(self) -> int:
        """How many there were [1]."""
        return int(self.minutes.size)

    @property
    def drips(self) -> bool:
        """Whether it has a tap, so that what is dissolved is inside until it has dripped off [yes or no]."""
        return self.from_now_ml_min is not None or bool((self.drips_ml_min > 0.0).any())

    @property
    def looked_at(self) -> int:
        """Looks at which something but the clock was seen [1]."""
        signals = np.stack(
            [
                self.sample_mg,
                self.refractometer,
                self.density_kg_m3,
                self.colour,
                drops_that_count(self.drops),
            ]
        )
        return int(np.isfinite(signals).any(axis=0).sum())


@dataclass(frozen=True, slots=True)
class BedPools:
    """What the draws say of a bed; one value a draw.

    ``washed_share``, ``fast_min``, ``slow_min``, ``thinning``: [1, min, min, 1]
    ``colour_washed_share``, ``colour_slow_min``: the same of what is coloured. [1, min]
    ``held_ml``, ``amount_g``: [mL, g]
    ``extract_density``, ``clean_density``: density gained by a gram in a millilitre; what the blank is off.
    [1, kg/m3]
    """

    weights: Floats
    """They add up to one. [1]"""
    washed_share: Floats
    fast_min: Floats
    slow_min: Floats
    thinning: Floats
    colour_washed_share: Floats
    colour_slow_min: Floats
    held_ml: Floats
    amount_g: Floats
    extract_density: Floats
    clean_density: Floats
    refractometer_scale: Floats
    """Reading of one gram in 100 mL. [% by refractometer]"""
    drop_limit: Floats
    """Share of the first look's strength at which a drop shows something half the time. [1]"""
    pace: Floats
    """True millilitres over those that the drops say. [1]"""
    behind: Floats
    """Part of the bed's liquid that the rest must pass, in front of the tap: none is one stirred tank, a half
    two. [1]"""


def bed_pools_of(z: Floats, before: BeforeTheBed, drop_limit: float = 0.0) -> BedPools:
    """The pools that standard normals stand for.

    Parameters
    ----------
    z : array
        A row for each of ``UNKNOWNS``, a column for each draw [1].
    before : BeforeTheBed
        What is known [record].
    drop_limit : float
        As in ``SeenInBed`` [1].

    Returns
    -------
    BedPools
        One value a draw [records].

    Examples
    --------
    >>> bed_pools_of(np.zeros((14, 1)), BeforeTheBed(500.0)).washed_share
    array([0.5])

    References
    ----------
    extraction-practice
    """
    washed = math.log(before.washed_share / (1.0 - before.washed_share)) + before.washed_logit_sd * z[0]
    slow = before.slow_min * np.exp(before.slow_log_sd * z[2])
    known = drop_limit > 0.0
    return BedPools(
        weights=np.full(z.shape[1], 1.0 / z.shape[1]),
        washed_share=_logistic(washed),
        fast_min=np.minimum(before.fast_min * np.exp(before.fast_log_sd * z[1]), 0.5 * slow),
        slow_min=slow,
        thinning=0.3 * np.exp(1.2 * z[3]),
        colour_washed_share=_logistic(washed + 0.4 + 0.6 * z[9]),
        colour_slow_min=slow * np.exp(0.3 * z[10]),
        held_ml=before.liquid_ml * np.exp(before.liquid_log_sd * z[4]),
        amount_g=before.amount_g * np.exp(before.amount_log_sd * z[5]),
        extract_density=DENSITY_OF_EXTRACT * np.exp(0.2 * z[6]),
        clean_density=before.clean_density_kg_m3 + before.clean_density_sd_kg_m3 * z[7],
        refractometer_scale=1.1 * np.exp(0.25 * z[8]),
        drop_limit=np.exp(
            math.log(1.0 / drop_limit if known else 1.0 / 120.0) + (0.35 if known else 1.0) * z[11]
        ),
        pace=np.exp(before.pace_log_sd * z[12]),
        behind=0.02 + 0.46 * _logistic(1.2 * z[13]),
    )


def bed_at(
    minutes: Floats,
    drips_ml_min: Floats,
    pools: BedPools,
    washed_share: Floats | None = None,
    slow_min: Floats | None = None,
) -> tuple[Floats, Floats, Floats]:
    """What is not dissolved yet, what is dissolved and still in the bed, and how strong it runs off.

    Parameters
    ----------
    minutes : array
        Times of the looks, in order [min].
    drips_ml_min : array
        How fast it dripped since the look before [mL/min].
    pools : BedPools
        One bed a draw [records].
    washed_share : array or None
        In place of that of the pools, for what is coloured [1].
    slow_min : array or None
        The same [min].

    Returns
    -------
    (array, array, array)
        Of all within reach, a row for each look, a column for each draw; the last as what the whole liquid would hold
        if all of it were so strong [1].

    Notes
    -----
    Not dissolved: U = F exp(-t/f) + (1 - F) (1 + a t / s)^(-1/a). It dissolves into two tanks in a row, in proportion
    to their liquid, and drips off the second: D1' = r1 - q D1/V1, D2' = r2 + q D1/V1 - q D2/V2. What dissolves within
    a step is taken as even, what drips off exactly.

    Examples
    --------
    >>> one = bed_pools_of(np.zeros((14, 1)), BeforeTheBed(500.0, washed_share=0.5))
    >>> undissolved, dissolved, strength = bed_at(np.array([1e7]), np.zeros(1), one)
    >>> dissolved[0] > 0.99
    array([ True])

    References
    ----------
    extraction-practice
    """
    share = pools.washed_share if washed_share is None else washed_share
    slow = pools.slow_min if slow_min is None else slow_min
    rows = np.empty((3, minutes.size, share.size))
    before_min, undissolved = 0.0, np.ones(share.size)
    far, near, behind = np.zeros(share.size), np.zeros(share.size), pools.behind
    for at, (until, drip) in enumerate(zip(minutes, drips_ml_min, strict=True)):
        steps = STEPS if drip > 0.0 else 1
        step_min = (float(until) - before_min) / steps
        for part in range(1, steps + 1):
            after = _undissolved(before_min + part * step_min, share, slow, pools)
            came, undissolved = undissolved - after, after
            far, near = _dripped(far, near, came, drip * pools.pace * step_min / pools.held_ml, behind)
        before_min = float(until)
        rows[:, at] = undissolved, far + near, near / behind
    return rows[0], rows[1], rows[2]


def _dripped(
    far: Floats, near: Floats, came: Floats, through: Floats, behind: Floats
) -> tuple[Floats, Floats]:
    """Two tanks after so much liquid has gone through, over that of the bed, while so much dissolved evenly."""
    if not through.max() > 0.0:
        return far + came * (1.0 - behind), near + came * behind
    one, two = through / (1.0 - behind), through / behind
    left, last = np.exp(-one), np.exp(-two)
    rest = came * (1.0 - behind) / one
    beyond = (far - rest) * one / (two - one)
    end = came / two
    return rest + (far - rest) * left, end + beyond * left + (near - end - beyond) * last


def _undissolved(time_min: float, share: Floats, slow: Floats, pools: BedPools) -> Floats:
    rest = np.exp(-np.log1p(pools.thinning * time_min / slow) / pools.thinning)
    return np.asarray(share * np.exp(-time_min / pools.fast_min) + (1.0 - share) * rest)


def _logistic(x: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-x)))
