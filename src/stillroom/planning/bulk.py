"""The bulk of a product before it is made: its density, and how much of a dosed extract it has room for."""

from collections.abc import Mapping

import numpy as np

from stillroom.errors import OutsideModel
from stillroom.records.procedures import Procedure
from stillroom.stream.components import ETHANOL, WATER, Array, Grams, Number
from stillroom.substances.spirits import spirit_density_kg_m3


def density_g_ml(bulk: Grams, values: Mapping[str, Number]) -> Array:
    """Density of a product at 20 °C, from its water and spirit [g/mL].

    Parameters
    ----------
    bulk : array
        Grams of components by draws. [g]
    values : mapping of str to float or array
        With the "density allowance". [%]

    Raises
    ------
    OutsideModel
        There is neither.
    """
    liquid = bulk[WATER] + bulk[ETHANOL]
    if not np.min(liquid) > 0:
        raise OutsideModel(
            "The density of a product is calculated from its water and spirit", "a formula with neither",
            "Sell it by mass, as 12 × 30 g: no density is needed then",
        )  # fmt: skip
    spirit_g_ml = np.asarray(spirit_density_kg_m3(bulk[ETHANOL] / liquid, 20.0)) / 1000.0
    return np.asarray(spirit_g_ml * (1.0 + np.asarray(values["density allowance"]) / 100.0))


def room_for_dose_g(formula: Procedure, bulk_g: float) -> float:
    """The most of a dosed extract that goes into a bulk beside the lines of the formula that state their share [g].

    Parameters
    ----------
    formula : Procedure
        With one dosed line. [record]
    bulk_g : float
        [g]
    """
    stated = sum(one.percent or 0.0 for one in formula.lines) / 100.0
    return bulk_g * (1.0 - stated) * (1.0 - 1e-12)
