"""Words on a label that promise more than a cosmetic may.

Promises to flag words, with a safer wording: a prompt to read the sentence again, never a ruling. Intended
use decides, and a text without flags is not thereby allowed.
"""

import re
from dataclasses import dataclass
from functools import cache

from stillroom.reference.cautions import caution_as_kept
from stillroom.reference.tables import Row, table

TABLE = "claim_words"


@dataclass(frozen=True, slots=True)
class Flag:
    """A flagged word.

    Attributes
    ----------
    word : str
        As it stands in the text.
    claim : str
        What it promises.
    cosmetic_reading, medicine_reading : str
    safer_wording : str
    source : str
    caution : str
    """

    word: str
    claim: str
    cosmetic_reading: str
    medicine_reading: str
    safer_wording: str
    source: str
    caution: str

    @property
    def says(self) -> str:
        """One sentence."""
        return f"{self.word!r} promises: {self.claim}. Safer: {self.safer_wording}."


def claims(text: str) -> tuple[Flag, ...]:
    """Every flagged word of a text.

    Parameters
    ----------
    text : str
        Words for a label or a page. [text]

    Returns
    -------
    tuple of Flag
        In the order of the text; one per claim. [records]

    References
    ----------
    us-drug-claims, eu-claims-655-2013
    """
    found: list[tuple[int, Flag]] = []
    for row, pattern in _patterns():
        hit = pattern.search(text)
        if hit is None:
            continue
        found.append(
            (
                hit.start(),
                Flag(
                    word=hit[0].strip(),
                    claim=row.key,
                    cosmetic_reading=row.words("cosmetic_reading") or "not stated",
                    medicine_reading=row.words("medicine_reading") or "not stated",
                    safer_wording=row.words("safer_wording"),
                    source=row.words("source"),
                    caution=caution_as_kept("claims").full,
                ),
            )
        )
    return tuple(flag for _, flag in sorted(found, key=lambda one: one[0]))


@cache
def _patterns() -> tuple[tuple[Row, re.Pattern[str]], ...]:
    made = []
    for row in table(TABLE).rows:
        words = [one.strip() for one in row.words("words").split(";") if one.strip()]
        parts = [
            rf"\w*{re.escape(one)}\b" if one.startswith("-") else rf"\b{re.escape(one)}(?:s|es)?\b"
            for one in words
        ]
        made.append((row, re.compile("|".join(parts), re.IGNORECASE)))
    return tuple(made)
