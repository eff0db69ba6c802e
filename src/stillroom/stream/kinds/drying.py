"""From the solvent layer to a dry extract: strip, dry, set a sample aside.

One loss is fixed in grams whatever the size of the charge: the film that stays in the glassware.
"""

import numpy as np

from stillroom.stream.components import SOLVENT, VOLATILE, WATER, Grams, only, whole_mass
from stillroom.stream.kind import STANDS, Settings, StepKind, StepOutput, Work
from stillroom.texts.catalogue import later


def _stripped(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (layer,) = inlets
    volatile = only(layer, *VOLATILE)
    solids_g = whole_mass(layer) - whole_mass(volatile)
    liquid_g = solids_g * (1.0 / np.asarray(settings["soft_extract_solids_mass_fraction"]) - 1.0)
    left = np.zeros_like(layer)
    left[SOLVENT] = np.minimum(liquid_g * settings["solvent_in_liquid_share"], layer[SOLVENT])
    left[WATER] = np.minimum(liquid_g - left[SOLVENT], layer[WATER])
    vapour = volatile - left
    gone = vapour * settings["past_condenser_share"]
    return StepOutput((layer - vapour, vapour - gone), {"solvent vapour": gone})


def _stripping(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(watch_min=settings["strip_min_per_kg"] * whole_mass(inlets[0]) / 1000.0)


def _dried(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (soft,) = inlets
    volatile = only(soft, *VOLATILE)
    solids_g = whole_mass(soft) - whole_mass(volatile)
    water = np.asarray(settings["water_mass_fraction"])
    solvent = np.asarray(settings["solvent_left_mg_per_kg"]) * 1e-6
    extract_g = solids_g / (1.0 - water - solvent)
    left = np.zeros_like(soft)
    left[WATER] = np.minimum(extract_g * water, soft[WATER])
    left[SOLVENT] = np.minimum(extract_g * solvent, soft[SOLVENT])
    extract = soft - volatile + left
    film = extract * np.minimum(settings["film_g"] / np.maximum(whole_mass(extract), 1e-30), 1.0)
    losses = {"dried off": volatile - left, "film in the glassware": film}
    return StepOutput((extract - film,), losses)


def _set_aside(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    (extract,) = inlets
    sample = extract * np.minimum(settings["sample_g"] / np.maximum(whole_mass(extract), 1e-30), 1.0)
    return StepOutput((extract - sample, sample))


STRIP = StepKind(
    "strip solvent",
    inlets=("solvent layer",),
    outlets=("soft extract", "solvent back"),
    losses=("solvent vapour",),
    settings=(
        "soft_extract_solids_mass_fraction",
        "solvent_in_liquid_share",
        "past_condenser_share",
        "strip_min_per_kg",
    ),
    weighed=("soft extract", "solvent back"),
    says="The solvent is boiled off gently and caught; what stays is a soft extract.",
    when_off=later(
        "Bath off at the plug and lowered. Let air in before it cools, or it sucks liquid back. No "
        "solvent vapour near a plug when the power returns."
    ),
    works=_stripped,
    asks=_stripping,
    cautions=(
        "closed-apparatus",
        "vacuum",
        "heat-without-cooling",
        "leaving-the-room",
        "bumping",
        "flammable-vapour",
        "water-or-power-off",
    ),
    does="strips",
    runs_in=("still", "heater"),
)
DRY = StepKind(
    "dry",
    inlets=("soft extract",),
    outlets=("extract",),
    losses=("dried off", "film in the glassware"),
    settings=("water_mass_fraction", "solvent_left_mg_per_kg", "film_g"),
    weighed=("extract",),
    says="The soft extract is dried until two weighings agree; a film stays in the dish.",
    when_off=later(
        "Oven off at the plug and its door ajar. Solvent-wet material comes out of a warm oven first, "
        "without a spark. Dry on from the last weighing, not from the clock."
    ),
    works=_dried,
    cautions=("oven",),
    does="dries",
    runs_in=("heater",),
)
SET_ASIDE = StepKind(
    "set aside",
    inlets=("extract",),
    outlets=("extract", "sample"),
    losses=(),
    settings=("sample_g",),
    weighed=("extract", "sample"),
    says="A sample for the assay is taken out; what was in a test tube never comes back.",
    when_off=STANDS,
    works=_set_aside,
    cautions=("assay-aliquots",),
    reckons_stays=True,
)
