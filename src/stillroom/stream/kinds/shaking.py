"""Shaking out with ethyl acetate: only the uncharged base goes over.

Phases dissolve in one another at the start and keep their volume from then on; an interface that will not
part is a named loss. The shared water and ethyl acetate are taken at their mutual solubility near 20 °C.
"""

from functools import cache

import numpy as np

from stillroom.errors import NotEnough, worded
from stillroom.reference.tables import row
from stillroom.science.extraction.partition import distribution_ratio_of_base, share_left
from stillroom.stream.components import ETHANOL, MARKER, OTHERS, SOLVENT, WATER, Grams
from stillroom.stream.kind import Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.mixing import liquid_density_g_ml
from stillroom.texts.catalogue import later


@cache
def ethyl_acetate_g_ml() -> float:
    """Density of ethyl acetate at 20 °C, from the table of solvents [g/mL]."""
    return row("solvents", "ethyl acetate").number("density_20c_g_ml")


def _shaken(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    water_layer, solvent = inlets
    dissolved_g = water_layer[WATER] * settings["solvent_in_water_g_per_g"]
    if not np.all(dissolved_g < solvent[SOLVENT]):
        raise NotEnough(
            "There must be more solvent than the water dissolves",
            worded("{dissolved_g:.2f} of that", dissolved_g=float(np.min(solvent[SOLVENT] / dissolved_g))),
            "Take more solvent",
        )
    water_ml = (water_layer[WATER] + water_layer[ETHANOL]) / liquid_density_g_ml(water_layer)
    shakes = int(np.max(settings["shakes"]))
    per_shake_ml = solvent[SOLVENT] / ethyl_acetate_g_ml() / shakes
    # Only the distance of pH and pKa counts, and here both may differ from draw to draw.
    ph_at_pka_7 = 7.0 + settings["ph"] - settings["pka"]
    ratio = distribution_ratio_of_base(settings["partition_ratio"], 7.0, ph_at_pka_7)
    marker_left = share_left(ratio, water_ml, per_shake_ml, shakes)
    others_left = share_left(settings["others_distribution_ratio"], water_ml, per_shake_ml, shakes)

    layer = np.zeros_like(water_layer)
    layer[SOLVENT] = solvent[SOLVENT] - dissolved_g
    layer[WATER] = np.minimum(layer[SOLVENT] * settings["water_in_solvent_g_per_g"], water_layer[WATER])
    layer[MARKER] = water_layer[MARKER] * (1.0 - marker_left)
    layer[OTHERS] = water_layer[OTHERS] * (1.0 - others_left)
    interface = layer * settings["interface_share"]
    spent = water_layer + solvent - layer
    return StepOutput((layer - interface, spent), {"left at the interface": interface})


def _shaking(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(hands_min=10.0 * settings["shakes"], free_min=15.0 * settings["shakes"])


PARTITION = StepKind(
    "partition",
    inlets=("basic liquor", "ethyl acetate"),
    outlets=("solvent layer", "spent water"),
    losses=("left at the interface",),
    settings=(
        "partition_ratio",
        "pka",
        "ph",
        "shakes",
        "others_distribution_ratio",
        "solvent_in_water_g_per_g",
        "water_in_solvent_g_per_g",
        "interface_share",
    ),
    weighed=("ethyl acetate", "solvent layer"),
    says="Shaken in equal portions with ethyl acetate; every layer is kept until a drop shows it is empty.",
    when_off=later(
        "Let the pressure out, set the funnel in its ring with the tap closed and the stopper off."
    ),
    works=_shaken,
    asks=_shaking,
    cautions=("pressure-in-funnel", "ammonia-and-solvent", "flammable-vapour", "waste"),
    sources=("extraction-practice", "crc-102"),
    does="cleans",
    reagent="clean-up solvent",
)
