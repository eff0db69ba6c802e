"""How far a possible run is from what was seen at a watched Soxhlet, each signal with its own error.

What is yes or no, or paler than the last vial, counts by its surprise. Promises nothing of how likely a run was before.
"""

import numpy as np

from stillroom.science.arrays import Floats
from stillroom.science.extraction.watching import Pools, Seen, washed_at

SAMPLING = 0.05
"""Relative standard uncertainty of a sample, its volume and its place: common practice, no source [1]."""
MATCHING = 0.5
"""Standard uncertainty of a match by eye, in halvings: half a vial [1]."""
PALEST = 7.5
"""Halvings from which the sample is paler than the last vial, 1:128 [1]."""
FALSE_YES, FALSE_NO, DROP_WIDTH = 0.03, 0.2, 0.4


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
    >>> from stillroom.science.extraction.watching import BeforeTheRun, pools_of
    >>> pools = pools_of(np.zeros((12, 1)), BeforeTheRun(80.0, 20.0))
    >>> misfits(pools, Seen.nothing(np.array([12.0, 24.0]))).shape
    (0, 1)

    References
    ----------
    extraction-practice
    """
    bed = pools.thinning, pools.bypassed, pools.exchanged
    dissolved, _ = washed_at(seen.minutes, pools.ratio, pools.washed_share, pools.slow_min, *bed)
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
            seen.minutes, pools.ratio, pools.colour_washed_share, pools.colour_slow_min, *bed
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
        found.append(reagent_misfit(dissolved[at] / dissolved[0], pools.drop_limit, told[at]))
    return np.concatenate(found)


def reagent_misfit(strength_share: Floats, drop_limit: Floats, told: Floats) -> Floats:
    """The misfit of what drops of reagent showed.

    Parameters
    ----------
    strength_share : array
        Strength over that of the first look, a row for each drop, a column for each draw [1].
    drop_limit : array
        Share at which a drop shows something half the time, one a draw [1].
    told : array
        1 where it showed something, 0 where it did not [1].

    Returns
    -------
    array
        A row for each drop, a column for each draw [1].

    Examples
    --------
    >>> strong, weak = np.array([[1.0]]), np.array([[0.001]])
    >>> limit, yes = np.array([0.01]), np.array([1.0])
    >>> float(reagent_misfit(strong, limit, yes)[0, 0]) < 1.0 < float(reagent_misfit(weak, limit, yes)[0, 0])
    True

    References
    ----------
    extraction-practice
    """
    above = np.log(np.maximum(strength_share, 1e-300) / drop_limit)
    shows = FALSE_YES + (1.0 - FALSE_YES - FALSE_NO) * _normal(above / DROP_WIDTH)
    return np.asarray(np.sqrt(-2.0 * np.log(np.where(told[:, None] > 0.0, shows, 1.0 - shows))))


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


def _normal(x: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(x))
