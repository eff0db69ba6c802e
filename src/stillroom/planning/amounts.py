"""Amounts and ratios of the charge and of the bulk, one value for each draw."""

from collections.abc import Mapping

import numpy as np

from stillroom.planning.stages import Asked, Supply, supply
from stillroom.stream.components import ETHANOL, MARKER, SOLVENT, WATER, Array, Grams, whole_mass
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_volume_fraction_20c


def constant(asked: Asked, value: float) -> Array:
    """The same value in every draw."""
    return np.full(asked.draws, value)


def extract(asked: Asked) -> Array:
    """Extract the charge gives [g]."""
    found = supply(asked)
    return whole_mass(_product(found))


def percolation(asked: Asked) -> Array:
    """Alkaloids in the percolate over those in the plant [%]."""
    found = supply(asked)
    return np.asarray(100.0 * _of_kind(found, "percolate")[MARKER] / _in_plant(found))


def cleanup(asked: Asked) -> Array:
    """Alkaloids in the extract over those in the percolate [%]."""
    found = supply(asked)
    return np.asarray(100.0 * _product(found)[MARKER] / _of_kind(found, "percolate")[MARKER])


def recovery(asked: Asked) -> Array:
    """Alkaloids in the extract over those in the plant, on one basis [%]."""
    found = supply(asked)
    return np.asarray(100.0 * _product(found)[MARKER] / _in_plant(found))


def false_recovery(asked: Asked) -> Array:
    """What dividing grams as quinine by grams as the mean alkaloid would give [%]."""
    found = supply(asked)
    return recovery(asked) * _quinine_over_mean(found.drawn.medians)


def plant_as_quinine(asked: Asked) -> Array:
    """Content of the plant as is, as quinine [%]."""
    found = supply(asked)
    return 100.0 * _broadcast(asked, found.plant["marker"])


def plant_as_mean(asked: Asked) -> Array:
    """Content of the plant as is, as the mean of quinine and cinchonine [%]."""
    return plant_as_quinine(asked) / _quinine_over_mean(supply(asked).drawn.medians)


def shelf_g(asked: Asked, line: str) -> Array:
    """What a line of the extraction takes from the shelf [g]."""
    shelf = supply(asked).charge.from_shelf
    return whole_mass(shelf[line]) if line in shelf else np.zeros(asked.draws)


def by_kind_g(asked: Asked, kind: str) -> Array:
    """What a kind of step takes from the shelf beside the liquor [g]."""
    found = supply(asked)
    step = next((one for one in found.charge.steps if one.kind == kind), None)
    return np.zeros(asked.draws) if step is None else whole_mass(list(step.taken.values())[1])


def mixing_water(asked: Asked) -> Array:
    """Water weighed to the stock spirit [g]."""
    step = next(one for one in supply(asked).charge.steps if one.kind == "mix to strength")
    return whole_mass(list(step.taken.values())[1])


def spirit_ml(asked: Asked) -> Array:
    """Spirit mixed, at 20 °C [mL]."""
    step = next(one for one in supply(asked).charge.steps if one.kind == "mix to strength")
    return _volume_ml(sum_of(step.taken))


def contraction(asked: Asked) -> Array:
    """Volumes of stock and water less the volume of the mixture, at 20 °C [mL]."""
    step = next(one for one in supply(asked).charge.steps if one.kind == "mix to strength")
    apart = [_volume_ml(one) for one in step.taken.values()]
    return apart[0] + apart[1] - _volume_ml(sum_of(step.taken))


def recovered_ml(asked: Asked) -> Array:
    """Spirit recovered, at 20 °C [mL]."""
    return _volume_ml(_of_kind(supply(asked), "distil"))


def recovered_strength(asked: Asked) -> Array:
    """Strength of the recovered spirit [% v/v at 20 °C]."""
    back = _of_kind(supply(asked), "distil")
    fraction: Array = np.asarray(spirit_volume_fraction_20c(back[ETHANOL] / (back[ETHANOL] + back[WATER])))
    return 100.0 * fraction


def recovered_ethanol(asked: Asked) -> Array:
    """Ethanol recovered over ethanol poured [%]."""
    found = supply(asked)
    step = next(one for one in found.charge.steps if one.kind == "mix to strength")
    return np.asarray(100.0 * _of_kind(found, "distil")[ETHANOL] / sum_of(step.taken)[ETHANOL])


