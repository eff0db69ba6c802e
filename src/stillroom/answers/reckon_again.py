"""Corrected readings and the results that still rest on the old ones.

Promises to name every superseded leaf, and to reckon a result again with the new readings by the same
functions. Does not change what was recorded: the new result is a new entry.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from stillroom.answers.budget import measured
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, leaves, reckoned_again
from stillroom.evidence.seal import Json
from stillroom.evidence.trails import from_trail


@dataclass(frozen=True, slots=True)
class Superseded:
    """A reading in a trail that was corrected since."""

    key: str
    """Key of the leaf in the trail."""
    name: str
    where: str
    entry_no: int
    """The entry the trail rests on."""
    corrected_by: int
    """The entry that replaced it, followed to the last correction."""

    @property
    def says(self) -> str:
        """One sentence."""
        return f"{self.name} (entry {self.entry_no}) was corrected by entry {self.corrected_by}: calculate again."


def readings_in(answer: Answer) -> tuple[int, ...]:
    """Numbers of the entries an answer rests on.

    Parameters
    ----------
    answer : Answer
        Any answer. [its unit]

    Returns
    -------
    tuple of int
        Each once, in rising order. [entry numbers]
    """
    found = {
        one.leaf.entry_no for one in leaves(answer) if one.leaf is not None and one.leaf.entry_no is not None
    }
    return tuple(sorted(found))


def superseded(result: Answer | Mapping[str, Json], corrected: Mapping[int, int]) -> tuple[Superseded, ...]:
    """Which leaves of a result were corrected since.

    Parameters
    ----------
    result : Answer or mapping
        An answer, or the trail it was recorded with. [its unit]
    corrected : mapping of int to int
        Entry that was corrected and the entry that replaced it. [entry numbers]

    Returns
    -------
    tuple of Superseded
        Empty when the result still stands. [records]

    Raises
    ------
    BookTrouble
        The trail cannot be trusted.
    BadEntry
        The corrections run in a circle.
    """
    answer = result if isinstance(result, Answer) else from_trail(result)
    found = []
    for one in leaves(answer):
        if one.leaf is None or one.leaf.entry_no is None or one.leaf.entry_no not in corrected:
            continue
        found.append(
            Superseded(
                one.key, one.name, one.leaf.where, one.leaf.entry_no, _last(one.leaf.entry_no, corrected)
            )
        )
    return tuple(found)


def with_new_readings(answer: Answer, new: Mapping[str, Answer], *, held: Collection[str] = ()) -> Answer:
    """The answer reckoned again with other leaves.

    Parameters
    ----------
    answer : Answer
        The old answer. [its unit]
    new : mapping of str to Answer
        Key of an old leaf and the leaf that replaces it. [their units]
    held : collection of str
        Keys of answers that were decided and do not follow the reading (a dose in the beaker). [keys]

    Returns
    -------
    Answer
        Values and uncertainties reckoned again by the same functions. [its unit]

    Raises
    ------
    BadEntry
        A replaced leaf is not in the trail, or the new one has another unit.
    """
    known = {one.key: one for one in leaves(answer)}
    for key, one in new.items():
        if key not in known:
            raise BadEntry("A reading to be replaced must be in the trail", f"{one.name!r} [{key}]")
        if known[key].unit != one.unit:
            raise BadEntry(
                worded("The new reading of {called!r} must have the unit of the old one", called=one.name),
                worded("{unit!r} for {unit_two!r}", unit=one.unit, unit_two=known[key].unit),
            )
    made: dict[str, Answer] = {}

    def make(one: Answer) -> Answer:
        if one.key in made:
            return made[one.key]
        if one.key in new:
            again = new[one.key]
        elif one.leaf is not None or one.key in held:
            again = one
        else:
            inputs = tuple((name, make(below)) for name, below in one.inputs)
            again = one if inputs == one.inputs else reckoned_again(one, inputs)
            if again is not one and one.standard_uncertainty is not None:
                again = measured(again, held=held)
        made[one.key] = again
        return again

    return make(answer)


def _last(entry_no: int, corrected: Mapping[int, int]) -> int:
    seen = {entry_no}
    while entry_no in corrected:
        entry_no = corrected[entry_no]
        if entry_no in seen:
            raise BadEntry(
                "Corrections must not run in a circle",
                worded("entry {entry_no}", entry_no=entry_no),
                "Verify the book",
            )
        seen.add(entry_no)
    return entry_no
