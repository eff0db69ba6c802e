"""Amounts and ratios of the charge and of the bulk, one value for each draw."""

from collections.abc import Iterable

import numpy as np

from stillroom.errors import UnknownName
from stillroom.planning.route import (
    LINE,
    lines_to_buy,
    other_lines,
    recovers_spirit,
    spirit_lines,
    steps_that,
    taken_from_shelf,
    water_lines,
)
from stillroom.planning.shelf_inputs import STOCK
from stillroom.planning.stages import Asked, Supply, counted_over_mean, supply
from stillroom.stream.components import ETHANOL, MARKER, SOLVENT, WATER, Array, Grams, whole_mass
from stillroom.stream.kind import Reagent
from stillroom.stream.kinds import kind_does
from stillroom.substances.spirits import (
    spirit_density_kg_m3,
    spirit_mass_fraction,
    spirit_volume_fraction_20c,
)


def constant(asked: Asked, value: float) -> Array:
    """The same value in every draw."""
    return np.full(asked.draws, value)


def extract(asked: Asked) -> Array:
    """Extract the charge gives [g]."""
    found = supply(asked)
    return whole_mass(_product(found))


def extracted(asked: Asked) -> Array:
    """Marker in the liquid over that in the plant [%]."""
    found = supply(asked)
    return np.asarray(100.0 * _extracted_g(found) / _in_plant(found))


def cleanup(asked: Asked) -> Array:
    """Marker in the extract over that in the liquid [%]."""
    found = supply(asked)
    return np.asarray(100.0 * _product(found)[MARKER] / _extracted_g(found))


def recovery(asked: Asked) -> Array:
    """Alkaloids in the extract over those in the plant, on one basis [%]."""
    found = supply(asked)
    return np.asarray(100.0 * _product(found)[MARKER] / _in_plant(found))


def false_recovery(asked: Asked) -> Array:
    """What dividing grams as the compound counted by grams as the mean of two would give [%]."""
    found = supply(asked)
    return recovery(asked) * counted_over_mean(found.drawn.medians)


def plant_content(asked: Asked) -> Array:
    """Content of the plant as is, as the compound counted [%]."""
    found = supply(asked)
    return 100.0 * _broadcast(asked, found.plant["marker"])


def plant_as_mean(asked: Asked) -> Array:
    """Content of the plant as is, as the mean of two compounds [%]."""
    return plant_content(asked) / counted_over_mean(supply(asked).drawn.medians)


def shelf_g(asked: Asked, line: str) -> Array:
    """What a line of the extraction takes from the shelf [g]."""
    shelf = supply(asked).charge.from_shelf
    return whole_mass(shelf[line]) if line in shelf else np.zeros(asked.draws)


def reagent_g(asked: Asked, reagent: Reagent) -> Array:
    """What is taken of a reagent from the shelf beside the liquor [g]."""
    line = taken_from_shelf(supply(asked).extraction, reagent)
    return shelf_g(asked, line) if line else np.zeros(asked.draws)


def stock_for_extraction(asked: Asked) -> Array:
    """Stock spirit of the extraction [g]."""
    lines = spirit_lines(supply(asked).extraction)
    return np.asarray(sum((shelf_g(asked, one) for one in lines), np.zeros(asked.draws)))


def mixing_water(asked: Asked) -> Array:
    """Water weighed to the stock spirit [g]."""
    return whole_mass(_mixed(supply(asked))[1])


def spirit_ml(asked: Asked) -> Array:
    """Spirit mixed, at 20 °C [mL]."""
    return _volume_ml(np.sum(_mixed(supply(asked)), axis=0))


def contraction(asked: Asked) -> Array:
    """Volumes of stock and water less the volume of the mixture, at 20 °C [mL]."""
    apart = _mixed(supply(asked))
    return _volume_ml(apart[0]) + _volume_ml(apart[1]) - _volume_ml(np.sum(apart, axis=0))


def recovered_ml(asked: Asked) -> Array:
    """Spirit recovered, at 20 °C [mL]."""
    return _volume_ml(_caught(supply(asked)))


def recovered_strength(asked: Asked) -> Array:
    """Strength of the recovered spirit [% v/v at 20 °C]."""
    back = _caught(supply(asked))
    fraction: Array = np.asarray(spirit_volume_fraction_20c(back[ETHANOL] / (back[ETHANOL] + back[WATER])))
    return 100.0 * fraction


def recovered_ethanol(asked: Asked) -> Array:
    """Ethanol recovered over ethanol poured [%]."""
    found = supply(asked)
    shelf = found.charge.from_shelf
    poured = sum(shelf[one][ETHANOL] for one in spirit_lines(found.extraction) if one in shelf)
    return np.asarray(100.0 * _caught(found)[ETHANOL] / poured)


def solvent_back(asked: Asked) -> Array:
    """Clean-up solvent caught while stripping [g]."""
    found = supply(asked)
    step = next(one for one in found.charge.steps if kind_does(one.kind, "strips"))
    return np.asarray(list(step.given.values())[1][SOLVENT])


def formula_line(asked: Asked, line: str) -> Array:
    """Grams of a line of the formula in the bulk [g]."""
    return whole_mass(supply(asked).bulk.from_shelf[line])


