"""An Answer: a number that opens to its reason.

An Answer has no arithmetic. It is either a *leaf* (something the book holds, a published row, or an assumption)
or it names the formula it was reckoned by and the answers that went in. The trail is a table of answers keyed by
content, so that a shared input stands in it once. ``rerun`` calls that formula again with the trail's inputs.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, worded
from stillroom.evidence.formulas import formula_named, name_of, stable_name
from stillroom.evidence.seal import Json, seal

LeafKind: TypeAlias = Literal["reading", "published", "assumed", "own runs"]
OWN_RUNS: LeafKind = "own runs"
FOR_A_PLAN_ONLY = ("assumed", OWN_RUNS)
"""Kinds of leaf that nobody measured: they serve a plan, never a release, a certificate or a label."""
Shape: TypeAlias = Literal["", "rectangular"]
Inputs: TypeAlias = "tuple[tuple[str, Answer], ...]"
Fixed: TypeAlias = tuple[tuple[str, str | float | int | bool], ...]


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where a number comes from when it was not reckoned."""

    kind: LeafKind
    """*reading*: an entry of the book (a weighing, a customer's order, a setting of a procedure).
    *published*: a row of a reference table. *assumed*: nobody measured it; the reason is told."""
    where: str
    """Entry and field, table and row, or the reason for the assumption."""
    entry_no: int | None = None
    """Number of the entry in the book, for a reading."""
    cause: str = ""
    """What its error rests on, where another leaf may rest on it too (one instrument, one label): leaves of
    one cause are off together. Empty for an error of its own."""
    shape: Shape = ""
    """Here "rectangular" where every value within limits is as likely; empty for the normal distribution."""
    scatter: str = ""
    """The one estimate of scatter its uncertainty was taken from, where another leaf's was taken from it too
    (slope and level of one line): errors of their own, too small or too large together. Empty for an estimate
    of its own."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A value with its uncertainty, unit, basis and reason."""

    name: str
    """What the number is, in the trade's words."""
    value: float
    """The number, unrounded."""
    unit: str
    """Unit as printed; "" for a plain ratio."""
    standard_uncertainty: float | None = None
    """One standard deviation, in the unit of the value; None where it was not reckoned."""
    basis: str = ""
    """Of what, reckoned as what, as is or dried."""
    leaf: Leaf | None = None
    """Origin, when the number was not reckoned."""
    how: str = ""
    """Stable name of the formula that gave the value, or its dotted path in a former book; "" for a leaf."""
    says: str = ""
    """The same in one sentence."""
    inputs: Inputs = ()
    """Parameter of the function and the answer that filled it."""
    fixed: Fixed = ()
    """Parameters that are choices rather than numbers with a reason (a name, a count, a seed)."""
    pick: str = ""
    """Attribute of the function's result that holds the value; "" when the result is the value."""
    sources: tuple[str, ...] = ()
    """Keys of ``reference/sources.toml``."""
    degrees_of_freedom: float | None = None
    """Effective degrees of freedom of the uncertainty, where known."""
    key: str = field(init=False, repr=False, compare=False, default="")
    """Seal of the content, inputs by their own keys; made here, never given."""

    def __post_init__(self) -> None:
        if (self.leaf is None) == (self.how == ""):
            raise BadEntry(
                worded(
                    "The answer {called!r} must either come from somewhere or be calculated somehow",
                    called=self.name,
                ),
                "both or neither",
                "Give a leaf, or the function and its inputs",
            )
        object.__setattr__(self, "key", seal(row_of(self))[:20])

    def __hash__(self) -> int:
        """By the seal of its content: nothing below it is walked through."""
        return hash(self.key)

    @property
    def formula(self) -> str:
        """Stable name of the formula that gave the value; "" for a leaf."""
        return stable_name(self.how)

    @property
    def rests_on_an_assumption(self) -> bool:
        """True when any leaf below is assumed, or remembered from runs of one's own."""
        return any(one.leaf is not None and one.leaf.kind in FOR_A_PLAN_ONLY for one in walk(self))


def walk(answer: Answer) -> Iterator[Answer]:
    """Every answer of the trail once, inputs before what was reckoned from them."""
    seen: set[str] = set()

    def visit(one: Answer) -> Iterator[Answer]:
        if one.key in seen:
            return
        for _, below in one.inputs:
            yield from visit(below)
        if one.key not in seen:
            seen.add(one.key)
            yield one

    yield from visit(answer)


def leaves(answer: Answer) -> tuple[Answer, ...]:
    """The answers of the trail that were not reckoned from others."""
    return tuple(one for one in walk(answer) if one.leaf is not None)


def rerun(answer: Answer) -> float:
    """Call the formula of the answer again, with the values of its inputs.

    Returns
    -------
    float
        What the formula gives now; equal to ``answer.value`` unless it was changed since.

    Raises
    ------
    BookTrouble
        The formula is not known here.
    """
    if answer.leaf is not None:
        return answer.value
    return _value(answer.how, answer.inputs, answer.fixed, answer.pick)


