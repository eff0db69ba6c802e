"""Kinds of step: ``KINDS`` by name. A procedure's step names one of them."""

from stillroom.stream.kind import Kind
from stillroom.stream.kinds.boiling import DISTIL, DRIVE_OFF
from stillroom.stream.kinds.bottling import BLEND, FILL
from stillroom.stream.kinds.cleaning import ACIDIFY, BASIFY
from stillroom.stream.kinds.drying import DRY, SET_ASIDE, STRIP
from stillroom.stream.kinds.mixing import MIX, MIX_TO_STRENGTH, MOISTEN
from stillroom.stream.kinds.percolating import PERCOLATE
from stillroom.stream.kinds.shaking import PARTITION

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        MIX_TO_STRENGTH,
        MIX,
        MOISTEN,
        PERCOLATE,
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
