"""Measuring vessels of the book, offered where a question asks what is filled.

Promises those whose capacity somebody wrote down. What a vessel is made of is said only where the book has it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.actions.dilute_entries import TO_THE_MARK
from stillroom.actions.laboratory import Laboratory

HOLDING = ("measure", "vessel")
MOST = 6
"""Vessels offered at once; the largest are left out last."""
ASKING = ("dilute",)
"""Questions that ask what is filled."""


@dataclass(frozen=True, slots=True)
class VesselOffered:
    """A vessel of the book.

    Attributes
    ----------
    code, words : str
        "MEAS-1", "MEAS-1, measuring flask of 250 mL".
    fields : mapping of str to str
        What a question is told when it is taken: filled to its mark.
    """

    code: str
    words: str
    fields: Mapping[str, str]


def vessels_offered(lab: Laboratory, question: str) -> tuple[VesselOffered, ...]:
    """Vessels of the book that may be filled to their mark, the smallest first.

    Parameters
    ----------
    lab : Laboratory
    question : str
        Name of a question. [text]
    """
    if question not in ASKING:
        return ()
    with lab.look() as look:
        held = [
            (one.largest, one)
            for one in look.apparatus_list()
            if one.kind in HOLDING and one.unit == "mL" and one.largest
        ]
    return tuple(
        VesselOffered(
            one.code,
            f"{one.code}, {one.name}",
            {
                "amount": f"{holds:g}",
                "amount-as": f"mL {TO_THE_MARK}",
                "vessel": one.material,
                "vessel-called": one.code,
            },
        )
        for holds, one in sorted(held, key=lambda each: each[0])[:MOST]
    )
