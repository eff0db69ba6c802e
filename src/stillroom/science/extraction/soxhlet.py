"""The Soxhlet as it runs: flask, vapour, condenser, thimble that fills to the crest, siphoning, hold-up.

Flask and thimble are balanced in grams of ethanol and water, the filling in millilitres at 20 °C, the pace by the heat
that is left for boiling. The vapour is stronger than the flask, so the flask weakens while the thimble fills and jumps
back at each siphoning. What is dissolved is left out of the boiling; what the plant gives is ``soxhlet_washing``.
Never refuses a run that could be begun: a flask that would run dry or not boil simply siphons no more.
No published table of a Soxhlet's yield over time was found; the model is checked by its parts.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from stillroom.errors import NotEnough
from stillroom.science.arrays import Floats, array, refuse_negative, refuse_not_positive, refuse_outside
from stillroom.science.extraction.soxhlet_vapour import VapourOver

STEPS = 4
"""Runge-Kutta steps for one filling of the thimble (chosen; twice as many move the strengths by less than 1e-7)."""
WATERY, STEEPEST, MOST_STEPS = 0.2, 20.0, 400
"""Strength by mass below which the vapour is some 10 times as strong as the liquid; steps for each flaskful gone."""
DRY_SHARE = 0.02
"""A flask left with less than this share of what was poured is called dry (chosen). [1]"""
MOST_LOST_SHARE = 0.5
"""No more of the vapour than this is ever lost to the room (chosen; beyond it nobody would go on). [1]"""
S_PER_MIN, MIN_PER_H = 60.0, 60.0
FLASK_E, FLASK_W, THIMBLE_E, THIMBLE_W, LOST_E, LOST_W, MINUTES, COOLING, WARMTH = range(9)


@dataclass(frozen=True, slots=True)
class SoxhletSetUp:
    """What stands on the bench before heat; floats, or one of each for every draw."""

    poured_mass_g: float | Floats
    """Spirit in the flask. [g]"""
    poured_mass_fraction: float | Floats
    """Its strength by mass. [1]"""
    siphon_ml: float | Floats
    """Liquid in the extractor, bed included, when it siphons. [mL]"""
    heel_ml: float | Floats
    """Liquid that stays in bed and crest. [mL]"""
    power_w: float | Floats
    """Electric power of the heater; with two axes one row for each siphoning. [W]"""
    efficiency: float | Floats = 0.55
    """Share of it that reaches the liquid. [1]"""
    loss_to_room: float | Floats = 0.17
    """Heat lost before the condenser for each kelvin above the room. [W/K]"""
    room_c: float | Floats = 20.0
    """Air around the glass, and liquid at the start. [°C]"""
    lost_g_per_kg_h: float | Floats = 15.0
    """Vapour past condenser and joints in an hour of boiling, of a kilogram poured. [g/(kg·h)]"""
    below_boiling_k: float | Floats = 20.0
    """How much colder the thimble is than the flask boils. [K]"""
    plant_water_g: float | Floats = 0.0
    """Water the plant brings into the thimble. [g]"""


@dataclass(frozen=True, slots=True)
class SoxhletCourse:
    """A run, siphoning by siphoning: the first axis counts them, a second one the draws where there are any.

    ``flask_before_mass_fraction``, ``flask_after_mass_fraction``: strength in the flask just before and just
    after it siphons, by mass. [1]
    ``flask_ethanol_g``, ``flask_water_g``, ``thimble_ethanol_g``, ``thimble_water_g``: what is where after
    the siphoning. [g]
    ``lost_ethanol_g``, ``lost_water_g``: lost to the room since the start. [g]
    """

    set_up: SoxhletSetUp
    """What it was worked for. [-]"""
    siphoned: np.ndarray
    """Whether this siphoning came. [-]"""
    warm_up_min: float | Floats
    """From heater on to the first drop. [min]"""
    siphoning_min: Floats
    """From the one before, or from the first drop, to this one; with the time to boil again. [min]"""
    reheat_min: Floats
    """Of that, until it boiled again after the siphoning before. [min]"""
    flask_before_mass_fraction: Floats
    flask_after_mass_fraction: Floats
    thimble_mass_fraction: Floats
    """Strength of what stands in the thimble when it siphons, by mass. [1]"""
    drops_mass_fraction: Floats
    """Strength of the drops that fall just then, by mass. [1]"""
    boiling_c: Floats
    """Boiling point just before it siphons, the highest of this filling. [°C]"""
    thimble_c: Floats
    """Mean temperature in the thimble. [°C]"""
    flask_ml: Floats
    """Liquid in the flask just before it siphons, the least of this filling, at 20 °C. [mL]"""
    siphoned_g: Floats
    """Liquid that ran back. [g]"""
    electric_j: Floats
    """Electric energy. [J]"""
    cooling_j: Floats
    """Heat the condenser takes up. [J]"""
    flask_ethanol_g: Floats
    flask_water_g: Floats
    thimble_ethanol_g: Floats
    thimble_water_g: Floats
    lost_ethanol_g: Floats
    lost_water_g: Floats

    @property
    def at_min(self) -> Floats:
        """Minutes from heater on to each siphoning [min]."""
        return np.asarray(self.warm_up_min + np.cumsum(self.siphoning_min, axis=0))

    @property
    def cooling_w(self) -> Floats:
        """Heat the condenser takes up while the thimble fills [W]."""
        filling = np.maximum(self.siphoning_min - self.reheat_min, 1e-12)
        return np.asarray(self.cooling_j / (S_PER_MIN * filling))


def soxhlet_course(set_up: SoxhletSetUp, siphonings: int, vapour: VapourOver) -> SoxhletCourse:
    """Run a Soxhlet through a number of siphonings, all draws at once.

    Parameters
    ----------
    set_up : SoxhletSetUp
        Liquids, glass and heater [-].
    siphonings : int
        How many are waited for [1].
    vapour : VapourOver
        Vapour over spirit at this air pressure [-].

    Returns
    -------
    SoxhletCourse
        Strengths, temperatures, minutes, heat and losses of each siphoning [record].

    Raises
    ------
    BadEntry
        When an amount is out of range.
    NotEnough
        When the heel is all that fits.
    OutsideModel
        When a strength is not between 0 and 1.

    Notes
    -----
    Vapour in g/s is (power x efficiency - loss x (boiling - room)) / latent heat; what is not lost condenses and fills
    the thimble with its volume at 20 °C, no colder than the room. Volumes of condensates of one run are added: they are
    alike within 1 % v/v.
    At the crest siphon - heel runs back at once, as strong as what stands there, and the flask warms what came back
    before it boils again. Integrated over the volume that drips, so that the crest is met exactly.

    Examples
    --------
    >>> from stillroom.science.extraction.soxhlet_vapour import vapour_over
    >>> from stillroom.substances.spirits import ethanol_water_boiling, ethanol_water_heats, oiml_r22
    >>> spirit = vapour_over(101325.0, oiml_r22(), ethanol_water_boiling(), ethanol_water_heats())
    >>> course = soxhlet_course(SoxhletSetUp(266.0, 0.624, 100.0, 30.0, 150.0), 12, spirit)
    >>> course.siphoning_min.shape, bool(course.thimble_mass_fraction[-1] > 0.76)
    ((12,), True)

    References
    ----------
    extraction-practice, ethanol-water-nrtl-vle-ig, oiml-r22-1975
    """
    return _Running(set_up, siphonings, vapour).course()


class _Running:
    """A Soxhlet under way: one column of the state for each draw."""

    def __init__(self, set_up: SoxhletSetUp, siphonings: int, vapour: VapourOver) -> None:
        given = {name: array(getattr(set_up, name)) for name in SoxhletSetUp.__dataclass_fields__}
        _refuse(given)
        power = given.pop("power_w")
        shapes = [one.shape for one in given.values()]
        self.shape = np.broadcast_shapes(*shapes, power.shape[-1:])
        self.draws = int(np.prod(self.shape)) if self.shape else 1
        wide = {name: np.broadcast_to(one, self.shape).reshape(-1) for name, one in given.items()}
        by_siphoning = power if power.ndim > 1 else np.broadcast_to(power, (1, *self.shape)).reshape(1, -1)
        self.power_w = np.broadcast_to(by_siphoning, (siphonings, self.draws))
        self.set_up, self.siphonings, self.vapour, self.wide = set_up, siphonings, vapour, wide
        poured, strength, water = (
            wide[name] for name in ("poured_mass_g", "poured_mass_fraction", "plant_water_g")
        )
        self.lost_g_min = wide["lost_g_per_kg_h"] * poured / 1000.0 / MIN_PER_H
        self.state = np.zeros((9, self.draws))
        self.state[FLASK_E], self.state[FLASK_W] = poured * strength, poured * (1.0 - strength)
        self.state[THIMBLE_W] = water
        self.filled_ml = water * vapour.figures[0, 4]
        self.alive = np.ones(self.draws, dtype=bool)

    def course(self) -> SoxhletCourse:
        warm_up_min = self._warm_up_min()
        waiting_min = np.zeros(self.draws)
        kept: dict[str, list[Floats]] = {}
        for at in range(self.siphonings):
            row, waiting_min = self._siphoning(at, waiting_min)
            for name, figures in row.items():
                kept.setdefault(name, []).append(figures)
        shape = (self.siphonings, *self.shape)
        stacked = {name: np.array(rows).reshape(shape) for name, rows in kept.items()}
        first_min = warm_up_min.reshape(self.shape)
        return SoxhletCourse(
            set_up=self.set_up,
            warm_up_min=first_min if self.shape else float(warm_up_min[0]),
            **stacked,
        )

    def _siphoning(self, at: int, reheat_min: Floats) -> tuple[dict[str, Floats], Floats]:
        wide, power_w = self.wide, self.power_w[at]
        self.state[[MINUTES, COOLING, WARMTH]] = 0.0
        before_ml = self.filled_ml
        to_fill_ml = np.maximum(wide["siphon_ml"] - before_ml, 0.0)
        self.alive = self.alive & self._comes(to_fill_ml, power_w)
        self._fill(np.where(self.alive, to_fill_ml, 0.0), power_w)
        state = self.state
        strength = _share(state[FLASK_E], state[FLASK_W])
        drops, _, _, boiling_c = self.vapour.over(strength)
        thimble = _share(state[THIMBLE_E], state[THIMBLE_W])
        flask_g = state[FLASK_E] + state[FLASK_W]
        thimble_c = boiling_c - self._below_k(boiling_c)
        filling_min = state[MINUTES].copy()
        mean_c = np.where(self.alive, state[WARMTH] / np.maximum(filling_min, 1e-12), thimble_c)
        runs_back = np.where(self.alive, 1.0 - wide["heel_ml"] / wide["siphon_ml"], 0.0)
        siphoned_g = runs_back * (state[THIMBLE_E] + state[THIMBLE_W])
        for flask, held in ((FLASK_E, THIMBLE_E), (FLASK_W, THIMBLE_W)):
            state[flask] += runs_back * state[held]
            state[held] *= 1.0 - runs_back
        self.filled_ml = np.where(self.alive, wide["heel_ml"], before_ml)
        after = _share(state[FLASK_E], state[FLASK_W])
        minutes = np.where(self.alive, filling_min + reheat_min, 0.0)
        row = {
            "siphoned": self.alive.copy(),
            "siphoning_min": minutes,
            "reheat_min": np.where(self.alive, reheat_min, 0.0),
            "flask_before_mass_fraction": strength,
            "flask_after_mass_fraction": after,
            "thimble_mass_fraction": thimble,
            "drops_mass_fraction": drops,
            "boiling_c": boiling_c,
            "thimble_c": mean_c,
            "flask_ml": flask_g * self.vapour.ml_per_g(strength),
            "siphoned_g": siphoned_g,
            "electric_j": power_w * S_PER_MIN * minutes,
            "cooling_j": state[COOLING].copy(),
            "flask_ethanol_g": state[FLASK_E].copy(),
            "flask_water_g": state[FLASK_W].copy(),
            "thimble_ethanol_g": state[THIMBLE_E].copy(),
            "thimble_water_g": state[THIMBLE_W].copy(),
            "lost_ethanol_g": state[LOST_E].copy(),
            "lost_water_g": state[LOST_W].copy(),
        }
        again_c = self.vapour.over(after)[3]
        heat_j = siphoned_g * self.vapour.capacity_j_g_k(thimble) * (again_c - thimble_c)
        heat_j = heat_j + flask_g * self.vapour.capacity_j_g_k(strength) * (again_c - boiling_c)
        return row, np.maximum(heat_j, 0.0) / self._reaching_j_min(again_c, power_w)

    def _fill(self, to_fill_ml: Floats, power_w: Floats) -> None:
        steps = self._steps(to_fill_ml)
        step = to_fill_ml / steps
        rates = self._rates(power_w)
        for _ in range(steps):
            first = rates(self.state)
            second = rates(self.state + 0.5 * step * first)
            third = rates(self.state + 0.5 * step * second)
            fourth = rates(self.state + step * third)
            self.state = self.state + step / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)

    def _steps(self, to_fill_ml: Floats) -> int:
        """Steps of this filling: more where a flask goes watery, whose vapour then changes steeply."""
        flask_g = self.state[FLASK_E] + self.state[FLASK_W]
        rising, ml_g, _, _ = self.vapour.over(_share(self.state[FLASK_E], self.state[FLASK_W]))
        gone_g = to_fill_ml / ml_g
        left_g = np.maximum(flask_g - gone_g, DRY_SHARE * flask_g)
        watery = (self.state[FLASK_E] - gone_g * rising) / left_g < WATERY
        if not watery.any():
            return STEPS
        return int(np.clip(np.ceil(STEEPEST * np.max((gone_g / left_g)[watery])), STEPS, MOST_STEPS))

    def _rates(self, power_w: Floats) -> Callable[[Floats], Floats]:
        """Change of the state for each millilitre that drips."""

        def rates(state: Floats) -> Floats:
            rising, ml_g, latent, boiling_c = self.vapour.over(_share(state[FLASK_E], state[FLASK_W]))
            below_k = self._below_k(boiling_c)
            boiled = self._reaching_j_min(boiling_c, power_w) / latent
            caught = boiled - np.minimum(self.lost_g_min, MOST_LOST_SHARE * boiled)
            min_ml = 1.0 / (caught * ml_g)
            gone, held = boiled * min_ml, caught * min_ml
            lost = gone - held
            cooled = latent + below_k * self.vapour.capacity_j_g_k(rising)
            water = 1.0 - rising
            return np.stack(
                (
                    -gone * rising, -gone * water, held * rising, held * water, lost * rising, lost * water,
                    min_ml, held * cooled, min_ml * (boiling_c - below_k),
                )
            )  # fmt: skip

        return rates

    def _below_k(self, boiling_c: Floats) -> Floats:
        """How far below its boiling point what stands in the thimble is: no colder than the room."""
        return np.asarray(
            np.minimum(self.wide["below_boiling_k"], np.maximum(boiling_c - self.wide["room_c"], 0.0))
        )

    def _comes(self, to_fill_ml: Floats, power_w: Floats) -> np.ndarray:
        """Whether the next siphoning comes: heat is left to boil even water, and the flask does not run dry first."""
        flask_g = self.state[FLASK_E] + self.state[FLASK_W]
        ml_g = self.vapour.over(_share(self.state[FLASK_E], self.state[FLASK_W]))[1]
        warmest_c, hardest_j_g = self.vapour.figures[0, 3], self.vapour.figures[0, 2]
        slowest = self._reaching_j_min(np.asarray(warmest_c), power_w) / hardest_j_g
        lost = np.minimum(self.lost_g_min, MOST_LOST_SHARE * slowest)
        needed_g = 1.15 * to_fill_ml / ml_g * slowest / (slowest - lost)
        heated = power_w * self.wide["efficiency"] > self.wide["loss_to_room"] * (
            warmest_c - self.wide["room_c"]
        )
        return np.asarray(heated & (flask_g - needed_g > DRY_SHARE * self.wide["poured_mass_g"]))

    def _reaching_j_min(self, liquid_c: Floats, power_w: Floats) -> Floats:
        net = power_w * self.wide["efficiency"] - self.wide["loss_to_room"] * (liquid_c - self.wide["room_c"])
        return np.asarray(S_PER_MIN * np.maximum(net, 1e-9))

    def _warm_up_min(self) -> Floats:
        strength = _share(self.state[FLASK_E], self.state[FLASK_W])
        boiling_c, room_c = self.vapour.over(strength)[3], self.wide["room_c"]
        heat_j = (
            self.wide["poured_mass_g"]
            * self.vapour.capacity_j_g_k(strength)
            * np.maximum(boiling_c - room_c, 0)
        )
        return heat_j / self._reaching_j_min(0.5 * (boiling_c + room_c), self.power_w[0])


def _share(ethanol_g: Floats, water_g: Floats) -> Floats:
    return np.asarray(ethanol_g / np.maximum(ethanol_g + water_g, 1e-12))


def _refuse(given: dict[str, Floats]) -> None:
    refuse_not_positive("The spirit poured", given["poured_mass_g"], "g")
    refuse_outside(
        "The strength poured", given["poured_mass_fraction"], 0.0, 1.0, "1", source="a share of the whole"
    )
    refuse_not_positive("The liquid at siphoning", given["siphon_ml"], "mL")
    for name, unit in (
        ("heel_ml", "mL"), ("power_w", "W"), ("loss_to_room", "W/K"), ("lost_g_per_kg_h", "g/(kg h)"),
        ("below_boiling_k", "K"), ("plant_water_g", "g"),
    ):  # fmt: skip
        refuse_negative(name, given[name], unit)
    refuse_outside("The share that reaches the liquid", given["efficiency"], 0.0, 1.0, "1", source="a share")
    if (given["heel_ml"] >= given["siphon_ml"]).any():
        must = "The extractor must empty more than it keeps"
        raise NotEnough(must, "a heel as large as the siphon", "Measure both volumes with water")
