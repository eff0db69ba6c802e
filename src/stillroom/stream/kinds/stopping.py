"""Where a thickening stops, by its solids or by a mark on the flask, and what the warmth on the way weighs.

A mark is read cold: hot, the same liquid stands some per cent higher. What is dissolved takes its room as sugar does.
"""

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from stillroom.science.extraction.heat_dose import heat_dose_min
from stillroom.stream.components import ETHANOL, MARKER, VOLATILE, WATER, Array, Grams, only, whole_mass
from stillroom.stream.kind import RunFigure, Runs, Settings, said_or
from stillroom.stream.kinds.heating import ROOM_C, boils_at_c, heated
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_volume_fraction_20c
from stillroom.texts.catalogue import later, t

STOP_ML, GENTLE_C, HALF_MIN, BREAKDOWN = "stop_at_ml", "gentle_c", "half_gone_min", "breakdown_kj_per_mol"
DOSE = "heat_dose_min"
STOPS = (STOP_ML, GENTLE_C, HALF_MIN, BREAKDOWN, DOSE)
"""Settings that a step that boils down may be given."""
BROKEN = "broken down by heat"
USUAL_GENTLE_C = 60.0
"""Kept below by whoever thickens glycosides (common practice, no source). [°C]"""
SOLIDS_ML_G = 0.62
"""Room of a dissolved gram: sugar at 40 % by mass, 1.176 g/mL at 20 °C (from-memory). [mL/g]"""
USUAL_BREAKDOWN = 66.0
"""Twice as fast for each 10 K at about 60 °C (common practice, no source). [kJ/mol]"""
ROUNDS = 12
SLICES = 12
OverG: TypeAlias = Callable[[Grams, Array], Array]
"""Ethanol that goes over with so many grams of distillate. [g]"""


def density_20c_g_ml(left: Grams) -> Array:
    """Density of what is left, cold [g/mL].

    Parameters
    ----------
    left : array
        Grams of components by draws. [g]
    """
    return np.asarray(whole_mass(left) / np.maximum(_volume_ml(left), 1e-30))


def _liquid_density_g_ml(left: Grams) -> Array:
    mass_g = np.maximum(left[WATER] + left[ETHANOL], 1e-30)
    return np.asarray(spirit_density_kg_m3(np.clip(left[ETHANOL] / mass_g, 0.0, 1.0), 20.0)) / 1000.0


def _volume_ml(left: Grams) -> Array:
    liquid_g = whole_mass(only(left, *VOLATILE))
    solids_g = whole_mass(left) - liquid_g
    return np.asarray(liquid_g / _liquid_density_g_ml(left) + SOLIDS_ML_G * solids_g)


def to_boil_off_g(liquid: Grams, settings: Settings, ethanol_over: OverG) -> Array:
    """Water and spirit to be boiled off: down to the mark, or to the wanted share of solids [g].

    Parameters
    ----------
    liquid : array
        Grams of components by draws. [g]
    settings : mapping
        ``stop_at_ml`` [mL], else ``soft_extract_solids_mass_fraction`` [g/g].
    ethanol_over : callable
        Ethanol that goes over with so many grams of distillate of the liquid. [g]
    """
    volatile_g = whole_mass(only(liquid, *VOLATILE))
    solids_g = whole_mass(liquid) - volatile_g
    if STOP_ML not in settings:
        stays_g = solids_g * (1.0 / np.asarray(settings["soft_extract_solids_mass_fraction"]) - 1.0)
        return np.asarray(np.maximum(volatile_g - stays_g, 0.0))
    room_ml = np.maximum(np.asarray(settings[STOP_ML]) - SOLIDS_ML_G * solids_g, 0.0)
    over_g = np.zeros_like(volatile_g)
    left = liquid
    for _ in range(ROUNDS):
        over_g = np.clip(volatile_g - room_ml * _liquid_density_g_ml(left), 0.0, volatile_g)
        left = _left_of(liquid, over_g, ethanol_over)
    return over_g


def _left_of(liquid: Grams, over_g: Array, ethanol_over: OverG) -> Grams:
    vapour = np.zeros_like(liquid)
    vapour[ETHANOL] = np.minimum(ethanol_over(liquid, over_g), liquid[ETHANOL])
    vapour[WATER] = np.minimum(over_g - vapour[ETHANOL], liquid[WATER])
    return np.asarray(liquid - vapour)


