"""What a bed that stands or drips is advised: stop, so much longer, or not yet; and what else was noticed.

Worth it is what brings more than a stated share of all within reach in another stretch: a day of standing, or the next
millilitre for each gram. No verdict is given while what is dissolved is still mostly what washes out at once, or while
there is one look only, for neither says anything of the slow rest; by the plan alone it is said that nobody looked.
"""

from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import NotEnough
from stillroom.science.arrays import Floats
from stillroom.science.extraction.bed_misfits import bed_misfits
from stillroom.science.extraction.bed_watching import (
    UNKNOWNS,
    BedPools,
    BeforeTheBed,
    SeenInBed,
    bed_at,
    bed_pools_of,
)
from stillroom.science.extraction.watching_advice import COLOUR_FIRST, SHOWS, TELLS, Ranged, Verdict, ranged
from stillroom.science.extraction.watching_fit import DRAWS, quantiles, weighed_draws
from stillroom.science.extraction.watching_misfits import SAMPLING

AHEAD = 30
SHOWN_AHEAD = 3
WORTH_SHARE = 0.01
"""Share of all within reach that another stretch must bring: common practice, no source [1]."""
FEWEST_LOOKS = 2
SPENT = 0.05
"""A bed that holds less of all within reach is told to stop, whatever is left washes out at once or slowly [1]."""
FARTHEST_SD = 4.0
"""A bed farther than this from what was seen, or from what was planned, does not fit; no hidden one came so far [1]."""
HARDLY_LEFT = 0.5
"""What washes out at once must be less than this part of the slow rest before there is a verdict [1]."""


@dataclass(frozen=True, slots=True)
class BedAdvice:
    """What is advised after a look."""

    looks: int
    """So far. [1]"""
    verdict: Verdict
    """Also "not yet" where the slow rest does not show."""
    by_plan_alone: bool
    """Nothing but the clock was seen."""
    more: Ranged
    """Stretches to go. [1]"""
    ahead_min: float
    """How long a stretch is. [min]"""
    inside: Ranged
    """Not dissolved, or dissolved and still in a bed that drips, of all within reach. [1]"""
    next_shares: tuple[Ranged, ...]
    """What the next stretches bring, of all within reach. [1]"""
    slow_share: Ranged
    """Of all within reach, what does not wash out at once. [1]"""
    amount_g: Ranged
    """Extract within reach. [g]"""
    next_g: Ranged
    """What the next stretch brings, share and amount as unsure as they are together. [g]"""
    drip_ml_min: Ranged
    """How fast it drips now. [mL/min]"""
    came_ml: Ranged
    """Dripped so far. [mL]"""
    colour_first: bool
    """The colour leaves a smaller rest than what dissolves."""
    fits: bool
    """Whether some bed so planned gives what was seen; where none does, there is no verdict."""
    blind: tuple[str, ...]
    """Signals that no longer tell one stretch from the next: "refractometer", "density", "sample"."""


def fit_bed(before: BeforeTheBed, seen: SeenInBed, draws: int = DRAWS) -> BedPools:
    """What is known of a bed after what was seen of it.

    Parameters
    ----------
    before : BeforeTheBed
        What was known before [record].
    seen : SeenInBed
        What was seen [record].
    draws : int
        How many [1].

    Returns
    -------
    BedPools
        Weighted draws [records].

    Examples
    --------
    >>> nothing = fit_bed(BeforeTheBed(500.0, washed_share=0.6), SeenInBed.nothing(np.array([1440.0])))
    >>> round(quantiles(nothing.washed_share, nothing.weights, 0.5)[0], 1)
    0.6

    References
    ----------
    extraction-practice
    """

    def off(z: Floats) -> Floats:
        return bed_misfits(bed_pools_of(z, before, seen.drop_limit), seen)

    kept, weights, _ = weighed_draws(UNKNOWNS, off, draws)
    return replace(bed_pools_of(kept, before, seen.drop_limit), weights=weights)


