"""Measuring vessels of the book, offered where a question asks what is filled.

Promises those whose capacity somebody wrote down; a vessel of which one figure is known has its mark there. What a
vessel is made of is said only where the book has it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.actions.book.laboratory import Laboratory
from stillroom.questions.dilute import TO_THE_MARK
from stillroom.records.people import Apparatus

HOLDING = ("measure", "vessel")
MOST = 6
"""Vessels offered at once; the largest are left out last."""
ASKING = ("dilute",)
"""Questions that ask what is filled."""


@dataclass(frozen=True, slots=True)
class VesselOffered:
    """A vessel of the book.

    ``code``, ``words``: "MEAS-1", "MEAS-1, measuring flask of 250 mL".
    """

    code: str
    words: str
    fields: Mapping[str, str]
    """What a question is told when it is taken: filled to its mark."""


def vessels_offered(lab: Laboratory, question: str) -> tuple[VesselOffered, ...]:
    """Vessels of the book that may be filled to their mark, the smallest first.

    Parameters
    ----------
    question : str
        Name of a question. [text]
    """
    if question not in ASKING:
        return ()
    with lab.look() as look:
        held = [
            (holds, one)
            for one in look.apparatus_list()
            if one.kind in HOLDING and one.unit == "mL" and (holds := _holds_ml(one))
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


def _holds_ml(one: Apparatus) -> float | None:
    """What a vessel holds at its mark; None where nobody said. [mL]."""
    return one.largest or (one.smallest_step if one.kind == "vessel" else None)
