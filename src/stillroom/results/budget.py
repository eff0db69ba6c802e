"""The uncertainty of any reckoned answer, from the leaves of its trail.

Walks the trail once for every leaf that has an uncertainty, so an input used twice counts once and shared
causes are seen. First order (GUM 5.1.2); a leaf whose function is not smooth there must be held. What was
*decided* (a weighed dose) is held: once it is in the beaker it no longer follows the assay.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, Leaf, reckoned, rerun
from stillroom.science.measuring.uncertainty import Budget, Expanded, expanded, propagate


@dataclass(frozen=True, slots=True)
class Stated:
    """An answer with its budget and its expanded uncertainty.

    Attributes
    ----------
    answer : Answer
        With standard uncertainty and degrees of freedom filled in.
    budget : Budget
        What contributes how much.
    expanded : Expanded
        Coverage factor and expanded uncertainty.
    """

    answer: Answer
    budget: Budget
    expanded: Expanded

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
        Contributions by the name of the leaf. [unit of the answer]

    Notes
    -----
    u(y)^2 = sum of (dy/dx)^2 u(x)^2 over independent leaves; effective degrees of freedom by Welch and
    Satterthwaite.

    References
    ----------
    jcgm-100
    """
    uncertain = _uncertain_leaves(answer, held)
    names = _own_names(uncertain)
    by_name = {names[key]: key for key in uncertain}

    def value(inputs: Mapping[str, float]) -> float:
        return _again(answer, {by_name[name]: number for name, number in inputs.items()}, held)

    return propagate(
        value,
        {names[key]: one.value for key, one in uncertain.items()},
        {names[key]: one.standard_uncertainty or 0.0 for key, one in uncertain.items()},
        dof={
            names[key]: one.degrees_of_freedom
            for key, one in uncertain.items()
            if one.degrees_of_freedom is not None
        },
    )


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
    jcgm-100
    """
    budget = budget_of(answer, held=held)
    dof = budget.effective_dof
    filled = replace(
        answer,
        standard_uncertainty=budget.standard_uncertainty,
        degrees_of_freedom=dof if dof < 1e6 else None,
    )
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
        leaf=Leaf("reading", where, entry_no),
        degrees_of_freedom=degrees_of_freedom,
    )


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


mean_of.takes_named_inputs = True  # type: ignore[attr-defined]


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


def _own_names(leaves: Mapping[str, Answer]) -> dict[str, str]:
    names: dict[str, str] = {}
    for key, one in leaves.items():
        twins = [other for other in leaves.values() if other.name == one.name]
        names[key] = one.name if len(twins) == 1 else f"{one.name} ({one.leaf.where if one.leaf else key})"
    if len(set(names.values())) < len(names):
        names = {key: f"{name} [{key[:6]}]" for key, name in names.items()}
    return names


def _again(answer: Answer, changed: Mapping[str, float], held: Collection[str]) -> float:
    made: dict[str, Answer] = {}

    def make(one: Answer) -> Answer:
        if one.key in made:
            return made[one.key]
        if one.key in changed:
            new = replace(one, value=changed[one.key])
        elif one.leaf is not None or one.key in held:
            new = one
        else:
            inputs = tuple((name, make(below)) for name, below in one.inputs)
            untouched = all(now is before for (_, now), (_, before) in zip(inputs, one.inputs, strict=True))
            new = one if untouched else _rerun_with(one, inputs)
        made[one.key] = new
        return new

    return make(answer).value


def _rerun_with(answer: Answer, inputs: tuple[tuple[str, Answer], ...]) -> Answer:
    moved = replace(answer, inputs=inputs)
    return replace(moved, value=rerun(moved))
