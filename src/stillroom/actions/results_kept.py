"""Results the book holds, by their names, and the last one that counts."""

from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, from_trail, trail
from stillroom.records.entries import Entry, ResultReckoned
from stillroom.store.reader import Reader

RESIDUE = "solvent residue"


DRYING = "loss on drying"
AS_IS_MEAN = "total alkaloids as the mean of quinine and cinchonine, as is"


DRIED_MEAN = "total alkaloids as the mean of quinine and cinchonine, dried"


AS_IS = "total alkaloids as quinine, as is"


DRIED = "total alkaloids as quinine, dried"


def latest_result(look: Reader, lot: str, what: str) -> Entry[ResultReckoned] | None:
    """The last result of that name that counts, or None."""
    counting = [entry for entry in look.results(lot, what) if entry.body.counts]
    return counting[-1] if counting else None


def strength_of(look: Reader, lot: str) -> Answer:
    """The assay of a lot as quinine, as is.

    Raises
    ------
    BadEntry
        There is none that counts.
    """
    found = latest_result(look, lot, AS_IS)
    if found is None:
        raise BadEntry("A dose follows an assay that counts", f"none for {lot}", "Titrate it with a blank")
    return from_trail(found.body.trail)


def result_of(
    subject: str,
    what: str,
    answer: Answer,
    method: str,
    counts: bool,
    because: str,
    readings: tuple[int, ...],
    k: float = 2.0,
) -> ResultReckoned:
    """A result entry from an answer."""
    return ResultReckoned(
        subject=subject,
        what=what,
        value=answer.value,
        unit=answer.unit,
        basis=answer.basis,
        standard_uncertainty=answer.standard_uncertainty,
        coverage_factor=None if answer.standard_uncertainty is None else k,
        method=method,
        counts=counts,
        because=because,
        trail=trail(answer),
        readings=readings,
    )
