"""Heat a still asks for, the minutes it takes, what the cooling water carries away, and where a liquid boils."""

import numpy as np

from stillroom.science.heat.distilling import heat_to_distil_j, latent_heat_j_g, minutes_at_power
from stillroom.science.liquids.air import air_pressure_pa
from stillroom.science.liquids.boiling import bubble_point_c, mole_fraction_from_mass_fraction
from stillroom.stream.components import ETHANOL, WATER, Array, Grams
from stillroom.stream.kind import ALTITUDE_M, Settings, Work
from stillroom.substances.spirits import ethanol_water_boiling, ethanol_water_heats

ROOM_C = 20.0
J_PER_KWH = 3.6e6


def pressure_over(settings: Settings) -> float:
    """Air pressure a step boils at, that of a standard day at the height it is told or at the sea [Pa].

    Parameters
    ----------
    settings : mapping
        With or without ``altitude_m`` [m].

    References
    ----------
    us-standard-atmosphere-1976
    """
    pressure_pa: float = air_pressure_pa(float(np.median(np.asarray(settings.get(ALTITUDE_M, 0.0)))))
    return pressure_pa


def boils_at_c(ethanol_mass_fraction: float, settings: Settings) -> float:
    """Boiling point of spirit or water where the laboratory stands [°C].

    Parameters
    ----------
    ethanol_mass_fraction : float
        Grams of ethanol per gram of ethanol and water [g/g].
    settings : mapping
        With or without ``altitude_m`` [m].
    """
    model = ethanol_water_boiling()
    moles: float = mole_fraction_from_mass_fraction(ethanol_mass_fraction, model)
    boils_c: float = bubble_point_c(moles, pressure_over(settings), model)
    return boils_c


def heated(liquid: Grams, distillate: Grams, settings: Settings) -> Work:
    """Work of boiling a distillate off a liquid that starts at 20 °C; all of it is watched.

    Parameters
    ----------
    liquid, distillate : array
        Grams of components by draws. [g]
    settings : mapping
        ``heater_w`` [W], ``heat_reaching_share`` [1], and ``altitude_m`` [m] where it is told.

    Notes
    -----
    The boiling point is that of the median liquid; latent heat and warming are good to about 5 %.
    """
    start_g, start = _mass_and_strength(liquid)
    over_g, over = _mass_and_strength(distillate)
    boiling_c = boils_at_c(float(np.median(start)), settings)
    heats = ethanol_water_heats(boiling_c)
    heat_j = heat_to_distil_j(start_g, start, over_g, over, ROOM_C, boiling_c, heats)
    minutes = minutes_at_power(heat_j, settings["heater_w"], settings["heat_reaching_share"])
    electric_kwh = np.asarray(heat_j) / np.asarray(settings["heat_reaching_share"]) / J_PER_KWH
    carried_j = over_g * np.asarray(latent_heat_j_g(over, heats))
    return Work(watch_min=np.asarray(minutes), heat_kwh=electric_kwh, cooling_j=carried_j)


def _mass_and_strength(stream: Grams) -> tuple[Array, Array]:
    mass_g = stream[WATER] + stream[ETHANOL]
    return mass_g, stream[ETHANOL] / np.maximum(mass_g, 1e-30)
