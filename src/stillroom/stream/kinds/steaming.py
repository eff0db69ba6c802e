"""Hydrodistillation and the parting of oil from hydrosol.

The oil is the marker and a stated share of what else the plant gives; it leaves the plant with time, and
never faster than the vapour can carry it. What the hydrosol keeps dissolved is no loss of mass but of oil.
"""

import numpy as np

from stillroom.errors import NotEnough, worded
from stillroom.science.extraction.steaming import oil_kept_by_water_g
from stillroom.science.extraction.uptake import share_not_yet_out
from stillroom.science.heat.distilling import heat_to_distil_j, latent_heat_j_g
from stillroom.stream.components import MARKER, OTHERS, WATER, Grams, whole_mass
from stillroom.stream.kind import ALTITUDE_M, BOILING, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.bed import dry_plant_g
from stillroom.stream.kinds.heating import J_PER_KWH, ROOM_C, boils_at_c
from stillroom.stream.kinds.infusing import refuse_spirit
from stillroom.stream.kinds.percolating import water_g_ml
from stillroom.substances.spirits import ethanol_water_heats
from stillroom.texts.catalogue import later

MOST_OVER_SHARE = 0.8


def _steamed(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    refuse_spirit(inlets[1], "Hydrodistillation")
    bed = inlets[0] + inlets[1]
    plant_kg = dry_plant_g(bed) / 1000.0
    over_ml = settings["distillate_ml_per_min_kg"] * plant_kg * settings["distil_min"]
    over_g = over_ml * water_g_ml()
    if not np.all(over_g <= MOST_OVER_SHARE * bed[WATER]):
        raise NotEnough(
            "A fifth of the water must stay in the still, or the plant burns on",
            worded(
                "{bed:.2f} of the water would go over",
                bed=float(np.max(over_g / np.maximum(bed[WATER], 1e-30))),
            ),
            "Take more water, or distil for a shorter time",
        )
    left = share_not_yet_out(
        np.asarray(settings["distil_min"]),
        np.asarray(settings["washed_share"]),
        np.asarray(settings["fast_min"]),
        np.asarray(settings["slow_min"]),
    )
    over = np.zeros_like(bed)
    over[MARKER] = bed[MARKER] * settings["marker_volatile_share"] * (1.0 - left)
    over[OTHERS] = bed[OTHERS] * settings["others_volatile_share"] * (1.0 - left)
    most_g = over_g * settings["oil_in_vapour_g_per_g"]
    over *= np.minimum(most_g / np.maximum(whole_mass(over), 1e-30), 1.0)
    over[WATER] = over_g
    gone = over * settings["past_condenser_share"]
    return StepOutput((over - gone, bed - over), {"vapour past the condenser": gone})


def _steaming(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    water_g, over_g = inlets[0][WATER] + inlets[1][WATER], outlets[0][WATER]
    boiling_c = boils_at_c(0.0, settings)
    heats = ethanol_water_heats(boiling_c)
    heat_j = heat_to_distil_j(water_g, 0.0, over_g, 0.0, ROOM_C, boiling_c, heats)
    return Work(
        watch_min=np.asarray(settings["distil_min"]),
        heat_kwh=np.asarray(heat_j) / np.asarray(settings["heat_reaching_share"]) / J_PER_KWH,
        cooling_j=over_g * float(latent_heat_j_g(0.0, heats)),
    )


def _parted(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (distillate,) = inlets
    both_g = distillate[MARKER] + distillate[OTHERS]
    water_ml = distillate[WATER] / water_g_ml()
    dissolved_g = np.asarray(
        oil_kept_by_water_g(both_g, water_ml, np.asarray(settings["dissolved_mg_per_l"]))
    )
    free_share = (both_g - dissolved_g) / np.maximum(both_g, 1e-30)
    oil = np.zeros_like(distillate)
    for row in (MARKER, OTHERS):
        oil[row] = distillate[row] * free_share
    oil[WATER] = np.minimum(whole_mass(oil) * settings["water_in_oil_share"], distillate[WATER])
    film = oil * np.minimum(settings["film_g"] / np.maximum(whole_mass(oil), 1e-30), 1.0)
    return StepOutput((oil - film, distillate - oil), {"oil on the glass": film})


CAUTIONS = (
    "closed-apparatus",
    "heat-without-cooling",
    "leaving-the-room",
    "bumping",
    "hot-liquid",
    "water-or-power-off",
)
HYDRODISTIL = StepKind(
    "hydrodistil",
    inlets=("plant", "water"),
    outlets=("distillate", "marc and water"),
    losses=("vapour past the condenser",),
    settings=(
        "distillate_ml_per_min_kg",
        "distil_min",
        "washed_share",
        "fast_min",
        "slow_min",
        "marker_volatile_share",
        "others_volatile_share",
        "oil_in_vapour_g_per_g",
        "past_condenser_share",
        "heat_reaching_share",
    ),
    weighed=("plant", "water", "distillate", "marc and water"),
    says="The plant boils in water, and steam carries the oil over into the receiver until no more gathers.",
    when_off=BOILING,
    works=_steamed,
    asks=_steaming,
    cautions=CAUTIONS,
    sources=("vogel-practical", "extraction-practice"),
    told=(ALTITUDE_M,),
    longer="distil_min",
    does="extracts",
    runs_in=("still", "heater"),
)
SEPARATE_OIL = StepKind(
    "separate oil",
    inlets=("distillate",),
    outlets=("oil", "hydrosol"),
    losses=("oil on the glass",),
    settings=("dissolved_mg_per_l", "water_in_oil_share", "film_g"),
    weighed=("oil", "hydrosol"),
    says="When the layers stand clear and cold the oil is drawn off, and the hydrosol keeps what is dissolved in it.",
    when_off=later("Leave the layers standing, covered. Close the tap."),
    works=_parted,
    cautions=("allergen", "water-contamination", "flammable-vapour"),
    sources=("extraction-practice",),
    does="cleans",
)
