"""Percolation as a row of stirred tanks: how much of what can be washed out has come through.

An equilibrium model with a tail: it knows no time and no diffusion. One or two tanks describe real beds,
which leave slowly at the end. The washing capacity is assumed until an experiment with the plant at hand
gives it.
"""

from typing import cast

import numpy as np

from stillroom.errors import BadEntry
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_not_positive


def percolated_fraction(
    percolate_ml: N | float, drug_mass_g: N | float, washing_capacity_ml_g: N | float, tanks: int = 1
) -> N:
    """Share of the washable matter that has left a percolator.

    Parameters
    ----------
    percolate_ml : float or array
        Liquid collected so far [mL].
    drug_mass_g : float or array
        Dry plant in the bed [g].
    washing_capacity_ml_g : float or array
        Bed liquid and sorption together, per gram of plant [mL/g].
    tanks : int
        Stirred tanks in a row [1].

    Returns
    -------
    float or array
        Share extracted, 0 to 1 [1].

    Raises
    ------
    BadEntry
        When the volume is negative, or mass, capacity or the number of tanks is not above zero.

    Notes
    -----
    With L = N V / (beta m): extracted = 1 - (1/N) sum_{i=1..N} Q(i, L), Q(i, L) the chance that a Poisson
    number of mean L is below i. Summed here as 1 - sum_{k<N} (1 - k/N) e^-L L^k / k!.

    Examples
    --------
    >>> percolated_fraction(354.9, 497.7, 0.6)  # percolation-squibb-1866 (0.61 to 0.78), second-hand
    0.7

    References
    ----------
    percolation-squibb-1866, extraction-practice
    """
    volume, mass, capacity = array(percolate_ml), array(drug_mass_g), array(washing_capacity_ml_g)
    refuse_negative("The percolate", volume, "mL")
    refuse_not_positive("The plant in the bed", mass, "g")
    refuse_not_positive("The washing capacity", capacity, "mL/g")
    if tanks < 1:
        raise BadEntry("A percolator has at least one tank", str(tanks), "Use 1 or 2")
    mean = tanks * volume / (capacity * mass)
    chance = np.exp(-mean)
    left = np.zeros_like(mean)
    for arrived in range(tanks):
        left = left + (1.0 - arrived / tanks) * chance
        chance = chance * mean / (arrived + 1)
    return cast(N, like_given(np.asarray(1.0 - left)))
