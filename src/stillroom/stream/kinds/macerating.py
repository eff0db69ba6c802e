"""Cold maceration in one or more equal portions, and the pressing of the marc.

Everything dissolved is shared between liquid and plant; what is out of reach stays. The liquid in the marc is
reckoned as strong as the drained liquid, or a stated share of that after several portions. The plant's own
water counts as liquid.
"""

import numpy as np

from stillroom.errors import NotEnough
from stillroom.science.extraction.maceration import macerated_in_time
from stillroom.stream.components import ETHANOL, MARKER, OTHERS, SOLIDS, WATER, Array, Grams, only
from stillroom.stream.kind import Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.mixing import liquid_density_g_ml
from stillroom.texts.catalogue import later


def dry_plant_g(stream: Grams) -> Array:
    """Plant without its water: solids and everything soluble [g]."""
    return np.asarray(stream[SOLIDS] + stream[MARKER] + stream[OTHERS])


def liquid_ml(stream: Grams) -> Array:
    """Water and spirit in a stream, at 20 °C [mL]."""
    return np.asarray((stream[WATER] + stream[ETHANOL]) / liquid_density_g_ml(stream))


def within_reach(bed: Grams, share: Array, settings: Settings) -> Grams:
    """The given share of what the liquid can reach: marker, and what else dissolves [g]."""
    solutes = np.zeros_like(bed)
    solutes[MARKER] = bed[MARKER] * settings["marker_within_reach_share"] * share
    solutes[OTHERS] = bed[OTHERS] * settings["others_within_reach_share"] * share
    return solutes


def _macerated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    bed = inlets[0] + inlets[1]
    free, drug_g = only(bed, WATER, ETHANOL), dry_plant_g(bed)
    volume_ml = liquid_ml(free)
    came = macerated_in_time(
        drug_g,
        volume_ml,
        np.asarray(settings["retention_ml_per_g"]),
        np.asarray(settings["sorption_ml_per_g"]),
        int(np.max(settings["portions"])),
        np.asarray(settings["contact_min"]),
        np.asarray(settings["uptake_min"]),
        np.asarray(settings["washed_share"]),
    )
    kept = free * (drug_g * settings["retention_ml_per_g"] / volume_ml)
    drained = free - kept + within_reach(bed, came.drained_share, settings)
    gone = only(drained, ETHANOL, WATER) * settings["evaporated_share"]
    return StepOutput((drained - gone, bed - drained), {"evaporated while standing": gone})


def _standing(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    portions = np.asarray(settings["portions"])
    return Work(hands_min=15.0 * portions, free_min=portions * settings["contact_min"])


def _pressed(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    marc, drained = inlets
    held, drug_g = only(marc, WATER, ETHANOL), dry_plant_g(marc + drained)
    held_ml, drained_ml = liquid_ml(held), liquid_ml(drained)
    if not np.all(drained_ml > 0):
        raise NotEnough(
            "There must be drained liquid to calculate the marc's by", "none", "Drain the marc first"
        )
    share = np.maximum(1.0 - drug_g * settings["retention_ml_per_g"] / held_ml, 0.0)
    as_strong = settings["held_strength_share"] * share * held_ml / drained_ml
    pressed = held * share
    for row in (MARKER, OTHERS):
        pressed[row] = np.minimum(drained[row] * as_strong, marc[row])
    left = pressed * settings["left_in_press_share"]
    return StepOutput((drained + pressed - left, marc - pressed), {"left in the press": left})


def _pressing(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(hands_min=settings["press_min_per_kg"] * dry_plant_g(inlets[0]) / 1000.0)


MACERATE = StepKind(
    "macerate",
    inlets=("plant", "liquid"),
    outlets=("drained liquid", "wet marc"),
    losses=("evaporated while standing",),
    settings=(
        "retention_ml_per_g",
        "sorption_ml_per_g",
        "portions",
        "contact_min",
        "uptake_min",
        "washed_share",
        "marker_within_reach_share",
        "others_within_reach_share",
        "evaporated_share",
    ),
    weighed=("plant", "liquid", "drained liquid", "wet marc"),
    says="The plant stands covered in the liquid and is shaken now and then, until the liquid is drained off.",
    when_off=later(
        "It stands covered without power or water. Shake it by hand, and note the temperature if the room"
        " grows warmer."
    ),
    works=_macerated,
    asks=_standing,
    cautions=("dust", "flammable-vapour"),
    sources=("extraction-practice",),
    does="extracts",
)
PRESS = StepKind(
    "press",
    inlets=("wet marc", "drained liquid"),
    outlets=("pressed and drained liquid", "pressed marc"),
    losses=("left in the press",),
    settings=("retention_ml_per_g", "held_strength_share", "left_in_press_share", "press_min_per_kg"),
    weighed=("wet marc", "pressed and drained liquid", "pressed marc"),
    says="The marc is pressed, by hand or by a press, and what runs out joins the drained liquid.",
    when_off=later("Let the pressure go, cover marc and liquid, and press on by hand or later the same day."),
    works=_pressed,
    asks=_pressing,
    cautions=("flammable-vapour", "waste"),
    sources=("extraction-practice",),
    does="extracts",
)
