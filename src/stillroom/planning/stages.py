"""The plan as numbers: from bottles to bulk, from bulk to plant, the charge, the content.

Pure: named numbers, draw lines, skeletons and a seed in, arrays out; the same again gives the same bits. Each
stage is kept for the next figure that asks with the same inputs. *Supply* is solved in each draw at its own
scale and then ordered; *content* follows the assay yet to be taken: each draw carries the truth and what
would be read.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from stillroom.errors import OutsideModel
from stillroom.planning.bulk import density_g_ml, room_for_dose_g
from stillroom.planning.inputs import COUNTED, MEAN, NOMINAL_MASS, REPORTED, TOGETHER, wanted
from stillroom.planning.plan_inputs import spread_of
from stillroom.planning.plan_outline import with_numbers
from stillroom.planning.request import ACTIVE_AT_HAND
from stillroom.planning.route import MEAN_OF, steps_that
from stillroom.planning.shelf_inputs import feeds_of, plant_makeup
from stillroom.quantities.draws import Draws
from stillroom.quantities.order_statistic import RankedLimit, upper_limit
from stillroom.records.procedures import Procedure
from stillroom.stream.account import Account
from stillroom.stream.components import (
    COMPONENTS,
    MARKER,
    Array,
    Grams,
    Number,
    whole_mass,
)
from stillroom.stream.kind import Feed
from stillroom.stream.run import run
from stillroom.stream.scale import solve_for_scale

CONFIDENCE = 0.95
NOTHING_G = 1e-9
"""Less than this is what is left of a sum, not a thing that can be weighed. [g]"""
CHARGE = "charge"
LEAST_FRESH = 1e-3
"""Share of the active that a charge gives at least: with less than that to make, none is begun. [1]"""
NOTHING_KNOWN = "other extractables"
"""What a dose of nothing is made of, in a draw whose charge gives no extract."""
BEGINNINGS = (1.25, 10.0, 100.0)
"""Where the plant is looked for, in multiples of what a loss-free extraction would take."""
Frozen: TypeAlias = tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Asked:
    """What a stage is reckoned from: inputs (role, value, uncertainty), draw lines, skeletons, seed."""

    inputs: Frozen
    lines: str
    extraction: str
    formula: str
    seed: int
    draws: int

    def only(self, stage: str) -> "Asked":
        """The same with only what a stage needs, so that stages are shared between figures."""
        kept = tuple(one for one in self.inputs if wanted(one[0], stage))
        roles = {TOGETHER, *(one[0] for one in kept)}
        lines = json.dumps({role: line for role, line in json.loads(self.lines).items() if role in roles})
        extraction = "" if stage in ("filling", "packaging") else self.extraction
        formula = "" if stage == "packaging" else self.formula
        return Asked(kept, lines, extraction, formula, self.seed, self.draws)


@dataclass(frozen=True)
class Drawn:
    """The inputs of a stage as values: one number where nothing varies, an array where it does."""

    values: Mapping[str, Number]
    medians: Mapping[str, float]
    draws: Draws
    roles: Mapping[str, str]


@dataclass(frozen=True)
class Filling:
    """From bottles to bulk."""

    drawn: Drawn
    formula: Procedure
    bottles: float
    density_g_ml: Array
    """Not a number where what a bottle holds is a mass. [g/mL]"""
    fill_g: Array
    bulk_each_g: Array
    bulk: RankedLimit


@dataclass(frozen=True)
class Needed:
    """From bulk to plant, each draw at its own scale: what is needed, and what it was found from."""

    drawn: Drawn
    filling: Filling
    extraction: Procedure
    feeds: Mapping[str, Feed]
    settings: Mapping[str, Number]
    plant: Mapping[str, Number]
    active_g: float
    read: Array
    plant_each_g: Array
    plant_limit: RankedLimit


@dataclass(frozen=True)
class Supply(Needed):
    """The plant that is needed, with what its charge gives."""

    charge: Account
    strength: Array
    dose_g: Array
    bulk: Account


@dataclass(frozen=True)
class Content:
    """The strength of the bulk once dosed by the assay then taken [% w/w]."""

    drawn: Drawn
    bulk: Account
    percent: Array
    inside: Array
    below: Array
    above: Array


def drawn(asked: Asked) -> Drawn:
    """Draw the inputs of a stage."""
    lines = json.loads(asked.lines)
    spreads, roles, medians = {}, {}, {}
    for role, value, doubt in asked.inputs:
        medians[role] = value
        if role in lines:
            kind, name = lines[role]
            spreads[name] = spread_of(kind, value, doubt)
            roles[name] = role
    draws = Draws.of(spreads, asked.draws, asked.seed, decorrelated=False)
    draws = draws.together(lines.get(TOGETHER, {}))
    varying: dict[str, Number] = {roles[name]: draws.value(name) for name in draws.names}
    return Drawn(MappingProxyType({**medians, **varying}), medians, draws, roles)


@lru_cache(maxsize=4)
def filling(asked: Asked) -> Filling:
    """From bottles to bulk: fill by mass at 20 °C, overfill, what stays in vessel, filter and filler.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "filling" only.

    Notes
    -----
    The density is that of the formula's spirit and water by OIML R 22, with an allowance for what is
    dissolved; what is sold by mass needs none.
    """
    inputs = drawn(asked)
    values = inputs.values
    formula = with_numbers(asked.formula, "formula", inputs.medians)
    feeds = feeds_of(formula, values, {})
    settings = settings_of("formula", values)
    together = run(formula, feeds, settings, 1000.0, asked.draws, dosed_g=0.0)
    bulk = bulk_made(formula, together)
    by_mass = NOMINAL_MASS in values
    density = np.full(asked.draws, np.nan) if by_mass else density_g_ml(bulk, values)
    overfill = next((settings[f"{one.name}/overfill_share"] for one in steps_that(formula, "bottles")), 0.0)
    each_g = values[NOMINAL_MASS] if by_mass else values["order/nominal content"] * density
    fill_g = np.broadcast_to(each_g * (1.0 + np.asarray(overfill)), asked.draws)
    bottles = inputs.medians["order/bottles"] + inputs.medians["kept back"]
    needed_g = bottles * fill_g

    def surplus(bulk_g: Array) -> Array:
        account = run(formula, feeds, settings, bulk_g, asked.draws, dosed_g=0.0)
        return whole_mass(account.given(formula.steps[-1].gives[0])) - needed_g

    each = solve_for_scale(surplus, needed_g * 1.05)
    limit = upper_limit(each, inputs.medians["order/how sure"] / 100.0, CONFIDENCE)
    return Filling(inputs, formula, bottles, density, fill_g, each, limit)


@lru_cache(maxsize=2)
def supply(asked: Asked) -> Supply:
    """From bulk to plant: in each draw the scale at which the extract is just enough for the whole bulk.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "supply" only.

    Notes
    -----
    The dose follows what would be read: dose = bulk x aim / (strength x read/true). Extract at hand takes its active
    off what the charge has to give, and is dosed like it. With a "charge" among the
    inputs the plant is that mass in every draw, and nothing is solved.
    """
    found = _needed(asked)
    charge = run(
        found.extraction, found.feeds, found.settings, found.plant_limit.value, asked.draws, with_work=True
    )
    extract = charge.given(found.extraction.steps[-1].gives[0])
    strength, dose_g = dosed(extract, found.active_g, found.read)
    bulk = dosed_bulk(found.filling, extract, found.drawn.values, dose_g)
    return Supply(**vars(found), charge=charge, strength=strength, dose_g=dose_g, bulk=bulk)


@lru_cache(maxsize=256)
def plant_needed_g(asked: Asked) -> float:
    """Plant to have, as in ``supply``, without what its charge gives [g].

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "supply" only.
    """
    return _needed(asked).plant_limit.value


def _needed(asked: Asked) -> Needed:
    filled = filling(asked.only("filling"))
    inputs = drawn(asked)
    values = inputs.values
    extraction = with_numbers(asked.extraction, "extraction", inputs.medians)
    plant = plant_of(values, inputs.medians)
    feeds = feeds_of(extraction, values, plant)
    settings = settings_of("extraction", values)
    product = extraction.steps[-1].gives[0]
    active_g = filled.bulk.value * inputs.medians["order/aim"] / 100.0
    read = np.asarray(values["assay to be taken"]) / 100.0
    fresh_g = np.maximum(active_g - np.asarray(values.get(ACTIVE_AT_HAND, 0.0)), LEAST_FRESH * active_g)

    def surplus(plant_g: Array) -> Array:
        extract = run(extraction, feeds, settings, plant_g, asked.draws).given(product)
        mass_g = whole_mass(extract)
        return np.asarray(mass_g - fresh_g * mass_g / np.maximum(extract[MARKER], 1e-30) / read)

    if CHARGE in values:
        each = np.full(asked.draws, inputs.medians[CHARGE])
        limit = RankedLimit(inputs.medians[CHARGE], 0, asked.draws, 0.0, 0.0)
    else:
        each = _scale_of(surplus, fresh_g / np.broadcast_to(np.asarray(plant["marker"]), asked.draws))
        limit = upper_limit(each, inputs.medians["order/how sure"] / 100.0, CONFIDENCE)
    return Needed(inputs, filled, extraction, feeds, settings, plant, active_g, read, each, limit)


@lru_cache(maxsize=2)
def content(asked: Asked) -> Content:
    """The strength of the bulk, dosed in steps of the scale by the assay then taken.

    Parameters
    ----------
    asked : Asked
        With the inputs of the stage "content" only.
    """
    supplied = supply(asked.only("supply"))
    inputs = drawn(asked)
    values = inputs.values
    step_g = inputs.medians["scale step"]
    dosed_g = np.maximum(np.rint(supplied.dose_g / step_g) * step_g + values["weighing of the dose"], 0.0)
    extract = supplied.charge.given(supplied.extraction.steps[-1].gives[0])
    bulk = dosed_bulk(supplied.filling, extract, values, dosed_g)
    made = bulk_made(supplied.filling.formula, bulk)
    percent = 100.0 * made[MARKER] / whole_mass(made)
    below = percent < inputs.medians["order/declared"]
    above = percent > inputs.medians.get("ceiling", np.inf)
    return Content(inputs, bulk, percent, ~(below | above), below, above)


def dosed_bulk(filled: Filling, extract: Grams, values: Mapping[str, Number], dosed_g: Array) -> Account:
    """Run the formula with the extract of each draw, weighed in at the given dose.

    Parameters
    ----------
    extract : array
        Grams of components by draws: what the dose is taken from. [g]
    dosed_g : array
        Extract weighed in. [g]
    """
    formula = filled.formula
    whole = whole_mass(extract)
    empty = whole <= NOTHING_G
    makeup: dict[str, Number] = {
        name: np.where(empty, 0.0, extract[at] / np.where(empty, 1.0, whole))
        for at, name in enumerate(COMPONENTS)
    }
    makeup[NOTHING_KNOWN] = np.asarray(makeup[NOTHING_KNOWN] + empty)
    feeds = feeds_of(formula, values, {})
    feeds |= {line.name: Feed(makeup) for line in formula.lines if line.role == "dosed"}
    settings = settings_of("formula", values)
    draws, fits_g = len(dosed_g), room_for_dose_g(formula, filled.bulk.value)
    if (
        np.median(dosed_g) <= fits_g
    ):  # in a rare draw the extract is too weak: what fits is dosed, and is too little
        dosed_g = np.minimum(dosed_g, fits_g)
    return run(formula, feeds, settings, filled.bulk.value, draws, dosed_g=dosed_g, with_work=True)


def dosed(extract: Grams, active_g: float, read: Array) -> tuple[Array, Array]:
    """Strength of an extract [g/g] and the dose that follows what would be read [g]; nothing where there is none.

    Parameters
    ----------
    extract : array
        Grams of components by draws. [g]
    active_g : float
        Marker wanted in the bulk. [g]
    read : array
        What the assay reads, of the truth. [1]
    """
    whole = whole_mass(extract)
    enough = whole > NOTHING_G
    strength = np.where(enough, extract[MARKER] / np.where(enough, whole, 1.0), 0.0)
    there = strength > 0.0
    return strength, np.where(there, active_g / np.where(there, strength * read, 1.0), 0.0)


def settings_of(part: str, values: Mapping[str, Number]) -> dict[str, Number]:
    """The settings of a procedure, by "step/setting".

    Parameters
    ----------
    part : str
        "extraction" or "formula".
    """
    return {name.removeprefix(f"{part}/"): one for name, one in values.items() if name.startswith(f"{part}/")}


def plant_of(values: Mapping[str, Number], medians: Mapping[str, float]) -> dict[str, Number]:
    """Make-up of the plant as is, from its assay, loss on drying and extractables.

    Parameters
    ----------
    values : mapping of str to float or array
        By role; the assay's role names its basis.
    medians : mapping of str to float
        By role.
    """
    role = next(one for one in values if one.startswith("assay of the plant"))
    reckoned, _, matter = role.partition(", as ")[2].rpartition(", ")
    ratio = 1.0
    if reckoned.startswith(MEAN_OF):
        ratio = counted_over_mean(medians)
    elif REPORTED in medians:
        ratio = medians[COUNTED] / medians[REPORTED]
    return plant_makeup(values[role], matter, values["loss on drying"], values["other extractables"], ratio)


def counted_over_mean(medians: Mapping[str, float]) -> float:
    """Molar mass of the compound counted over the mean of the two an assay may count [1]."""
    return medians[COUNTED] / (0.5 * (medians[f"{MEAN} 1"] + medians[f"{MEAN} 2"]))


def bulk_made(formula: Procedure, account: Account) -> Grams:
    """The bulk as it stands before it is filled [g].

    Parameters
    ----------
    account : Account
        Of a run of the formula.
    """
    filling_step = next(steps_that(formula, "bottles"), None)
    if filling_step is None:
        return account.given(formula.steps[-1].gives[0])
    return next(iter(account.step(filling_step.name).taken.values()))


def _scale_of(surplus: Callable[[Array], Array], least_g: Array) -> Array:
    """The scale in every draw; a beginning that loses all it gives to a fixed loss is moved further up."""
    for times in BEGINNINGS[:-1]:
        try:
            return solve_for_scale(surplus, least_g * times)
        except OutsideModel:
            continue
    return solve_for_scale(surplus, least_g * BEGINNINGS[-1])