def how_it_stops(liquid: Grams, leaves: Callable[[], Grams], settings: Settings, ethanol_over: OverG) -> Runs:
    """What is left when it stops, by volume, mass, strength and density, and the heat dose where that is asked.

    Parameters
    ----------
    liquid : array
        Before. [g]
    leaves : callable
        What is left of it. [g]
    settings : mapping
        Of the step.
    ethanol_over : callable
        As ``to_boil_off_g``. [g]
    """
    if not set(STOPS) & settings.keys():
        return Runs()
    left = leaves()
    mass_g = np.maximum(left[WATER] + left[ETHANOL], 1e-30)
    strength = np.asarray(spirit_volume_fraction_20c(np.clip(left[ETHANOL] / mass_g, 0.0, 1.0)))
    figures = [
        RunFigure(later("left at the stop, cold"), _volume_ml(left), "mL"),
        RunFigure(later("that weighs"), whole_mass(left), "g"),
        RunFigure(later("its density at 20 °C"), density_20c_g_ml(left), "g/mL"),
        RunFigure(later("strength of its liquid"), 100.0 * strength, "% v/v"),
    ]
    says = [t("The mark is read cold: boiling, it stands up to a twentieth higher.")]
    if {GENTLE_C, HALF_MIN, DOSE} & settings.keys():
        dose = dose_min(liquid, left, settings, ethanol_over)
        figures.append(RunFigure(later("heat dose, as minutes at the gentle temperature"), dose, "min"))
        says.append(
            t("Its heat dose is that of the temperatures read at the bench.") if DOSE in settings
            else t("Its heat dose is that of the calculated boil: note how warm a bath without a thermostat gets.")
        )  # fmt: skip
        if HALF_MIN in settings:
            figures.append(
                RunFigure(later("of the marker, stays by its heat dose"), 100.0 * _stays(dose, settings), "%")
            )
            says.append(
                t(
                    "What its heat dose takes of the marker is taken off the plan, as fast as its rate is stated."
                )
            )
    return Runs(tuple(figures), tuple(says))


def broken_by_dose(liquid: Grams, left: Grams, settings: Settings, ethanol_over: OverG) -> Grams:
    """What the warmth takes of the marker: none where nobody stated how fast that goes [g].

    Parameters
    ----------
    liquid, left : array
        Before it boils, and what is left. [g]
    settings : mapping
        ``half_gone_min`` at ``gentle_c``, and what ``dose_min`` takes.
    ethanol_over : callable
        As ``to_boil_off_g``. [g]
    """
    if HALF_MIN not in settings:
        return np.zeros_like(liquid)
    return only(left, MARKER) * (1.0 - _stays(dose_min(liquid, left, settings, ethanol_over), settings))


def _stays(dose: Array, settings: Settings) -> Array:
    return np.asarray(0.5 ** (dose / np.asarray(settings[HALF_MIN])))


def dose_min(liquid: Grams, left: Grams, settings: Settings, ethanol_over: OverG) -> Array:
    """Heat dose of each draw as minutes at the gentle temperature: as it was read, else as it boils.

    Parameters
    ----------
    liquid, left : array
        Before it boils, and what is left. [g]
    settings : mapping
        ``heat_dose_min`` [min] as it was read; else ``gentle_c`` [°C], ``breakdown_kj_per_mol`` [kJ/mol] and what
        ``heated`` takes.
    ethanol_over : callable
        As ``to_boil_off_g``. [g]

    Notes
    -----
    How warm is that of the middle of the draws; how long is of each.
    """
    if DOSE in settings:
        return np.broadcast_to(np.asarray(settings[DOSE], dtype=np.float64), liquid.shape[1:])
    middle = np.median(liquid, axis=1, keepdims=True)
    over = only(liquid - left, *VOLATILE)
    over_g = float(np.median(whole_mass(over)))
    own = {name: np.median(np.asarray(value)) for name, value in settings.items()}
    begins_min = float(np.asarray(heated(middle, np.zeros_like(middle), own).watch_min)[0])
    warm_c = list(np.linspace(ROOM_C, boils_at_c(_strength(middle), settings), SLICES))
    minutes = list(np.linspace(0.0, begins_min, SLICES))
    for share in np.linspace(0.0, 1.0, SLICES + 1)[1:]:
        now = _left_of(middle, np.array([share * over_g]), ethanol_over)
        minutes.append(float(np.asarray(heated(middle, middle - now, own).watch_min)[0]))
        warm_c.append(boils_at_c(_strength(now), settings))
    energy = float(np.median(np.asarray(said_or(settings, BREAKDOWN, USUAL_BREAKDOWN))))
    gentle_c = float(np.median(np.asarray(said_or(settings, GENTLE_C, USUAL_GENTLE_C))))
    lasts_min = np.asarray(heated(liquid, over, settings).watch_min)
    middle_dose = heat_dose_min(minutes, warm_c, gentle_c, energy)
    return np.asarray(middle_dose / max(minutes[-1], 1e-30) * lasts_min)


def _strength(stream: Grams) -> float:
    return float(stream[ETHANOL][0] / max(float(stream[WATER][0] + stream[ETHANOL][0]), 1e-30))
