"""Drying a plant on racks: kilograms fresh to kilograms dry, its moisture from weighings, and whether it is dry.

Only water leaves. Says nothing about what the warmth does to a marker, nor about mould: that is looked at.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import cast

import numpy as np

from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.science.arrays import N, array, like_given, refuse_not_positive, refuse_outside

AGREE_WITHIN = 0.01
"""Two weighings a day apart that differ by less than this of the mass: dry (common practice, no source). [1]"""
LEAST_APART_H = 12.0
"""Weighings nearer than this say nothing about constant mass (chosen). [h]"""


def dried_mass_g(mass_g: N | float, moisture_share: N | float, moisture_left_share: N | float) -> N:
    """What a plant weighs once it has dried to another moisture.

    Parameters
    ----------
    mass_g : float or array
        As it is [g].
    moisture_share : float or array
        Water in it, of its own mass [1].
    moisture_left_share : float or array
        Water in it afterwards, of its mass then [1].

    Returns
    -------
    float or array
        Mass afterwards [g].

    Raises
    ------
    BadEntry
        When the mass is not above zero.
    OutsideModel
        When a moisture lies outside 0 to 0.97.

    Examples
    --------
    Five kilograms of a leaf of 78 % are one and a quarter at 12 %:

    >>> dried_mass_g(5000.0, 0.78, 0.12)
    1250.0
    """
    mass, wet, left = array(mass_g), array(moisture_share), array(moisture_left_share)
    refuse_not_positive("The mass of the plant", mass, "g")
    for name, share in (("Its moisture", wet), ("The moisture that is left", left)):
        refuse_outside(name, share, 0.0, 0.97, "1", source="a share of the whole")
    return cast(N, like_given(np.asarray(mass * (1.0 - wet) / (1.0 - left))))


def moisture_by_mass(fresh_mass_g: N | float, moisture_share: N | float, mass_g: N | float) -> N:
    """The moisture a plant has come to, from its mass and what it held when it was fresh.

    Parameters
    ----------
    fresh_mass_g : float or array
        When it was spread [g].
    moisture_share : float or array
        Water in it then, of its own mass [1].
    mass_g : float or array
        Now [g].

    Returns
    -------
    float or array
        Water in it now, of its mass now; below zero where the first moisture was too low [1].

    Raises
    ------
    BadEntry
        When a mass is not above zero.
    OutsideModel
        When the moisture lies outside 0 to 0.97.

    Examples
    --------
    >>> round(moisture_by_mass(5000.0, 0.78, 1250.0), 3)
    0.12
    """
    fresh, wet, now = array(fresh_mass_g), array(moisture_share), array(mass_g)
    refuse_not_positive("The fresh mass", fresh, "g")
    refuse_not_positive("The mass now", now, "g")
    refuse_outside("Its moisture", wet, 0.0, 0.97, "1", source="a share of the whole")
    return cast(N, like_given(np.asarray(1.0 - fresh * (1.0 - wet) / now)))


@dataclass(frozen=True, slots=True)
class RackSeen:
    """What the weighings of a rack say."""

    constant: bool
    """Whether the last two agree and lie far enough apart."""
    changed_share: float
    """By how much of its mass it changed between them, per day. [1/d]"""


def rack_seen(hours: Sequence[float], masses_g: Sequence[float]) -> RackSeen:
    """Whether a rack is dry by two weighings that agree.

    Parameters
    ----------
    hours : sequence of float
        Of each weighing, in order [h].
    masses_g : sequence of float
        What it weighed [g].

    Returns
    -------
    RackSeen
        By the last weighing and the last one before it that lies half a day back [record].

    Raises
    ------
    NotEnough
        When no two weighings lie half a day apart.
    BadEntry
        When times go back, or a mass is not above zero.

    Examples
    --------
    >>> rack_seen([0.0, 24.0, 48.0, 72.0], [5000.0, 1900.0, 1262.0, 1255.0]).constant
    True
    """
    if len(hours) != len(masses_g) or any(later < one for one, later in pairwise(hours)):
        raise BadEntry(
            "Each weighing has its hour, one after the other",
            worded("{hours} hours, {masses} masses", hours=len(hours), masses=len(masses_g)),
            "Write them in the order of their times",
        )
    refuse_not_positive("The mass of the rack", array(list(masses_g)), "g")
    before = [at for at, hour in enumerate(hours) if hours[-1] - hour >= LEAST_APART_H] if hours else []
    if not before:
        raise NotEnough(
            worded("Constant mass takes two weighings {least:g} h apart", least=LEAST_APART_H),
            worded("{count} within less", count=len(hours)),
            "Weigh again tomorrow",
        )
    last, earlier = masses_g[-1], masses_g[before[-1]]
    per_day = abs(earlier - last) / last * 24.0 / (hours[-1] - hours[before[-1]])
    return RackSeen(per_day <= AGREE_WITHIN, per_day)