def called(how: str, filled: Mapping[str, tuple[float, float]], fixed: Fixed) -> object:
    """What the formula of an answer gives for other values of its inputs.

    Parameters
    ----------
    how, fixed
        As in ``Answer``.
    filled : mapping of str to (float, float)
        Value and standard uncertainty for each parameter.

    Raises
    ------
    BookTrouble
        The formula is not known here.
    """
    asked = formula_named(how)
    if asked.takes_named_inputs:
        return asked.function(inputs=filled, **dict(fixed))
    return asked.function(**{name: value for name, (value, _) in filled.items()}, **dict(fixed))


def picked(found: object, pick: str) -> float:
    """The part of what its formula gave that an answer picks."""
    for part in filter(None, pick.split(".")):
        found = getattr(found, part)
    return float(found)  # type: ignore[arg-type]


def reckoned(
    name: str,
    function: Callable[..., object],
    *,
    unit: str,
    inputs: Mapping[str, Answer],
    fixed: Mapping[str, str | float | int | bool] | None = None,
    pick: str = "",
    basis: str = "",
    says: str = "",
    sources: tuple[str, ...] = (),
    standard_uncertainty: float | None = None,
    degrees_of_freedom: float | None = None,
) -> Answer:
    """Reckon a value by a formula and keep the reason with it.

    The formula is called here, so the value can never differ from what ``rerun`` gives.

    Parameters
    ----------
    name, unit, basis, says, sources, standard_uncertainty, degrees_of_freedom, pick
        As in ``Answer``.
    function : callable
        One that has a stable name (``@formula``), which is kept.
    inputs : mapping of str to Answer
        Parameter and the answer that fills it.
    fixed : mapping, optional
        Parameters that are choices.
    """
    how, filled, chosen = name_of(function), tuple(inputs.items()), tuple((fixed or {}).items())
    return Answer(
        name=name,
        value=_value(how, filled, chosen, pick),
        unit=unit,
        standard_uncertainty=standard_uncertainty,
        basis=basis,
        how=how,
        says=says,
        inputs=filled,
        fixed=chosen,
        pick=pick,
        sources=sources,
        degrees_of_freedom=degrees_of_freedom,
    )


def reckoned_again(answer: Answer, inputs: Inputs) -> Answer:
    """The same answer from other inputs, by the same formula under its stable name.

    Parameters
    ----------
    answer : Answer
        One that was reckoned.
    inputs : tuple of (str, Answer)
        By the same parameters.
    """
    value = _value(answer.how, inputs, answer.fixed, answer.pick)
    return replace(answer, value=value, how=answer.formula, inputs=inputs)


def reading(
    name: str,
    value: float,
    unit: str,
    where: str,
    *,
    entry_no: int | None = None,
    standard_uncertainty: float | None = None,
    basis: str = "",
    cause: str = "",
    shape: Shape = "",
) -> Answer:
    """A leaf that stands in the book; its error is shared with the leaves of the same cause."""
    leaf = Leaf("reading", where, entry_no, cause, shape)
    return Answer(name, value, unit, standard_uncertainty, basis, leaf=leaf)


def published(
    name: str,
    value: float,
    unit: str,
    where: str,
    *,
    sources: tuple[str, ...],
    standard_uncertainty: float | None = None,
    basis: str = "",
    shape: Shape = "",
) -> Answer:
    """A leaf that is a row of a reference table (``where`` is "table, row")."""
    return Answer(
        name,
        value,
        unit,
        standard_uncertainty,
        basis,
        leaf=Leaf("published", where, shape=shape),
        sources=sources,
    )


def assumed(
    name: str,
    value: float,
    unit: str,
    because: str,
    *,
    standard_uncertainty: float | None = None,
    basis: str = "",
    cause: str = "",
    shape: Shape = "",
) -> Answer:
    """A leaf that nobody measured; the reason is told, and it may serve a plan only."""
    leaf = Leaf("assumed", because, None, cause, shape)
    return Answer(name, value, unit, standard_uncertainty, basis, leaf=leaf)


def _value(how: str, inputs: Inputs, fixed: Fixed, pick: str) -> float:
    filled = {name: (one.value, one.standard_uncertainty or 0.0) for name, one in inputs}
    return picked(called(how, filled, fixed), pick)


def row_of(answer: Answer) -> dict[str, Json]:
    """One step as a trail keeps it, its inputs by their seals."""
    row: dict[str, Json] = {
        "name": answer.name,
        "value": answer.value,
        "unit": answer.unit,
        "standard_uncertainty": answer.standard_uncertainty,
        "basis": answer.basis,
        "how": answer.how,
        "says": answer.says,
        "inputs": [[name, below.key] for name, below in answer.inputs],
        "fixed": [[name, value] for name, value in answer.fixed],
        "pick": answer.pick,
        "sources": list(answer.sources),
        "degrees_of_freedom": answer.degrees_of_freedom,
    }
    if answer.leaf is not None:
        row["leaf"] = {
            "kind": answer.leaf.kind,
            "where": answer.leaf.where,
            "entry_no": answer.leaf.entry_no,
        } | {name: said for name in ("cause", "shape", "scatter") if (said := getattr(answer.leaf, name))}
    return row
