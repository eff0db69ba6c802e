"""Boiling spirit off in a simple still: one plate, no column, by Rayleigh's equation on ethanol-water.

What is dissolved stays in the flask and is taken not to change the boiling. A liquid that holds another
volatile component is refused rather than guessed.
"""

import numpy as np

from stillroom.errors import OutsideModel, worded
from stillroom.science.liquids.distilling import Distilled, distil_to_mass, distil_to_residue, distil_to_share
from stillroom.stream.components import ETHANOL, SOLVENT, WATER, Array, Grams
from stillroom.stream.kind import (
    ALTITUDE_M,
    BOILING,
    Runs,
    Settings,
    Shows,
    StepKind,
    StepOutput,
    Work,
    Works,
)
from stillroom.stream.kinds.heating import heated, pressure_over
from stillroom.stream.kinds.stopping import (
    BROKEN,
    STOP_ML,
    STOPS,
    OverG,
    broken_by_dose,
    how_it_stops,
    to_boil_off_g,
)
from stillroom.substances.spirits import spirit_still

PAST_CONDENSER = "vapour past the condenser"
LAST_ETHANOL_SHARE = 0.999
FIRST_CUT = 0.9
NO_ETHANOL = 1e-5
NEAR_AZEOTROPE = 0.9995
"""From this part of the azeotrope's strength on spirit distils unchanged. [1]"""


def refuse_other_solvents(inlet: Grams) -> None:
    """Refuse a liquid whose boiling is not that of ethanol and water.

    Raises
    ------
    OutsideModel
        There is ethyl acetate in it.
    """
    if inlet[SOLVENT].max() > 0:
        raise OutsideModel(
            "A simple still is calculated for ethanol and water only",
            worded("a liquid with up to {max:.3g} g of ethyl acetate", max=inlet[SOLVENT].max()),
            "Strip the solvent first",
        )


def ethanol_over_g(mass_g: Array, fraction: Array, over_g: Array, pressure_pa: float) -> Array:
    """Ethanol in a distillate of the given mass; past the last of it only water comes [g].

    Parameters
    ----------
    mass_g, over_g : array
        Water and ethanol, and how much of it goes over. [g]
    fraction : array
        Its ethanol by mass. [g/g]
    pressure_pa : float
        [Pa]
    """
    curve = spirit_still(pressure_pa)
    strongest = NEAR_AZEOTROPE * float(curve.azeotrope_mass_fraction)
    boils = np.clip(fraction, NO_ETHANOL, strongest)
    last = distil_to_share(mass_g, boils, LAST_ETHANOL_SHARE, curve)
    first_g = np.minimum(np.minimum(over_g, np.asarray(last.distillate_mass_g)), FIRST_CUT * mass_g)
    first = distil_to_mass(mass_g, boils, first_g, curve)
    left_g, left = np.asarray(first.residue_mass_g), np.asarray(first.residue_mass_fraction)
    more_g = np.minimum(np.minimum(over_g, np.asarray(last.distillate_mass_g)) - first_g, 0.99 * left_g)
    more = distil_to_mass(left_g, np.maximum(left, 2e-6), np.maximum(more_g, 0.0), curve)
    came_g = first_g * np.asarray(first.distillate_mass_fraction) + np.maximum(more_g, 0.0) * np.asarray(
        more.distillate_mass_fraction
    )
    came_g = np.where(fraction > strongest, over_g * fraction, came_g)
    return np.asarray(np.where(fraction > NO_ETHANOL, np.minimum(came_g, mass_g * fraction), 0.0))


def _over_of(settings: Settings) -> OverG:
    """Ethanol in a distillate of so many grams, at the pressure here."""
    pressure_pa = pressure_over(settings)

    def over(liquid: Grams, over_g: Array) -> Array:
        mass_g = liquid[WATER] + liquid[ETHANOL]
        return ethanol_over_g(mass_g, liquid[ETHANOL] / np.maximum(mass_g, 1e-30), over_g, pressure_pa)

    return over


