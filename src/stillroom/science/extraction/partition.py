"""Shaking a base, an acid or both in one out of water: pH decides how much of it can leave.

Only the uncharged form crosses. A quaternary base is charged at every pH and is refused, with the ways that
do work. The partition ratio is that of the solvent actually used; octanol figures (log P) differ by up to a
factor of ten.
"""

import math
from collections.abc import Sequence
from typing import cast

import numpy as np

from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import Floats, N, array, like_given, refuse_not_positive, refuse_outside


@formula("distribution-ratio-of-base")
def distribution_ratio_of_base(
    partition_ratio: N | float, pka: float | Sequence[float], ph: N | float, *, quaternary: bool = False
) -> N:
    """How a base shares itself between solvent and water at a pH.

    Parameters
    ----------
    partition_ratio : float or array
        Solvent over water for the uncharged base [1].
    pka : float or sequence of float
        pKa of the protonated base; two for a base that takes two protons, the higher first [1].
    ph : float or array
        pH of the water [1].
    quaternary : bool
        Whether the base carries a fixed charge [-].

    Returns
    -------
    float or array
        Distribution ratio, all forms together [1].

    Raises
    ------
    OutsideModel
        For a quaternary base, or a pH outside 0 to 14.
    BadEntry
        When the partition ratio is not above zero or the pKa are not in falling order.

    Notes
    -----
    D = P / (1 + 10^(pKa1 - pH) + 10^(pKa1 + pKa2 - 2 pH)); the last term only with two pKa.

    Examples
    --------
    >>> distribution_ratio_of_base(60.0, 8.5, 8.5)
    30.0

    References
    ----------
    harvey-analytical
    """
    if quaternary:
        raise OutsideModel(
            "A quaternary base keeps its charge at every pH, so no alkali drives it into the solvent",
            "a base with a fixed charge",
            "Crystallise the chloride (excess acid or salt), pair it with a dye ion, use a cation exchanger, "
            "or shake with 1-butanol",
        )
    ratio, acidity = _checked(partition_ratio, ph)
    steps = (pka,) if isinstance(pka, int | float) else tuple(pka)
    if not steps or list(steps) != sorted(steps, reverse=True):
        raise BadEntry(
            "The pKa of a base are given from high to low", str(list(steps)), "Put the higher first"
        )
    charged, together = np.zeros_like(acidity), 0.0
    for count, one in enumerate(steps, start=1):
        together += one
        charged = charged + 10.0 ** (together - count * acidity)
    return cast(N, like_given(np.asarray(ratio / (1.0 + charged))))


def distribution_ratio_of_acid(partition_ratio: N | float, pka: float, ph: N | float) -> N:
    """How a weak acid shares itself between solvent and water at a pH.

    Parameters
    ----------
    partition_ratio : float or array
        Solvent over water for the uncharged acid [1].
    pka : float
        pKa of the acid [1].
    ph : float or array
        pH of the water [1].

    Returns
    -------
    float or array
        Distribution ratio, both forms together [1].

    Raises
    ------
    OutsideModel
        When the pH lies outside 0 to 14.
    BadEntry
        When the partition ratio is not above zero.

    Notes
    -----
    D = P / (1 + 10^(pH - pKa)).

    Examples
    --------
    >>> distribution_ratio_of_acid(3.00, 5.00, 3.00)  # harvey-analytical, from-memory
    2.97

    References
    ----------
    harvey-analytical
    """
    ratio, acidity = _checked(partition_ratio, ph)
    return cast(N, like_given(np.asarray(ratio / (1.0 + 10.0 ** (acidity - pka)))))


@formula("distribution-ratio")
def distribution_ratio(
    partition_ratio: N | float,
    ph: N | float,
    *,
    base_pka: float | None = None,
    second_base_pka: float | None = None,
    acid_pka: float | None = None,
    second_acid_pka: float | None = None,
) -> N:
    """How a base, an acid or a substance that is both shares itself between solvent and water at a pH.

    Parameters
    ----------
    partition_ratio : float or array
        Solvent over water for the uncharged form [1].
    ph : float or array
        pH of the water [1].
    base_pka : float or None
        pKa of the protonated base, the higher of two; None without a basic group [1].
    second_base_pka : float or None
        The lower of two [1].
    acid_pka : float or None
        pKa of the acid, the lower of two; None without an acid group [1].
    second_acid_pka : float or None
        The higher of two [1].

    Returns
    -------
    float or array
        Distribution ratio, all forms together [1].

    Raises
    ------
    OutsideModel
        When the pH lies outside 0 to 14.
    BadEntry
        When the partition ratio is not above zero, or two pKa stand in the wrong order.

    Notes
    -----
    D = P / (1 + sum of 10^(pKb1 + .. + pKbk - k pH) + sum of 10^(k pH - pKa1 - .. - pKak)). Without any group D = P at
    every pH. Where the base is stronger than the acid the uncharged whole carries both charges and hardly leaves the
    water: then this is the most that can go over.

    Examples
    --------
    >>> f"{distribution_ratio(60.0, 8.5, base_pka=8.5):.1f}"
    '30.0'
    >>> distribution_ratio(3.00, 3.00, acid_pka=5.00)  # harvey-analytical, from-memory
    2.97

    References
    ----------
    harvey-analytical
    """
    ratio, acidity = _checked(partition_ratio, ph)
    charged = np.zeros_like(acidity)
    for sign, (first, second) in ((1.0, (base_pka, second_base_pka)), (-1.0, (acid_pka, second_acid_pka))):
        steps = [one for one in (first, second) if one is not None]
        if len(steps) == 2 and sign * (steps[0] - steps[1]) < 0:
            raise BadEntry(
                "Two pKa of a base are given from high to low, of an acid from low to high",
                f"{steps[0]:g}; {steps[1]:g}",
                "Put the other first",
            )
        for count in range(1, len(steps) + 1):
            charged = charged + 10.0 ** (sign * (sum(steps[:count]) - count * acidity))
    return cast(N, like_given(np.asarray(ratio / (1.0 + charged))))


