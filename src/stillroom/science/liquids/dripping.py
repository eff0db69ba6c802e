"""Drops of a liquid from a tip: how many make a millilitre, from those of water off the same tip.

A drop grows with the rim it hangs from and with the surface tension, so one tip gives spirit in far smaller drops than
water. The tip is one's own: what was counted for a measured volume is worth more than anything here.
"""

from typing import cast

import numpy as np

from stillroom.science.arrays import N, array, like_given, refuse_not_positive

STANDARD_DROPS = 20.0
"""Drops of water that make a millilitre off a standard dropper, 45 to 55 mg each (usp-32-1101, second-hand). [1/mL]"""


def drops_in_a_millilitre(
    relative_density: N | float, relative_tension: N | float, water_drops: N | float
) -> N:
    """Drops of a liquid that make a millilitre, from those of water off the same tip.

    Parameters
    ----------
    relative_density : float or array
        Density of the liquid over that of water [1].
    relative_tension : float or array
        Surface tension of the liquid over that of water [1].
    water_drops : float or array
        Drops of water that make a millilitre off this tip [1/mL].

    Returns
    -------
    float or array
        Drops in a millilitre [1/mL].

    Raises
    ------
    BadEntry
        When a figure is not above zero.

    Notes
    -----
    Tate: the weight of a drop goes with the surface tension, so its volume goes with tension over density. The part of
    a drop that stays at the tip (Harkins and Brown) is taken as that of water: against two printed rows it is 3 to 8 %
    off.

    Examples
    --------
    >>> drops_in_a_millilitre(0.936, 0.418, 60.0)  # dental-medicine-drops, dilute alcohol (137), second-hand
    134.4

    References
    ----------
    tate-1864, vazquez-1995
    """
    density, tension, drops = array(relative_density), array(relative_tension), array(water_drops)
    refuse_not_positive("The density", density, "1")
    refuse_not_positive("The surface tension", tension, "1")
    refuse_not_positive("The drops of water", drops, "1/mL")
    return cast(N, like_given(np.asarray(drops * density / tension)))
