"""The uncertainty of any reckoned answer, from the leaves of its trail.

Walks the trail once for every leaf that has an uncertainty, so an input used twice counts once. Leaves that name one
cause (one instrument, one label) are off together: this is the one place where a shared source of doubt is handled.
First order (GUM 5.1.2) where the result is straight enough; elsewhere, and where one pair of limits decides, the
interval is drawn (``by_draws``), and said so. What was *decided* (a weighed dose) is held: once it is in the beaker it
no longer follows the assay.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from stillroom.answers.by_draws import STRAIGHT, Source, drawn, drawn_factor, limits_decide
from stillroom.answers.every_draw import in_every_draw
from stillroom.answers.leaves_moved import as_leaves_move
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, Leaf, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.spread import Array
from stillroom.science.measuring.uncertainty import Budget, Expanded, expanded, propagate
from stillroom.substances.remembering import remember

V = TypeVar("V", float, Array)
MANY = 10.0
"""Degrees of freedom of a fit from which first order serves. [1]"""


@dataclass(frozen=True, slots=True)
class Stated:
    """An answer with its budget and its expanded uncertainty."""

    answer: Answer
    """With standard uncertainty and degrees of freedom filled in."""
    budget: Budget
    """What contributes how much."""
    expanded: Expanded
    """Coverage factor and expanded uncertainty."""
    interval: tuple[float, float] | None = None
    """Where draws lie, when the interval is not even about the value; an end may be without bound."""
    by_draws: str = ""
    """One of "", "curved" or "limits". Why it was drawn: first order does not hold, or one pair of limits decides.
    Empty where it was not."""

    @property
    def k(self) -> float:
        """Coverage factor. [1]."""
        return self.expanded.k

    @property
    def expanded_uncertainty(self) -> float:
        """Expanded uncertainty U = k u. [unit of the answer]."""
        return self.expanded.expanded_uncertainty


def budget_of(answer: Answer, *, held: Collection[str] = ()) -> Budget:
    """The uncertainty budget of an answer.

    Parameters
    ----------
    answer : Answer
        A leaf or a reckoned answer. [its unit]
    held : collection of str
        Keys of answers in the trail that are already decided and taken as exact. [keys]

    Returns
    -------
    Budget
        Contributions by the name of the leaf, or of the cause that several share. [unit of the answer]

    Notes
    -----
    u(y)^2 = sum of (dy/dx)^2 u(x)^2 over independent causes; leaves of one cause move together, each by its own
    standard uncertainty (GUM 5.2.2, note 1: correlation + 1); effective degrees of freedom by Welch and
    Satterthwaite.

    References
    ----------
    jcgm-100
    """
    return _propagated(answer, held)[0]


def measured(answer: Answer, *, held: Collection[str] = ()) -> Answer:
    """The same answer with its standard uncertainty and degrees of freedom filled in.

    Parameters
    ----------
    answer : Answer
        A reckoned answer. [its unit]
    held : collection of str
        Keys of answers already decided. [keys]

    Returns
    -------
    Answer
        With the uncertainty of its leaves. [its unit]
    """
    return stated(answer, held=held).answer


def stated(answer: Answer, *, held: Collection[str] = (), coverage: float = 0.95) -> Stated:
    """An answer with its budget and expanded uncertainty.

    Parameters
    ----------
    answer : Answer
        A reckoned answer. [its unit]
    held : collection of str
        Keys of answers already decided. [keys]
    coverage : float
        Share of cases the interval is meant to cover. [fraction]

    Returns
    -------
    Stated
        The answer, its budget, k and U. [its unit]

    References
    ----------
    jcgm-100, jcgm-101
    """
    return _stated(answer, frozenset(held), coverage)


@remember(2048)
def _stated(answer: Answer, held: frozenset[str], coverage: float) -> Stated:
    budget, sources, in_draws = _propagated(answer, held)
    straight = budget.straight and (budget.bend <= STRAIGHT or not limits_decide(budget, sources))
    # A fit to few points: effective degrees of freedom count its doubt as too well known beside others.
    if not straight or any(one.scatter and (one.dof or MANY) < MANY for one in sources):
        by_draws = drawn(in_draws, sources, coverage, answer.value)
        filled = replace(answer, standard_uncertainty=by_draws.standard_uncertainty, degrees_of_freedom=None)
        return Stated(filled, budget, by_draws.expanded, by_draws.interval, "curved")
    dof = budget.effective_dof
    filled = replace(
        answer,
        standard_uncertainty=budget.standard_uncertainty,
        degrees_of_freedom=dof if dof < 1e6 else None,
    )
    by_limits = drawn_factor(budget, sources, coverage)
    if by_limits is not None:
        return Stated(filled, budget, by_limits, by_draws="limits")
    return Stated(filled, budget, expanded(budget, coverage=coverage))


def spread_leaf(
    name: str,
    value: float,
    unit: str,
    where: str,
    *,
    standard_uncertainty: float,
    degrees_of_freedom: float | None = None,
    entry_no: int | None = None,
    scatter: str = "",
) -> Answer:
    """A leaf that brings a spread into a result: a ratio of 1, or a difference of 0.

    Parameters
    ----------
    name : str
        What spreads. [text]
    value : float
        1 for a ratio, 0 for a difference. [unit]
    unit : str
        Unit of the value. [text]
    where : str
        Which earlier readings it was seen in. [text]
    standard_uncertainty : float
        One standard deviation. [unit]
    degrees_of_freedom : float, optional
        Behind the standard deviation. [1]
    entry_no : int, optional
        Entry in the book. [1]
    scatter : str
        The estimate that another leaf's uncertainty was taken from too. [text]

    Returns
    -------
    Answer
        A reading. [unit]

    Raises
    ------
    BadEntry
        The spread is negative.
    """
    if standard_uncertainty < 0:
        raise BadEntry("A spread cannot be negative", f"{standard_uncertainty!r}")
    return Answer(
        name,
        value,
        unit,
        standard_uncertainty,
        leaf=Leaf("reading", where, entry_no, scatter=scatter),
        degrees_of_freedom=degrees_of_freedom,
    )


@formula("mean", takes_named_inputs=True)
def mean_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """The mean of answers of one kind.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Value and standard uncertainty of each. [their unit]

    Returns
    -------
    float
        Arithmetic mean. [their unit]
    """
    return sum(value for value, _ in inputs.values()) / len(inputs)


def mean(name: str, answers: Collection[Answer]) -> Answer:
    """The mean of answers of one unit and basis, with its reason.

    Parameters
    ----------
    name : str
        What it is the mean of. [text]
    answers : collection of Answer
        At least one. [their unit]

    Returns
    -------
    Answer
        The mean. [their unit]

    Raises
    ------
    BadEntry
        There is none, or they differ in unit or basis.
    """
    listed = tuple(answers)
    if not listed:
        raise BadEntry(worded("The mean of {called} must have at least one value", called=name), "none")
    if len({(one.unit, one.basis) for one in listed}) > 1:
        raise BadEntry(
            worded("The values averaged for {called} must share unit and basis", called=name),
            "; ".join(sorted({f"{one.unit} {one.basis}".strip() for one in listed})),
            "Restate them first",
        )
    return reckoned(
        name,
        mean_of,
        unit=listed[0].unit,
        basis=listed[0].basis,
        inputs={f"value_{at}": one for at, one in enumerate(listed, 1)},
        says=f"mean of {len(listed)}",
    )


def _uncertain_leaves(answer: Answer, held: Collection[str]) -> dict[str, Answer]:
    found: dict[str, Answer] = {}
    seen: set[str] = set()

    def visit(one: Answer) -> None:
        if one.key in seen or one.key in held:
            return
        seen.add(one.key)
        if one.leaf is not None and one.standard_uncertainty:
            found[one.key] = one
        for _, below in one.inputs:
            visit(below)

    visit(answer)
    return found


def _propagated(
    answer: Answer, held: Collection[str]
) -> tuple[Budget, tuple[Source, ...], Callable[[Mapping[str, Array]], Array]]:
    """The budget, what it rests on, and the answer as a function of draws of those."""
    by_cause: dict[str, list[Answer]] = {}
    for key, one in _uncertain_leaves(answer, held).items():
        by_cause.setdefault((one.leaf and one.leaf.cause) or f"own/{key}", []).append(one)
    names = _own_names(by_cause)
    groups = dict(zip(names, by_cause.values(), strict=True))
    sources = tuple(_source(name, members) for name, members in groups.items())
    first = {one.name: one for one in sources}

    def moved(inputs: Mapping[str, V]) -> dict[str, V]:
        return {
            one.key: one.value
            + (inputs[name] - first[name].value)
            * ((one.standard_uncertainty or 0.0) / first[name].standard_uncertainty)
            for name, members in groups.items()
            for one in members
        }

    again = as_leaves_move(answer, {one.key for members in groups.values() for one in members}, held)
    budget = propagate(
        lambda inputs: again(moved(inputs)),
        {one.name: one.value for one in sources},
        {one.name: one.standard_uncertainty for one in sources},
        dof={one.name: one.dof for one in sources if one.dof is not None},
        scatters={one.name: one.scatter for one in sources if one.scatter},
    )
    return budget, sources, lambda draws: in_every_draw(answer, moved(draws), held)


def _source(name: str, members: list[Answer]) -> Source:
    one = members[0]
    dofs = [each.degrees_of_freedom for each in members if each.degrees_of_freedom is not None]
    shape, scatter = (one.leaf.shape, one.leaf.scatter) if one.leaf else ("", "")
    return Source(
        name, one.value, one.standard_uncertainty or 0.0, min(dofs) if dofs else None, shape, scatter
    )


def _own_names(groups: Mapping[str, list[Answer]]) -> list[str]:
    """A name for each cause: its leaf's, told apart by where it stands; the cause's where several share it."""
    plain = [members[0].name if len(members) == 1 else cause for cause, members in groups.items()]
    where = [members[0].leaf.where if members[0].leaf else "" for members in groups.values()]
    names = [
        name if plain.count(name) == 1 else f"{name} ({at})" for name, at in zip(plain, where, strict=True)
    ]
    if len(set(names)) < len(names):
        keys = [members[0].key[:6] for members in groups.values()]
        names = [f"{name} [{key}]" for name, key in zip(names, keys, strict=True)]
    return names
