"""Percolation: liquid drips through the packed plant; the marc keeps some, and water pushes most of that out.

Every solute within reach is washed alike (tanks in a row); what is out of reach stays in the marc. Says
nothing about time beyond the drip rate: reach and capacity are settings with a spread, to be replaced by the
laboratory's own.
"""

from functools import cache

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.reference.tables import row
from stillroom.science.extraction.percolation import percolated_fraction
from stillroom.stream.components import ETHANOL, MARKER, OTHERS, SOLIDS, WATER, Grams, only
from stillroom.stream.kind import Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.mixing import liquid_density_g_ml
from stillroom.texts.catalogue import later


@cache
def water_g_ml() -> float:
    """Density of water at 20 °C, from the table of liquids [g/mL]."""
    return row("liquids", "water").number("density_20c_g_ml")


def _percolated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    plant, liquid, pushing_water = inlets
    bed = plant + liquid
    drug_g = bed[SOLIDS] + bed[MARKER] + bed[OTHERS]
    free = only(bed, WATER, ETHANOL)
    volume_ml = (free[WATER] + free[ETHANOL]) / liquid_density_g_ml(free)
    kept_ml = drug_g * settings["retention_ml_per_g"]
    if not np.all(kept_ml < volume_ml):
        raise BadEntry(
            "The plant must get more liquid than it keeps",
            worded("it keeps {volume_ml:.2f} of the liquid", volume_ml=float(np.max(kept_ml / volume_ml))),
            "Pour more",
        )
    kept = free * (kept_ml / volume_ml)
    dripped = free - kept
    washed = percolated_fraction(
        volume_ml - kept_ml, drug_g, settings["washing_capacity_ml_per_g"], int(np.max(settings["tanks"]))
    )
    solutes = np.zeros_like(bed)
    solutes[MARKER] = bed[MARKER] * settings["marker_within_reach_share"] * washed
    solutes[OTHERS] = bed[OTHERS] * settings["others_within_reach_share"] * washed

    pushed = kept * settings["pushed_out_share"]
    takes_its_place_g = kept_ml * settings["pushed_out_share"] * water_g_ml()
    staying = np.minimum(takes_its_place_g / np.maximum(pushing_water[WATER], 1e-30), 1.0)
    percolate = dripped + solutes + pushed + pushing_water * (1.0 - staying)
    gone = only(percolate, ETHANOL) * settings["evaporated_share"]
    marc = bed + pushing_water - percolate
    return StepOutput((percolate - gone, marc), {"evaporated while dripping": gone})


def _dripping(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    plant = inlets[0]
    plant_kg = (plant[SOLIDS] + plant[MARKER] + plant[OTHERS]) / 1000.0
    volume_ml = (outlets[0][WATER] + outlets[0][ETHANOL]) / liquid_density_g_ml(outlets[0])
    return Work(free_min=volume_ml / (settings["drip_ml_per_min_kg"] * plant_kg))


PERCOLATE = StepKind(
    "percolate",
    inlets=("moist plant", "liquid", "pushing water"),
    outlets=("percolate", "marc"),
    losses=("evaporated while dripping",),
    settings=(
        "retention_ml_per_g",
        "washing_capacity_ml_per_g",
        "tanks",
        "marker_within_reach_share",
        "others_within_reach_share",
        "pushed_out_share",
        "evaporated_share",
        "drip_ml_per_min_kg",
    ),
    weighed=("percolate", "marc"),
    says="The liquid drips through the packed plant; water at the end pushes most of the kept spirit out.",
    when_off=later(
        "Close the tap before the liquid falls below the top of the bed, cover both vessels, and note the"
        " level. A bed that ran dry is packed again."
    ),
    works=_percolated,
    asks=_dripping,
    cautions=("flammable-vapour",),
    sources=("extraction-practice",),
    does="extracts",
)
