"""What the spent plant keeps: liquid that was poured and never comes back, with the extract dissolved in it.

Maceration is reckoned as equilibrium stages: each portion comes to the same strength inside and outside the
marc. Says nothing about how long that takes.
"""

from collections.abc import Sequence
from typing import cast

from stillroom.errors import NotEnough, worded
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_not_positive


def retention_ml_g(drug_mass_g: N | float, poured_ml: N | float, drained_ml: N | float) -> N:
    """Liquid kept by each gram of plant, from what was poured and what came back.

    Parameters
    ----------
    drug_mass_g : float or array
        Dry plant [g].
    poured_ml : float or array
        Liquid poured on [mL].
    drained_ml : float or array
        Liquid that came back [mL].

    Returns
    -------
    float or array
        Liquid kept per gram of plant [mL/g].

    Raises
    ------
    BadEntry
        When the mass is not above zero or a volume is negative.
    NotEnough
        When more came back than was poured.

    Examples
    --------
    >>> retention_ml_g(100.0, 500.0, 350.0)
    1.5
    """
    mass, poured, drained = array(drug_mass_g), array(poured_ml), array(drained_ml)
    refuse_not_positive("The plant", mass, "g")
    refuse_negative("The liquid poured", poured, "mL")
    refuse_negative("The liquid drained", drained, "mL")
    if (drained > poured).any():
        raise NotEnough("No more liquid can drain than was poured", "more", "Check both volumes")
    return cast(N, like_given((poured - drained) / mass))


def liquid_kept_ml(drug_mass_g: N | float, retention_ml_g: N | float) -> N:
    """Liquid that stays in the marc.

    Parameters
    ----------
    drug_mass_g : float or array
        Dry plant [g].
    retention_ml_g : float or array
        Liquid kept per gram of plant [mL/g].

    Returns
    -------
    float or array
        Liquid kept [mL].

    Raises
    ------
    BadEntry
        When either is negative.

    Examples
    --------
    >>> liquid_kept_ml(100.0, 1.5)
    150.0

    References
    ----------
    extraction-practice
    """
    mass, retention = array(drug_mass_g), array(retention_ml_g)
    refuse_negative("The plant", mass, "g")
    refuse_negative("The retention", retention, "mL/g")
    return cast(N, like_given(mass * retention))


def macerated_fraction(
    drug_mass_g: float, portions_ml: Sequence[float], retention_ml_g: float, sorption_ml_g: float = 0.0
) -> float:
    """Share of the soluble matter that comes out with the drained liquid, portion after portion.

    Parameters
    ----------
    drug_mass_g : float
        Dry plant [g].
    portions_ml : sequence of float
        Fresh liquid poured on at each stage [mL].
    retention_ml_g : float
        Liquid kept per gram of plant after draining [mL/g].
    sorption_ml_g : float
        Partition to the solid, as liquid that would hold as much per gram [mL/g].

    Returns
    -------
    float
        Share extracted [1].

    Raises
    ------
    BadEntry
        When a mass, volume, retention or sorption is out of range.
    NotEnough
        When the first portion is less than the marc keeps.

    Notes
    -----
    Each stage: c = S / (V + held + K m), out = (V + held - rho m) c, S and held carried to the next stage.

    Examples
    --------
    >>> macerated_fraction(100.0, [500.0], 1.0)
    0.8

    References
    ----------
    extraction-practice
    """
    refuse_not_positive("The plant", array(drug_mass_g), "g")
    refuse_negative("The retention", array(retention_ml_g), "mL/g")
    refuse_negative("The sorption", array(sorption_ml_g), "mL/g")
    kept = drug_mass_g * retention_ml_g
    left, held = 1.0, 0.0
    for portion in portions_ml:
        refuse_not_positive("A portion of liquid", array(portion), "mL")
        drained = portion + held - kept
        if drained < 0:
            must = f"The marc keeps {kept:.0f} mL, and the first portions must cover that"
            raise NotEnough(must, worded("{held:.0f} mL", held=portion + held), "Pour more")
        left -= left * drained / (portion + held + sorption_ml_g * drug_mass_g)
        held = kept
    return 1.0 - left
