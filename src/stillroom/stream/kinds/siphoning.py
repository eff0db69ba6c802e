"""The Soxhlet: condensate fills the thimble, siphons back, and fills it again.

Reckoned for a pure or nearly constant-boiling solvent only. With a watery spirit flask and thimble run at
different strengths, and the plant is washed by that of the vapour: such a charge is refused. The slow rest
inside the plant leaves with time; heat may break a marker down in the flask.
"""

from functools import cache

import numpy as np

from stillroom.errors import NotEnough, OutsideModel, worded
from stillroom.reference.tables import row
from stillroom.science.extraction.siphoning import left_in_thimble_share, siphon_ratio
from stillroom.science.heat.distilling import latent_heat_j_g
from stillroom.science.liquids.boiling import (
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)
from stillroom.stream.components import (
    ETHANOL,
    MARKER,
    SOLVENT,
    VOLATILE,
    WATER,
    Array,
    Grams,
    only,
    whole_mass,
)
from stillroom.stream.kind import ALTITUDE_M, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.heating import J_PER_KWH, pressure_over
from stillroom.stream.kinds.macerating import dry_plant_g, within_reach
from stillroom.stream.kinds.mixing import liquid_density_g_ml
from stillroom.stream.kinds.shaking import ethyl_acetate_g_ml
from stillroom.substances.spirits import (
    ethanol_water_boiling,
    ethanol_water_heats,
    spirit_volume_fraction_20c,
)
from stillroom.texts.catalogue import later

WEAKEST_MASS_FRACTION = 0.90
PUREST_SHARE = 0.97
SPARE_SIPHONS = 1.5


@cache
def ethyl_acetate_latent_j_g() -> float:
    """Heat that boils a gram of ethyl acetate, from the table of liquids [J/g]."""
    return row("liquids", "ethyl acetate").number("latent_heat_kj_kg")


def _refuse_watery(solvent: Grams, pressure_pa: float) -> None:
    liquid_g = whole_mass(only(solvent, *VOLATILE))
    if not liquid_g.min() > 0:
        raise NotEnough("There must be solvent in the flask", "none", "Pour spirit or ethyl acetate")
    acetate, spirit_g = solvent[SOLVENT] / liquid_g, solvent[WATER] + solvent[ETHANOL]
    if acetate.min() >= PUREST_SHARE:
        return
    strength = float(np.min(solvent[ETHANOL] / np.maximum(spirit_g, 1e-30)))
    if acetate.max() > 1.0 - PUREST_SHARE:
        raise OutsideModel(
            "A Soxhlet is calculated for one solvent at a time", "a mixture with ethyl acetate"
        )
    if strength < WEAKEST_MASS_FRACTION:
        boiling = ethanol_water_boiling()
        moles: float = mole_fraction_from_mass_fraction(strength, boiling)
        vapour: float = mass_fraction_from_mole_fraction(
            vapour_mole_fraction(moles, pressure_pa, boiling), boiling
        )
        poured_percent = 100.0 * float(spirit_volume_fraction_20c(strength))
        vapour_percent = 100.0 * float(spirit_volume_fraction_20c(vapour))
        raise OutsideModel(
            "A Soxhlet needs a pure or nearly constant-boiling solvent, such as spirit of 96 % v/v",
            worded(
                "{poured_percent:.0f} % v/v, over which the vapour that washes the thimble has "
                "{vapour_percent:.0f} % v/v",
                poured_percent=poured_percent,
                vapour_percent=vapour_percent,
            ),
            "Pour 96 % v/v, or macerate or percolate with the weaker spirit",
        )


def _volume_ml(liquid: Grams) -> Array:
    spirit = only(liquid, WATER, ETHANOL)
    spirit_g = whole_mass(spirit)
    spirit[WATER] += np.where(spirit_g > 0, 0.0, 1.0)  # keeps the density defined where there is no spirit
    return np.asarray(spirit_g / liquid_density_g_ml(spirit) + liquid[SOLVENT] / ethyl_acetate_g_ml())


