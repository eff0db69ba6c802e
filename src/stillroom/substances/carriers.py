"""Liquids that stay in the extract they make: glycerol and plant oils. They do not burn like spirit.

Promises to know only what its table lists; an oil that goes over with steam is none of them.
"""

import re
from dataclasses import dataclass
from functools import cache

from stillroom.reference.tables import Row, table

TABLE = "carriers"
GLYCEROL, FIXED_OIL = "glycerol", "fixed oil"
OIL_G_ML = 0.918
"""Density of a plant oil, whichever it is: 0.913 to 0.922 in the table (chosen). [g/mL]"""
_OF_A_STRENGTH = re.compile(r"(.*?)[\s,]+([0-9]+(?:[.,][0-9]+)?)\s*%(?:\s*w/w)?$")


@dataclass(frozen=True, slots=True)
class Carrier:
    """A liquid of a line that stays in what it dissolves."""

    component: str
    """As the stream calls it."""
    share: float
    """Of it by mass; the rest is water. [1]"""
    density_20c_g_ml: float
    """Of the carrier itself. [g/mL]"""


@cache
def carrier(substance: str) -> Carrier | None:
    """The carrier that a line is of; None where it is none.

    Parameters
    ----------
    substance : str
        "sunflower oil", "glycerol 85 %", "olive oil, refined".
    """
    words = " ".join(substance.casefold().split())
    strong = _OF_A_STRENGTH.fullmatch(words)
    name = strong[1] if strong else words.partition(",")[0].strip()
    found = next((one for one in table(TABLE).rows if name in _names(one)), None)
    if found is None:
        return None
    component = found.words("component")
    share = float(strong[2].replace(",", ".")) / 100.0 if strong and component == GLYCEROL else 1.0
    return Carrier(component, min(share, 1.0), found.number("density_20c_g_ml"))


def _names(one: Row) -> tuple[str, ...]:
    return one.key, *one.words("also_called").split(";")


@cache
def glycerol_g_ml() -> float:
    """Density of glycerol at 20 °C [g/mL]."""
    return next(one.number("density_20c_g_ml") for one in table(TABLE).rows if one.key == GLYCEROL)