def distilled_to_stop(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    """Distilled down to the mark on the flask, or to the wanted share of solids.

    Parameters
    ----------
    inlets : tuple of array
        The liquid. [g]
    settings : mapping
        ``stop_at_ml`` [mL], else ``soft_extract_solids_mass_fraction`` [g/g]; ``past_condenser_share`` [1].
    """
    (liquid,) = inlets
    refuse_other_solvents(liquid)
    over = _over_of(settings)
    over_g = to_boil_off_g(liquid, settings, over)
    vapour = np.zeros_like(liquid)
    vapour[ETHANOL] = over(liquid, over_g)
    vapour[WATER] = np.minimum(over_g - vapour[ETHANOL], liquid[WATER])
    vapour[ETHANOL] = np.minimum(over_g - vapour[WATER], liquid[ETHANOL])
    return _apart(liquid, vapour, settings)


def _boiled(inlet: Grams, boiled: "Distilled[Grams]", settings: Settings) -> StepOutput:
    vapour = np.zeros_like(inlet)
    vapour[ETHANOL] = boiled.distillate_mass_g * boiled.distillate_mass_fraction
    vapour[WATER] = boiled.distillate_mass_g - vapour[ETHANOL]
    return _apart(inlet, vapour, settings)


def _apart(inlet: Grams, vapour: Grams, settings: Settings) -> StepOutput:
    """What is caught and what stays, less what the warmth takes of the marker where its rate is known."""
    gone, left = vapour * settings["past_condenser_share"], inlet - vapour
    broken = broken_by_dose(inlet, left, settings, _over_of(settings))
    return StepOutput((vapour - gone, left - broken), {PAST_CONDENSER: gone, BROKEN: broken})


def _to_share(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    if STOP_ML in settings:
        return distilled_to_stop(inlets, settings)
    mass_g, fraction = _liquid(inlets[0])
    curve = spirit_still(pressure_over(settings))
    return _boiled(inlets[0], distil_to_share(mass_g, fraction, settings["ethanol_share"], curve), settings)


def _to_residue(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    if STOP_ML in settings:
        return distilled_to_stop(inlets, settings)
    mass_g, fraction = _liquid(inlets[0])
    curve = spirit_still(pressure_over(settings))
    wanted = np.minimum(settings["residue_ethanol_mass_fraction"], fraction)
    return _boiled(inlets[0], distil_to_residue(mass_g, fraction, wanted, curve), settings)


def _liquid(inlet: Grams) -> tuple[Grams, Grams]:
    refuse_other_solvents(inlet)
    liquid_g = inlet[WATER] + inlet[ETHANOL]
    return liquid_g, inlet[ETHANOL] / liquid_g


def stops_in_still(works: Works) -> Shows:
    """How a still stops, and what its warmth weighs, from what a kind of step does.

    Parameters
    ----------
    works : callable
        Of the kind; its second outlet is what is left. [g]
    """

    def shows(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
        return how_it_stops(
            inlets[0], lambda: works(inlets, settings).outlets[1], settings, _over_of(settings)
        )

    return shows


def boiling_work(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    """What a still asks of people and house.

    Parameters
    ----------
    inlets, outlets : tuple of array
        The first of each is boiled and caught. [g]
    settings : mapping
        As ``heated``.
    """
    return heated(inlets[0], outlets[0], settings)


SETTINGS = ("past_condenser_share", "heater_w", "heat_reaching_share")
CAUTIONS = (
    "closed-apparatus",
    "heat-without-cooling",
    "leaving-the-room",
    "bumping",
    "flammable-vapour",
    "spirit-law",
    "water-or-power-off",
)
DISTIL = StepKind(
    "distil",
    inlets=("liquid",),
    outlets=("recovered spirit", "residue"),
    losses=(PAST_CONDENSER, BROKEN),
    settings=("ethanol_share", *SETTINGS),
    weighed=("recovered spirit", "residue"),
    says="A simple still gives back the spirit, weaker than a column would, until the wanted share is over.",
    when_off=BOILING,
    works=_to_share,
    asks=boiling_work,
    cautions=CAUTIONS,
    sources=("ethanol-water-nrtl-vle-ig", "perry-8-dippr101"),
    told=(ALTITUDE_M,),
    does="recovers",
    may=STOPS,
    shows=stops_in_still(_to_share),
    runs_in=("still", "heater"),
)
DRIVE_OFF = StepKind(
    "drive off spirit",
    inlets=("liquid",),
    outlets=("tails", "residue"),
    losses=(PAST_CONDENSER, BROKEN),
    settings=("residue_ethanol_mass_fraction", *SETTINGS),
    weighed=("tails", "residue"),
    says="Boiling goes on until hardly any spirit is left, since spirit would spoil the shaking-out.",
    when_off=BOILING,
    works=_to_residue,
    asks=boiling_work,
    cautions=CAUTIONS,
    sources=("ethanol-water-nrtl-vle-ig", "perry-8-dippr101"),
    told=(ALTITUDE_M,),
    does="recovers",
    may=STOPS,
    shows=stops_in_still(_to_residue),
    runs_in=("heater",),
)
