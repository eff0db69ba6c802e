"""Results the book holds, by their names, and the last one that counts."""

from dataclasses import replace
from math import isfinite

from stillroom.answers.restating import basis_of
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.evidence.trails import from_trail, trail
from stillroom.products.strength import strength_for
from stillroom.quantities.basis import Basis
from stillroom.records.entries import Entry, ResultReckoned
from stillroom.records.orders import StatedStrength
from stillroom.store.looking import once
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


def assay_name(counted: str, matter: str = "as is") -> str:
    """Name of the result that is an assay: "total alkaloids as quinine, as is".

    Parameters
    ----------
    counted : str
        As ``StatedStrength.counted`` says it.
    matter : str
        "as is" or "dried".
    """
    return f"{counted}, {matter}"


def assays(look: Reader, lot: str) -> tuple[Entry[ResultReckoned], ...]:
    """The last result of each assay of a lot, whether it counts or not: contents by mass, in the order first found."""
    found: dict[str, Entry[ResultReckoned]] = {}
    for entry in look.results(lot):
        if entry.body.unit == "%" and _basis(entry).reckoned_as:
            found[entry.body.what] = entry
    return tuple(found.values())


def assay_for(look: Reader, lot: str, aim: StatedStrength) -> Entry[ResultReckoned] | None:
    """The assay of a lot that serves an aim: as the same compound and as is before any other; None without one."""
    exact = latest_result(look, lot, assay_name(aim.counted))
    if exact is not None:
        return exact
    counting = [entry for entry in look.results(lot) if entry.body.counts and entry.body.unit == "%"]
    same = [entry for entry in counting if _same(_basis(entry).of, aim.of)]
    for matter in ("as is", "dried"):
        fitting = [entry for entry in same if _basis(entry).matter == matter]
        if fitting:
            return max(
                fitting, key=lambda one: (_same(_basis(one).reckoned_as, aim.reckoned_as), one.entry_no)
            )
    return None


def as_assayed(look: Reader, lot: str, counted: StatedStrength) -> StatedStrength:
    """What is counted, as the compound its assay counts it as, where nobody said one: a group is no compound.

    Parameters
    ----------
    counted : StatedStrength
        Of a procedure: "total phenols", which an assay counts as gallic acid.
    """
    found = assay_for(look, lot, counted) if _same(counted.reckoned_as, counted.of) else None
    compound = _basis(found).reckoned_as if found else None
    return replace(counted, reckoned_as=compound) if compound else counted


@once
def strength_of(look: Reader, lot: str, aim: StatedStrength) -> Answer:
    """The assay of a lot as the compound of an aim, as is.

    Raises
    ------
    BadEntry
        There is none that counts, or it cannot be brought to the basis of the aim.
    """
    found = assay_for(look, lot, aim)
    if found is None:
        raise BadEntry(
            worded("A dose follows an assay of {of} that counts", of=aim.of),
            worded("none for {lot}", lot=lot),
            "Titrate it with a blank, or enter the result of an outside laboratory",
        )
    drying = latest_result(look, lot, DRYING)
    wanted = reading("aim", aim.percent, "%", "customer's order", basis=aim.basis("product"))
    return strength_for(
        from_trail(found.body.trail),
        wanted,
        from_trail(drying.body.trail) if drying else None,
        uncertainty_needed=False,
    ).answer


def _basis(entry: Entry[ResultReckoned]) -> Basis:
    try:
        return basis_of(entry.body.basis)
    except BadEntry:
        return Basis()


def _same(one: str | None, other: str) -> bool:
    return (one or "").casefold() == other.casefold()


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
        coverage_factor=None if answer.standard_uncertainty is None or not isfinite(k) else k,
        method=method,
        counts=counts,
        because=because,
        trail=trail(answer),
        readings=readings,
    )