def _washed(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    plant, solvent = inlets
    _refuse_watery(solvent, pressure_over(settings))
    bed = plant + solvent
    free, drug_g = only(bed, *VOLATILE), dry_plant_g(bed)
    volume_ml = _volume_ml(free)
    siphon_ml, kept_ml = drug_g * settings["siphon_ml_per_g"], drug_g * settings["retention_ml_per_g"]
    needed_ml = SPARE_SIPHONS * siphon_ml + kept_ml
    if not np.all(volume_ml >= needed_ml):
        raise NotEnough(
            "The flask must hold one and a half siphonings and what the plant soaks up, or it runs dry",
            worded("{needed_ml:.2f} of that", needed_ml=float(np.min(volume_ml / needed_ml))),
            "Pour more, or take less plant",
        )
    ratio = siphon_ratio(
        siphon_ml, drug_g * settings["heel_ml_per_g"], drug_g * settings["sorption_ml_per_g"]
    )
    left: Array = left_in_thimble_share(
        np.asarray(settings["cycles"]),
        np.asarray(ratio),
        np.asarray(settings["cycle_min"]),
        np.asarray(settings["washed_share"]),
        np.asarray(settings["slow_min"]),
    )
    hours = settings["cycles"] * np.asarray(settings["cycle_min"]) / 60.0
    gone = free * np.minimum(settings["lost_g_per_kg_h"] * hours / 1000.0, 0.5)
    kept = (free - gone) * (kept_ml / volume_ml)
    solutes = within_reach(bed, 1.0 - left, settings)
    broken = only(solutes, MARKER) * settings["broken_down_share"]
    liquor = free - gone - kept + solutes - broken
    return StepOutput(
        (liquor, bed - liquor - gone - broken),
        {"vapour past the condenser": gone, "broken down by heat": broken},
    )


def _running(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    plant, solvent = inlets
    drug_g = dry_plant_g(plant)
    fresh_ml = drug_g * (np.asarray(settings["siphon_ml_per_g"]) - settings["heel_ml_per_g"])
    liquid = only(solvent, *VOLATILE)
    liquid_g, spirit_g = whole_mass(liquid), solvent[WATER] + solvent[ETHANOL]
    over_g = np.maximum(fresh_ml, 0.0) * settings["cycles"] * liquid_g / _volume_ml(liquid)
    spirit_j_g = np.asarray(
        latent_heat_j_g(solvent[ETHANOL] / np.maximum(spirit_g, 1e-30), ethanol_water_heats())
    )
    heat_j = over_g * (spirit_g * spirit_j_g + solvent[SOLVENT] * ethyl_acetate_latent_j_g()) / liquid_g
    return Work(
        watch_min=np.asarray(settings["cycles"]) * settings["cycle_min"],
        heat_kwh=heat_j / np.asarray(settings["heat_reaching_share"]) / J_PER_KWH,
        cooling_j=heat_j,
    )


SOXHLET = StepKind(
    "soxhlet",
    inlets=("plant", "solvent"),
    outlets=("extract liquor", "wet marc"),
    losses=("vapour past the condenser", "broken down by heat"),
    settings=(
        "siphon_ml_per_g",
        "heel_ml_per_g",
        "sorption_ml_per_g",
        "retention_ml_per_g",
        "cycles",
        "cycle_min",
        "washed_share",
        "slow_min",
        "marker_within_reach_share",
        "others_within_reach_share",
        "lost_g_per_kg_h",
        "broken_down_share",
        "heat_reaching_share",
    ),
    weighed=("plant", "solvent", "extract liquor", "wet marc"),
    says="Fresh condensate fills the thimble and siphons back into the flask, until two returns in a row are clear.",
    when_off=later(
        "Heater off at the plug. Let the last siphoning run back and leave the thimble in place; a boil "
        "without cooling lets the solvent out into the room."
    ),
    works=_washed,
    asks=_running,
    cautions=(
        "closed-apparatus",
        "heat-without-cooling",
        "leaving-the-room",
        "bumping",
        "flammable-vapour",
        "dust",
        "water-or-power-off",
    ),
    sources=("extraction-practice", "ethanol-water-nrtl-vle-ig"),
    told=(ALTITUDE_M,),
    does="extracts",
)
