"""How far a possible bed is from what was seen of one that stands or drips, each signal with its own error.

Promises nothing of how likely a bed was before.
"""

import numpy as np

from stillroom.science.arrays import Floats
from stillroom.science.extraction.bed_watching import BedPools, SeenInBed, bed_at
from stillroom.science.extraction.watching_misfits import SAMPLING, drops_that_count, reagent_misfit

MATCHING, MATCHING_FAR = 0.12, 0.1
"""Standard uncertainty of a colour matched by thinning, as a share of it, and more for each e-fold it is thinned:
common practice, no source [1]."""
COLLECTING = 0.03
"""Of a volume read in a measuring cylinder, as a share of it: common practice, no source [1]."""


def bed_misfits(pools: BedPools, seen: SeenInBed) -> Floats:
    """How far each draw is from each thing seen, in standard deviations.

    Parameters
    ----------
    pools : BedPools
        One bed a draw [records].
    seen : SeenInBed
        What was seen [record].

    Returns
    -------
    array
        A row for each thing seen, a column for each draw; half the sum of squares is what the draw costs [1].

    Examples
    --------
    >>> from stillroom.science.extraction.bed_watching import BeforeTheBed, bed_pools_of
    >>> pools = bed_pools_of(np.zeros((14, 1)), BeforeTheBed(500.0))
    >>> bed_misfits(pools, SeenInBed.nothing(np.array([60.0, 1440.0]))).shape
    (0, 1)

    References
    ----------
    extraction-practice
    """
    strength = bed_at(seen.minutes, seen.drips_ml_min, pools)[2]
    g_ml = pools.amount_g * strength / pools.held_ml
    found = [np.zeros((0, pools.held_ml.size))]
    at = np.flatnonzero(np.isfinite(seen.sample_mg))
    if at.size:
        sure = np.hypot(seen.scale_mg[at], SAMPLING * np.maximum(seen.sample_mg[at], 0.0))
        expected = 1000.0 * g_ml[at] * seen.sample_ml[at, None]
        found.append((expected - seen.sample_mg[at, None]) / sure[:, None])
    for read, sure_of_one, expected in (
        (seen.refractometer, seen.refractometer_sd, pools.refractometer_scale * 100.0 * g_ml),
        (
            seen.density_kg_m3,
            seen.density_sd_kg_m3,
            pools.clean_density + 1000.0 * pools.extract_density * g_ml,
        ),
    ):
        at = np.flatnonzero(np.isfinite(read))
        if at.size:
            found.append((expected[at] - read[at, None]) / sure_of_one)
    at = np.flatnonzero(np.isfinite(seen.colour))
    if at.size > 1:
        coloured = bed_at(
            seen.minutes, seen.drips_ml_min, pools, pools.colour_washed_share, pools.colour_slow_min
        )[2]
        ratio = np.log(np.maximum(coloured[at[1:]] / np.maximum(coloured[at[0]], 1e-300), 1e-300))
        matched = np.log(seen.colour[at[1:], None] / seen.colour[at[0]])
        found.append((ratio - matched) / np.hypot(MATCHING, MATCHING_FAR * matched))
    at = np.flatnonzero(np.isfinite(seen.collected_ml))
    if at.size:
        lasted = np.diff(seen.minutes, prepend=0.0)
        counted_ml = np.cumsum(seen.drips_ml_min * lasted)[at, None]
        found.append(
            np.log(np.maximum(counted_ml * pools.pace / seen.collected_ml[at, None], 1e-6)) / COLLECTING
        )
    told = drops_that_count(seen.drops)
    at = np.flatnonzero(np.isfinite(told))
    if at.size:
        found.append(
            reagent_misfit(strength[at] / np.maximum(strength[at[0]], 1e-300), pools.drop_limit, told[at])
        )
    return np.concatenate(found)
