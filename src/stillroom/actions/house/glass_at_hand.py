"""The glass, stills and baths that the laboratory owns, as a plan and a batch are told them, and what a step ran in.

Of several extractors the one nearest to what the procedure was written for is taken, and the largest thimble, flask,
heater and condenser. Promises nothing about what fits what by its ground joints: that is looked at before heat.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.actions.book.laboratory import Laboratory
from stillroom.errors import BadEntry, worded
from stillroom.planning.plan_inputs import Known
from stillroom.planning.resemblance import kinds_numbered
from stillroom.records.entries import StepDone
from stillroom.records.people import Apparatus
from stillroom.records.procedures import Procedure, Step
from stillroom.store.reader import Reader
from stillroom.stream.kinds import KINDS
from stillroom.stream.kinds.fits_the_glass import CONDENSER, EXTRACTOR, FLASK, GLASS, HEATER, THIMBLE
from stillroom.texts.catalogue import later

OF_KIND = {
    EXTRACTOR: "extractor",
    THIMBLE: "thimble",
    FLASK: "flask",
    HEATER: "heater",
    CONDENSER: "condenser",
}
"""What a step is told, and the kind of apparatus it is told of."""
IN = {
    "extractor": later("In which extractor"),
    "flask": later("In which flask"),
    "heater": later("On which heater or bath"),
    "percolator": later("In which percolator"),
    "still": later("In which still"),
}
"""What is asked, by the kind of apparatus."""


def glass_for(look: Reader, procedure: Procedure) -> dict[str, Apparatus]:
    """The apparatus a procedure's Soxhlet or reflux would run in, by what its step is told; empty where it has none."""
    step = next((one for one in procedure.steps if is_told_of_glass(one)), None)
    if step is None:
        return {}
    owned: dict[str, list[Apparatus]] = {}
    for one in look.apparatus_list():
        if one.largest is not None:
            owned.setdefault(one.kind, []).append(one)
    wanted_ml = _written_for_ml(step)
    found = {}
    for told, kind in ((told, kind) for told, kind in OF_KIND.items() if told in told_of(step)):
        these = owned.get(kind, [])
        if these and told == EXTRACTOR and wanted_ml:
            found[told] = min(these, key=lambda one: abs((one.largest or 0.0) - wanted_ml))
        elif these:
            found[told] = max(these, key=lambda one: one.largest or 0.0)
    return found


def set_up_steps(lab: Laboratory, batch: str) -> tuple[str, ...]:
    """Names of the steps of a batch that have a set-up sheet."""
    with lab.look() as look:
        steps = look.procedure_of(batch).steps
    return tuple(one.name for one in steps if is_told_of_glass(one))


def is_told_of_glass(step: Step) -> bool:
    """Whether a step asks what glass there is."""
    return bool(told_of(step))


def told_of(step: Step) -> frozenset[str]:
    """Which glass a step asks for, by what it is told."""
    return frozenset(GLASS) & frozenset(KINDS[step.kind].told if step.kind in KINDS else ())


def known_of_glass(look: Reader, procedure: Procedure) -> list[Known]:
    """The same as inputs of a plan."""
    found = []
    for role, one in glass_for(look, procedure).items():
        entry = look.latest("apparatus added", one.code)
        entry_no = entry.entry_no if entry else None
        found.append(
            Known(
                role, f"{one.kind} {one.code}", one.largest or 0.0, one.unit, origin="reading",
                because=f"{one.code}, entry {entry_no}", entry_no=entry_no,
            )
        )  # fmt: skip
    return found


def told_of_glass(look: Reader, procedure: Procedure) -> Mapping[str, float]:
    """The same as figures, by what a step is told [mL, W]."""
    return {told: one.largest or 0.0 for told, one in glass_for(look, procedure).items()}


def _written_for_ml(step: Step) -> float:
    own = {one.name: one.value for one in step.settings}
    return own.get("charge_g", 0.0) * own.get("siphon_ml_per_g", 0.0)


@dataclass(frozen=True, slots=True)
class RunsIn:
    """A kind of apparatus that a step runs in."""

    kind: str
    there: tuple[Apparatus, ...]
    """What the laboratory owns of it, at least one."""
    taken: str
    """Code of what a plan takes: the only one, or what fits the procedure; "" where that is not known."""


def runs_in(look: Reader, procedure: Procedure, step: Step) -> tuple[RunsIn, ...]:
    """What a step may be noted to run in, of what the laboratory owns."""
    planned = {one.kind: one.code for one in glass_for(look, procedure).values()}
    found = []
    for kind in KINDS[step.kind].runs_in if step.kind in KINDS else ():
        there = tuple(one for one in look.apparatus_list() if one.kind == kind)
        if there:
            found.append(RunsIn(kind, there, there[0].code if len(there) == 1 else planned.get(kind, "")))
    return tuple(found)


def ran_in_what(look: Reader, procedure: Procedure, steps: Sequence[StepDone]) -> tuple[tuple[str, str], ...]:
    """What each kind of step of a procedure ran in; what a plan takes where nobody noted it.

    Parameters
    ----------
    steps : sequence of StepDone
        As far as they are done.
    """
    noted = {one.step: one.ran_in for one in steps}
    kinds = kinds_numbered(procedure)

    def told() -> Iterator[tuple[str, str]]:
        for step in procedure.steps:
            codes = noted.get(step.name) or tuple(one.taken for one in runs_in(look, procedure, step))
            if any(codes):
                yield kinds[step.name], " ".join(sorted(one for one in codes if one))

    return tuple(told())


def must_run_in(look: Reader, step: Step, codes: Sequence[str]) -> tuple[str, ...]:
    """Codes of apparatus as they may be noted with a step.

    Parameters
    ----------
    codes : sequence of str
        "" for one that nobody said.

    Raises
    ------
    UnknownName
        There is no such apparatus.
    BadEntry
        Such a step does not run in it, or runs in one of that kind only.
    """
    told = tuple(dict.fromkeys(one.strip() for one in codes if one.strip()))
    kinds = [look.apparatus(one).kind for one in told]
    fit = KINDS[step.kind].runs_in if step.kind in KINDS else ()
    for code, kind in zip(told, kinds, strict=True):
        if kind not in fit or kinds.count(kind) > 1:
            raise BadEntry(
                "A step runs in what it can run in, one of a kind",
                worded("{code}, a {kind}, at {step}", code=code, kind=kind, step=step.name),
                worded("Choose of {kinds}", kinds=", ".join(fit)) if fit else "Leave it out",
                where="apparatus",
            )
    return told
