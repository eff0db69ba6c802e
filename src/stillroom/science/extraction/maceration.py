"""Maceration in portions that may be drained before they are done: equilibrium, approached in time.

Goes beyond ``marc.macerated_fraction``, which takes each portion to have come to rest. What counts is the
drained liquid; what the marc keeps is carried into the next portion.
"""

from typing import NamedTuple

import numpy as np

from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.science.arrays import Floats, array, refuse_negative, refuse_not_positive
from stillroom.science.extraction.uptake import share_not_yet_out


class Macerated(NamedTuple):
    """Shares of what is within reach: drained off, and dissolved in the liquid the marc keeps."""

    drained_share: Floats
    held_share: Floats


def macerated_in_time(
    drug_mass_g: Floats | float,
    poured_ml: Floats | float,
    retention_ml_g: Floats | float,
    sorption_ml_g: Floats | float,
    portions: int,
    contact_min: Floats | float,
    uptake_min: Floats | float,
    washed_share: Floats | float,
) -> Macerated:
    """Share of the soluble matter in the drained liquid and in what the marc keeps, after equal portions.

    Parameters
    ----------
    drug_mass_g : float or array
        Dry plant [g].
    poured_ml : float or array
        Liquid poured on in all, in equal portions [mL].
    retention_ml_g : float or array
        Liquid kept per gram of plant after draining [mL/g].
    sorption_ml_g : float or array
        Partition to the solid, as liquid that would hold as much per gram [mL/g].
    portions : int
        Number of equal portions [1].
    contact_min : float or array
        How long each portion stands [min].
    uptake_min : float or array
        Time in which all but 1/e of the way to rest is gone [min].
    washed_share : float or array
        Share of the first portion's way that is gone at once [1].

    Returns
    -------
    Macerated
        Drained share and held share [1].

    Raises
    ------
    BadEntry
        When a figure is out of range.
    NotEnough
        When the first portion is no more than the marc keeps.

    Notes
    -----
    At rest (V + held)/(V + held + K m) of all that is left is dissolved; in time the liquid goes
    1 - (1 - b) exp(-t/tau) of the way there. Each draining takes (V + held - rho m)/(V + held) of what is
    dissolved.

    Examples
    --------
    >>> float(macerated_in_time(100.0, 500.0, 1.0, 0.0, 1, 1440.0, 30.0, 0.0).drained_share)
    0.8

    References
    ----------
    extraction-practice
    """
    mass, poured = array(drug_mass_g), array(poured_ml)
    retention, sorption = array(retention_ml_g), array(sorption_ml_g)
    refuse_not_positive("The plant", mass, "g")
    refuse_not_positive("The liquid poured", poured, "mL")
    refuse_negative("The retention", retention, "mL/g")
    refuse_negative("The sorption", sorption, "mL/g")
    if portions < 1:
        raise BadEntry("There is at least one portion", str(portions), "Pour one, two or three")
    portion, kept = poured / portions, mass * retention
    if not np.all(portion > kept):
        raise NotEnough(
            "The first portion must be more than the marc keeps",
            worded("it keeps {portion:.2f} of it", portion=float(np.max(kept / portion))),
            "Pour more, or in fewer portions",
        )
    left, dissolved, held = array(1.0), array(0.0), array(0.0)
    for number in range(portions):
        liquid = portion + held
        at_rest = left * liquid / (liquid + sorption * mass)
        washed = array(washed_share) if number == 0 else array(0.0)
        gone = 1.0 - array(share_not_yet_out(array(contact_min), washed, 0.0, array(uptake_min)))
        dissolved = dissolved + gone * (at_rest - dissolved)
        drained = dissolved * (liquid - kept) / liquid
        left, dissolved, held = left - drained, dissolved - drained, kept
    return Macerated(np.asarray(1.0 - left), np.asarray(dissolved))
