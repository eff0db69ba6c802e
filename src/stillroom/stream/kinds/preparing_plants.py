"""Before the plant is extracted: fresh plant dried on racks, dry plant ground. What is lost is named.

Drying takes water alone, and of the marker what the weeks of it cost; grinding takes dust. How fine it became is what
the lot or the next step says.
"""

import numpy as np

from stillroom.science.extraction.plant_drying import dried_mass_g
from stillroom.stream.components import MARKER, WATER, Grams, only, whole_mass
from stillroom.stream.kind import RunFigure, Runs, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.bed import dry_plant_g
from stillroom.texts.catalogue import later, t

MOULD_FROM_SHARE = 0.13
"""A plant that holds more water than this moulds in its bag (from memory: 8 to 13 % is safe). [g/g]"""
SLOWEST_H = 72.0
"""A layer that is still limp after three days spoils (common practice, no source). [h]"""


def _left_water(plant: Grams, settings: Settings) -> Grams:
    """Water that stays, never more than there was."""
    drug_g, share = dry_plant_g(plant), np.asarray(settings["dried_water_share"])
    left = np.zeros_like(plant)
    left[WATER] = np.minimum(dried_mass_g(drug_g, 0.0, share) - drug_g, plant[WATER])
    return left


def _dried(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (plant,) = inlets
    gone = only(plant, WATER) - _left_water(plant, settings)
    spoilt = only(plant, MARKER) * settings["marker_lost_share"]
    return StepOutput((plant - gone - spoilt,), {"water into the air": gone, "lost in drying": spoilt})


def _drying(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(
        hands_min=settings["spread_min_per_kg"] * whole_mass(inlets[0]) / 1000.0,
        free_min=60.0 * np.asarray(settings["rack_h"]),
    )


def _drying_shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    (plant,) = inlets
    fresh_g, dried_g = whole_mass(plant), whole_mass(_dried(inlets, settings).outlets[0])
    says = [
        t(
            "Look into the middle of the layer after 12, 24 and 36 hours and turn it: damp heat, a musty smell or a "
            "grey down stops it, and what shows mould is thrown away, never picked over."
        ),
        t(
            "It is dry when stalks snap and two weighings a day apart agree to 1 %; weigh one marked rack. Mask "
            "against dust and spores."
        ),
    ]
    if float(np.max(settings["rack_h"])) > SLOWEST_H:
        says.append(
            t("So slow a drying invites mould: a thinner layer, more air, or gentle warmth below 40 °C.")
        )
    if float(np.median(settings["dried_water_share"])) > MOULD_FROM_SHARE:
        says.append(t("With so much water left it moulds in its bag: dry it further."))
    return Runs(
        (
            RunFigure(later("Fresh plant on the racks"), fresh_g, "g"),
            RunFigure(later("Dry plant from it"), dried_g, "g"),
            RunFigure(later("Fresh for one of dry"), fresh_g / np.maximum(dried_g, 1e-30), "g/g"),
        ),
        tuple(says),
    )


def _ground(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (plant,) = inlets
    dust = plant * settings["left_in_mill_share"]
    return StepOutput((plant - dust,), {"dust and what stays in the mill": dust})


def _grinding(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(hands_min=settings["grind_min_per_kg"] * whole_mass(inlets[0]) / 1000.0)


DRY_PLANT = StepKind(
    "dry plant",
    inlets=("fresh plant",),
    outlets=("dried plant",),
    losses=("water into the air", "lost in drying"),
    settings=("dried_water_share", "marker_lost_share", "rack_h", "spread_min_per_kg"),
    weighed=("fresh plant", "dried plant"),
    says="The fresh plant lies thinly on racks in the shade, with air moving, until two weighings agree.",
    when_off=later(
        "A fan that stands still is no danger by itself: turn the layer by hand and open the room. A dryer off at the "
        "plug; spread what is in it thinly before it sweats."
    ),
    works=_dried,
    asks=_drying,
    cautions=("dust", "mould"),
    sources=("extraction-practice",),
    does="",
    shows=_drying_shown,
)
GRIND = StepKind(
    "grind",
    inlets=("plant",),
    outlets=("ground plant",),
    losses=("dust and what stays in the mill",),
    settings=("left_in_mill_share", "grind_min_per_kg"),
    weighed=("plant", "ground plant"),
    says="The dry plant is cut or ground in short turns with a cold mill, sieved, and what stays is ground again.",
    when_off=later(
        "Mill off at the plug before a hand goes near it. What is ground keeps in a closed jar; grind the rest later."
    ),
    works=_ground,
    asks=_grinding,
    cautions=("dust",),
    sources=("extraction-practice", "international-pharmacopoeia-powders"),
    does="",
)
