"""The forecast during a batch: every weighing narrows what is still to come, and an odd one is asked about.

A weighing moves the inputs of the stream, never its outputs, so that masses close afterwards too. The stream is a
model; a weighing is therefore believed to one per cent at best (assumed), however fine the scale. One that lies too far
from the model moves nothing: it is kept, it is said not to fit, and what follows goes by what was weighed. What the
model cannot do at all is a sentence, never a refusal.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias, TypeVar

import numpy as np

from stillroom.actions.book.warmth_read import as_it_ran
from stillroom.actions.orders.remembering import ended_at
from stillroom.actions.orders.requesting import request_for, request_of_batch
from stillroom.documents.expected import Expected
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.planning.forecast import Charge
from stillroom.planning.outcome import Bend
from stillroom.planning.picture import bends_of
from stillroom.planning.request import PlanRequest
from stillroom.quantities.draws import Draws
from stillroom.records.entries import BatchBegun, Weighing
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.store.reckoned import Reckoned
from stillroom.stream.account import Account
from stillroom.stream.components import ETHANOL, MARKER, Array, whole_mass
from stillroom.stream.condition import FARTHEST, condition_through
from stillroom.stream.kind import Runs
from stillroom.substances.own import own
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import between, language

MODEL_DISCREPANCY = 0.01
A_KNIFE_POINT_G = 0.1
"""What nobody is asked about, however sure the stream is: a sample is set aside by hand (chosen). [g]"""
Found = TypeVar("Found")
Weighed: TypeAlias = tuple[tuple[str, float], ...]
"""What was weighed of what the steps gave, in the order of the procedure: name and mass. [g]"""
DRAWS = 512
PASSES = 2


@dataclass(frozen=True)
class Course:
    """A batch of an extraction under way: inputs as drawn, and as moved by what was weighed."""

    charge: Charge
    drawn: Draws
    moved: Draws
    product: str
    """What the last step gives first."""
    misfits: Mapping[str, float] = field(default_factory=dict)
    """What was weighed and does not fit the model, by name. [g]"""
    says: tuple[str, ...] = ()
    """The same in sentences, and where the model reaches no further."""

    def account(self) -> Account:
        """The stream with what was weighed, as far as the model reaches."""
        return self.charge.account(self.moved, self.misfits)

    def runs(self) -> dict[str, Runs]:
        """How its steps run with what was weighed, as far as the model reaches."""
        return self.charge.runs(self.moved, self.misfits)

    def expected(self, line: str) -> Array | None:
        """What each draw says a line would weigh [g]; None where the model does not reach it."""
        return self._mass(line, self.moved)

    def taking(self, line: str, mass_g: float) -> "Course":
        """The course after a weighing, which moves the inputs, or stands beside the model where it does not fit.

        Parameters
        ----------
        mass_g : float
            What the scale showed. [g]
        """
        expected = self.expected(line)
        if expected is None:
            return self
        odd = _odd(line, mass_g, expected)
        if not odd:
            try:
                moved = condition_through(
                    self.moved,
                    lambda draws: self._needed(line, draws),
                    mass_g,
                    MODEL_DISCREPANCY * mass_g,
                    passes=PASSES,
                    farthest=float("inf"),
                    first=expected,
                )
                self.charge.must_hold(moved)
                return replace(self, moved=moved)
            except BadEntry as error:
                odd = error.sentence
        return replace(self, misfits={**self.misfits, line: mass_g}, says=(*self.says, odd))

    def _mass(self, line: str, draws: Draws) -> Array | None:
        account = self.charge.account(draws, self.misfits, until=line)
        if not account.gives(line):
            return None
        return np.broadcast_to(whole_mass(account.given(line)), draws.count)

    def _needed(self, line: str, draws: Draws) -> Array:
        found = self._mass(line, draws)
        if found is None:
            raise BadEntry(worded("The model must reach {line}", line=line), "a step before it where it ends")
        return found


def course_of(look: Reader, batch: str) -> Course | None:
    """The course of an extraction made for an order; None for anything else, or where its plan cannot be made."""
    found = _course(look, batch)
    return found if isinstance(found, Course) else None


@once
def account_of_course(look: Reader, batch: str) -> Account | None:
    """The stream of an extraction with what was weighed, as far as the model reaches; None without a course."""
    return _of_course(look, batch, _account_after)


@once
def work_of_course(look: Reader, batch: str) -> Account | None:
    """The stream of an extraction with what was weighed and its minutes; None where there is no course."""
    course = course_of(look, batch)
    return None if course is None else course.charge.account(course.moved, course.misfits, with_work=True)


@once
def ethanol_of_course(look: Reader, batch: str) -> Account | None:
    """The same, of which the middle is kept alone, in mass and in ethanol: small, kept beside the book for years."""
    try:
        asked = _asked_of_course(look, batch)
        return None if asked is None else _middle_after(look.reckoned, batch, *asked)
    except StillroomError:
        return None


def does_not_fit(look: Reader, batch: str) -> tuple[str, ...]:
    """What of a batch does not fit its model, in sentences."""
    found, account = _course(look, batch), account_of_course(look, batch)
    if not isinstance(found, Course) or account is None:
        return (found,) if isinstance(found, str) else ()
    return (*found.says, *((account.because,) if account.because else ()))


def odd_weighings(look: Reader, batch: str, weighings: Iterable[Weighing]) -> list[str]:
    """A sentence for each weighing that lies far from what the stream expects, made for an order or not.

    Parameters
    ----------
    weighings : iterable of Weighing
        Of one step; what goes in is not looked at.
    """
    wanted = [one for one in weighings if one.direction != "in"]
    course = _course(look, batch, unordered=True) if wanted else None
    if not isinstance(course, Course):
        return []
    expected = ((one, course.expected(one.line)) for one in wanted)
    return [
        odd
        for one, masses in expected
        if masses is not None and (odd := _odd(one.line, one.actual_g, masses))
    ]


def expected_now(look: Reader, batch: str) -> tuple[Expected, ...]:
    """What an extraction is expected to give, before and with what was weighed; empty for anything else."""
    return _of_course(look, batch, _expected_after) or ()


def bends_now(look: Reader, batch: str) -> tuple[Bend, ...]:
    """The active through an extraction, with what was weighed; empty for anything else."""
    return _of_course(look, batch, _bends_after) or ()


def active_that_went_in_g(look: Reader, batch: str) -> tuple[float, float] | None:
    """The active in the plant of an extraction, by the plant's own assay or what is usual: middle and most. [g].

    Returns
    -------
    tuple of float or None
        None for anything else, or where it cannot be told. [g]
    """
    begun = look.batch(batch)
    procedure = look.procedure_of(batch)
    plant_g = _plant_weighed_g(look, batch, procedure.scaled_by)
    if procedure.purpose != "extraction" or not begun.order or plant_g is None:
        return None
    try:
        charge = Charge.of(_request(look, begun), plant_g)
        account = charge.account(charge.draws())
    except StillroomError:
        return None
    for step in account.steps:
        held = np.sum([part[MARKER] for part in step.taken.values()], axis=0)
        if np.any(held > 0):
            return float(np.median(held)), float(np.max(held))
    return None


def _request(look: Reader, begun: BatchBegun) -> PlanRequest:
    """What is asked of a batch: under way by what earlier runs told when it was begun, ended by its weighings alone."""
    under_way, when = not ended_at(look, begun.code), look.begun(begun.code).done_at
    request = (
        request_for(look, begun.order, draws=DRAWS, before=when, own=under_way, batch=begun.code)
        if begun.order
        else replace(request_of_batch(look, begun.code, before=when), draws=DRAWS)
    )
    procedure = look.procedure_of(begun.code)
    return replace(request, extraction=as_it_ran(look, begun.code, procedure))


@once
def _course(look: Reader, batch: str, *, unordered: bool = False) -> Course | str | None:
    """The course, of a batch of no order too where ``unordered``; or why it cannot be told; None: nothing to tell."""
    try:
        asked = _asked_of_course(look, batch, unordered=unordered)
        return None if asked is None else _after(*asked)
    except StillroomError as error:
        return error.sentence


def _of_course(
    look: Reader, batch: str, find: Callable[[PlanRequest, float, Weighed], Found]
) -> Found | None:
    """What is found of a course; None where there is none."""
    try:
        asked = _asked_of_course(look, batch)
        return None if asked is None else find(*asked)
    except StillroomError:
        return None


@once
def _asked_of_course(
    look: Reader, batch: str, *, unordered: bool = False
) -> tuple[PlanRequest, float, Weighed] | None:
    """What the course of a batch is calculated from; None where nothing is to be told."""
    begun = look.batch(batch)
    procedure = look.procedure_of(batch)
    if procedure.purpose != "extraction" or not (begun.order or unordered):
        return None
    request = _request(look, begun)
    plant_g = _plant_weighed_g(look, batch, procedure.scaled_by) or begun.scale_g
    return request, plant_g, tuple(_weighed(look, batch, [one.name for one in procedure.steps]))


@remember(4096)
def _middle_after(
    reckoned: Reckoned,
    batch: str,
    request: PlanRequest,
    plant_g: float,
    weighed: Weighed,
) -> Account:
    """The middle of the stream after some weighings, as it stands beside the book or calculated once more."""
    name, of = f"ethanol in {batch}", (request.to_json(), plant_g, weighed, language(), repr(own()))
    kept = reckoned.found(name, of)
    if kept is not None:
        return Account.middle_from_json(json.loads(kept), ETHANOL)
    found = _after(request, plant_g, weighed).account().middles(ETHANOL)
    reckoned.keep(name, of, json.dumps(found.middle_to_json(ETHANOL)))
    return found


@remember(8)
def _account_after(request: PlanRequest, plant_g: float, weighed: Weighed) -> Account:
    """The stream after some weighings: large, and kept for the last batches that were looked at."""
    return _after(request, plant_g, weighed).account()


@remember(256)
def _bends_after(request: PlanRequest, plant_g: float, weighed: Weighed) -> tuple[Bend, ...]:
    """The active through the steps that the model reaches."""
    account = _account_after(request, plant_g, weighed)
    reached = [one for one in account.steps if account.reaches(one.name)]
    return bends_of(request.extraction.code, reached)


@remember(256)
def _expected_after(request: PlanRequest, plant_g: float, weighed: Weighed) -> tuple[Expected, ...]:
    """What is expected before any weighing and after some."""
    course, now = _after(request, plant_g, weighed), _account_after(request, plant_g, weighed)
    before, read = course.charge.account(course.drawn), dict(weighed)
    names = [
        name
        for step in request.extraction.steps
        for name in step.gives
        if name in step.weighs and before.gives(name) and now.gives(name)
    ]
    found = [
        Expected(
            name,
            "g",
            _spread(whole_mass(before.given(name))),
            _spread(whole_mass(now.given(name))),
            read.get(name),
        )
        for name in names
    ]
    if not (before.gives(course.product) and now.gives(course.product)):
        return tuple(found)
    strength = Expected(
        f"strength of the {course.product}",
        f"% as {request.order.aim.reckoned_as}",
        _spread(_strength(before, course.product)),
        _spread(_strength(now, course.product)),
        None,
    )
    return (*found, strength)


@remember(48)
def _after(request: PlanRequest, plant_g: float, weighed: Weighed) -> Course:
    """The course after some weighings: a new one goes on from the course before it."""
    if weighed:
        return _after(request, plant_g, weighed[:-1]).taking(*weighed[-1])
    charge = Charge.of(request, plant_g)
    drawn = charge.draws()
    return Course(charge, drawn, drawn, request.extraction.steps[-1].gives[0])


def _weighed(look: Reader, batch: str, order: list[str]) -> Iterator[tuple[str, float]]:
    """What was weighed of what the steps gave, in the order of the procedure, whenever it was written."""
    steps = sorted(look.steps(batch), key=lambda one: order.index(one.body.step))
    for entry in steps:
        for one in entry.body.weighings:
            if one.direction != "in":
                yield one.line, one.actual_g


def _odd(line: str, mass_g: float, expected: Array) -> str:
    low, middle, high = np.percentile(expected, (5, 50, 95))
    spread = float(np.hypot(expected.std(), MODEL_DISCREPANCY * middle))
    if abs(mass_g - middle) <= max(FARTHEST * spread, A_KNIFE_POINT_G):
        return ""
    return f"{line}: {mass_g:.4g} g where {between(f'{low:.4g}', f'{high:.4g}')} g was expected"


def _strength(account: Account, product: str) -> Array:
    extract = account.given(product)
    percent: Array = 100 * extract[MARKER] / np.maximum(whole_mass(extract), 1e-30)
    return percent


def _spread(values: Array) -> tuple[float, float, float]:
    low, middle, high = np.percentile(values, (5, 50, 95))
    return float(low), float(middle), float(high)


def _plant_weighed_g(look: Reader, batch: str, line: str) -> float | None:
    for entry in look.steps(batch):
        for one in entry.body.weighings:
            if one.line == line and one.direction == "in" and one.actual_g > 0:
                return one.actual_g
    return None
