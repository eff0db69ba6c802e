"""The Soxhlet: condensate fills the thimble, siphons back, and fills it again.

Spirit of every strength is followed as it runs (``soxhlet_run``): a watery one washes the plant with the stronger
strength of its vapour, which is told before the run. Ethyl acetate, and spirit that boils over nearly unchanged where
the time of a siphoning is stated, are calculated by the closed form. The slow rest inside the plant leaves with time;
heat may break a marker down in the flask. What was done is never refused a record.
"""

from dataclasses import replace
from functools import cache

import numpy as np

from stillroom.errors import NotEnough, OutsideModel, worded
from stillroom.reference.tables import row
from stillroom.science.extraction.siphoning import condensate_ml_per_min, left_in_thimble_share, siphon_ratio
from stillroom.science.heat.distilling import latent_heat_j_g
from stillroom.stream.components import (
    ETHANOL,
    MARKER,
    OTHERS,
    SOLVENT,
    VOLATILE,
    WATER,
    Array,
    Grams,
    only,
    whole_mass,
)
from stillroom.stream.kind import (
    ALTITUDE_M,
    LOT_PARTICLE_MM,
    Runs,
    Settings,
    SiphoningsPlanned,
    StepKind,
    StepOutput,
    Work,
    said_or,
)
from stillroom.stream.kinds.bed import dry_plant_g, within_reach
from stillroom.stream.kinds.fits_the_glass import GLASS
from stillroom.stream.kinds.heating import J_PER_KWH
from stillroom.stream.kinds.mixing import liquid_density_g_ml
from stillroom.stream.kinds.shaking import ethyl_acetate_g_ml
from stillroom.stream.kinds.soxhlet_run import SPARE_SIPHONS, USUAL_LOST_W, Thimble, thimble_of
from stillroom.stream.kinds.soxhlet_shown import shown
from stillroom.substances.spirits import ethanol_water_heats
from stillroom.texts.catalogue import later

WEAKEST_MASS_FRACTION = 0.90
PUREST_SHARE = 0.97


@cache
def ethyl_acetate_latent_j_g() -> float:
    """Heat that boils a gram of ethyl acetate, from the table of liquids [J/g]."""
    return row("liquids", "ethyl acetate").number("latent_heat_kj_kg")


def _runs_as_spirit(solvent: Grams, settings: Settings) -> bool:
    """Whether the run is followed in time; else the liquid boils over nearly unchanged, in a stated time."""
    liquid_g = whole_mass(only(solvent, *VOLATILE))
    if not liquid_g.min() > 0:
        raise NotEnough("There must be solvent in the flask", "none", "Pour spirit or ethyl acetate")
    acetate, spirit_g = solvent[SOLVENT] / liquid_g, solvent[WATER] + solvent[ETHANOL]
    if acetate.min() >= PUREST_SHARE:
        return False
    if acetate.max() > 1.0 - PUREST_SHARE:
        raise OutsideModel(
            "A Soxhlet is calculated for one solvent at a time", "a mixture with ethyl acetate"
        )
    strongest = float(np.min(solvent[ETHANOL] / np.maximum(spirit_g, 1e-30))) >= WEAKEST_MASS_FRACTION
    paced = "cycle_min" in settings and "heater_w" not in settings
    return not (strongest and paced)


def _volume_ml(liquid: Grams) -> Array:
    spirit = only(liquid, WATER, ETHANOL)
    spirit_g = whole_mass(spirit)
    spirit[WATER] += np.where(spirit_g > 0, 0.0, 1.0)  # keeps the density defined where there is no spirit
    return np.asarray(spirit_g / liquid_density_g_ml(spirit) + liquid[SOLVENT] / ethyl_acetate_g_ml())


def _cycle_min(drug_g: Array, settings: Settings) -> Array:
    """Time of a siphoning, stated or from the heater, of ethyl acetate [min]."""
    if "cycle_min" in settings:
        return np.asarray(settings["cycle_min"])
    fresh_ml = np.asarray(said_or(settings, "charge_g", drug_g)) * (
        np.asarray(settings["siphon_ml_per_g"]) - settings["heel_ml_per_g"]
    )
    pace = condensate_ml_per_min(
        np.asarray(settings["heater_w"]),
        np.asarray(settings["heat_reaching_share"]),
        np.asarray(said_or(settings, "lost_w", USUAL_LOST_W)),
        ethyl_acetate_latent_j_g(),
        ethyl_acetate_g_ml(),
    )
    return np.asarray(fresh_ml / pace)


