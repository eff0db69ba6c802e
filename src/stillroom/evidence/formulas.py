"""The stable names of formulas: what a kept result calls the function it was reckoned by.

A result is kept for years, a function is not: it is renamed, moved or split. So a function that a result can name says
its own name, ``@formula("dried-percent")``, and the book holds that name. Name, parameters and parts of the result stay
for ever; where the function stands and what Python calls it may change. Books written before there were names hold
dotted paths instead: ``former_names`` says which formula each meant.
"""

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from stillroom.errors import BadEntry, BookTrouble, worded
from stillroom.evidence.former_names import FORMER_NAMES

ROOMS = ("science", "substances", "answers", "products", "planning")
"""Where formulas stand, in the order they are looked for; a room is loaded when a name was not met before it."""
F = TypeVar("F", bound=Callable[..., object])


@dataclass(frozen=True, slots=True)
class Formula:
    """A function under its stable name."""

    name: str
    function: Callable[..., object]
    takes_named_inputs: bool
    """It receives its inputs as one mapping ``inputs: {name: (value, standard_uncertainty)}``."""
    takes_arrays: tuple[str, ...] = ()
    """Parameters that may be arrays of draws; what it gives then are arrays."""


_BY_NAME: dict[str, Formula] = {}
_BY_FUNCTION: dict[Callable[..., object], Formula] = {}


def formula(
    name: str, *, takes_named_inputs: bool = False, takes_arrays: tuple[str, ...] = ()
) -> Callable[[F], F]:
    """Give a function the name by which results are kept.

    Parameters
    ----------
    name : str
        Of the trade, in small letters and hyphens; never used for another function and never changed.
    takes_named_inputs : bool
        The function takes ``inputs: {name: (value, standard_uncertainty)}`` instead of a parameter for each input.
    takes_arrays : tuple of str
        Parameters that may be arrays of draws.

    Raises
    ------
    BadEntry
        Another function has the name, or the function has a name already.
    """

    def named(function: F) -> F:
        other = _BY_NAME.get(name)
        if other is not None and not _same(other.function, function):
            raise BadEntry("Two formulas must not have one name", repr(name), "Find another name")
        if function in _BY_FUNCTION:
            both = worded("{one!r} and {two!r}", one=_BY_FUNCTION[function].name, two=name)
            raise BadEntry("A formula must have one name only", both, "Keep the first")
        _BY_NAME[name] = _BY_FUNCTION[function] = Formula(name, function, takes_named_inputs, takes_arrays)
        return function

    return named


def name_of(function: Callable[..., object]) -> str:
    """The stable name of a function.

    Raises
    ------
    BadEntry
        It has none.
    """
    if function not in _BY_FUNCTION:
        raise BadEntry(
            "A function that a result can name must have a stable name",
            f"{function.__module__}:{function.__qualname__}",
            'Write @formula("...") above it',
        )
    return _BY_FUNCTION[function].name


def stable_name(how: str) -> str:
    """What a book calls a formula, as its stable name: as it stands, or by the dotted path of former books."""
    return FORMER_NAMES.get(how, how)


def formula_named(how: str) -> Formula:
    """The formula that a book names.

    Parameters
    ----------
    how : str
        Its stable name, or its dotted path in a former version.

    Raises
    ------
    BookTrouble
        There is none.
    """
    name = stable_name(how)
    for room in ROOMS:
        if name in _BY_NAME:
            break
        _load(room)
    if name not in _BY_NAME:
        raise BookTrouble(
            "The formula that a result names must be known",
            how,
            "Open the book with the version that wrote it, or a newer one",
        )
    return _BY_NAME[name]


def every_formula() -> tuple[Formula, ...]:
    """Every formula of the calculation rooms, by name."""
    for room in ROOMS:
        _load(room)
    return tuple(one for _, one in sorted(_BY_NAME.items()))


def _load(room: str) -> None:
    package = importlib.import_module(f"stillroom.{room}")
    for one in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        importlib.import_module(one.name)


def _same(one: Callable[..., object], other: Callable[..., object]) -> bool:
    """Whether both are one function, perhaps of a module that was loaded again."""
    return (one.__module__, one.__qualname__) == (other.__module__, other.__qualname__)
