"""What comes of pouring spirits, water and wet plant together: masses add, volumes do not.

Promises that mass and ethanol close. Assumes nothing evaporates and nothing but ethanol and water is poured;
fresh herb brings only its water, and takes part of the liquor with it when strained (not reckoned here).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, cast

import numpy as np

from stillroom.errors import NotEnough
from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)
from stillroom.science.liquids.density import DensityTable, density_kg_m3
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    volume_fraction_from_mass_fraction,
)


@dataclass(frozen=True, slots=True)
class Part(Generic[N]):
    """One liquid to be poured: grams and strength by mass."""

    mass_g: N
    ethanol_mass_fraction: N


@dataclass(frozen=True, slots=True)
class Mixture(Generic[N]):
    """Ethanol and water together."""

    ethanol_mass_g: N
    water_mass_g: N

    @property
    def mass_g(self) -> N:
        """Mass of the mixture [g]."""
        return self.ethanol_mass_g + self.water_mass_g

    @property
    def ethanol_mass_fraction(self) -> N:
        """Strength by mass [1]."""
        return self.ethanol_mass_g / (self.ethanol_mass_g + self.water_mass_g)


@dataclass(frozen=True, slots=True)
class HerbLiquor:
    """Spirit after fresh herb has given its water to it."""

    liquor_mass_g: float
    ethanol_mass_fraction: float
    ethanol_volume_fraction_20c: float
    liquor_volume_ml: float
    additive_volume_fraction_20c: float


def mix(parts: Sequence[Part[N]]) -> Mixture[N]:
    """Pour liquids together.

    Parameters
    ----------
    parts : sequence of Part
        Each liquid's mass [g] and strength by mass [1].

    Returns
    -------
    Mixture
        Ethanol and water, whose sum is the mass poured.

    Raises
    ------
    NotEnough
        When nothing is poured.
    BadEntry
        When a mass is negative.
    OutsideModel
        When a strength is not between 0 and 1.

    Examples
    --------
    >>> mixture = mix([Part(40.0 * 0.78945, 1.0), Part(60.0 * 0.9982, 0.0)])
    >>> 100.0 * mixture.ethanol_mass_fraction  # a school's worked example, second-hand
    34.52
    """
    ethanol, water = array(0.0), array(0.0)
    for part in parts:
        mass, fraction = array(part.mass_g), array(part.ethanol_mass_fraction)
        refuse_negative("A mass that is poured", mass, "g")
        refuse_outside("Ethanol by mass", fraction, 0.0, 1.0, "1", source="a share of the whole")
        ethanol = ethanol + mass * fraction
        water = water + mass * (1.0 - fraction)
    if not np.all(ethanol + water > 0):
        raise NotEnough("Something must be poured", "no mass at all", "Enter at least one liquid")
    return Mixture(cast(N, like_given(ethanol)), cast(N, like_given(water)))


def mixture_volume_ml(mixture: Mixture[N], temperature_c: float, table: DensityTable) -> N:
    """Volume of a mixture at its temperature.

    Parameters
    ----------
    mixture : Mixture
        Ethanol and water [g].
    temperature_c : float
        Temperature of the mixture [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    float or array
        Volume [mL].

    Raises
    ------
    OutsideModel
        When the temperature lies outside the table.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> mixture = Mixture(40.0 * 0.78945, 60.0 * 0.9982)
    >>> mixture_volume_ml(mixture, 20.0, oiml_r22())  # a school's worked example, second-hand
    96.7

    References
    ----------
    oiml-r22-1975
    """
    density = array(density_kg_m3(mixture.ethanol_mass_fraction, temperature_c, table))
    return cast(N, like_given(array(mixture.mass_g) * 1000.0 / density))


def after_fresh_herb(
    herb_mass_g: float,
    herb_moisture_fraction: float,
    menstruum_volume_ml: float,
    menstruum_volume_fraction_20c: float,
    temperature_c: float,
    table: DensityTable,
) -> HerbLiquor:
    """Strength of the liquor once fresh herb has given its water to the extracting liquid.

    Parameters
    ----------
    herb_mass_g : float
        Fresh herb [g].
    herb_moisture_fraction : float
        Water in the herb, by mass as is [1].
    menstruum_volume_ml : float
        Extracting liquid poured on, at its temperature [mL].
    menstruum_volume_fraction_20c : float
        Its strength by volume at 20 °C [1].
    temperature_c : float
        Temperature of the liquids [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    HerbLiquor
        Strength and volume of all the liquor, and the wrong answer that adds volumes.

    Raises
    ------
    BadEntry
        When a mass or volume is negative.
    OutsideModel
        When moisture, strength or temperature lie outside their range.

    Notes
    -----
    p = m_ethanol / (m_menstruum + m_water of the herb): all the water of the herb is taken to mix.
    The additive answer counts a gram of water as a millilitre and adds volumes.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> after_fresh_herb(100.0, 0.0, 500.0, 0.70, 20.0, oiml_r22()).ethanol_volume_fraction_20c
    0.7

    References
    ----------
    oiml-r22-1975
    """
    refuse_negative("The fresh herb", array(herb_mass_g), "g")
    refuse_not_positive("The extracting liquid", array(menstruum_volume_ml), "mL")
    moisture = array(herb_moisture_fraction)
    refuse_outside("Moisture of the herb", moisture, 0.0, 1.0, "1", source="a share of the whole")
    strength: float = mass_fraction_from_volume_fraction(menstruum_volume_fraction_20c, table)
    density: float = density_kg_m3(strength, temperature_c, table)
    herb_water_g = herb_mass_g * herb_moisture_fraction
    liquor = mix([Part(menstruum_volume_ml * density / 1000.0, strength), Part(herb_water_g, 0.0)])
    additive = menstruum_volume_ml * menstruum_volume_fraction_20c / (menstruum_volume_ml + herb_water_g)
    return HerbLiquor(
        liquor_mass_g=liquor.mass_g,
        ethanol_mass_fraction=liquor.ethanol_mass_fraction,
        ethanol_volume_fraction_20c=volume_fraction_from_mass_fraction(liquor.ethanol_mass_fraction, table),
        liquor_volume_ml=mixture_volume_ml(liquor, temperature_c, table),
        additive_volume_fraction_20c=additive,
    )
