"""What stands on the shelf for each line of a procedure, as grams of components."""

from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np

from stillroom.errors import BadEntry, NotEnough, UnknownName, worded
from stillroom.records.procedures import Procedure
from stillroom.reference.tables import row
from stillroom.stream.components import Array, Number
from stillroom.stream.kind import Feed
from stillroom.substances.carriers import carrier
from stillroom.substances.ingredients import weighs_as_water
from stillroom.substances.spirit_strengths import strength_in_name, volume_percent_20c_of
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction

STOCK = "strength of the stock spirit"
"""What is asked of the stock spirit; of another spirit by itself with a comma and its substance."""
AS_SOLD_PERCENT, SAME_PERCENT = 96.0, 0.05
PLAIN_WATER = ("purified water", "water")
SUBSTANCES = ("spirit …", "purified water", "hydrochloric acid …", "ammonia …", "ethyl acetate")


def may_be_planned_with(substance: str) -> bool:
    """Whether the make-up of a liquid is known, so that a plan can reckon an extraction with it.

    Parameters
    ----------
    substance : str
        As a line has it. [text]
    """
    known = tuple(one.removesuffix(" …") for one in SUBSTANCES)
    return substance == "water" or substance.startswith(known) or carrier(substance) is not None


def feeds_of(
    procedure: Procedure,
    values: Mapping[str, Number],
    plant: Mapping[str, Number],
) -> dict[str, Feed]:
    """The make-up of every line.

    Parameters
    ----------
    values : mapping of str to float or array
        "strength of the stock spirit" and the like; of a spirit named as another strength by itself, see
        ``of_other_spirits``. [%]
    plant : mapping of str to float or array
        Make-up of the plant as is; empty for a formula. [g/g]

    Raises
    ------
    UnknownName
        A line of an extraction, its plant apart, is of a substance that is not known here.
    """
    return {
        line.name: Feed(plant)
        if procedure.purpose != "formula" and line.name == procedure.scaled_by
        else _feed(procedure, line.substance, values, stock_named(procedure))
        for line in procedure.lines
    }


def plant_makeup(
    assay_percent: Number,
    matter: str,
    drying_loss_percent: Number,
    others_percent_dried: Number,
    counted_over_reported: float = 1.0,
) -> dict[str, Number]:
    """Make-up of the plant as is, its marker as the compound that is counted.

    Parameters
    ----------
    assay_percent : float or array
        As it was reported. [% w/w]
    matter : str
        "as is" or "dried".
    drying_loss_percent, others_percent_dried : float or array
        Loss on drying as is; other extractables of the dried plant. [% w/w]
    counted_over_reported : float
        Molar mass of the compound counted over that of the compound reported. [1]

    Raises
    ------
    BadEntry
        The parts exceed the whole.

    Notes
    -----
    As counted = as reported x M(counted) / M(reported); as is = dried x (1 - loss on drying).
    """
    dry: Array = 1.0 - np.asarray(drying_loss_percent) / 100.0
    marker = np.asarray(assay_percent) / 100.0 * counted_over_reported
    if matter == "dried":
        marker = marker * dry
    others = np.asarray(others_percent_dried) / 100.0 * dry
    solids = dry - marker - others
    least = min(float(np.min(one)) for one in (solids, marker, others))
    if least <= 0 or np.max(dry) > 1:
        raise BadEntry(
            "Water, marker and extractables of a plant must leave some plant",
            worded("{least:.3f} of it left at worst", least=min(least, 1.0 - float(np.max(dry)))),
            "Look at the assay, the loss on drying and their uncertainties",
        )
    return {
        "water": 1.0 - dry,
        "marker": marker,
        "other extractables": others,
        "plant solids": solids,
    }


@cache
def named_percent(substance: str) -> float | None:
    """The strength that a spirit is named after; None where its name says none. [% v/v at 20 °C].

    Parameters
    ----------
    substance : str
        "spirit 70 %", "spirit 93.8 % w/w".
    """
    named = strength_in_name(substance) if substance.startswith("spirit") else None
    return None if named is None else volume_percent_20c_of(named)


def stock_named(procedure: Procedure) -> float:
    """The strength of the stock spirit that a procedure names; as it is sold where it names none. [% v/v at 20 °C]."""
    named = (named_percent(one.substance) for one in procedure.lines)
    return next((one for one in named if one is not None), AS_SOLD_PERCENT)


def of_other_spirits(procedures: Iterable[Procedure]) -> dict[str, float]:
    """Roles of spirits that are named as another strength than the stock, and what their names say.

    Parameters
    ----------
    procedures : iterable of Procedure
        The one whose spirit is the stock comes first.

    Returns
    -------
    dict of str to float
        [% v/v at 20 °C]
    """
    first, *others = procedures
    stock, found = stock_named(first), {}
    for line in (line for one in (first, *others) for line in one.lines):
        named = named_percent(line.substance)
        if named is not None and abs(named - stock) >= SAME_PERCENT:
            found[f"{STOCK}, {line.substance}"] = named
    return found


def _strength(substance: str, values: Mapping[str, Number], stock_percent: float) -> Array:
    """How strong a spirit is: as it is known itself, as the stock, or as its name says and as surely as the stock."""
    own = values.get(f"{STOCK}, {substance}")
    stock: Array = np.asarray(values[STOCK] if own is None else own) / 100.0
    named = named_percent(substance)
    if own is not None or named is None or abs(named - stock_percent) < SAME_PERCENT:
        return stock
    return np.asarray(np.clip(named / 100.0 + stock - np.median(stock), 0.0, 1.0))


def _feed(procedure: Procedure, substance: str, values: Mapping[str, Number], stock_percent: float) -> Feed:
    if substance.startswith("spirit"):
        strength = _strength(substance, values, stock_percent)
        if np.median(strength) > 1.0:
            raise NotEnough(
                "Spirit cannot be stronger than 100 %", f"{100 * float(np.median(strength)):.1f} %"
            )
        ethanol: Array = np.asarray(spirit_mass_fraction(np.minimum(strength, 1.0)))
        density = np.asarray(spirit_density_kg_m3(ethanol, 20.0)) / 1000.0
        return Feed({"ethanol": ethanol, "water": 1.0 - ethanol}, density)
    if substance in PLAIN_WATER or (procedure.purpose == "formula" and weighs_as_water(substance)):
        return Feed({"water": 1.0}, row("liquids", "water").number("density_20c_g_ml"))
    if procedure.purpose == "formula":
        return Feed({"formula ingredients": 1.0})
    if substance.startswith("hydrochloric acid"):
        acid = np.asarray(values["strength of the acid"]) / 100.0
        return Feed({"hydrogen chloride": acid, "water": 1.0 - acid})
    if substance.startswith("ammonia"):
        ammonia = np.asarray(values["strength of the ammonia"]) / 100.0
        return Feed({"ammonia": ammonia, "water": 1.0 - ammonia})
    if substance == "ethyl acetate":
        return Feed({"ethyl acetate": 1.0}, row("solvents", substance).number("density_20c_g_ml"))
    if (stays := carrier(substance)) is not None:
        makeup = {stays.component: stays.share, "water": 1.0 - stays.share}
        return Feed(makeup, stays.density_20c_g_ml if stays.share == 1.0 else None)
    raise UnknownName.among(substance, "a substance an extraction can be planned with", SUBSTANCES)
