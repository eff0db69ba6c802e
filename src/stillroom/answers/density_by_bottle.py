"""Density with a bottle and a scale: empty, full of water, full of the liquid, at one temperature.

Promises a density corrected for the air. Assumes the bottle is filled to the same mark both times and that
its glass has the same temperature; says so when that is not 20 °C, because nominal contents are meant at 20
°C.
"""

from dataclasses import dataclass

from stillroom.answers.budget import Stated, stated
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.substances.rules import rule
from stillroom.substances.spirits import SPIRIT_SOURCES, spirit_density_kg_m3


@dataclass(frozen=True, slots=True)
class BottleDensity:
    """A density with the temperature it holds at."""

    stated: Stated
    """Density with its uncertainty. [g/mL]"""
    temperature_c: float
    """Of bottle, water and liquid. [°C]"""
    serves_filling: bool
    """Whether it may stand for 20 °C."""
    says: str

    @property
    def answer(self) -> Answer:
        """The density. [g/mL]."""
        return self.stated.answer


@formula("water-density")
def water_density_g_ml(temperature_c: float) -> float:
    """Density of pure water.

    Parameters
    ----------
    temperature_c : float
        Temperature. [°C]

    Returns
    -------
    float
        Density. [g/mL]

    Raises
    ------
    OutsideModel
        The density table does not reach this temperature.

    Notes
    -----
    The international alcoholometric formula at no ethanol.

    References
    ----------
    oiml-r22-1975
    """
    return float(spirit_density_kg_m3(0.0, temperature_c)) / 1000.0


@formula("density-by-bottle")
def bottle_density_g_ml(
    empty_mass_g: float,
    water_mass_g: float,
    liquid_mass_g: float,
    water_density_g_ml: float,
    air_density_g_ml: float,
) -> float:
    """Density of a liquid from the masses one bottle holds.

    Parameters
    ----------
    empty_mass_g : float
        Bottle, empty and dry. [g]
    water_mass_g : float
        Bottle full of water. [g]
    liquid_mass_g : float
        Bottle full of the liquid. [g]
    water_density_g_ml : float
        Of water at that temperature. [g/mL]
    air_density_g_ml : float
        Of the air in the room. [g/mL]

    Returns
    -------
    float
        Density of the liquid. [g/mL]

    Raises
    ------
    OutsideModel
        A full bottle does not weigh more than the empty one.

    Notes
    -----
    d = (liquid - empty)/(water - empty) (d_water - d_air) + d_air.
    """
    water_g, liquid_g = water_mass_g - empty_mass_g, liquid_mass_g - empty_mass_g
    if water_g <= 0 or liquid_g <= 0:
        raise OutsideModel(
            "A full bottle must weigh more than the empty one",
            worded(
                "{empty_mass_g:g} g empty, {water_mass_g:g} g with water, {liquid_mass_g:g} g with the liquid",
                empty_mass_g=empty_mass_g,
                water_mass_g=water_mass_g,
                liquid_mass_g=liquid_mass_g,
            ),
            "Were two entries swapped?",
        )
    return liquid_g / water_g * (water_density_g_ml - air_density_g_ml) + air_density_g_ml


def density(empty: Answer, water: Answer, liquid: Answer, temperature: Answer) -> BottleDensity:
    """Density of a liquid with a bottle and a scale.

    Parameters
    ----------
    empty, water, liquid : Answer
        The bottle empty, full of water, full of the liquid. [g]
    temperature : Answer
        Of all three. [°C]

    Returns
    -------
    BottleDensity
        The density and the temperature it holds at. [g/mL]

    Raises
    ------
    BadEntry
        A reading is in another unit.
    OutsideModel
        The density of water is not known at that temperature, or a full bottle does not weigh more than the empty one.
    """
    for one in (empty, water, liquid):
        if one.unit != "g":
            raise BadEntry(
                worded("{called!r} must be in grams", called=one.name), f"{one.value:g} {one.unit}".strip()
            )
    if temperature.unit != "°C":
        raise BadEntry("The temperature must be in °C", f"{temperature.value:g} {temperature.unit}".strip())
    of_water = reckoned(
        "density of water",
        water_density_g_ml,
        unit="g/mL",
        inputs={"temperature_c": temperature},
        says="the international alcoholometric formula at no ethanol",
        sources=SPIRIT_SOURCES,
    )
    window = rule("bottle-temperature-window").value
    serves = abs(temperature.value - 20.0) <= window
    answer = reckoned(
        "density",
        bottle_density_g_ml,
        unit="g/mL",
        basis=f"at {temperature.value:g} °C",
        inputs={
            "empty_mass_g": empty,
            "water_mass_g": water,
            "liquid_mass_g": liquid,
            "water_density_g_ml": of_water,
            "air_density_g_ml": rule("air-density"),
        },
        says="what the bottle holds of the liquid over what it holds of water, corrected for the air",
    )
    says = f"Measured at {temperature.value:g} °C"
    says += (
        ", which serves for a content meant at 20 °C."
        if serves
        else ": a nominal content is meant at 20 °C, so bring bottle and liquid to 20 °C and weigh again."
    )
    return BottleDensity(stated(answer), temperature.value, serves, says)
