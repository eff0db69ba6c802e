"""Loss on drying from weighings, and the moment the mass counts as constant.

Everything that leaves at the drying temperature counts as loss, oil as well as water: for aromatic plants
take a water determination instead. Two weighings in a row, dried again in between, decide.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from stillroom.errors import BadEntry, NotEnough
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_outside


@dataclass(frozen=True, slots=True)
class Drying:
    """Whether a series of weighings has come to rest, and where."""

    constant: bool
    at_weighing: int
    final_mass_g: float
    last_difference_g: float
    allowed_difference_g: float


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


def constant_mass(
    weighings_g: Sequence[float], sample_mass_g: float, *, allowed_difference_g: float = 0.005
) -> Drying:
    """Whether a series of weighings after renewed drying has become constant.

    Parameters
    ----------
    weighings_g : sequence of float
        The same dish, in the order weighed, dried again between weighings [g].
    sample_mass_g : float
        Sample weighed in, 2 to 5 g for the allowed difference of 5 mg [g].
    allowed_difference_g : float
        Largest difference between two weighings in a row that still counts as none [g].

    Returns
    -------
    Drying
        At which weighing the mass first counted as constant, or that it has not yet.

    Raises
    ------
    NotEnough
        With fewer than two weighings.
    OutsideModel
        When the sample is not between 2 and 5 g.
    BadEntry
        When a weighing is negative.

    Examples
    --------
    >>> constant_mass([52.000, 51.800, 51.797], 2.0).at_weighing
    3

    References
    ----------
    ph-eur-0765
    """
    masses = [float(one) for one in weighings_g]
    refuse_negative("A weighing", array(masses), "g")
    do = "Take 2 to 5 g"
    refuse_outside(
        "The sample for this rule", array(sample_mass_g), 2.0, 5.0, "g", source="ph-eur-0765", do=do
    )
    if len(masses) < 2:
        raise NotEnough("Constant mass takes two weighings in a row", f"{len(masses)}", "Dry and weigh again")
    for place in range(1, len(masses)):
        difference = abs(masses[place] - masses[place - 1])
        if difference <= allowed_difference_g * (1.0 + 1e-9):
            return Drying(True, place + 1, masses[place], difference, allowed_difference_g)
    last = abs(masses[-1] - masses[-2])
    return Drying(False, len(masses), masses[-1], last, allowed_difference_g)
