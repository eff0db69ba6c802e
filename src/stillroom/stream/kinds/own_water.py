"""What the plant's own water does to the liquid poured on it, as a plan says it, whatever the way.

The water is that of the lot: its loss on drying, tested or stated. The masses of a step count it anyway; here it is
told, with the strength to pour for the strength that is wanted and what a fresh plant is in dry plant.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from stillroom.science.extraction.fresh_plant import least_to_pour_g, strength_on_plant, strength_to_pour
from stillroom.stream.components import (
    ETHANOL,
    FIXED_OIL,
    GLYCEROL,
    LIQUIDS,
    WATER,
    Array,
    Grams,
    only,
    whole_mass,
)
from stillroom.stream.kind import RunFigure
from stillroom.stream.kinds.bed import dry_plant_g, liquid_ml
from stillroom.substances.spirits import oiml_r22, spirit_mass_fraction, spirit_volume_fraction_20c
from stillroom.texts.catalogue import later, t

FRESH_SHARE = 0.30
"""Water from which a plant is called fresh (chosen; dried plants hold 5 to 15 %). [g/g]"""
APART_PERCENT = 2.0
"""From here on the strength on the plant is not the one poured. [% v/v]"""
KEEPS_PERCENT = 20.0
"""Under this strength spirit keeps a plant no better than water does (common practice, no source). [% v/v]"""
STOCK_PERCENT = 96.0
GLYCEROL_KEEPS_PERCENT = 50.0
"""Under this share of glycerol a liquid keeps no better than water does (common practice, no source). [% w/w]"""


@dataclass(frozen=True, slots=True)
class OwnWater:
    """Plant and the liquid first poured on it, every figure for each draw.

    ``plant_g``, ``dry_g``, ``water_g``: as it is, without its water, and that water. [g]
    ``poured_mass_fraction``, ``resting_mass_fraction``: strength poured, and once the plant's water is in it.
    [g/g]
    """

    plant_g: Array
    dry_g: Array
    water_g: Array
    poured_ml: Array
    """The first portion. [mL]"""
    poured_mass_fraction: Array
    resting_mass_fraction: Array

    @property
    def fresh(self) -> bool:
        """Whether the plant is fresh."""
        return float(np.median(self.water_g / self.plant_g)) >= FRESH_SHARE


def own_water(plant: Grams, liquid: Grams, portions: int = 1) -> OwnWater:
    """What the plant's water does to what is poured on it first.

    Parameters
    ----------
    plant, liquid : array
        Grams of components by draws, all portions together. [g]
    portions : int
        Equal portions the liquid is poured in. [1]
    """
    first = only(liquid, *LIQUIDS) / portions
    poured_g = whole_mass(first)
    poured = first[ETHANOL] / poured_g
    return OwnWater(
        whole_mass(plant),
        dry_plant_g(plant),
        np.asarray(plant[WATER]),
        liquid_ml(first),
        poured,
        strength_on_plant(poured_g, poured, plant[WATER]),
    )


def water_figures(one: OwnWater) -> tuple[RunFigure, ...]:
    """Figures worth a look before it begins."""
    dry = (
        RunFigure(later("Dry plant in it"), one.dry_g, "g"),
        RunFigure(later("Water the plant brings"), one.water_g, "g"),
        RunFigure(
            later("Liquid to dry plant, its own water in"), (one.poured_ml + one.water_g) / one.dry_g, "mL/g"
        ),
    )
    if not one.poured_mass_fraction.max() > 0.0:
        return dry
    return (
        RunFigure(later("Strength poured"), _percent(one.poured_mass_fraction), "% v/v"),
        RunFigure(
            later("Strength on the plant, its own water in"), _percent(one.resting_mass_fraction), "% v/v"
        ),
        *dry,
    )


def water_says(one: OwnWater) -> Iterable[str]:
    """What is to be known of it before it begins."""
    fresh_g, dry_g, water_g = (float(np.median(grams)) for grams in (one.plant_g, one.dry_g, one.water_g))
    if one.fresh:
        yield t(
            "Fresh plant: {fresh:.0f} g of it are {dry:.0f} g dry and bring {water:.0f} g of water. Compare it with "
            "other runs by its dry mass.",
            fresh=fresh_g, dry=dry_g, water=water_g,
        )  # fmt: skip
    wanted = float(np.median(one.poured_mass_fraction))
    poured, resting = (
        float(_percent(np.median(share))) for share in (wanted, np.median(one.resting_mass_fraction))
    )
    if poured - resting < APART_PERCENT:
        return
    volume_ml = float(np.median(one.poured_ml))
    pour = strength_to_pour(wanted, volume_ml, water_g, oiml_r22())
    stock = spirit_mass_fraction(STOCK_PERCENT / 100.0)
    if pour <= stock:
        yield t(
            "Poured is {poured:.0f} % v/v; with the plant's own water it is {resting:.0f} % v/v. For {poured:.0f} % "
            "v/v on the plant pour {pour:.0f} % v/v.",
            poured=poured, resting=resting, pour=float(_percent(pour)),
        )  # fmt: skip
    elif wanted < stock:
        yield t(
            "Poured is {poured:.0f} % v/v; with the plant's own water it is {resting:.0f} % v/v. For {poured:.0f} % "
            "v/v on the plant so little spirit is never strong enough: take {least:.0f} g of {stock:.0f} % v/v, or dry "
            "the plant first.",
            poured=poured, resting=resting, stock=STOCK_PERCENT,
            least=float(least_to_pour_g(wanted, stock, water_g)),
        )  # fmt: skip
    else:
        yield t(
            "Poured is {poured:.0f} % v/v; with the plant's own water it is {resting:.0f} % v/v.",
            poured=poured, resting=resting,
        )  # fmt: skip
    if resting < KEEPS_PERCENT:
        yield t("So weak it keeps no longer than a watery extract does: a day, and in the cold.")


def stays_says(plant: Grams, liquid: Grams) -> Iterable[str]:
    """What is to be known of glycerol or oil before it begins: whether it keeps with the plant's own water in it.

    Parameters
    ----------
    plant, liquid : array
        Grams of components by draws. [g]
    """
    water_g = float(np.median(plant[WATER]))
    glycerol_g, oil_g, in_liquid_g = (float(np.median(liquid[row])) for row in (GLYCEROL, FIXED_OIL, WATER))
    if oil_g > 0 and water_g >= FRESH_SHARE * float(np.median(whole_mass(plant))):
        yield t(
            "Fresh plant brings {water:.0f} g of water into the oil, and in it grows what cannot be seen or "
            "smelled. Dry the plant first.", water=water_g,
        )  # fmt: skip
    if glycerol_g > 0 and not float(np.median(liquid[ETHANOL])) > 0:
        percent = 100.0 * glycerol_g / (glycerol_g + in_liquid_g + water_g)
        if percent < GLYCEROL_KEEPS_PERCENT:
            yield t(
                "With the plant's own water it is {percent:.0f} % w/w glycerol; below {least:.0f} % it does not keep: "
                "take more glycerol, or keep it cold and use it within days.",
                percent=percent, least=GLYCEROL_KEEPS_PERCENT,
            )  # fmt: skip


def _percent(ethanol_mass_fraction: Array | float) -> Array:
    return np.asarray(100.0 * np.asarray(spirit_volume_fraction_20c(np.asarray(ethanol_mass_fraction))))
