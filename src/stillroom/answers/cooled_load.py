"""The heat of what drips back from a condenser: by volume, as warm as it was measured; spirit by its strength.

Promises the heat of condensing alone: cooling what has condensed any further is not in it.
"""

from dataclasses import replace

from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.heat.condensers import boil_up_heat_w
from stillroom.science.heat.distilling import latent_heat_j_g
from stillroom.science.liquids.density import density_kg_m3
from stillroom.substances.condensed import Condensed
from stillroom.substances.spirits import (
    HEAT_SOURCES,
    SPIRIT_SOURCES,
    ethanol_water_heats,
    oiml_r22,
    spirit_mass_fraction,
)


@formula("condensate-density")
def caught_density_g_ml(
    density_20c_g_ml: float, density_boiling_g_ml: float, boiling_c: float, caught_c: float
) -> float:
    """Density of a liquid between 20 °C and its boiling point, on a straight line. [g/mL].

    Parameters
    ----------
    density_20c_g_ml, density_boiling_g_ml : float
        [g/mL]
    boiling_c, caught_c : float
        [°C]
    """
    along = (caught_c - 20.0) / (boiling_c - 20.0)
    return density_20c_g_ml + along * (density_boiling_g_ml - density_20c_g_ml)


@formula("spirit-boil-up-heat")
def spirit_boil_up_heat_w(
    boil_up_ml_min: float, volume_percent_20c: float, caught_c: float, boiling_c: float
) -> float:
    """Heat a condenser takes back from spirit that drips back, before it is cooled further. [W].

    Parameters
    ----------
    boil_up_ml_min : float
        As caught. [mL/min]
    volume_percent_20c : float
        Of what is caught. [% v/v]
    caught_c, boiling_c : float
        When its volume is taken; where it condenses. [°C]
    """
    mass = float(spirit_mass_fraction(volume_percent_20c / 100.0))
    density = float(density_kg_m3(mass, caught_c, oiml_r22())) / 1000.0
    latent = float(latent_heat_j_g(mass, ethanol_water_heats(boiling_c)))
    return float(boil_up_heat_w(boil_up_ml_min, density, latent))


def load_by_spirit_boil_up(
    name: str, liquid: Condensed, boil_up: Answer, percent: Answer, caught: Answer
) -> Answer:
    """Heat of a condenser from spirit that is caught cold.

    Parameters
    ----------
    name : str
        Of the set-up. [text]
    liquid : Condensed
        Ethanol. [record]
    boil_up, percent, caught : Answer
        [mL/min, % v/v at 20 °C, °C]
    """
    return reckoned(
        f"heat of {name}", spirit_boil_up_heat_w, unit="W",
        inputs={"boil_up_ml_min": boil_up, "volume_percent_20c": percent, "caught_c": caught,
                "boiling_c": liquid.boiling},
        says=f"what drips back, measured at {caught.value:g} °C, by mass, times the latent heat of both its liquids",
        sources=(*SPIRIT_SOURCES, *HEAT_SOURCES),
    )  # fmt: skip


def load_by_cold_boil_up(name: str, liquid: Condensed, boil_up: Answer, caught: Answer) -> Answer:
    """Heat of a condenser from a liquid that is caught colder than it boils.

    Parameters
    ----------
    name : str
        Of the set-up. [text]
    liquid : Condensed
        [record]
    boil_up, caught : Answer
        [mL/min, °C]
    """
    density = reckoned(
        f"density of {liquid.name} as caught", caught_density_g_ml, unit="g/mL",
        inputs={"density_20c_g_ml": liquid.density_20c, "density_boiling_g_ml": liquid.density,
                "boiling_c": liquid.boiling, "caught_c": caught},
        says=f"at {caught.value:g} °C, on a straight line between 20 °C and the boil",
    )  # fmt: skip
    return load_by_boil_up(name, replace(liquid, density=density), boil_up)


def load_by_boil_up(name: str, liquid: Condensed, boil_up: Answer) -> Answer:
    """Heat of a condenser from what drips back.

    Parameters
    ----------
    name : str
        Of the set-up. [text]
    liquid : Condensed
        [record]
    boil_up : Answer
        [mL/min]
    """
    return reckoned(
        f"heat of {name}", boil_up_heat_w, unit="W",
        inputs={"boil_up_ml_min": boil_up, "density_g_ml": liquid.density, "latent_heat_kj_kg": liquid.latent_heat},
        says="what boils up, by mass, times its latent heat", sources=liquid.latent_heat.sources,
    )  # fmt: skip
