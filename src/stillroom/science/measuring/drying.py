"""Loss on drying from weighings.

Everything that leaves at the drying temperature counts as loss, oil as well as water: for aromatic plants
take a water determination instead.
"""

from typing import cast

import numpy as np

from stillroom.errors import BadEntry
from stillroom.science.arrays import N, array, like_given, refuse_negative


def loss_on_drying_fraction(tare_mass_g: N | float, before_mass_g: N | float, after_mass_g: N | float) -> N:
    """Share of a sample's mass that left on drying.

    Parameters
    ----------
    tare_mass_g : float or array
        Empty dish, dried [g].
    before_mass_g : float or array
        Dish with the sample before drying [g].
    after_mass_g : float or array
        Dish with the sample after drying [g].

    Returns
    -------
    float or array
        Loss on drying by mass of the sample as it was [1].

    Raises
    ------
    BadEntry
        When the sample is not heavier than nothing, gained mass on drying, or lost more than there was.

    Examples
    --------
    >>> loss_on_drying_fraction(50.0, 52.0, 51.8)
    0.1

    References
    ----------
    ph-eur-0765
    """
    tare, before, after = array(tare_mass_g), array(before_mass_g), array(after_mass_g)
    refuse_negative("The empty dish", tare, "g")
    if not (before > tare).all():
        raise BadEntry(
            "The dish with the sample weighs more than the empty dish", "less", "Check the two weighings"
        )
    if not (after <= before).all():
        raise BadEntry(
            "A sample does not gain mass on drying", "a gain", "Was it weighed warm, or is a reading wrong?"
        )
    if not (after >= tare).all():
        raise BadEntry(
            "The dried sample weighs at least nothing", "less than the empty dish", "Check the weighings"
        )
    return cast(N, like_given(np.asarray((before - after) / (before - tare))))
