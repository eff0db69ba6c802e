"""Infusion: hot water on the plant, a few minutes, and off again.

First the hot liquid comes to rest with the plant, as far as the minutes let it; the warmer, the faster. A
marker that heat breaks down loses a stated share. Reckoned for water only: spirit is not heated in the open.
"""

import numpy as np

from stillroom.errors import BadEntry, OutsideModel, Phrase, worded
from stillroom.science.extraction.uptake import time_at_temperature_min
from stillroom.science.heat.distilling import heat_to_warm_j
from stillroom.stream.components import ETHANOL, MARKER, SOLVENT, WATER, Grams, only
from stillroom.stream.kind import ALTITUDE_M, Runs, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.bed import dry_plant_g, liquid_ml, stood
from stillroom.stream.kinds.heating import J_PER_KWH, ROOM_C, boils_at_c
from stillroom.stream.kinds.own_water import own_water, water_figures, water_says
from stillroom.substances.spirits import ethanol_water_heats
from stillroom.texts.catalogue import later

MEASURED_AT_C = 80.0
MOST_ETHANOL = 0.05
WITHIN_K = 0.1


def refuse_spirit(liquid: Grams, what: str) -> None:
    """Refuse to heat spirit in an open vessel.

    Raises
    ------
    OutsideModel
        More than a twentieth of the liquid is ethanol, or there is ethyl acetate.
    """
    liquid_g = np.maximum(liquid[WATER] + liquid[ETHANOL], 1e-30)
    share = float((liquid[ETHANOL] / liquid_g).max())
    if share > MOST_ETHANOL or liquid[SOLVENT].max() > 0:
        raise OutsideModel(
            worded("{what} is done with water only, since it stands open over heat", what=Phrase(what)),
            worded("a liquid with {share:.0f} % w/w of ethanol", share=100 * share)
            if share > 0
            else "ethyl acetate",
            "Recover the spirit in a still first, or macerate cold",
        )


def _refuse_above_boiling(settings: Settings) -> None:
    hottest_c, boils_c = float(np.median(np.asarray(settings["temperature_c"]))), boils_at_c(0.0, settings)
    if hottest_c > boils_c + WITHIN_K:
        raise OutsideModel(
            worded(
                "Water gets no hotter than it boils, {boils_c:.1f} °C where this laboratory stands",
                boils_c=boils_c,
            ),
            worded("an infusion at {hottest_c:.4g} °C", hottest_c=hottest_c),
            "Set a lower temperature and a longer time, or look at the altitude noted",
        )


def _infused(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    refuse_spirit(inlets[1], "An infusion")
    _refuse_above_boiling(settings)
    bed = inlets[0] + inlets[1]
    free, drug_g = only(bed, WATER, ETHANOL), dry_plant_g(bed)
    volume_ml = liquid_ml(free)
    uptake_min = time_at_temperature_min(
        np.asarray(settings["uptake_at_80c_min"]),
        MEASURED_AT_C,
        np.asarray(settings["temperature_c"]),
        np.asarray(settings["activation_energy_kj_per_mol"]),
    )
    steam = only(free, WATER, ETHANOL) * settings["steamed_off_share"]
    kept_share = drug_g * settings["retention_ml_per_g"] / volume_ml
    if not np.all(kept_share + settings["steamed_off_share"] < 1.0):
        raise BadEntry(
            "The plant must get more water than it keeps",
            worded("{kept_share:.2f} kept", kept_share=float(np.max(kept_share))),
        )
    _, solutes = stood(bed, free, np.asarray(uptake_min), 1, settings)
    broken = only(solutes, MARKER) * settings["broken_down_share"]
    infusion = free * (1.0 - kept_share) - steam + solutes - broken
    return StepOutput(
        (infusion, bed - infusion - steam - broken), {"steam off": steam, "broken down by heat": broken}
    )


def _heating_water(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    water_g = inlets[1][WATER] + inlets[1][ETHANOL]
    warm_c = np.maximum(np.asarray(settings["temperature_c"]), ROOM_C)
    heats = ethanol_water_heats(float(np.median(warm_c)))
    heat_j = np.asarray(heat_to_warm_j(water_g, 0.0, ROOM_C, warm_c, heats))
    return Work(
        watch_min=np.asarray(settings["contact_min"]),
        heat_kwh=heat_j / np.asarray(settings["heat_reaching_share"]) / J_PER_KWH,
    )


def _shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:  # noqa: ARG001
    water = own_water(inlets[0], inlets[1])
    return Runs(water_figures(water), tuple(water_says(water)))


INFUSE = StepKind(
    "infuse",
    inlets=("plant", "hot water"),
    outlets=("infusion", "wet marc"),
    losses=("steam off", "broken down by heat"),
    settings=(
        "retention_ml_per_g",
        "sorption_ml_per_g",
        "temperature_c",
        "contact_min",
        "uptake_at_80c_min",
        "activation_energy_kj_per_mol",
        "washed_share",
        "marker_within_reach_share",
        "others_within_reach_share",
        "steamed_off_share",
        "broken_down_share",
        "heat_reaching_share",
    ),
    weighed=("plant", "hot water", "infusion", "wet marc"),
    says="Hot water stands on the plant under a lid for the stated minutes and is strained off while hot.",
    when_off=later(
        "Hot plate off at the plug. Strain it while it is hot if the minutes are over; else begin again, "
        "for a lukewarm infusion spoils."
    ),
    works=_infused,
    asks=_heating_water,
    cautions=("hot-liquid", "dust", "water-contamination"),
    sources=("jaganyi-price-1999", "extraction-practice"),
    told=(ALTITUDE_M,),
    longer="contact_min",
    does="extracts",
    shows=_shown,
    runs_in=("heater",),
)
