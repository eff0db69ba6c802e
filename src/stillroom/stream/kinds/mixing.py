"""Mixing: to a wanted strength, without more ado, and the wetting of the plant."""

from collections.abc import Mapping

import numpy as np

from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.science.liquids.dilution import stock_and_water_g
from stillroom.stream.components import ETHANOL, FIXED_OIL, GLYCEROL, WATER, Grams, Number, only, whole_mass
from stillroom.stream.kind import STANDS, Feed, Settings, StepKind, StepOutput, Work
from stillroom.substances.carriers import OIL_G_ML, glycerol_g_ml
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from stillroom.texts.catalogue import later

Made = Mapping[str, Number]


def stock_and_water(feeds: tuple[Feed, ...], settings: Settings, scale_g: Number) -> tuple[Number, ...]:
    """Grams of stock spirit and of water for the wanted spirit: masses first, volumes are not added.

    Notes
    -----
    m = V rho(p), parted as every dilution is.
    """
    wanted = spirit_mass_fraction(settings["want_volume_fraction_20c"])
    density_g_ml = np.asarray(spirit_density_kg_m3(wanted, 20.0)) / 1000.0
    spirit_g = np.asarray(scale_g) * settings["spirit_ml_per_g"] * density_g_ml
    stock_fraction = np.asarray(feeds[0].makeup["ethanol"])
    stock_g, water_g = stock_and_water_g(spirit_g, stock_fraction, wanted)
    if np.min(water_g) < 0:
        raise NotEnough(
            "The stock spirit must be stronger than the spirit wanted",
            worded(
                "{stock_fraction:.3f} by mass where {wanted:.3f} is wanted",
                stock_fraction=float(np.min(stock_fraction)),
                wanted=float(np.max(wanted)),
            ),
            "Take stronger stock, or ask for a weaker spirit",
        )
    return stock_g, water_g


def _to_strength(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    together = inlets[0] + inlets[1]
    gone = only(together, ETHANOL) * settings["evaporated_share"]
    return StepOutput((together - gone,), {"evaporated while mixing": gone})


def _together(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:  # noqa: ARG001
    return StepOutput((np.sum(inlets, axis=0),))


def _wetted(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    plant, liquid = inlets
    density_g_ml = liquid_density_g_ml(liquid)
    wetting_g = whole_mass(plant) * settings["wetting_ml_per_g"] * density_g_ml
    share = wetting_g / np.maximum(whole_mass(liquid), 1e-30)
    if share.max() > 1.0:
        raise NotEnough(
            "There must be enough liquid to wet the plant",
            worded("{max:.2f} times what there is", max=share.max()),
            "Take more spirit",
        )
    taken = liquid * share
    return StepOutput((plant + taken, liquid - taken))


def liquid_density_g_ml(stream: Grams) -> Grams:
    """Density at 20 °C of the liquid in a stream; what is dissolved is left out.

    Glycerol and oil add their volumes to that of water and spirit (glycerol and water shrink by up to 1 %).

    Parameters
    ----------
    stream : array
        Grams of components by draws. [g]

    Returns
    -------
    array
        Density. [g/mL]

    Raises
    ------
    BadEntry
        There is no liquid.
    """
    watery_g = stream[WATER] + stream[ETHANOL]
    stays_g = stream[GLYCEROL] + stream[FIXED_OIL]
    liquid_g = watery_g + stays_g
    if not liquid_g.min() > 0:
        raise BadEntry("There must be some water, spirit, glycerol or oil here", "none")
    spirit_g_ml = (
        np.asarray(spirit_density_kg_m3(stream[ETHANOL] / np.maximum(watery_g, 1e-30), 20.0)) / 1000.0
    )
    if not stays_g.any():
        return spirit_g_ml
    volume_ml = watery_g / spirit_g_ml + stream[GLYCEROL] / glycerol_g_ml() + stream[FIXED_OIL] / OIL_G_ML
    return np.asarray(liquid_g / volume_ml)


def _stirring(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(hands_min=1.0 * whole_mass(outlets[0]) / 1000.0)


MIX_TO_STRENGTH = StepKind(
    "mix to strength",
    inlets=("stock spirit", "water"),
    outlets=("spirit",),
    losses=("evaporated while mixing",),
    settings=("want_volume_fraction_20c", "spirit_ml_per_g", "evaporated_share"),
    weighed=("stock spirit", "water"),
    says="Stock spirit and water are weighed together; the volume shrinks and is not what is measured.",
    when_off=later(
        "Nothing is heated: close the spirit. A digital scale has lost its tare: weigh the vessel again."
    ),
    works=_to_strength,
    asks=_stirring,
    takes_up=stock_and_water,
    cautions=("flammable-vapour", "spirit-law"),
    sources=("oiml-r22-1975",),
    does="brings to strength",
)
MIX = StepKind(
    "mix",
    inlets=("anything",),
    outlets=("mixture",),
    losses=(),
    settings=(),
    weighed=("anything", "mixture"),
    says="What goes in is stirred until it is one.",
    when_off=later(
        "Switch the stirrer off at the plug. A digital scale has lost its tare: weigh the vessel again."
    ),
    works=_together,
    any_number=True,
    does="mixes",
    reckons_stays=True,
)
MOISTEN = StepKind(
    "moisten",
    inlets=("plant", "liquid"),
    outlets=("moist plant", "liquid left"),
    losses=(),
    settings=("wetting_ml_per_g",),
    weighed=("plant",),
    says="The ground plant takes up some of the liquid and swells before it is packed.",
    when_off=STANDS,
    works=_wetted,
    cautions=("dust",),
)
