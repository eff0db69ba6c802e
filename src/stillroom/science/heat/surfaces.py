"""Condensing surface a vapour asks for: heat over the mean difference to the water and what glass hands over.

Vapour condensing at one temperature, water warming along the way; says nothing of cooling the condensate further. What
a square metre of a condenser hands over depends on its make and on the flow: the figure is asked for, not known here.
"""

from typing import cast

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_not_positive

CM2_PER_M2 = 1e4
SAME_K = 1e-6
"""Differences that differ by less are one, where the logarithm has no digits left."""


@formula("log-mean-difference")
def log_mean_difference_k(condensing_c: N | float, inlet_c: N | float, outlet_c: N | float) -> N:
    """Mean difference between a condensing vapour and the water that warms along it.

    Parameters
    ----------
    condensing_c : float or array
        Temperature at which the vapour condenses [°C].
    inlet_c : float or array
        Water coming in [°C].
    outlet_c : float or array
        Water going out [°C].

    Returns
    -------
    float or array
        Logarithmic mean of both ends [K].

    Raises
    ------
    BadEntry
        When the water is at one end as warm as the vapour, or warmer.

    Notes
    -----
    (d1 - d2) / ln(d1 / d2), with d the vapour less the water at either end.

    Examples
    --------
    >>> log_mean_difference_k(50.0, 18.0, 27.0)  # steam-condenser-web, second-hand
    27.3

    References
    ----------
    condenser-problem-web
    """
    vapour, first, last = array(condensing_c), array(inlet_c), array(outlet_c)
    cold, warm = vapour - first, vapour - last
    if not np.all(np.minimum(cold, warm) > 0):
        raise BadEntry(
            "Water condenses a vapour only while it is colder",
            worded("{cold:.3g} K colder at one end", cold=float(np.min(np.minimum(cold, warm)))),
            "More water, or colder water",
        )
    ratio = np.where(np.abs(cold - warm) > SAME_K, cold / warm, np.e)
    mean = np.where(np.abs(cold - warm) > SAME_K, (cold - warm) / np.log(ratio), cold)
    return cast(N, like_given(np.asarray(mean)))


@formula("condensing-surface")
def condensing_surface_cm2(heat_w: N | float, mean_difference_k: N | float, transfer_w_m2k: N | float) -> N:
    """Surface that condenses so much.

    Parameters
    ----------
    heat_w : float or array
        Heat the condenser takes off [W].
    mean_difference_k : float or array
        Mean difference between vapour and water [K].
    transfer_w_m2k : float or array
        What a square metre hands over for each kelvin [W/(m² K)].

    Returns
    -------
    float or array
        Surface between vapour and water [cm²].

    Raises
    ------
    BadEntry
        When the heat is negative, or another figure is not above zero.

    Notes
    -----
    A = q / (U dT).

    Examples
    --------
    >>> condensing_surface_cm2(3.80e6, 27.3, 2400.0) / 1e4  # steam-condenser-web, second-hand
    58.

    References
    ----------
    condenser-problem-web
    """
    heat, difference, transfer = array(heat_w), array(mean_difference_k), array(transfer_w_m2k)
    refuse_negative("The heat", heat, "W")
    refuse_not_positive("The mean difference", difference, "K")
    refuse_not_positive("What a square metre hands over", transfer, "W/(m² K)")
    return cast(N, like_given(CM2_PER_M2 * heat / (difference * transfer)))
