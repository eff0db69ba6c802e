"""How fine a plant is ground: its middle particle, from two sieves or from the term it is called by.

A grind is taken as lognormal by mass, which a straight line on probability paper means. Says nothing about the shape of
the pieces, nor about dust that sticks to a sieve.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

from stillroom.errors import BadEntry, OutsideModel, worded

LEAST_SHARE = 0.005
"""A sieve that holds less than this, or lets less through, says no more than this of the grind (chosen). [1]"""
SIEVE_LOG_SD = 0.05
"""Doubt of a size read from two sieves: their apertures, and how long they were shaken (chosen). [1]"""
FARTHEST = 2.0
"""The middle is read off up to this many times beyond the sieves. [1]"""


@dataclass(frozen=True, slots=True)
class Grind:
    """The middle particle of a grind."""

    median_mm: float
    """Half of the mass is finer. [mm]"""
    log_sd: float
    """Standard uncertainty of the middle, of its logarithm. [1]"""


def sieved_grind(
    coarser_mm: float, finer_mm: float, on_coarser_g: float, on_finer_g: float, sample_g: float
) -> Grind:
    """The middle particle from what stayed on two sieves.

    Parameters
    ----------
    coarser_mm : float
        Aperture of the upper sieve [mm].
    finer_mm : float
        Aperture of the lower sieve [mm].
    on_coarser_g : float
        What stayed on the upper one [g].
    on_finer_g : float
        What stayed on the lower one [g].
    sample_g : float
        What was sieved [g].

    Returns
    -------
    Grind
        The middle and its doubt, which grows the further it lies outside the two sieves [record].

    Raises
    ------
    BadEntry
        When the sieves are not one coarser than the other, or more stayed than was sieved.
    OutsideModel
        When the middle lies more than twice beyond the sieves.

    Notes
    -----
    Lognormal by mass: the normal quantile of the share that passes is straight over the logarithm of the aperture; the
    middle is where it is zero.

    Examples
    --------
    As many pass the one as stay on the other, so it is the geometric mean:

    >>> round(sieved_grind(0.71, 0.25, 8.0, 34.0, 50.0).median_mm, 3)
    0.421
    """
    if not coarser_mm > finer_mm > 0.0:
        raise BadEntry(
            "The first sieve is the coarser one",
            worded("{coarser:g} and {finer:g} mm", coarser=coarser_mm, finer=finer_mm),
            "Write the coarser sieve first",
        )
    if min(on_coarser_g, on_finer_g) < 0.0 or not 0.0 < on_coarser_g + on_finer_g <= sample_g:
        raise BadEntry(
            "What stayed on both sieves is some of what was sieved",
            worded("{stayed:g} g of {sample:g} g", stayed=on_coarser_g + on_finer_g, sample=sample_g),
            "Weigh the sample, then what stayed on each sieve",
        )
    normal = NormalDist()
    passes = [1.0 - on_coarser_g / sample_g, 1.0 - (on_coarser_g + on_finer_g) / sample_g]
    upper, lower = (normal.inv_cdf(min(max(one, LEAST_SHARE), 1.0 - LEAST_SHARE)) for one in passes)
    if upper - lower < 1e-9:
        raise BadEntry(
            "Something must stay between the two sieves", "nothing", "Take sieves that part the powder"
        )
    apart = math.log(coarser_mm / finer_mm)
    median_mm = finer_mm * math.exp(apart * -lower / (upper - lower))
    if not finer_mm / FARTHEST <= median_mm <= coarser_mm * FARTHEST:
        raise OutsideModel(
            worded(
                "The middle of a grind is read off between {low:.3g} and {high:.3g} mm with these sieves",
                low=finer_mm / FARTHEST, high=coarser_mm * FARTHEST,
            ),
            worded("about {found:.2g} mm", found=median_mm),
            "Take a finer or a coarser sieve beside it",
        )  # fmt: skip
    beyond = max(0.0, math.log(finer_mm / median_mm), math.log(median_mm / coarser_mm))
    return Grind(median_mm, math.hypot(SIEVE_LOG_SD, beyond / 2.0))


def named_grind(all_pass_mm: float, few_pass_mm: float) -> Grind:
    """The middle particle of a powder by its term: anywhere between its two sieves.

    Parameters
    ----------
    all_pass_mm : float
        Sieve that all of it passes [mm].
    few_pass_mm : float
        Sieve that not more than 40 % of it passes [mm].

    Returns
    -------
    Grind
        The geometric mean, and the doubt of any size between the two being as likely [record].

    Raises
    ------
    BadEntry
        When the first sieve is not the coarser one.

    Examples
    --------
    >>> found = named_grind(0.710, 0.250)  # moderately coarse, international-pharmacopoeia-powders, second-hand
    >>> round(found.median_mm, 2), round(found.log_sd, 2)
    (0.42, 0.3)

    References
    ----------
    international-pharmacopoeia-powders
    """
    if not all_pass_mm > few_pass_mm > 0.0:
        raise BadEntry(
            "The first sieve is the coarser one",
            worded("{coarser:g} and {finer:g} mm", coarser=all_pass_mm, finer=few_pass_mm),
            "Write the coarser sieve first",
        )
    return Grind(math.sqrt(all_pass_mm * few_pass_mm), math.log(all_pass_mm / few_pass_mm) / math.sqrt(12.0))
