"""Plant and liquid together, whatever the way: dry plant, liquid, what is within reach, what drains after they stood.

The plant's own water counts as liquid. Everything dissolved is shared between liquid and plant; what is out of reach
stays.
"""

import numpy as np

from stillroom.science.extraction.maceration import macerated_in_time
from stillroom.science.extraction.uptake import time_at_size_min, washed_share_at_size
from stillroom.stream.components import LIQUIDS, MARKER, OTHERS, SOLIDS, Array, Grams, only, whole_mass
from stillroom.stream.kind import LOT_PARTICLE_MM, Settings, said_or
from stillroom.stream.kinds.mixing import liquid_density_g_ml


def dry_plant_g(stream: Grams) -> Array:
    """Plant without its water: solids and everything soluble [g]."""
    return np.asarray(stream[SOLIDS] + stream[MARKER] + stream[OTHERS])


def liquid_ml(stream: Grams) -> Array:
    """Water, spirit, glycerol and oil in a stream, at 20 °C [mL]."""
    return np.asarray(whole_mass(only(stream, *LIQUIDS)) / liquid_density_g_ml(stream))


def within_reach(bed: Grams, share: Array, settings: Settings) -> Grams:
    """The given share of what the liquid can reach: marker, and what else dissolves [g]."""
    solutes = np.zeros_like(bed)
    solutes[MARKER] = bed[MARKER] * settings["marker_within_reach_share"] * share
    solutes[OTHERS] = bed[OTHERS] * settings["others_within_reach_share"] * share
    return solutes


def as_fine(washed_share: Array, slow_min: Array, settings: Settings) -> tuple[Array, Array]:
    """Washed share and slow time as fine as the plant is ground; as stated where nobody says how fine that is.

    Parameters
    ----------
    washed_share : array
        For the grind it is stated for. [1]
    slow_min : array
        The same. [min]
    settings : mapping
        With or without ``lot_particle_mm`` or else ``particle_mm``, and ``stated_particle_mm`` [mm].
    """
    grind = LOT_PARTICLE_MM if LOT_PARTICLE_MM in settings else "particle_mm"
    if grind not in settings or "stated_particle_mm" not in settings:
        return washed_share, slow_min
    here, there = np.asarray(settings[grind]), np.asarray(settings["stated_particle_mm"])
    power = np.asarray(said_or(settings, "size_exponent", 1.5))
    return (
        np.asarray(washed_share_at_size(washed_share, there, here)),
        np.asarray(time_at_size_min(slow_min, there, here, power)),
    )


def stood(
    bed: Grams, liquid: Grams, uptake_min: Array, portions: int, settings: Settings
) -> tuple[Grams, Grams]:
    """What plant and liquid are after they stood and were drained: liquid that drains off, and what is dissolved in it.

    Parameters
    ----------
    bed : array
        Plant and liquid together. [g]
    liquid : array
        What stands on it and drains, the plant's own water in. [g]
    uptake_min : array
        Time constant as warm as it stands. [min]
    portions : int
        Equal portions of fresh liquid. [1]
    settings : mapping
        ``retention_ml_per_g``, ``sorption_ml_per_g``, ``contact_min``, ``washed_share``, reach, and a grind if any.
    """
    drug_g, volume_ml = dry_plant_g(bed), liquid_ml(liquid)
    washed, uptake = as_fine(np.asarray(settings["washed_share"]), uptake_min, settings)
    came = macerated_in_time(
        drug_g,
        volume_ml,
        np.asarray(settings["retention_ml_per_g"]),
        np.asarray(settings["sorption_ml_per_g"]),
        portions,
        np.asarray(settings["contact_min"]),
        uptake,
        washed,
    )
    drains = liquid * (1.0 - drug_g * settings["retention_ml_per_g"] / volume_ml)
    return drains, within_reach(bed, came.drained_share, settings)


def portions_of(settings: Settings) -> int:
    """Portions of fresh liquid [1].

    Parameters
    ----------
    settings : mapping
        Of the step.
    """
    return int(np.max(settings["portions"]))