def _washed(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    plant, solvent = inlets
    if _runs_as_spirit(solvent, settings):
        return _followed(plant, solvent, settings)
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
    cycle_min = _cycle_min(drug_g, settings)
    left: Array = left_in_thimble_share(
        np.asarray(settings["cycles"]),
        np.asarray(ratio),
        cycle_min,
        np.asarray(settings["washed_share"]),
        np.asarray(settings["slow_min"]),
    )
    hours = settings["cycles"] * cycle_min / 60.0
    gone = free * np.minimum(settings["lost_g_per_kg_h"] * hours / 1000.0, 0.5)
    kept = (free - gone) * (kept_ml / volume_ml)
    return _given(bed, free, gone, kept, within_reach(bed, 1.0 - left, settings), settings)


def _followed(plant: Grams, solvent: Grams, settings: Settings) -> StepOutput:
    """What a run of spirit gives: one thimble, as often as there is plant."""
    one = thimble_of(plant, solvent, settings)
    course, bed = one.course, plant + solvent
    free = only(bed, *VOLATILE)
    gone, kept = np.zeros_like(bed), np.zeros_like(bed)
    drained = np.minimum(one.kept_ml / one.heel_ml, 1.0)
    for at, lost, held in (
        (ETHANOL, course.lost_ethanol_g, course.thimble_ethanol_g),
        (WATER, course.lost_water_g, course.thimble_water_g),
    ):
        gone[at] = one.last(lost) * one.parts
        kept[at] = one.last(held) * drained * one.parts
    solutes = within_reach(bed, np.ones(bed.shape[1]), settings)
    sorption_ml = one.plant_g * settings["sorption_ml_per_g"]
    for at, washing in ((MARKER, one.marker), (OTHERS, one.others)):
        after = one.last(washing.dissolved_share - washing.siphoned_share)
        runs_out = after * one.heel_ml * (1.0 - drained) / (one.heel_ml + sorption_ml)
        solutes[at] *= one.last(washing.out_share) + runs_out
    return _given(bed, free, gone, kept, solutes, settings)


def _given(
    bed: Grams, free: Grams, gone: Grams, kept: Grams, solutes: Grams, settings: Settings
) -> StepOutput:
    broken = only(solutes, MARKER) * settings["broken_down_share"]
    liquor = free - gone - kept + solutes - broken
    return StepOutput(
        (liquor, bed - liquor - gone - broken),
        {"vapour past the condenser": gone, "broken down by heat": broken},
    )


def _running(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    plant, solvent = inlets
    if _runs_as_spirit(solvent, settings):
        return _work_followed(thimble_of(plant, solvent, settings), settings)
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
        watch_min=np.asarray(settings["cycles"]) * _cycle_min(drug_g, settings),
        heat_kwh=heat_j / np.asarray(settings["heat_reaching_share"]) / J_PER_KWH,
        cooling_j=heat_j,
    )


def _work_followed(one: Thimble, settings: Settings) -> Work:
    times = np.ceil(np.round(one.parts, 6))
    return Work(
        watch_min=times * one.last(one.course.at_min),
        heat_kwh=one.parts * one.electric_j(settings) / J_PER_KWH,
        cooling_j=one.parts * one.whole(one.course.cooling_j),
    )


def _shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    plant, solvent = inlets
    if not _runs_as_spirit(solvent, settings):
        return Runs(siphonings=_siphonings_paced(plant, settings))
    one = thimble_of(plant, solvent, settings)
    reach_g = whole_mass(within_reach(plant + solvent, np.ones(plant.shape[1]), settings)) / one.parts
    siphonings = SiphoningsPlanned(
        np.cumsum(one.course.siphoning_min, axis=0),
        one.others.left_share,
        one.washed_share,
        one.slow_min,
        one.siphon_ml,
        one.heel_ml,
        one.sorption_ml,
        reach_g,
    )
    return replace(shown(one, settings), siphonings=siphonings)


def _siphonings_paced(plant: Grams, settings: Settings) -> SiphoningsPlanned:
    """The same by the closed form."""
    drug_g = dry_plant_g(plant)

    def of(name: str) -> Array:
        return np.broadcast_to(np.asarray(settings[name], dtype=np.float64), drug_g.shape)

    siphon_ml, heel_ml, sorption_ml = (
        drug_g * of(f"{name}_ml_per_g") for name in ("siphon", "heel", "sorption")
    )
    number = np.arange(1.0, float(np.max(settings["cycles"])) + 1.0)[:, None]
    pace, washed, slow = _cycle_min(drug_g, settings), of("washed_share"), of("slow_min")
    left = left_in_thimble_share(number, siphon_ratio(siphon_ml, heel_ml, sorption_ml), pace, washed, slow)
    reach_g = whole_mass(within_reach(plant, np.ones(len(drug_g)), settings))
    return SiphoningsPlanned(number * pace, left, washed, slow, siphon_ml, heel_ml, sorption_ml, reach_g)


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
    told=(ALTITUDE_M, LOT_PARTICLE_MM, *GLASS),
    longer="cycles",
    does="extracts",
    may=(
        "cycle_min",
        "heater_w",
        "lost_w",
        "charge_g",
        "packed_ml_per_g",
        "below_boiling_k",
        "slow_at_c",
        "activation_energy_kj_per_mol",
        "particle_mm",
        "stated_particle_mm",
        "size_exponent",
        "others_washed_share",
        "others_slow_min",
    ),
    shows=_shown,
    runs_in=("extractor", "heater"),
)
