"""From weighed ingredients to filled bottles: blend by the formula, fill by mass."""

import numpy as np

from stillroom.stream.components import ETHANOL, Grams, only, whole_mass
from stillroom.stream.kind import Settings, StepKind, StepOutput, Work
from stillroom.texts.catalogue import later


def _blended(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    together = np.asarray(np.sum(inlets, axis=0))
    gone = only(together, ETHANOL) * settings["evaporated_share"]
    bulk = together - gone
    film = bulk * np.minimum(settings["film_g"] / np.maximum(whole_mass(bulk), 1e-30), 1.0)
    return StepOutput((bulk - film,), {"spirit evaporated": gone, "film in the vessel": film})


def _filled(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    lost = inlets[0] * settings["filling_loss_share"]
    return StepOutput((inlets[0] - lost,), {"left in filter and filler": lost})


def _filling(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(hands_min=settings["fill_min_per_kg"] * whole_mass(outlets[0]) / 1000.0)


BLEND = StepKind(
    "blend",
    inlets=("ingredients",),
    outlets=("bulk",),
    losses=("spirit evaporated", "film in the vessel"),
    settings=("evaporated_share", "film_g"),
    weighed=("ingredients", "bulk"),
    says="Every line of the formula is weighed into one vessel; the active goes in last, dosed by its assay.",
    when_off=later(
        "Stirrer and warm bath off at the plug. A digital scale has lost its tare: go on from the lines "
        "that are written, and weigh the vessel again."
    ),
    works=_blended,
    any_number=True,
    cautions=("flammable-vapour", "restricted-active"),
    does="blends",
    reckons_stays=True,
)
FILL = StepKind(
    "fill",
    inlets=("bulk",),
    outlets=("filled",),
    losses=("left in filter and filler",),
    settings=("overfill_share", "filling_loss_share", "fill_min_per_kg"),
    weighed=("bulk", "filled"),
    says="Each bottle is filled on the scale to nominal content plus overfill, and the bulk accounted for.",
    when_off=later(
        "Close the bulk and every bottle that is filled. A digital scale has lost its tare; check the "
        "last bottle."
    ),
    works=_filled,
    asks=_filling,
    cautions=("flammable-vapour",),
    does="bottles",
    reckons_stays=True,
)
