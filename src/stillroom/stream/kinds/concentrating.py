"""Down to a wanted share of solids or to a mark: in a still that catches the spirit, or in the open when only water.

In the still spirit and water follow Rayleigh's balance, as ``boiling`` does, but the end is a weight of
liquid and not a strength. What is dissolved is taken not to change the boiling; in truth a thick extract boils
slower.
"""

import numpy as np

from stillroom.stream.components import ETHANOL, MARKER, VOLATILE, Array, Grams, only, whole_mass
from stillroom.stream.kind import ALTITUDE_M, BOILING, Runs, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.boiling import (
    CAUTIONS,
    PAST_CONDENSER,
    boiling_work,
    distilled_to_stop,
    stops_in_still,
)
from stillroom.stream.kinds.heating import heated
from stillroom.stream.kinds.infusing import refuse_spirit
from stillroom.stream.kinds.stopping import (
    BROKEN,
    HALF_MIN,
    STOPS,
    broken_by_dose,
    how_it_stops,
    to_boil_off_g,
)
from stillroom.texts.catalogue import later


def _in_proportion(liquid: Grams, over_g: Array) -> Array:
    """What steams off an open bath has the strength of what is in it."""
    return np.asarray(over_g * liquid[ETHANOL] / np.maximum(whole_mass(only(liquid, *VOLATILE)), 1e-30))


def _stops_in_the_open(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    return how_it_stops(inlets[0], lambda: _evaporated(inlets, settings).outlets[0], settings, _in_proportion)


def _evaporated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (liquid,) = inlets
    refuse_spirit(liquid, "Evaporating in the open")
    volatile = only(liquid, *VOLATILE)
    off = volatile * (
        to_boil_off_g(liquid, settings, _in_proportion) / np.maximum(whole_mass(volatile), 1e-30)
    )
    thick = liquid - off
    broken = (
        broken_by_dose(liquid, thick, settings, _in_proportion)
        if HALF_MIN in settings
        else only(liquid, MARKER) * settings["broken_down_share"]
    )
    return StepOutput((thick - broken,), {"steam off": off, BROKEN: broken})


def _in_the_open(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    work = heated(inlets[0], only(inlets[0] - outlets[0], *VOLATILE), settings)
    return Work(watch_min=work.watch_min, heat_kwh=work.heat_kwh)


CONCENTRATE = StepKind(
    "concentrate",
    inlets=("liquid",),
    outlets=("recovered spirit", "concentrate"),
    losses=(PAST_CONDENSER, BROKEN),
    settings=("soft_extract_solids_mass_fraction", "past_condenser_share", "heater_w", "heat_reaching_share"),
    weighed=("recovered spirit", "concentrate"),
    says="Gentle boiling in a still goes on until the wanted share of solids is reached, and the spirit is caught.",
    when_off=BOILING,
    works=distilled_to_stop,
    asks=boiling_work,
    cautions=CAUTIONS,
    sources=("ethanol-water-nrtl-vle-ig", "rayleigh-1902"),
    told=(ALTITUDE_M,),
    does="recovers",
    may=STOPS,
    shows=stops_in_still(distilled_to_stop),
    runs_in=("still", "heater"),
)
EVAPORATE = StepKind(
    "evaporate",
    inlets=("watery liquid",),
    outlets=("concentrate",),
    losses=("steam off", BROKEN),
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