def advise_bed(
    before: BeforeTheBed,
    seen: SeenInBed,
    ahead_min: float,
    worth_share: float = WORTH_SHARE,
    pools: BedPools | None = None,
) -> BedAdvice:
    """What is advised after the last look.

    Parameters
    ----------
    before : BeforeTheBed
        What was known before [record].
    seen : SeenInBed
        What was seen [record].
    ahead_min : float
        How long a stretch is that is or is not worth it [min].
    worth_share : float
        Share of all within reach that a stretch must bring to be worth it [1].
    pools : BedPools or None
        The fit of what was seen, where it was made already [records].

    Returns
    -------
    BedAdvice
        Verdict, intervals and what was noticed [record].

    Raises
    ------
    NotEnough
        Nobody looked yet.

    Notes
    -----
    On hidden beds of spheres of three sizes, or of three pools in two tanks, see
    ``tests/science/extraction/test_bed_hidden_runs.py``.

    Examples
    --------
    >>> advise_bed(BeforeTheBed(500.0), SeenInBed.nothing(np.array([60.0])), 1440.0).verdict
    'not yet'

    References
    ----------
    extraction-practice
    """
    count = seen.looks
    if count == 0:
        raise NotEnough(
            "There must be a look before there is advice", "none", "Look once, and write the time"
        )
    found = fit_bed(before, seen) if pools is None else pools
    drip = float(seen.drips_ml_min[-1]) if seen.from_now_ml_min is None else seen.from_now_ml_min
    times = np.concatenate([seen.minutes, seen.minutes[-1] + ahead_min * np.arange(1, AHEAD + 1)])
    drips = np.concatenate([seen.drips_ml_min, np.full(AHEAD, drip)])
    undissolved, dissolved, strength = bed_at(times, drips, found)
    inside = undissolved + dissolved if seen.drips else undissolved
    gains = inside[count - 1 : -1] - inside[count:]
    below = gains < worth_share
    more = np.where(below.any(axis=0), below.argmax(axis=0), AHEAD).astype(np.float64)
    weights = found.weights
    lasted = np.diff(seen.minutes, prepend=0.0)
    came_ml = float((seen.drips_ml_min * lasted).sum()) * found.pace
    fast = found.washed_share * np.exp(-seen.minutes[-1] / found.fast_min)
    if seen.drips:  # what washed out at once is in the liquid of the bed until it has dripped off
        fast = found.washed_share * np.exp(-came_ml / found.held_ml)
    slow = np.maximum(inside[count - 1] - fast, 0.0)
    shows = float(weights @ (fast < HARDLY_LEFT * slow)) >= SHOWS
    spent = float(weights @ (inside[count - 1] < SPENT)) >= SHOWS
    alone = seen.looked_at == 0
    enough = float(weights @ (more <= 0.0)) >= 0.5
    fits = not (np.abs(_far(before, found, seen) @ weights) > FARTHEST_SD).any()
    tells = fits and ((shows and alone) or ((shows or spent) and seen.looked_at >= FEWEST_LOOKS))
    verdict: Verdict = "not yet" if not tells else "stop" if enough else "go on"
    coloured = int(np.isfinite(seen.colour).sum()) > 1
    paler = float(weights @ (1.0 - found.colour_washed_share < 0.6 * (1.0 - found.washed_share)))
    return BedAdvice(
        count,
        verdict,
        alone,
        ranged(more, weights),
        ahead_min,
        ranged(inside[count - 1], weights),
        tuple(ranged(gains[at], weights) for at in range(SHOWN_AHEAD)),
        ranged(1.0 - found.washed_share, weights),
        ranged(found.amount_g, weights),
        ranged(gains[0] * found.amount_g, weights),
        ranged(drip * found.pace, weights),
        ranged(came_ml, weights),
        coloured and paler >= COLOUR_FIRST,
        fits,
        _blind(found, seen, strength[count - 1], strength[count]),
    )


def _far(before: BeforeTheBed, found: BedPools, seen: SeenInBed) -> Floats:
    """How far beds are from what was seen, and from the liquid and the extract that were planned [1]."""
    planned = (
        np.log(found.held_ml / before.liquid_ml) / before.liquid_log_sd,
        np.log(found.amount_g / before.amount_g) / before.amount_log_sd,
    )
    return np.concatenate([bed_misfits(found, seen), planned])


def _blind(found: BedPools, seen: SeenInBed, now: Floats, after: Floats) -> tuple[str, ...]:
    """Signals that were used and would not tell this stretch from the next."""
    changes = quantiles(found.amount_g / found.held_ml * np.abs(after - now), found.weights, 0.5)[0]
    there = quantiles(found.amount_g / found.held_ml * now, found.weights, 0.5)[0]
    blind = list[str]()
    if np.isfinite(seen.refractometer).any():
        blind += ["refractometer"] if 110.0 * changes < TELLS * seen.refractometer_sd else []
    if np.isfinite(seen.density_kg_m3).any():
        blind += ["density"] if 380.0 * changes < TELLS * seen.density_sd_kg_m3 else []
    weighed = np.flatnonzero(np.isfinite(seen.sample_mg))
    if weighed.size:
        ml, sure = float(seen.sample_ml[weighed[-1]]), float(seen.scale_mg[weighed[-1]])
        sure = float(np.hypot(sure, 1000.0 * SAMPLING * there * ml))
        blind += ["sample"] if 1000.0 * changes * ml < TELLS * sure else []
    return tuple(blind)
