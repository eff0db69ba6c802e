"""Heat a still asks for, the minutes it takes, and what the cooling water carries away."""

import numpy as np

from stillroom.science.heat.distilling import heat_to_distil_j, latent_heat_j_g, minutes_at_power
from stillroom.science.liquids.boiling import bubble_point_c, mole_fraction_from_mass_fraction
from stillroom.stream.components import ETHANOL, WATER, Array, Grams
from stillroom.stream.kind import Settings, Work
from stillroom.substances.spirits import ethanol_water_boiling, ethanol_water_heats

ROOM_C = 20.0
PRESSURE_PA = 101325.0
J_PER_KWH = 3.6e6


def heated(liquid: Grams, distillate: Grams, settings: Settings) -> Work:
    """Work of boiling a distillate off a liquid that starts at 20 °C; all of it is watched.

    Parameters
    ----------
    liquid, distillate : array
        Grams of components by draws. [g]
    settings : mapping
        ``heater_w`` [W] and ``heat_reaching_share`` [1].

    Notes
    -----
    The boiling point is that of the median liquid at sea level; latent heat and warming are good to about 5
    %.
    """
    heats = ethanol_water_heats()
    start_g, start = _mass_and_strength(liquid)
    over_g, over = _mass_and_strength(distillate)
    moles: float = mole_fraction_from_mass_fraction(float(np.median(start)), ethanol_water_boiling())
    boiling_c: float = bubble_point_c(moles, PRESSURE_PA, ethanol_water_boiling())
    heat_j = heat_to_distil_j(start_g, start, over_g, over, ROOM_C, boiling_c, heats)
    minutes = minutes_at_power(heat_j, settings["heater_w"], settings["heat_reaching_share"])
    electric_kwh = np.asarray(heat_j) / np.asarray(settings["heat_reaching_share"]) / J_PER_KWH
    carried_j = over_g * np.asarray(latent_heat_j_g(over, heats))
    return Work(watch_min=np.asarray(minutes), heat_kwh=electric_kwh, cooling_j=carried_j)


def _mass_and_strength(stream: Grams) -> tuple[Array, Array]:
    mass_g = stream[WATER] + stream[ETHANOL]
    return mass_g, stream[ETHANOL] / np.maximum(mass_g, 1e-30)
