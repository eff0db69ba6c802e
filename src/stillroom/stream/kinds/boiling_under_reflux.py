"""Boiling under reflux: plant and spirit together in a flask, all that boils runs back, so the strength stays.

The liquid comes to rest with the plant as in a maceration, as fast as the flask boils where the laboratory stands. What
passes the condenser is stronger than the flask (Rayleigh's balance); heat may break a marker down. What was done is
never refused a record; the glass at hand stands in a plan's way only.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from stillroom.errors import NotEnough
from stillroom.science.extraction.siphoning import condensate_ml_per_min
from stillroom.science.extraction.uptake import time_at_temperature_min
from stillroom.science.heat.condensers import least_flow_l_min
from stillroom.science.heat.distilling import heat_to_warm_j
from stillroom.stream.components import ETHANOL, MARKER, WATER, Array, Grams, only, whole_mass
from stillroom.stream.kind import (
    ALTITUDE_M,
    LOT_PARTICLE_MM,
    RunFigure,
    Runs,
    Settings,
    StepKind,
    StepOutput,
    Work,
    said_or,
)
from stillroom.stream.kinds.bed import dry_plant_g, liquid_ml, portions_of, stood, within_reach
from stillroom.stream.kinds.boiling import PAST_CONDENSER, ethanol_over_g, refuse_other_solvents
from stillroom.stream.kinds.fits_the_glass import (
    CONDENSER,
    FLASK,
    FULLEST_FLASK,
    HEATER,
    condenser_takes,
    flask_holds,
    heater_is_there,
    less_than_full,
)
from stillroom.stream.kinds.heating import J_PER_KWH, ROOM_C, boils_at_c, pressure_over
from stillroom.stream.kinds.own_water import own_water, water_figures, water_says
from stillroom.substances.spirits import ethanol_water_heats, spirit_vapour
from stillroom.texts.catalogue import later, t

DISPLACES_ML_PER_G = 0.7
"""Room of a gram of dry plant that is soaked through (from memory: cell wall about 1.5 g/mL). [mL/g]"""
USUAL_LOST_W = 10.0
MOST_LOST_SHARE = 0.5
COOLING_MIN = 40.0
"""Until a flask that boiled may be opened and strained (common practice, no source). [min]"""
STRAINING_MIN = 10.0
WATER_RISE_K = 5.0
HARD_TURNS_PER_H = 3.0
"""A flask whose liquid goes through the condenser more often an hour than this is heated for nothing (chosen). [1/h]"""


@dataclass(frozen=True, slots=True)
class Boil:
    """One filling of the flask with one portion, every figure for each draw.

    ``plant_g``, ``liquid_ml``, ``fills_ml``: dry plant in it, liquid of a portion, and what the flask then
    holds at most. [g, mL, mL]
    """

    parts: Array
    """How many fillings the plant makes. [1]"""
    portions: int
    """Times each is boiled with fresh liquid. [1]"""
    plant_g: Array
    liquid_ml: Array
    fills_ml: Array
    boils_c: float
    """[°C]"""
    net_w: Array
    """Heat that boils, after what the flask loses. [W]"""
    warm_min: Array
    """From heater on to boiling. [min]"""
    runs_back_ml_min: Array
    """Condensate. [mL/min]"""

    @property
    def boils(self) -> Array:
        """How often a flask is heated, all fillings and portions [1]."""
        return np.asarray(np.ceil(np.round(self.parts, 6)) * self.portions)

    def minutes(self, settings: Settings) -> Array:
        """Heater on, all fillings and portions [min].

        Parameters
        ----------
        settings : mapping
            Of the step.
        """
        return np.asarray(self.boils * (self.warm_min + np.asarray(settings["contact_min"])))


def boil_of(plant: Grams, liquid: Grams, settings: Settings) -> Boil:
    """How one filling of the flask boils.

    Parameters
    ----------
    plant, liquid : array
        Grams of components by draws. [g]
    settings : mapping
        Of the step.

    Raises
    ------
    NotEnough
        The heater cannot keep it boiling.
    """
    drug_g, all_of_it = dry_plant_g(plant), only(plant + liquid, WATER, ETHANOL)
    portions = portions_of(settings)
    per_g = liquid_ml(all_of_it) / portions / drug_g
    held = settings["retention_ml_per_g"] if portions > 1 else 0.0
    fills_per_g = per_g + held + DISPLACES_ML_PER_G
    in_one_g = np.asarray(said_or(settings, "charge_g", drug_g))
    if FLASK in settings:
        in_one_g = np.minimum(in_one_g, FULLEST_FLASK * np.asarray(settings[FLASK]) / fills_per_g)
    parts = drug_g / in_one_g
    strength = all_of_it[ETHANOL] / whole_mass(all_of_it)
    middle = float(np.median(strength))
    boils_c = boils_at_c(middle, settings)
    vapour = spirit_vapour(pressure_over(settings))
    _, ml_g, latent, _ = vapour.over(np.full_like(strength, middle))
    power_w, lost_w = np.asarray(settings["heater_w"]), np.asarray(said_or(settings, "lost_w", USUAL_LOST_W))
    reaching = np.asarray(settings["heat_reaching_share"])
    runs_back = np.asarray(condensate_ml_per_min(power_w, reaching, lost_w, latent, 1.0 / ml_g))
    warmed_g = whole_mass(plant + liquid) / parts / portions
    warm_j = np.asarray(heat_to_warm_j(warmed_g, strength, ROOM_C, boils_c, ethanol_water_heats(boils_c)))
    return Boil(
        parts,
        portions,
        in_one_g,
        per_g * in_one_g,
        fills_per_g * in_one_g,
        boils_c,
        power_w * reaching - lost_w,
        warm_j / (power_w * reaching - 0.5 * lost_w) / 60.0,
        runs_back,
    )


def _uptake_min(boils_c: float, settings: Settings) -> Array:
    return np.asarray(
        time_at_temperature_min(
            np.asarray(settings["uptake_at_80c_min"]),
            80.0,
            np.asarray(boils_c),
            np.asarray(settings["activation_energy_kj_per_mol"]),
        )
    )


def _lost(free: Grams, drug_g: Array, settings: Settings) -> Grams:
    """Vapour that passes the condenser: of every portion, and of what the marc brings back into it."""
    mass_g, again = whole_mass(free), portions_of(settings) - 1
    kept_share = drug_g * settings["retention_ml_per_g"] / liquid_ml(free)
    hours = np.asarray(settings["contact_min"]) / 60.0
    share = -np.expm1(-np.asarray(settings["lost_g_per_kg_h"]) / 1000.0 * hours)
    over_g = mass_g * np.minimum(share * (1.0 + again * kept_share), MOST_LOST_SHARE)
    gone = np.zeros_like(free)
    gone[ETHANOL] = ethanol_over_g(mass_g, free[ETHANOL] / mass_g, over_g, pressure_over(settings))
    gone[WATER] = over_g - gone[ETHANOL]
    return gone


def _boiled(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    plant, liquid = inlets
    refuse_other_solvents(plant + liquid)
    bed = plant + liquid
    poured = only(bed, WATER, ETHANOL)
    if not whole_mass(poured).min() > 0.0:
        raise NotEnough("There must be liquid in the flask", "none", "Pour spirit or water")
    gone = _lost(poured, dry_plant_g(bed), settings)
    free = poured - gone
    boils_c = boils_at_c(float(np.median(free[ETHANOL] / whole_mass(free))), settings)
    drains, solutes = stood(bed, free, _uptake_min(boils_c, settings), portions_of(settings), settings)
    broken = only(solutes, MARKER) * settings["broken_down_share"]
    liquor = drains + solutes - broken
    return StepOutput(
        (liquor, bed - liquor - gone - broken), {PAST_CONDENSER: gone, "broken down by heat": broken}
    )


def _heating(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    one = boil_of(inlets[0], inlets[1], settings)
    contact = np.asarray(settings["contact_min"])
    heated_min = one.parts * one.portions * (one.warm_min + contact)
    return Work(
        hands_min=STRAINING_MIN * (one.boils - 1.0),
        watch_min=one.minutes(settings),
        free_min=COOLING_MIN * one.boils,
        heat_kwh=np.asarray(settings["heater_w"]) * heated_min * 60.0 / J_PER_KWH,
        cooling_j=one.parts * one.portions * one.net_w * contact * 60.0,
    )


def _shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    plant, liquid = inlets
    one, water = boil_of(plant, liquid, settings), own_water(plant, liquid, portions_of(settings))
    done, filled = _boiled(inlets, settings), np.minimum(one.parts, 1.0)
    reach = within_reach(plant + liquid, np.ones(plant.shape[1]), settings)[MARKER]
    lost = done.losses[PAST_CONDENSER]
    out = (done.outlets[0][MARKER] + done.losses["broken down by heat"][MARKER]) / np.maximum(reach, 1e-30)
    work = _heating(inlets, done.outlets, settings)
    figures = (
        RunFigure(later("Fillings of the flask"), np.ceil(np.round(one.parts, 6)), ""),
        RunFigure(later("Dry plant in each"), one.plant_g * filled, "g"),
        RunFigure(later("Liquid in each, its own water in"), one.liquid_ml * filled, "mL"),
        RunFigure(later("The flask then holds"), one.fills_ml * filled, "mL"),
        *water_figures(water),
        RunFigure(later("It boils at"), np.asarray(one.boils_c), "°C"),
        RunFigure(later("Heater on until it boils"), one.warm_min, "min"),
        RunFigure(later("Condensate that runs back"), one.runs_back_ml_min, "mL/min"),
        RunFigure(
            later("Time constant at this boil"), np.asarray(_uptake_min(one.boils_c, settings)), "min"
        ),
        RunFigure(later("Drained off, of the marker within reach"), 100.0 * out, "%"),
        RunFigure(later("Ethanol lost past the condenser"), np.asarray(lost[ETHANOL]), "g"),
        RunFigure(later("Hours, all fillings"), one.minutes(settings) / 60.0, "h"),
        RunFigure(later("Electricity, all fillings"), np.asarray(work.heat_kwh), "kWh"),
        RunFigure(later("Heat the condenser takes"), one.net_w, "W"),
        RunFigure(
            later("Cooling water that leaves 5 K warmer"), np.asarray(least_flow_l_min(one.net_w, WATER_RISE_K)),
            "L/min",
        ),
    )  # fmt: skip
    cannot = (
        *heater_is_there(np.asarray(settings["heater_w"]), settings),
        *flask_holds(float(np.median(one.fills_ml * filled)), settings),
        *condenser_takes(one.net_w, settings),
    )
    says = (*_to_be_known(one, settings), *water_says(water))
    return Runs(figures, says, one.minutes(settings), cannot)


def _to_be_known(one: Boil, settings: Settings) -> Iterable[str]:
    yield t(
        "All that boils runs back: the plant is washed by the strength that was poured, not by that of its vapour."
    )
    yield from less_than_full(one.parts, one.plant_g)
    many = int(np.median(np.ceil(np.round(one.parts, 6))))
    if many > 1:
        yield t(
            "{many} fillings of {plant:.0f} g with {liquid:.0f} mL each.",
            many=many, plant=float(np.median(one.plant_g)), liquid=float(np.median(one.liquid_ml)),
        )  # fmt: skip
    if one.portions > 1:
        yield t("Each is boiled {times} times, with fresh liquid each time.", times=one.portions)
    turns = float(np.median(60.0 * one.runs_back_ml_min / one.liquid_ml))
    if turns > HARD_TURNS_PER_H:
        yield t(
            "The heater sends the whole flask through the condenser {turns:.0f} times an hour, and nothing comes out "
            "the faster for it. Once it boils, turn it down to a drop or two a second.",
            turns=turns,
        )  # fmt: skip
    rest_min = float(np.median(_uptake_min(one.boils_c, settings)))
    if float(np.median(np.asarray(settings["contact_min"]))) > 5.0 * rest_min:
        yield t("After {minutes:.0f} min hardly anything more comes at this boil.", minutes=5.0 * rest_min)


REFLUX = StepKind(
    "reflux",
    inlets=("plant", "liquid"),
    outlets=("extract liquor", "wet marc"),
    losses=(PAST_CONDENSER, "broken down by heat"),
    settings=(
        "retention_ml_per_g",
        "sorption_ml_per_g",
        "portions",
        "contact_min",
        "uptake_at_80c_min",
        "activation_energy_kj_per_mol",
        "washed_share",
        "marker_within_reach_share",
        "others_within_reach_share",
        "lost_g_per_kg_h",
        "broken_down_share",
        "heater_w",
        "heat_reaching_share",
    ),
    may=("lost_w", "charge_g", "particle_mm", "stated_particle_mm", "size_exponent"),
    weighed=("plant", "liquid", "extract liquor", "wet marc"),
    says="Plant and spirit boil together in a flask whose condenser lets everything run back, and are strained cold.",
    when_off=later(
        "Heater off at the plug and away from the flask. Leave it closed by nothing, let it go cold, and put fresh "
        "chips in before it boils again; the minutes so far count."
    ),
    works=_boiled,
    asks=_heating,
    cautions=(
        "closed-apparatus",
        "heat-without-cooling",
        "leaving-the-room",
        "bumping",
        "flammable-vapour",
        "hot-spirit",
        "dust",
        "water-or-power-off",
    ),
    sources=("extraction-practice", "jaganyi-price-1999", "ethanol-water-nrtl-vle-ig", "rayleigh-1902"),
    told=(ALTITUDE_M, LOT_PARTICLE_MM, FLASK, HEATER, CONDENSER),
    longer="contact_min",
    does="extracts",
    shows=_shown,
    runs_in=("flask", "heater"),
)
