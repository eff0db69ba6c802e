"""Kinds of step: ``KINDS`` by name. A procedure's step names one of them."""

from stillroom.stream.kind import Kind
from stillroom.stream.kinds.boiling import DISTIL, DRIVE_OFF
from stillroom.stream.kinds.bottling import BLEND, FILL
from stillroom.stream.kinds.cleaning import ACIDIFY, BASIFY
from stillroom.stream.kinds.concentrating import CONCENTRATE, EVAPORATE
from stillroom.stream.kinds.drying import DRY, SET_ASIDE, STRIP
from stillroom.stream.kinds.filtering import FILTER
from stillroom.stream.kinds.infusing import INFUSE
from stillroom.stream.kinds.macerating import MACERATE, PRESS
from stillroom.stream.kinds.mixing import MIX, MIX_TO_STRENGTH, MOISTEN
from stillroom.stream.kinds.percolating import PERCOLATE
from stillroom.stream.kinds.shaking import PARTITION
from stillroom.stream.kinds.siphoning import SOXHLET
from stillroom.stream.kinds.steaming import HYDRODISTIL, SEPARATE_OIL

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        MIX_TO_STRENGTH,
        MIX,
        MOISTEN,
        MACERATE,
        PRESS,
        PERCOLATE,
        SOXHLET,
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

__all__ = ["KINDS"]
