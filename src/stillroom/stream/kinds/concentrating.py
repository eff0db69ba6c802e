"""Down to a wanted share of solids or to a mark: in a still that catches the spirit, or in the open when only water.

In the still spirit and water follow Rayleigh's balance, as ``boiling`` does, but the end is a weight of
liquid and not a strength. What is dissolved is taken not to change the boiling; in truth a thick extract boils
slower.
"""

import numpy as np

from stillroom.science.liquids.distilling import distil_to_mass, distil_to_share
from stillroom.stream.components import ETHANOL, MARKER, VOLATILE, WATER, Array, Grams, only, whole_mass
from stillroom.stream.kind import ALTITUDE_M, BOILING, Runs, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.boiling import CAUTIONS, PAST_CONDENSER, refuse_other_solvents
from stillroom.stream.kinds.heating import heated, pressure_over
from stillroom.stream.kinds.infusing import refuse_spirit
from stillroom.stream.kinds.stopping import STOPS, OverG, how_it_stops, to_boil_off_g
from stillroom.substances.spirits import spirit_still
from stillroom.texts.catalogue import later

LAST_ETHANOL_SHARE = 0.999
FIRST_CUT = 0.9
NO_ETHANOL = 1e-5
NEAR_AZEOTROPE = 0.9995
"""From this part of the azeotrope's strength on spirit distils unchanged. [1]"""


def ethanol_over_g(mass_g: Array, fraction: Array, over_g: Array, pressure_pa: float) -> Array:
    """Ethanol in a distillate of the given mass; past the last of it only water comes [g].

    Parameters
    ----------
    mass_g, over_g : array
        Water and ethanol, and how much of it goes over. [g]
    fraction : array
        Its ethanol by mass. [g/g]
    pressure_pa : float
        [Pa]
    """
    curve = spirit_still(pressure_pa)
    strongest = NEAR_AZEOTROPE * float(curve.azeotrope_mass_fraction)
    boils = np.clip(fraction, NO_ETHANOL, strongest)
    last = distil_to_share(mass_g, boils, LAST_ETHANOL_SHARE, curve)
    first_g = np.minimum(np.minimum(over_g, np.asarray(last.distillate_mass_g)), FIRST_CUT * mass_g)
    first = distil_to_mass(mass_g, boils, first_g, curve)
    left_g, left = np.asarray(first.residue_mass_g), np.asarray(first.residue_mass_fraction)
    more_g = np.minimum(np.minimum(over_g, np.asarray(last.distillate_mass_g)) - first_g, 0.99 * left_g)
    more = distil_to_mass(left_g, np.maximum(left, 2e-6), np.maximum(more_g, 0.0), curve)
    came_g = first_g * np.asarray(first.distillate_mass_fraction) + np.maximum(more_g, 0.0) * np.asarray(
        more.distillate_mass_fraction
    )
    came_g = np.where(fraction > strongest, over_g * fraction, came_g)
    return np.asarray(np.where(fraction > NO_ETHANOL, np.minimum(came_g, mass_g * fraction), 0.0))


def _over_of(settings: Settings) -> OverG:
    """Ethanol in a distillate of so many grams, at the pressure here."""
    pressure_pa = pressure_over(settings)

    def over(liquid: Grams, over_g: Array) -> Array:
        mass_g = liquid[WATER] + liquid[ETHANOL]
        return ethanol_over_g(mass_g, liquid[ETHANOL] / np.maximum(mass_g, 1e-30), over_g, pressure_pa)

    return over


def _in_proportion(liquid: Grams, over_g: Array) -> Array:
    """What steams off an open bath has the strength of what is in it."""
    return np.asarray(over_g * liquid[ETHANOL] / np.maximum(whole_mass(only(liquid, *VOLATILE)), 1e-30))


def _stops_in_still(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    return how_it_stops(
        inlets[0], lambda: _concentrated(inlets, settings).outlets[1], settings, _over_of(settings)
    )


def _stops_in_the_open(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    return how_it_stops(inlets[0], lambda: _evaporated(inlets, settings).outlets[0], settings, _in_proportion)


def _concentrated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (liquid,) = inlets
    refuse_other_solvents(liquid)
    over_of = _over_of(settings)
    over_g = to_boil_off_g(liquid, settings, over_of)
    vapour = np.zeros_like(liquid)
    vapour[ETHANOL] = over_of(liquid, over_g)
    vapour[WATER] = np.minimum(over_g - vapour[ETHANOL], liquid[WATER])
    vapour[ETHANOL] = np.minimum(over_g - vapour[WATER], liquid[ETHANOL])
    gone = vapour * settings["past_condenser_share"]
    return StepOutput((vapour - gone, liquid - vapour), {PAST_CONDENSER: gone})


def _evaporated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (liquid,) = inlets
    refuse_spirit(liquid, "Evaporating in the open")
    volatile = only(liquid, *VOLATILE)
    off = volatile * (
        to_boil_off_g(liquid, settings, _in_proportion) / np.maximum(whole_mass(volatile), 1e-30)
    )
    broken = only(liquid, MARKER) * settings["broken_down_share"]
    return StepOutput((liquid - off - broken,), {"steam off": off, "broken down by heat": broken})


def _boiling(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    return heated(inlets[0], outlets[0], settings)


def _in_the_open(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    work = heated(inlets[0], only(inlets[0] - outlets[0], *VOLATILE), settings)
    return Work(watch_min=work.watch_min, heat_kwh=work.heat_kwh)


CONCENTRATE = StepKind(
    "concentrate",
    inlets=("liquid",),
    outlets=("recovered spirit", "concentrate"),
    losses=(PAST_CONDENSER,),
    settings=("soft_extract_solids_mass_fraction", "past_condenser_share", "heater_w", "heat_reaching_share"),
    weighed=("recovered spirit", "concentrate"),
    says="Gentle boiling in a still goes on until the wanted share of solids is reached, and the spirit is caught.",
    when_off=BOILING,
    works=_concentrated,
    asks=_boiling,
    cautions=CAUTIONS,
    sources=("ethanol-water-nrtl-vle-ig", "rayleigh-1902"),
    told=(ALTITUDE_M,),
    does="recovers",
    may=STOPS,
    shows=_stops_in_still,
    runs_in=("still", "heater"),
)
EVAPORATE = StepKind(
    "evaporate",
    inlets=("watery liquid",),
    outlets=("concentrate",),
    losses=("steam off", "broken down by heat"),
    settings=("soft_extract_solids_mass_fraction", "broken_down_share", "heater_w", "heat_reaching_share"),
    weighed=("watery liquid", "concentrate"),
    says="On an open bath the water steams off, stirred and not boiled hard, until the wanted share of solids is left.",
    when_off=later("Bath off at the plug. Cover it once it is cool enough: a wet extract spoils when warm."),
    works=_evaporated,
    asks=_in_the_open,
    cautions=("hot-liquid",),
    sources=("extraction-practice",),
    told=(ALTITUDE_M,),
    does="dries",
    may=STOPS,
    shows=_stops_in_the_open,
    runs_in=("heater",),
)