def solvent_back(asked: Asked) -> Array:
    """Clean-up solvent caught while stripping [g]."""
    found = supply(asked)
    step = next(one for one in found.charge.steps if one.kind == "strip solvent")
    return np.asarray(list(step.given.values())[1][SOLVENT])


def formula_line(asked: Asked, line: str) -> Array:
    """Grams of a line of the formula in the bulk [g]."""
    return whole_mass(supply(asked).bulk.from_shelf[line])


def formula_spirit(asked: Asked) -> Array:
    """Stock spirit in the product [g]."""
    lines = _lines_of(supply(asked), "spirit")
    return np.asarray(sum((formula_line(asked, one) for one in lines), np.zeros(asked.draws)))


def all_spirit(asked: Asked) -> Array:
    """Stock spirit of both procedures [g]."""
    lines = [one.name for one in supply(asked).extraction.lines if one.substance.startswith("spirit")]
    poured = sum((shelf_g(asked, one) for one in lines), np.zeros(asked.draws))
    return np.asarray(poured + formula_spirit(asked))


def formula_ingredients(asked: Asked) -> Array:
    """Other bought ingredients of the product [g]."""
    found = supply(asked)
    plain = [
        one.name
        for one in found.filling.formula.lines
        if one.role != "dosed" and not one.substance.startswith(("spirit", "purified water", "water"))
    ]
    return np.asarray(sum((formula_line(asked, one) for one in plain), np.zeros(asked.draws)))


def water(asked: Asked) -> Array:
    """Purified water of both procedures [g]."""
    found = supply(asked)
    names = {one.name for one in found.extraction.lines if one.substance.endswith("water")}
    poured = sum((shelf_g(asked, one) for one in names), np.zeros(asked.draws))
    in_product = sum(
        (formula_line(asked, one) for one in _lines_of(found, "purified water", "water")),
        np.zeros(asked.draws),
    )
    return np.asarray(poured + in_product)


def stock_ml(mass_g: Array, asked: Asked) -> Array:
    """Volume of stock spirit, at 20 °C [mL]."""
    found = supply(asked)
    name = next(one.name for one in found.extraction.lines if one.substance.startswith("spirit"))
    density = found.feeds[name].density_g_ml
    return np.asarray(mass_g / np.asarray(density))


def solvent_ml(asked: Asked) -> Array:
    """Volume of the clean-up solvent, at 20 °C [mL]."""
    found = supply(asked)
    step = next((one for one in found.charge.steps if one.kind == "partition"), None)
    if step is None:
        return np.zeros(asked.draws)
    name = list(step.taken)[1]
    return np.asarray(whole_mass(step.taken[name]) / np.asarray(found.feeds[name].density_g_ml))


def sum_of(streams: Mapping[str, Grams]) -> Grams:
    """Streams added up [g]."""
    return np.asarray(np.sum(list(streams.values()), axis=0))


def _product(found: Supply) -> Grams:
    return found.charge.given(found.extraction.steps[-1].gives[0])


def _of_kind(found: Supply, kind: str) -> Grams:
    step = next(one for one in found.charge.steps if one.kind == kind)
    return next(iter(step.given.values()))


def _in_plant(found: Supply) -> Array:
    return np.asarray(found.charge.from_shelf[found.extraction.scaled_by][MARKER])


def _lines_of(found: Supply, *substances: str) -> list[str]:
    return [one.name for one in found.filling.formula.lines if one.substance.startswith(substances)]


def _quinine_over_mean(medians: Mapping[str, float]) -> float:
    quinine, cinchonine = medians["molar mass of quinine"], medians["molar mass of cinchonine"]
    return quinine / (0.5 * (quinine + cinchonine))


def _volume_ml(stream: Grams) -> Array:
    liquid_g = stream[ETHANOL] + stream[WATER]
    density_g_ml = np.asarray(spirit_density_kg_m3(stream[ETHANOL] / liquid_g, 20.0)) / 1000.0
    return np.asarray(liquid_g / density_g_ml)


def _broadcast(asked: Asked, value: object) -> Array:
    return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), asked.draws))