def share_left(
    distribution_ratio: N | float, water_ml: N | float, solvent_ml_per_shake: N | float, shakes: int
) -> N:
    """Share still in the water after shaking with fresh portions of solvent.

    Parameters
    ----------
    distribution_ratio : float or array
        Solvent over water, all forms together [1].
    water_ml : float or array
        Water layer [mL].
    solvent_ml_per_shake : float or array
        Fresh solvent in each portion [mL].
    shakes : int
        Number of portions [1].

    Returns
    -------
    float or array
        Share left in the water [1].

    Raises
    ------
    BadEntry
        When a ratio or volume is not above zero, or the number of portions is below one.

    Notes
    -----
    (Va / (Va + D Vs))^n: each shake reaches equilibrium and the layers part cleanly.

    Examples
    --------
    >>> share_left(5.00, 50.00, 15.00, 1)  # harvey-analytical, from-memory
    0.400

    References
    ----------
    harvey-analytical
    """
    ratio, water, solvent = array(distribution_ratio), array(water_ml), array(solvent_ml_per_shake)
    refuse_not_positive("The distribution ratio", ratio, "1")
    refuse_not_positive("The water layer", water, "mL")
    refuse_not_positive("The solvent", solvent, "mL")
    if shakes < 1:
        raise BadEntry("At least one portion of solvent is shaken", str(shakes))
    return cast(N, like_given(np.asarray((water / (water + ratio * solvent)) ** shakes)))


@formula("share-recovered")
def share_recovered(
    distribution_ratio: N | float, water_ml: N | float, solvent_ml_per_shake: N | float, shakes: int
) -> N:
    """Share carried over into the solvent by shaking with fresh portions.

    Parameters
    ----------
    distribution_ratio : float or array
        Solvent over water, all forms together [1].
    water_ml : float or array
        Water layer [mL].
    solvent_ml_per_shake : float or array
        Fresh solvent in each portion [mL].
    shakes : int
        Number of portions [1].

    Returns
    -------
    float or array
        Share in the solvent [1].

    Raises
    ------
    BadEntry
        When a ratio or volume is not above zero, or the number of portions is below one.

    Examples
    --------
    >>> 100.0 * share_recovered(3.0, 100.0, 100.0, 5)  # an exercise with its answer on a public page, second-hand
    99.902

    References
    ----------
    harvey-analytical
    """
    given = array(distribution_ratio), array(water_ml), array(solvent_ml_per_shake)
    return cast(N, like_given(np.asarray(1.0 - array(share_left(*given, shakes)))))


def shakes_needed(
    distribution_ratio: float, water_ml: float, solvent_ml_per_shake: float, wanted_share: float
) -> int:
    """Portions of solvent needed to carry over a wanted share.

    Parameters
    ----------
    distribution_ratio : float
        Solvent over water, all forms together [1].
    water_ml : float
        Water layer [mL].
    solvent_ml_per_shake : float
        Fresh solvent in each portion [mL].
    wanted_share : float
        Share to be carried over, below 1 [1].

    Returns
    -------
    int
        Number of portions, at least one [1].

    Raises
    ------
    BadEntry
        When a ratio or volume is not above zero.
    OutsideModel
        When the share is not above 0 and below 1, or would take more than 100 portions.

    Examples
    --------
    >>> shakes_needed(5.00, 50.00, 15.00, 0.999)  # harvey-analytical, from-memory
    8

    References
    ----------
    harvey-analytical
    """
    refuse_outside(
        "The share to carry over", array(wanted_share), 1e-9, 1.0 - 1e-12, "1", source="harvey-analytical"
    )
    one: float = share_left(distribution_ratio, water_ml, solvent_ml_per_shake, 1)
    portions = math.ceil(math.log(1.0 - wanted_share) / math.log(one) - 1e-12)
    if portions > 100:
        raise OutsideModel(
            "Shaking works when the substance prefers the solvent",
            worded(
                "a ratio of {distribution_ratio:.3g}, {portions} portions",
                distribution_ratio=distribution_ratio,
                portions=portions,
            ),
            "For a base raise the pH first; for an acid lower it; or take another solvent",
        )
    return max(1, portions)


def _checked(partition_ratio: N | float, ph: N | float) -> tuple[Floats, Floats]:
    ratio, acidity = np.broadcast_arrays(array(partition_ratio), array(ph))
    refuse_not_positive("The partition ratio", ratio, "1")
    refuse_outside("The pH", acidity, 0.0, 14.0, "1", source="harvey-analytical", do="Measure it again")
    return ratio, acidity
