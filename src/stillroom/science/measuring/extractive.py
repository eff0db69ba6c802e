"""What a liquid takes out of a plant, from the dry residue of a part of the filtrate."""

from typing import cast

import numpy as np

from stillroom.errors import BadEntry
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_not_positive


def extractive_fraction(
    residue_g: N | float,
    taken_volume_ml: N | float,
    liquid_volume_ml: N | float,
    sample_mass_g: N | float,
) -> N:
    """Extractive of a sample.

    Parameters
    ----------
    residue_g : float or array
        Dry residue of the part of the filtrate that was taken [g].
    taken_volume_ml : float or array
        That part [mL].
    liquid_volume_ml : float or array
        All the liquid the sample stood in [mL].
    sample_mass_g : float or array
        [g].

    Returns
    -------
    float or array
        Extractive by mass of the sample as it was [1].

    Raises
    ------
    BadEntry
        A volume or the sample is not above zero, the residue is negative, or more was taken than there was.

    Notes
    -----
    r V / (v m).

    Examples
    --------
    >>> extractive_fraction(0.112, 20.0, 200.0, 5.0)  # the same equation, bp-extractive, second-hand
    0.224

    References
    ----------
    bp-extractive
    """
    residue, taken = array(residue_g), array(taken_volume_ml)
    liquid, sample = array(liquid_volume_ml), array(sample_mass_g)
    refuse_negative("The residue", residue, "g")
    for what, one, unit in (
        ("The part taken", taken, "mL"), ("The liquid", liquid, "mL"), ("The sample", sample, "g"),
    ):  # fmt: skip
        refuse_not_positive(what, one, unit)
    if not (taken <= liquid).all():
        raise BadEntry("A part of the filtrate is less than all of it", "more", "Look which volume is which")
    return cast(N, like_given(np.asarray(residue * liquid / (taken * sample))))
