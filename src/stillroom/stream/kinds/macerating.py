"""Maceration in one or more equal portions, and the pressing of the marc.

The liquid in the marc is reckoned as strong as the drained liquid, or a stated share of that after several portions.
"""

import numpy as np

from stillroom.errors import NotEnough
from stillroom.stream.components import ETHANOL, LIQUIDS, MARKER, OTHERS, WATER, Grams, only, whole_mass
from stillroom.stream.kind import (
    LOT_PARTICLE_MM,
    BedPlanned,
    RunFigure,
    Runs,
    Settings,
    StepKind,
    StepOutput,
    Work,
)
from stillroom.stream.kinds.bed import as_fine, dry_plant_g, liquid_ml, portions_of, stood, within_reach
from stillroom.stream.kinds.mixing import liquid_density_g_ml
from stillroom.stream.kinds.own_water import own_water, stays_says, water_figures, water_says
from stillroom.texts.catalogue import later


def _macerated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    bed = inlets[0] + inlets[1]
    drains, solutes = stood(
        bed, only(bed, *LIQUIDS), np.asarray(settings["uptake_min"]), portions_of(settings), settings
    )
    drained = drains + solutes
    gone = only(drained, ETHANOL, WATER) * settings["evaporated_share"]
    return StepOutput((drained - gone, bed - drained), {"evaporated while standing": gone})


def _standing(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    portions = np.asarray(settings["portions"])
    return Work(hands_min=15.0 * portions, free_min=portions * settings["contact_min"])


def _shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    plant, liquid = inlets
    bed, portions = plant + liquid, portions_of(settings)
    water = own_water(plant, liquid, portions)
    free, uptake = only(bed, *LIQUIDS), np.asarray(settings["uptake_min"])
    reach_g = np.maximum(bed[MARKER] * settings["marker_within_reach_share"], 1e-30)
    kept_ml = dry_plant_g(bed) * settings["retention_ml_per_g"]
    shares = {
        many: 100.0 * stood(bed, free, uptake, many, settings)[1][MARKER] / reach_g
        for many in sorted({1, 2, 3, portions})
        if np.all(liquid_ml(free) / many > kept_ml)
    }
    labels = {1: later("Drained off in one portion, of the marker within reach"),
              2: later("In two portions of the same liquid"), 3: later("In three")}  # fmt: skip
    figures = (
        *water_figures(water),
        RunFigure(later("Liquid in each portion"), water.poured_ml, "mL"),
        RunFigure(later("Liquid the drained marc keeps"), kept_ml, "mL"),
        *(
            RunFigure(labels.get(many, later("In as many as stated")), share, "%")
            for many, share in shares.items()
        ),
    )
    return Runs(
        figures, (*water_says(water), *stays_says(plant, liquid)), 0.0, bed=_bed(plant, liquid, settings)
    )


def _bed(plant: Grams, liquid: Grams, settings: Settings) -> BedPlanned:
    bed, drug_g = plant + liquid, dry_plant_g(plant)
    poured = only(liquid, *LIQUIDS) / portions_of(settings)
    stands = poured + only(plant, WATER)
    washed, slow = as_fine(np.asarray(settings["washed_share"]), np.asarray(settings["uptake_min"]), settings)
    return BedPlanned(
        drug_g,
        liquid_ml(stands) + settings["sorption_ml_per_g"] * drug_g,
        whole_mass(within_reach(bed, np.ones_like(drug_g), settings)),
        1000.0 * np.asarray(liquid_density_g_ml(stands) - liquid_density_g_ml(poured)),
        washed,
        slow,
    )


def _pressed(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    marc, drained = inlets
    held, drug_g = only(marc, *LIQUIDS), dry_plant_g(marc + drained)
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


def _pressing_shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    marc, drained = inlets
    done = _pressed(inlets, settings).outlets[0]
    more_ml = liquid_ml(done) - liquid_ml(drained)
    gained = 100.0 * (done[MARKER] - drained[MARKER]) / np.maximum(drained[MARKER], 1e-30)
    return Runs((
        RunFigure(later("Liquid in the wet marc"), liquid_ml(marc), "mL"),
        RunFigure(later("Pressing brings"), more_ml, "mL"),
        RunFigure(later("That is, of the marker drained off before"), gained, "%"),
        RunFigure(
            later("Liquid the pressed marc keeps"),
            dry_plant_g(marc + drained) * settings["retention_ml_per_g"], "mL",
        ),
    ))  # fmt: skip


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
    shows=_shown,
    may=("particle_mm", "stated_particle_mm", "size_exponent"),
    told=(LOT_PARTICLE_MM,),
    cautions=("dust", "flammable-vapour"),
    sources=("extraction-practice",),
    longer="contact_min",
    does="extracts",
    bed="stands",
    reckons_stays=True,
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
    shows=_pressing_shown,
    cautions=("flammable-vapour", "waste"),
    sources=("extraction-practice",),
    does="extracts",
    reckons_stays=True,
)
