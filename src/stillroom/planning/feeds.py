"""What stands on the shelf for each line of a procedure, as grams of components."""

from collections.abc import Mapping

import numpy as np

from stillroom.errors import BadEntry, NotEnough, UnknownName
from stillroom.records.procedures import Procedure
from stillroom.reference.tables import row
from stillroom.stream.components import Array, Number
from stillroom.stream.kind import Feed
from stillroom.substances.plants import plant_rule
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction

SUBSTANCES = ("spirit …", "purified water", "hydrochloric acid …", "ammonia …", "ethyl acetate", "a plant")


def feeds_of(
    procedure: Procedure, values: Mapping[str, Number], plant: Mapping[str, Number]
) -> dict[str, Feed]:
    """The make-up of every line.

    Parameters
    ----------
    procedure : Procedure
    values : mapping of str to float or array
        "strength of the stock spirit" and the like. [%]
    plant : mapping of str to float or array
        Make-up of the plant as is; empty for a formula. [g/g]

    Raises
    ------
    UnknownName
        A line of an extraction is of a substance that is not known here.
    """
    return {line.name: _feed(procedure, line.substance, values, plant) for line in procedure.lines}


def plant_makeup(
    assay_percent: Number,
    reckoned_as: str,
    matter: str,
    drying_loss_percent: Number,
    others_percent_dried: Number,
    quinine_g_mol: float,
    cinchonine_g_mol: float,
) -> dict[str, Number]:
    """Make-up of the plant as is, its alkaloids as quinine.

    Parameters
    ----------
    assay_percent : float or array
        As it was reported. [% w/w]
    reckoned_as : str
        "quinine" or "mean of quinine and cinchonine".
    matter : str
        "as is" or "dried".
    drying_loss_percent, others_percent_dried : float or array
        Loss on drying as is; other extractables of the dried plant. [% w/w]
    quinine_g_mol, cinchonine_g_mol : float
        Molar masses. [g/mol]

    Raises
    ------
    BadEntry
        The parts exceed the whole.

    Notes
    -----
    As quinine = as mean x M(quinine) / mean M; as is = dried x (1 - loss on drying).
    """
    dry: Array = 1.0 - np.asarray(drying_loss_percent) / 100.0
    alkaloids = np.asarray(assay_percent) / 100.0
    if reckoned_as != "quinine":
        alkaloids = alkaloids * quinine_g_mol / (0.5 * (quinine_g_mol + cinchonine_g_mol))
    if matter == "dried":
        alkaloids = alkaloids * dry
    others = np.asarray(others_percent_dried) / 100.0 * dry
    solids = dry - alkaloids - others
    if np.min(solids) <= 0 or np.min(alkaloids) <= 0 or np.min(others) <= 0 or np.max(dry) > 1:
        raise BadEntry(
            "Water, alkaloids and extractables of a plant must leave some plant",
            f"{float(np.min(solids)):.3f} of it left at worst",
            "Look at the assay, the loss on drying and their uncertainties",
        )
    return {
        "water": 1.0 - dry,
        "marker": alkaloids,
        "other extractables": others,
        "plant solids": solids,
    }


def _feed(
    procedure: Procedure, substance: str, values: Mapping[str, Number], plant: Mapping[str, Number]
) -> Feed:
    if substance.startswith("spirit"):
        strength = np.asarray(values["strength of the stock spirit"]) / 100.0
        if np.max(strength) >= 1.0:
            raise NotEnough("Spirit cannot be stronger than 100 %", f"{100 * float(np.max(strength)):.1f} %")
        ethanol: Array = np.asarray(spirit_mass_fraction(strength))
        density = np.asarray(spirit_density_kg_m3(ethanol, 20.0)) / 1000.0
        return Feed({"ethanol": ethanol, "water": 1.0 - ethanol}, density)
    if substance == "purified water" or substance == "water":
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
    if plant_rule(substance).status != "no rule found":
        return Feed(plant)
    raise UnknownName.among(substance, "a substance an extraction can be planned with", SUBSTANCES)
