"""Kinds of step: ``KINDS`` by name. A procedure's step names one of them."""

from stillroom.stream.kind import STANDS, Bed, Does, Reagent, StepKind
from stillroom.stream.kinds.boiling import DISTIL, DRIVE_OFF
from stillroom.stream.kinds.boiling_under_reflux import REFLUX
from stillroom.stream.kinds.bottling import BLEND, FILL
from stillroom.stream.kinds.cleaning import ACIDIFY, BASIFY
from stillroom.stream.kinds.concentrating import CONCENTRATE, EVAPORATE
from stillroom.stream.kinds.drying import DRY, SET_ASIDE, STRIP
from stillroom.stream.kinds.filtering import FILTER
from stillroom.stream.kinds.infusing import INFUSE
from stillroom.stream.kinds.macerating import MACERATE, PRESS
from stillroom.stream.kinds.mixing import MIX, MIX_TO_STRENGTH, MOISTEN
from stillroom.stream.kinds.percolating import PERCOLATE, PERCOLATE_IN_TWO
from stillroom.stream.kinds.preparing_plants import DRY_PLANT, GRIND
from stillroom.stream.kinds.shaking import PARTITION
from stillroom.stream.kinds.siphoning import SOXHLET
from stillroom.stream.kinds.steaming import HYDRODISTIL, SEPARATE_OIL
from stillroom.texts.catalogue import t

KINDS: dict[str, StepKind] = {
    kind.name: kind
    for kind in (
        DRY_PLANT,
        GRIND,
        MIX_TO_STRENGTH,
        MIX,
        MOISTEN,
        MACERATE,
        PRESS,
        PERCOLATE,
        PERCOLATE_IN_TWO,
        SOXHLET,
        REFLUX,
        INFUSE,
        FILTER,
        HYDRODISTIL,
        SEPARATE_OIL,
        CONCENTRATE,
        EVAPORATE,
        DISTIL,
        DRIVE_OFF,
        ACIDIFY,
        BASIFY,
        PARTITION,
        STRIP,
        DRY,
        SET_ASIDE,
        BLEND,
        FILL,
    )
}


def kind_does(kind: str, what: Does) -> bool:
    """Whether a step of a kind does something; one of no known kind does nothing.

    Parameters
    ----------
    kind : str
        As a procedure names it. [text]
    what : str
        As a kind says it of itself. [text]
    """
    return kind in KINDS and KINDS[kind].does == what


def takes_reagent(kind: str, reagent: Reagent) -> bool:
    """Whether a step of a kind takes a reagent from the shelf beside the liquor.

    Parameters
    ----------
    kind, reagent : str
        As ``kind_does``. [text]
    """
    return kind in KINDS and KINDS[kind].reagent == reagent


def bed_of(kind: str) -> Bed:
    """How the plant lies in the liquid while a step of a kind is watched; "" for no such watch.

    Parameters
    ----------
    kind : str
        As ``kind_does``. [text]
    """
    return KINDS[kind].bed if kind in KINDS else ""


def when_off(kind: str) -> str:
    """What a step of a kind needs when water or power goes.

    Parameters
    ----------
    kind : str
        As ``kind_does``. [text]
    """
    return t(KINDS[kind].when_off if kind in KINDS else STANDS)


__all__ = ["KINDS", "bed_of", "kind_does", "takes_reagent", "when_off"]