def formula_spirit(asked: Asked) -> Array:
    """Stock spirit in the product [g]."""
    return _of_formula(asked, spirit_lines(supply(asked).filling.formula))


def all_spirit(asked: Asked) -> Array:
    """Stock spirit of both procedures [g]."""
    return np.asarray(stock_for_extraction(asked) + formula_spirit(asked))


def formula_ingredients(asked: Asked) -> Array:
    """Other bought ingredients of the product [g]."""
    return _of_formula(asked, [one.name for one in other_lines(supply(asked).filling.formula)])


def other_reagents(asked: Asked) -> Array:
    """Lines of the extraction that have no price of their own [g]."""
    found = supply(asked)
    lines = [line for key, line in lines_to_buy(found.extraction).items() if key.startswith(LINE)]
    return np.asarray(sum((shelf_g(asked, one) for one in lines), np.zeros(asked.draws)))


def water(asked: Asked) -> Array:
    """Purified water of both procedures [g]."""
    return np.asarray(charge_water(asked) + _of_formula(asked, water_lines(supply(asked).filling.formula)))


def charge_water(asked: Asked) -> Array:
    """Purified water of the extraction [g]."""
    lines = dict.fromkeys(water_lines(supply(asked).extraction))
    return np.asarray(sum((shelf_g(asked, one) for one in lines), np.zeros(asked.draws)))


def charge_active(asked: Asked) -> Array:
    """Marker in the extract that the charge gives [g]."""
    return np.asarray(_product(supply(asked))[MARKER])


def spirit_not_back(asked: Asked) -> Array:
    """Ethanol poured that no still gives back, as the stock spirit it stands in, at 20 °C [mL]."""
    found = supply(asked)
    shelf = found.charge.from_shelf
    poured = [shelf[one] for one in spirit_lines(found.extraction) if one in shelf]
    if not poured:
        return np.zeros(asked.draws)
    ethanol_g, stock_g = (
        np.sum([one[ETHANOL] for one in poured], 0),
        np.sum([whole_mass(one) for one in poured], 0),
    )
    stills = {one.name for one in steps_that(found.extraction, "recovers")}
    back_g = sum(
        (_boiled_over(one.given.values())[ETHANOL] for one in found.charge.steps if one.name in stills),
        np.zeros(asked.draws),
    )
    return stock_ml(np.asarray(stock_g * np.maximum(ethanol_g - back_g, 0.0) / ethanol_g), asked)


def stock_ml(mass_g: Array, asked: Asked) -> Array:
    """Volume of stock spirit, at 20 °C [mL]."""
    strength = np.minimum(np.asarray(supply(asked).drawn.values[STOCK]) / 100.0, 1.0)
    ethanol: Array = np.asarray(spirit_mass_fraction(strength))
    return np.asarray(mass_g / (np.asarray(spirit_density_kg_m3(ethanol, 20.0)) / 1000.0))


def solvent_ml(asked: Asked) -> Array:
    """Volume of the clean-up solvent, at 20 °C [mL]."""
    found = supply(asked)
    line = taken_from_shelf(found.extraction, "clean-up solvent")
    if not line:
        return np.zeros(asked.draws)
    return np.asarray(shelf_g(asked, line) / np.asarray(found.feeds[line].density_g_ml))


def _product(found: Supply) -> Grams:
    return found.charge.given(found.extraction.steps[-1].gives[0])


def _extracted_g(found: Supply) -> Array:
    """Marker that left the plant with the liquid: what extracting steps give first, each gram once."""
    names = {one.name: one for one in steps_that(found.extraction, "extracts")}
    given: dict[str, Array] = {}
    total = np.zeros(found.strength.shape)
    for step in found.charge.steps:
        if step.name not in names:
            continue
        back = sum(part[MARKER] for name, part in step.taken.items() if name in given)
        first = next(iter(step.given))
        given[first] = step.given[first][MARKER]
        total = total + given[first] - back
    return np.asarray(total)


def _mixed(found: Supply) -> list[Grams]:
    step = next(one for one in found.charge.steps if kind_does(one.kind, "brings to strength"))
    return list(step.taken.values())


def _caught(found: Supply) -> Grams:
    """What a still gives over: of its outlets the one with least that does not boil."""
    step = recovers_spirit(found.extraction)
    if step is None:
        raise UnknownName.among("recovers", "something a step of this extraction does", ())
    return _boiled_over(found.charge.step(step.name).given.values())


def _boiled_over(given: Iterable[Grams]) -> Grams:
    return min(given, key=lambda part: float(np.median(whole_mass(part) - part[WATER] - part[ETHANOL])))


def _in_plant(found: Supply) -> Array:
    return np.asarray(found.charge.from_shelf[found.extraction.scaled_by][MARKER])


def _of_formula(asked: Asked, lines: Iterable[str]) -> Array:
    return np.asarray(sum((formula_line(asked, one) for one in lines), np.zeros(asked.draws)))


def _volume_ml(stream: Grams) -> Array:
    liquid_g = stream[ETHANOL] + stream[WATER]
    density_g_ml = np.asarray(spirit_density_kg_m3(stream[ETHANOL] / liquid_g, 20.0)) / 1000.0
    return np.asarray(liquid_g / density_g_ml)


def _broadcast(asked: Asked, value: object) -> Array:
    return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), asked.draws))
