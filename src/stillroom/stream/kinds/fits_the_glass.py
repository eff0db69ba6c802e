"""What heater, flask and condenser at hand cannot do for a step that boils; it stands in a plan's way only."""

from collections.abc import Iterable

import numpy as np

from stillroom.errors import NotEnough, StillroomError, worded
from stillroom.stream.components import Array
from stillroom.stream.kind import Settings
from stillroom.texts.catalogue import t

EXTRACTOR, THIMBLE, FLASK, HEATER, CONDENSER = (
    "owned_extractor_ml", "owned_thimble_ml", "owned_flask_ml", "owned_heater_w", "owned_condenser_w",
)  # fmt: skip
GLASS = (EXTRACTOR, THIMBLE, FLASK, HEATER, CONDENSER)
"""What a step may be told of the glass the laboratory owns."""
FULLEST_FLASK = 2.0 / 3.0
"""A flask is filled to no more than this (common practice, no source; the caution says it too). [1]"""

LEAST_FULL_SHARE = 0.99
"""A filling below this share is told as one that is not full. [1]"""


def heater_is_there(wanted_w: Array, settings: Settings) -> Iterable[StillroomError]:
    """Why the heater of the plan is not there; nothing where nobody said what there is.

    Parameters
    ----------
    wanted_w : array
        [W]
    settings : mapping
        Of the step, with what it is told.
    """
    if HEATER not in settings:
        return
    wanted, owned = float(np.median(wanted_w)), float(np.median(np.asarray(settings[HEATER])))
    if wanted > owned:
        yield NotEnough(
            "The heater of the plan must be there",
            worded("{wanted:.0f} W where the strongest has {owned:.0f} W", wanted=wanted, owned=owned),
            "Set heater_w to what you have",
        )


def less_than_full(parts: Array, plant_g: Array) -> Iterable[str]:
    """What is said where the plant is less than one filling takes.

    Parameters
    ----------
    parts : array
        How many fillings the plant makes. [1]
    plant_g : array
        Dry plant of a full one. [g]
    """
    share, full_g = float(np.median(parts)), float(np.median(plant_g))
    if share < LEAST_FULL_SHARE:
        yield t(
            "The {plant:.3g} g of dry plant are less than the {full:.3g} g of a full filling; heat, siphonings and "
            "minutes are calculated as a part of a full one.",
            plant=share * full_g, full=full_g,
        )  # fmt: skip


def flask_holds(poured_ml: float, settings: Settings) -> Iterable[StillroomError]:
    """Why the flask does not hold what is poured.

    Parameters
    ----------
    poured_ml : float
        [mL]
    settings : mapping
        Of the step, with what it is told.
    """
    if FLASK not in settings:
        return
    holds_ml = FULLEST_FLASK * float(np.median(np.asarray(settings[FLASK])))
    if poured_ml > holds_ml:
        yield NotEnough(
            "The flask must hold what is poured, two thirds full at most",
            worded("{first:.0f} mL where it takes {holds:.0f} mL", first=poured_ml, holds=holds_ml),
            "Pour less, take a larger flask, or less plant in each filling",
        )


def condenser_takes(watts: Array, settings: Settings) -> Iterable[StillroomError]:
    """Why the condenser does not take up all the vapour.

    Parameters
    ----------
    watts : array
        Heat of the vapour. [W]
    settings : mapping
        Of the step, with what it is told.
    """
    if CONDENSER not in settings:
        return
    most_w, comes_w = (
        float(np.median(np.asarray(settings[CONDENSER]))), float(np.percentile(watts, 95.0)),
    )  # fmt: skip
    if comes_w > most_w:
        yield NotEnough(
            "The condenser must take up all the vapour",
            worded("{watts:.0f} W where it takes {most:.0f} W", watts=comes_w, most=most_w),
            "Heat less, or take a better condenser",
        )
