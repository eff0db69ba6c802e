"""Boiling spirit off in a simple still: one plate, no column, by Rayleigh's equation on ethanol-water.

What is dissolved stays in the flask and is taken not to change the boiling. A liquid that holds another
volatile component is refused rather than guessed.
"""

import numpy as np

from stillroom.errors import OutsideModel, worded
from stillroom.science.liquids.distilling import Distilled, distil_to_residue, distil_to_share
from stillroom.stream.components import ETHANOL, SOLVENT, WATER, Grams
from stillroom.stream.kind import ALTITUDE_M, BOILING, Settings, StepKind, StepOutput, Work
from stillroom.stream.kinds.heating import heated, pressure_over
from stillroom.substances.spirits import spirit_still

PAST_CONDENSER = "vapour past the condenser"


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


def _liquid(inlet: Grams) -> tuple[Grams, Grams]:
    refuse_other_solvents(inlet)
    liquid_g = inlet[WATER] + inlet[ETHANOL]
    return liquid_g, inlet[ETHANOL] / liquid_g


def _apart(inlet: Grams, boiled: "Distilled[Grams]", settings: Settings) -> StepOutput:
    vapour = np.zeros_like(inlet)
    vapour[ETHANOL] = boiled.distillate_mass_g * boiled.distillate_mass_fraction
    vapour[WATER] = boiled.distillate_mass_g - vapour[ETHANOL]
    gone = vapour * settings["past_condenser_share"]
    return StepOutput((vapour - gone, inlet - vapour), {PAST_CONDENSER: gone})


def _to_share(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    mass_g, fraction = _liquid(inlets[0])
    curve = spirit_still(pressure_over(settings))
    return _apart(inlets[0], distil_to_share(mass_g, fraction, settings["ethanol_share"], curve), settings)


def _to_residue(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    mass_g, fraction = _liquid(inlets[0])
    curve = spirit_still(pressure_over(settings))
    wanted = np.minimum(settings["residue_ethanol_mass_fraction"], fraction)
    return _apart(inlets[0], distil_to_residue(mass_g, fraction, wanted, curve), settings)


def _boiling(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
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
    losses=(PAST_CONDENSER,),
    settings=("ethanol_share", *SETTINGS),
    weighed=("recovered spirit", "residue"),
    says="A simple still gives back the spirit, weaker than a column would, until the wanted share is over.",
    when_off=BOILING,
    works=_to_share,
    asks=_boiling,
    cautions=CAUTIONS,
    sources=("ethanol-water-nrtl-vle-ig", "perry-8-dippr101"),
    told=(ALTITUDE_M,),
    does="recovers",
    runs_in=("still", "heater"),
)
DRIVE_OFF = StepKind(
    "drive off spirit",
    inlets=("liquid",),
    outlets=("tails", "residue"),
    losses=(PAST_CONDENSER,),
    settings=("residue_ethanol_mass_fraction", *SETTINGS),
    weighed=("tails", "residue"),
    says="Boiling goes on until hardly any spirit is left, since spirit would spoil the shaking-out.",
    when_off=BOILING,
    works=_to_residue,
    asks=_boiling,
    cautions=CAUTIONS,
    sources=("ethanol-water-nrtl-vle-ig", "perry-8-dippr101"),
    told=(ALTITUDE_M,),
    does="recovers",
    runs_in=("heater",),
)
