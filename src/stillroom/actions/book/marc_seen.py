"""What was seen of the dried marc of a batch: all of it weighed, and perhaps a portion extracted again."""

from dataclasses import dataclass

from stillroom.answers.marc_checked import left_in_marc
from stillroom.evidence.answer import Answer, reading
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.store.reader import Reader

PORTION, FOUND, MARC, COLLECTED = (
    "marc extracted again",
    "its dry residue",
    "dry marc in all",
    "dry extract of the run",
)
MARC_CHECKED = "marc checked"


@dataclass(frozen=True, slots=True)
class MarcSeen:
    """The marc of a batch as it was checked last.

    ``portion``, ``residue``, ``collected``: what was extracted again, what that gave, and what the run gave,
    dry. [g, mg, g]
    """

    marc: Answer
    """Dried, all of it. [g]"""
    portion: Answer | None = None
    residue: Answer | None = None
    collected: Answer | None = None

    @property
    def left(self) -> Answer | None:
        """Share left in it, of all that the run and it held; None where nothing was extracted again [%]."""
        if self.portion is None or self.residue is None or self.collected is None:
            return None
        return left_in_marc(self.portion, self.residue, self.marc, self.collected)


def marc_seen(look: Reader, batch: str) -> MarcSeen | None:
    """The last check of the marc of a batch; None where there was none."""
    last = {one.body.what: one for one in look.readings(batch, series=MARC_CHECKED)}
    if MARC not in last:
        return None
    return MarcSeen(
        _read(last[MARC]), *(_read(last[one]) if one in last else None for one in (PORTION, FOUND, COLLECTED))
    )


def _read(entry: Entry[ReadingTaken]) -> Answer:
    body = entry.body
    return reading(body.what, body.value, body.unit, f"entry {entry.entry_no}", entry_no=entry.entry_no)
