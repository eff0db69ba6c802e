"""The strength of a spirit, whatever it was said in, as ethanol by mass and as per cent by volume at 20 °C.

Promises that nothing said is dropped: ratio, temperature and scale all enter, through the density of ethanol-water.
"""

import re

from stillroom.errors import OutsideModel, worded
from stillroom.quantities.strength_words import read_strength
from stillroom.quantities.strengths import SCALES, Strength
from stillroom.science.liquids.old_scales import volume_fraction_from_uk_proof, volume_fraction_from_us_proof
from stillroom.substances.spirits import (
    oiml_r22,
    spirit_density_kg_m3,
    spirit_from_alcoholometer,
    spirit_mass_fraction,
    spirit_mass_fraction_at,
    spirit_mass_fraction_from_density,
    spirit_volume_fraction_20c,
)

_IN_NAME = re.compile(
    r"[0-9][0-9.,]*\s?(?:%|per cent)(?:\s*(?:[wvm]/[wvm]|vol\b\.?|abv\b|by (?:mass|weight|volume)))?"
    r"(?:,?\s*at\s+[0-9.,]+\s?°\s?[CF])?",
    re.IGNORECASE,
)


def ethanol_mass_fraction_of(strength: Strength) -> float:
    """Ethanol by mass in a spirit of that strength. [1].

    Parameters
    ----------
    strength : Strength
        As stated or read. [record]

    Returns
    -------
    float
        [g/g]

    Raises
    ------
    OutsideModel
        No spirit is that strong, or has that density or reading at that temperature.

    References
    ----------
    oiml-r22-1975
    """
    at_c = 20.0 if strength.temperature_c is None else strength.temperature_c
    if strength.ratio == "w/w":
        return strength.value / 100.0
    if strength.ratio == "w/v":
        return float(spirit_mass_fraction_at(volume_fraction_from_grams(strength.value, at_c), at_c))
    if strength.unit == "g/mL":
        return float(spirit_mass_fraction_from_density(1000.0 * strength.value, at_c))
    if strength.known_by == "alcoholometer":
        return float(spirit_mass_fraction(float(spirit_from_alcoholometer(strength.value / 100.0, at_c))))
    share = strength.value / 100.0
    if strength.is_proof:
        us = SCALES[strength.scale].proof == "us_proof"
        share = float(
            volume_fraction_from_us_proof(strength.value)
            if us
            else volume_fraction_from_uk_proof(strength.value, oiml_r22())
        )
    return float(spirit_mass_fraction_at(share, at_c))


def strength_in_name(substance: str) -> Strength | None:
    """The strength a substance is named after; None where its name says none.

    Parameters
    ----------
    substance : str
        "spirit 96 %" (by volume, as it is sold), "spirit 93.8 % w/w". [text]

    Returns
    -------
    Strength or None
        As its name states it. [record]

    Raises
    ------
    BadEntry
        What stands after the name is no strength of spirit.
    """
    told = _IN_NAME.search(substance)
    return read_strength(told[0], bare_ratio="v/v", where=substance) if told else None


def volume_percent_20c_of(strength: Strength) -> float:
    """Per cent by volume at 20 °C of a spirit of that strength. [% v/v].

    Parameters
    ----------
    strength : Strength
        As stated or read. [record]
    """
    return 100.0 * float(spirit_volume_fraction_20c(ethanol_mass_fraction_of(strength)))


def volume_fraction_from_grams(grams_per_100ml: float, temperature_c: float) -> float:
    """Strength by volume of a spirit that holds so many grams of ethanol in 100 mL. [1].

    Parameters
    ----------
    grams_per_100ml : float
        [% w/v]
    temperature_c : float
        At which the 100 mL are meant. [°C]

    Returns
    -------
    float
        At that temperature. [mL/mL]

    Raises
    ------
    OutsideModel
        Pure ethanol holds less.

    Notes
    -----
    q = c / rho(1, t).

    References
    ----------
    oiml-r22-1975
    """
    pure_g = float(spirit_density_kg_m3(1.0, temperature_c)) / 10.0
    if grams_per_100ml > pure_g:
        raise OutsideModel(
            worded("Pure ethanol holds {pure:.1f} g in 100 mL", pure=pure_g),
            worded("{grams:g} % w/v", grams=grams_per_100ml),
            "Check the figure and what it is a share of",
        )
    return grams_per_100ml / pure_g
