"""Sums about spirit in per cent by volume, grams and millilitres, as a maker writes them.

Plain functions, so that an answer can name them and be reckoned again; the equations stand in ``science``.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given
from stillroom.science.liquids.dilution import Dilution
from stillroom.substances.spirits import (
    alcoholometer_in_spirit,
    spirit_density_kg_m3,
    spirit_from_alcoholometer,
    spirit_from_stock,
    spirit_mass_fraction,
    spirit_to_volume,
    spirit_volume_fraction_20c,
)


@dataclass(frozen=True, slots=True)
class VolumesAdded:
    """The tempting way: strength times volume is held, the rest is taken to be water.

    ``stock_volume_ml``, ``water_volume_ml``: what it says to measure. [mL]
    """

    stock_volume_ml: float
    water_volume_ml: float
    volume_ml: float
    """What that fills. [mL]"""
    volume_percent_20c: float
    """What that holds. [% v/v]"""


@dataclass(frozen=True, slots=True)
class PutRight:
    """A mixture brought to a strength.

    ``water_mass_g``, ``spirit_mass_g``: to add; one of them is zero. [g]
    """

    volume_percent_20c: float
    """Strength behind the reading. [% v/v]"""
    water_mass_g: float
    spirit_mass_g: float


@formula("dilution-to-volume")
def for_volume(
    have_percent: float, want_percent: float, volume_ml: float, temperature_c: float
) -> Dilution[float]:
    """Spirit and water for a volume wanted.

    Parameters
    ----------
    have_percent, want_percent : float
        Strengths at 20 °C. [% v/v]
    volume_ml : float
        Wanted, at that temperature. [mL]
    temperature_c : float
        Of spirit, water and mixture. [°C]

    Returns
    -------
    Dilution
        Masses, volumes and the naive answer. [g, mL]

    References
    ----------
    oiml-r22-1975
    """
    return spirit_to_volume(have_percent / 100.0, want_percent / 100.0, volume_ml, temperature_c)


@formula("dilution-at-hand")
def from_spirit(
    have_percent: float, want_percent: float, stock_mass_g: float, temperature_c: float
) -> Dilution[float]:
    """Water for all the spirit at hand.

    Parameters
    ----------
    have_percent, want_percent : float
        Strengths at 20 °C. [% v/v]
    stock_mass_g : float
        Spirit at hand. [g]
    temperature_c : float
        Of spirit, water and mixture. [°C]

    Returns
    -------
    Dilution
        Masses, volumes and the naive answer. [g, mL]

    References
    ----------
    oiml-r22-1975
    """
    return spirit_from_stock(have_percent / 100.0, want_percent / 100.0, stock_mass_g, temperature_c)


@formula("spirit-volume", takes_arrays=("mass_g", "volume_percent_20c", "temperature_c"))
def spirit_volume_ml(mass_g: N | float, volume_percent_20c: N | float, temperature_c: N | float) -> N:
    """Volume of a mass of spirit.

    Parameters
    ----------
    mass_g : float
        Of the spirit. [g]
    volume_percent_20c : float
        Its strength at 20 °C. [% v/v]
    temperature_c : float
        Of the spirit. [°C]

    Returns
    -------
    float
        Volume at that temperature. [mL]

    References
    ----------
    oiml-r22-1975
    """
    fraction: N = spirit_mass_fraction(volume_percent_20c / 100.0)
    density = array(spirit_density_kg_m3(fraction, temperature_c))
    return cast(N, like_given(np.asarray(mass_g * 1000.0 / density)))


@formula("spirit-mass")
def spirit_mass_g(volume_ml: float, volume_percent_20c: float, temperature_c: float) -> float:
    """Mass of a volume of spirit.

    Parameters
    ----------
    volume_ml : float
        Of the spirit, at that temperature. [mL]
    volume_percent_20c : float
        Its strength at 20 °C. [% v/v]
    temperature_c : float
        Of the spirit. [°C]

    Returns
    -------
    float
        Mass. [g]

    References
    ----------
    oiml-r22-1975
    """
    return volume_ml / spirit_volume_ml(1.0, volume_percent_20c, temperature_c)


@formula("dilution-by-added-volumes")
def add_volumes_wanted(
    have_percent: float, want_percent: float, volume_ml: float, temperature_c: float
) -> VolumesAdded:
    """The tempting way to a volume wanted: a wrong answer, shown as such.

    Parameters
    ----------
    have_percent, want_percent : float
        Strengths at 20 °C. [% v/v]
    volume_ml : float
        Wanted. [mL]
    temperature_c : float
        Of spirit, water and mixture. [°C]

    Returns
    -------
    VolumesAdded
        What it says, and what comes of it. [mL]

    Notes
    -----
    V1 = V2 c2 / c1, water V2 - V1.

    References
    ----------
    oiml-r22-1975
    """
    return add_volumes_at_hand(
        have_percent, want_percent, volume_ml * want_percent / have_percent, temperature_c
    )


@formula("dilution-by-added-volumes-at-hand")
def add_volumes_at_hand(
    have_percent: float, want_percent: float, stock_volume_ml: float, temperature_c: float
) -> VolumesAdded:
    """The tempting way to dilute all the spirit at hand: a wrong answer, shown as such.

    Parameters
    ----------
    have_percent, want_percent : float
        Strengths at 20 °C. [% v/v]
    stock_volume_ml : float
        Spirit at hand. [mL]
    temperature_c : float
        Of spirit, water and mixture. [°C]

    Returns
    -------
    VolumesAdded
        What it says, and what comes of it. [mL]

    Notes
    -----
    V2 = V1 c1 / c2, water V2 - V1.

    References
    ----------
    oiml-r22-1975
    """
    water_ml = stock_volume_ml * (have_percent / want_percent - 1.0)
    stock_g = spirit_mass_g(stock_volume_ml, have_percent, temperature_c)
    water_g = spirit_mass_g(water_ml, 0.0, temperature_c)
    percent = mixture_percent(stock_g, water_g, have_percent)
    filled_ml = spirit_volume_ml(stock_g + water_g, percent, temperature_c)
    return VolumesAdded(stock_volume_ml, water_ml, filled_ml, percent)


@formula("mixture-strength")
def mixture_percent(stock_mass_g: float, water_mass_g: float, have_percent: float) -> float:
    """Strength of what was weighed together.

    Parameters
    ----------
    stock_mass_g, water_mass_g : float
        As weighed. [g]
    have_percent : float
        Strength of the spirit at 20 °C. [% v/v]

    Returns
    -------
    float
        Strength at 20 °C. [% v/v]

    References
    ----------
    oiml-r22-1975
    """
    ethanol_g = stock_mass_g * float(spirit_mass_fraction(have_percent / 100.0))
    return 100.0 * float(spirit_volume_fraction_20c(ethanol_g / (stock_mass_g + water_mass_g)))


@formula("alcoholometer-shows")
def alcoholometer_shows_percent(
    volume_percent_20c: float,
    temperature_c: float,
    difference_percent: float,
    thermometer_difference_c: float,
) -> float:
    """What an alcoholometer marked at 20 °C shows.

    Parameters
    ----------
    volume_percent_20c : float
        Strength at 20 °C. [% v/v]
    temperature_c : float
        Of the spirit, as read. [°C]
    difference_percent : float
        Reading less what it should be. [% v/v]
    thermometer_difference_c : float
        True temperature less the reading. [°C]

    Returns
    -------
    float
        Reading. [% v/v]

    References
    ----------
    oiml-r22-1975
    """
    at_c = temperature_c + thermometer_difference_c
    return 100.0 * float(alcoholometer_in_spirit(volume_percent_20c / 100.0, at_c)) + difference_percent


@formula("mixture-put-right")
def put_right(
    product_mass_g: float,
    reading_percent: float,
    temperature_c: float,
    want_percent: float,
    have_percent: float,
) -> PutRight:
    """What to add to a mixture whose alcoholometer shows something else than it should.

    Parameters
    ----------
    product_mass_g : float
        Mixture. [g]
    reading_percent : float
        Reading of an alcoholometer marked at 20 °C. [% v/v]
    temperature_c : float
        Of the mixture. [°C]
    want_percent, have_percent : float
        Strengths at 20 °C, wanted and of the spirit. [% v/v]

    Returns
    -------
    PutRight
        Water for a mixture that is too strong, spirit for one that is too weak. [g]

    Notes
    -----
    Water: m (p/p_want - 1). Spirit: m (p_want - p)/(p_have - p_want). p by mass.

    References
    ----------
    oiml-r22-1975
    """
    volume = float(spirit_from_alcoholometer(reading_percent / 100.0, temperature_c))
    is_now, want, have = (
        float(spirit_mass_fraction(one)) for one in (volume, want_percent / 100.0, have_percent / 100.0)
    )
    water_g = product_mass_g * max(is_now / want - 1.0, 0.0)
    spirit_g = product_mass_g * max(want - is_now, 0.0) / (have - want) if is_now < want else 0.0
    return PutRight(100.0 * volume, water_g, spirit_g)
