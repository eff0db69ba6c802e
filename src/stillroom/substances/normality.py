"""Protons that a mole of an acid gives or of an alkali takes, and "0.1 N" said in moles by them.

Promises a number only where every reaction gives the same; phosphoric, carbonic and citric acid have none.
"""

import re

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, published
from stillroom.quantities.numbers import NUMBER, cleaned, number_in
from stillroom.reference.tables import row
from stillroom.substances.acids import SOLUTES, solute_in

_NORMAL = re.compile(rf"({NUMBER})\s?(?:N|normal|eq/L)", re.IGNORECASE)
_PART_NORMAL = re.compile(r"N\s?/\s?([0-9]+)", re.IGNORECASE)


def protons_of(text: str) -> Answer | None:
    """Protons of the acid or alkali that a text names [1].

    Parameters
    ----------
    text : str
        "sulfuric acid 0.05 mol/L", "NaOH" [text].

    Returns
    -------
    Answer or None
        2 of sulfuric acid; None where none is named, or where it hangs on the reaction [1].
    """
    solute = solute_in(text)
    found = row(SOLUTES, solute) if solute else None
    if found is None or found["protons"] is None:
        return None
    return published(
        f"protons of {solute}", found.number("protons"), "", f"{SOLUTES}, {solute}",
        sources=(found.words("source"),),
    )  # fmt: skip


def in_moles(text: str, of: str, *, where: str) -> str:
    """A strength as it was written, one in equivalents as moles.

    Parameters
    ----------
    text : str
        "0.1 N", "0,1 normal", "N/10"; anything else is left as it is [text].
    of : str
        What it is a strength of [text].
    where : str
        The field [text].

    Returns
    -------
    str
        "0.05 mol/L" for sulfuric acid [text].

    Raises
    ------
    BadEntry
        It is in equivalents, and how many a mole has is not known.
    """
    words = cleaned(text, where=where)
    normal, part = _NORMAL.fullmatch(words), _PART_NORMAL.fullmatch(words)
    if normal is None and part is None:
        return text
    protons = protons_of(of)
    if protons is None:
        raise BadEntry(
            "A normality counts protons, and how many a mole has hangs on the reaction",
            worded("{text} of {of}", text=repr(words[:40]), of=of[:60] or "nothing named"),
            "Write it in mol/L",
            where=where,
        )
    value = number_in(normal[1], where=where).value if normal else 1.0 / max(int(part[1]), 1) if part else 0.0
    return f"{value / protons.value!r} mol/L"
