"""One thimble of a Soxhlet as it runs: what the kind of step asks the dynamic model, and reads from it.

Everything is asked for one thimble of a stated mass of plant and then taken as often as there is plant, so that a plan
can be solved for its scale. What it found is kept as long as the same is asked again.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import BadEntry, NotEnough, OutsideModel, worded
from stillroom.science.extraction.soxhlet import SoxhletCourse, SoxhletSetUp, soxhlet_course
from stillroom.science.extraction.soxhlet_washing import SoxhletWashing, soxhlet_washing
from stillroom.science.extraction.uptake import time_at_temperature_min
from stillroom.stream.components import ETHANOL, WATER, Array, Grams, Number
from stillroom.stream.kind import Settings, said_or
from stillroom.stream.kinds.bed import as_fine, dry_plant_g, liquid_ml
from stillroom.stream.kinds.fits_the_glass import EXTRACTOR, THIMBLE
from stillroom.stream.kinds.heating import ROOM_C, pressure_over
from stillroom.substances.spirits import spirit_vapour

SPARE_SIPHONS = 1.5
MOST_SIPHONINGS = 200
LOST_OVER_K = 60.0
"""How much warmer than the room a flask is for which the heat lost before the condenser is stated. [K]"""
SAME_DIGITS = 11
"""Digits up to which two set-ups are one, so that a plan solved for its scale runs it once."""
USUAL_LOST_W, USUAL_BELOW_K = 10.0, 20.0
"""Taken where nobody says (parameter_ranges, common practice): heat lost, and the thimble below boiling. [W, K]"""
USUAL_ML_PER_G = 3.0
"""Room of a gram of dry plant, pressed lightly (from memory: bark and root 2 to 3, herb 3 to 7). [mL/g]"""
MOST_DRY_SHARE = 0.05
"""Draws that may run dry before the last siphoning; they end there, and what they gave is counted. [1]"""
MOST_KEPT_SHARE = 0.85
"""A draw of an assumed heel keeps no more of the crest than this: what siphons does empty. [1]"""


@dataclass(frozen=True)
class Thimble:
    """One filling of the thimble, every figure for each draw.

    ``plant_g``, ``own_ml``, ``poured_ml``, ``siphon_ml``, ``heel_ml``, ``kept_ml``: dry plant, its part of
    all the spirit, what stands in the flask for it, liquid at the crest, what stays at a siphoning, what the
    drained marc keeps.
    ``washed_share``, ``slow_min``, ``sorption_ml``: of what else dissolves, as fine and as warm as it is, the
    middle of the run; hold of the plant. [1, min, mL]
    """

    parts: Array
    """How many of them the plant fills. [1]"""
    plant_g: Array
    own_ml: Array
    poured_ml: Array
    siphon_ml: Array
    heel_ml: Array
    kept_ml: Array
    power_w: Array | None
    """Of the heater; None where the time of a siphoning is stated instead. [W]"""
    siphonings: NDArray[np.int64]
    """At which it ends. [1]"""
    course: SoxhletCourse
    marker: SoxhletWashing
    others: SoxhletWashing
    washed_share: Array
    slow_min: Array
    sorption_ml: Array

    def last(self, figures: Array) -> Array:
        """A figure of the last siphoning of each draw.

        Parameters
        ----------
        figures : array
            By siphoning and draw. [-]
        """
        rows = np.broadcast_to(figures, (len(figures), len(self.siphonings)))
        return np.asarray(np.take_along_axis(rows, self.siphonings[None, :] - 1, axis=0)[0])

    def whole(self, figures: Array) -> Array:
        """The sum of a figure up to the last siphoning of each draw.

        Parameters
        ----------
        figures : array
            By siphoning and draw. [-]
        """
        return self.last(np.cumsum(figures, axis=0))

    def electric_j(self, settings: Settings) -> Array:
        """Electric energy of it; where the time of a siphoning is stated, from the heat that takes [J].

        Parameters
        ----------
        settings : mapping
            Of the step.
        """
        share = 1.0 if self.power_w is not None else np.asarray(settings["heat_reaching_share"])
        warming = np.asarray(self.course.set_up.power_w) * 60.0 * self.course.warm_up_min
        return np.asarray((self.whole(self.course.electric_j) + warming) / share)


def thimble_of(plant: Grams, spirit: Grams, settings: Settings) -> Thimble:
    """Run one thimble of the plant with its part of the spirit.

    Parameters
    ----------
    plant, spirit : array
        Grams of components by draws. [g]
    settings : mapping
        Of the step.

    Raises
    ------
    BadEntry
        Neither the heater nor the time of a siphoning is stated.
    NotEnough
        The flask would run dry, or the heater cannot keep it boiling.
    OutsideModel
        More siphonings are asked for than are followed.
    """
    drug_g = dry_plant_g(plant)
    draws = len(drug_g)

    def of(name: str, instead: Number = 0.0) -> Array:
        return np.broadcast_to(np.asarray(said_or(settings, name, instead), dtype=np.float64), (draws,))

    plant_g = _in_one_g(drug_g, settings)
    parts = drug_g / plant_g
    kept_ml = plant_g * of("retention_ml_per_g")
    siphon_ml = of(EXTRACTOR) if EXTRACTOR in settings else plant_g * of("siphon_ml_per_g")
    heel_ml = np.minimum(plant_g * of("heel_ml_per_g"), MOST_KEPT_SHARE * siphon_ml)
    own_ml = liquid_ml(spirit) / parts
    needed_ml = SPARE_SIPHONS * siphon_ml + kept_ml
    again = "charge_g" in settings or EXTRACTOR in settings
    if np.any(own_ml < needed_ml) and not (again and np.all(own_ml > kept_ml)):
        raise NotEnough(
            "The flask must hold one and a half siphonings and what the plant soaks up, or it runs dry",
            worded("{needed_ml:.2f} of that", needed_ml=float(np.min(own_ml / needed_ml))),
            "Pour more, or take less plant",
        )
    poured_ml = np.maximum(own_ml, needed_ml)
    spirit_g = spirit[WATER] + spirit[ETHANOL]
    siphonings = np.maximum(np.rint(of("cycles")), 1.0).astype(np.int64)
    if siphonings.max() > MOST_SIPHONINGS:
        must = worded("A Soxhlet is followed for up to {most} siphonings", most=MOST_SIPHONINGS)
        raise OutsideModel(
            must, worded("{asked}", asked=int(siphonings.max())), "Grind finer, or take another way"
        )
    figures = {
        "poured_mass_g": spirit_g / parts * (poured_ml / own_ml),
        "poured_mass_fraction": spirit[ETHANOL] / spirit_g,
        "siphon_ml": siphon_ml,
        "heel_ml": heel_ml,
        "lost_g_per_kg_h": of("lost_g_per_kg_h"),
        "below_boiling_k": of("below_boiling_k", USUAL_BELOW_K),
        "plant_water_g": plant[WATER] / parts,
    }
    power_w: Array | None = None
    if "heater_w" in settings:
        power_w = of("heater_w")
        figures |= {
            "power_w": power_w,
            "efficiency": of("heat_reaching_share"),
            "loss_to_room": of("lost_w", USUAL_LOST_W) / LOST_OVER_K,
        }
    elif "cycle_min" in settings:
        figures |= {
            "power_w": _heat_for_w(figures, of("cycle_min"), pressure_over(settings)),
            "efficiency": np.ones(draws),
            "loss_to_room": np.zeros(draws),
        }
    else:
        raise BadEntry(
            "The pace of a Soxhlet follows from its heater, or from the time of a siphoning",
            "neither",
            "Set heater_w, or cycle_min as the stopwatch shows it",
        )
    course = _course(figures, int(siphonings.max()), pressure_over(settings))
    sorption_ml = plant_g * of("sorption_ml_per_g")
    marker = soxhlet_washing(course, *_let_go(course, settings, ""), sorption_ml)
    washed, slow = _let_go(course, settings, "others_")
    others = soxhlet_washing(course, washed, slow, sorption_ml)
    found = Thimble(
        parts,
        plant_g,
        own_ml,
        poured_ml,
        siphon_ml,
        heel_ml,
        kept_ml,
        power_w,
        siphonings,
        course,
        marker,
        others,
        np.broadcast_to(washed, (draws,)),
        np.broadcast_to(np.median(slow, axis=0) if slow.ndim > 1 else slow, (draws,)),
        sorption_ml,
    )
    if float(np.mean(found.last(course.siphoned))) < 1.0 - MOST_DRY_SHARE:
        raise NotEnough(
            "A Soxhlet must boil on and may not run dry before its last siphoning",
            worded(
                "{came} of {asked} siphonings in the worst case",
                came=int(course.siphoned.sum(axis=0).min()),
                asked=int(siphonings.max()),
            ),
            "Pour more, heat more, or take fewer siphonings",
        )
    return found


def _in_one_g(drug_g: Array, settings: Settings) -> Array:
    """Dry plant in one thimble: what is stated, what the thimble takes, or all of it."""
    stated = np.asarray(settings["charge_g"], dtype=np.float64) if "charge_g" in settings else None
    if THIMBLE in settings:
        room = np.asarray(said_or(settings, "packed_ml_per_g", USUAL_ML_PER_G))
        takes = np.asarray(settings[THIMBLE]) / room
        stated = takes if stated is None else np.minimum(stated, takes)
    return np.asarray(drug_g if stated is None else np.broadcast_to(stated, drug_g.shape))


def _heat_for_w(figures: dict[str, Array], cycle_min: Array, pressure_pa: float) -> Array:
    """Heat that fills the thimble from heel to crest in the stated time, over what was poured [W]."""
    _, ml_g, latent, _ = spirit_vapour(pressure_pa).over(figures["poured_mass_fraction"])
    caught = (figures["siphon_ml"] - figures["heel_ml"]) / cycle_min / ml_g
    lost = figures["lost_g_per_kg_h"] * figures["poured_mass_g"] / 60_000.0
    return np.asarray((caught + lost) * latent / 60.0)


def _course(figures: dict[str, Array], siphonings: int, pressure_pa: float) -> SoxhletCourse:
    names = tuple(figures)
    rows = np.array([np.asarray(one) for one in figures.values()])
    last = 10.0 ** (SAME_DIGITS - 1 - np.floor(np.log10(np.where(rows == 0.0, 1.0, np.abs(rows)))))
    rounded = np.rint(rows * last) / last
    return _kept_course(names, rounded.tobytes(), rounded.shape, siphonings, pressure_pa)


@lru_cache(maxsize=6)
def _kept_course(
    names: tuple[str, ...], figures: bytes, shape: tuple[int, ...], siphonings: int, pressure_pa: float
) -> SoxhletCourse:
    rows = np.frombuffer(figures).reshape(shape)
    set_up = SoxhletSetUp(**dict(zip(names, rows, strict=True)), room_c=ROOM_C)
    return soxhlet_course(set_up, siphonings, spirit_vapour(pressure_pa))


def _let_go(course: SoxhletCourse, settings: Settings, whose: str) -> tuple[Array, Array]:
    """Share washed out at once and time of the rest, as fine and as warm as it is; ``whose`` is "" for the marker."""
    washed = np.asarray(said_or(settings, f"{whose}washed_share", settings["washed_share"]))
    slow = np.asarray(said_or(settings, f"{whose}slow_min", settings["slow_min"]))
    washed, slow = as_fine(washed, slow, settings)
    if "slow_at_c" in settings:
        energy = np.asarray(said_or(settings, "activation_energy_kj_per_mol", 30.0))
        slow = np.asarray(
            time_at_temperature_min(slow, np.asarray(settings["slow_at_c"]), course.thimble_c, energy)
        )
    return washed, slow
