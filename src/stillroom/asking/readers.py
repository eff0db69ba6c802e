"""The kinds of things that may be said of a question, and how each is read: one reader for each kind.

What they share is read by ``quantities.entry``; here stand only the limits a question sets, and the answer that comes
of it: a leaf that says it stands as it was asked.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from stillroom.asking.entries import ControlKind
from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.entry import entry, several, share, sureness_of, with_unit, without_sign
from stillroom.quantities.numbers import number_in
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.uncertainty_words import Sureness
from stillroom.quantities.units import unit as known_unit

Value = TypeVar("Value")
ASKED = "as asked"
NO_OPTIONS: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its unit, as an answer named ``of``.

    ``low``, ``high``: between what it lies, both ends taken in.
    ``must``, ``do``: said where it lies outside.
    ``zero``, ``negative``: whether it may be zero, or below.
    """

    of: str
    """Name of the leaf."""
    symbol: str
    """Unit of the answer; "" for a figure that has none, and is written without."""
    unit: str = ""
    """Unit printed beside the field, for a number without one; "" where it must be written."""
    low: float | None = None
    high: float | None = None
    must: str = ""
    do: str = "Check the figure and its unit"
    zero: bool = False
    negative: bool = False
    basis: str = ""
    kind: ControlKind = "figure"

    def options(self) -> Mapping[str, str]:
        """None: it is a figure."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> Answer:
        """The figure as it was asked.

        Raises
        ------
        BadEntry
            It cannot be read, or lies outside.
        """
        value = (
            self._in_unit(text, where)
            if self.symbol
            else number_in(text, can_be=self._can_be, where=where).value
        )
        if (self.low is not None and value < self.low) or (self.high is not None and value > self.high):
            raise BadEntry(self.must or self._between(where), repr(text[:40]), self.do, where=where)
        return reading(self.of, value, self.symbol, ASKED, basis=self.basis)

    @property
    def _can_be(self) -> tuple[float, float]:
        return (-math.inf if self.low is None else self.low, math.inf if self.high is None else self.high)

    def _in_unit(self, text: str, where: str) -> float:
        return entry(
            text,
            self.unit,
            want=known_unit(self.symbol).dimension,
            zero_allowed=self.zero,
            negative_allowed=self.negative,
            where=where,
        ).in_unit(self.symbol)

    def _between(self, where: str) -> str:
        return worded(
            "{called} must lie between {low:g} and {high:g} {unit}",
            called=where.capitalize(),
            low=self.low,
            high=self.high,
            unit=self.symbol,
        )


@dataclass(frozen=True, slots=True)
class Share:
    """A part of a whole, in %, that needs no basis [1]."""

    least: float = 0.0
    most: float = 1.0
    unit: str = "%"
    kind: ControlKind = "figure"

    def options(self) -> Mapping[str, str]:
        """None: it is a figure."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> float:
        """The part [1]."""
        return share(text, least=self.least, most=self.most, where=where)


@dataclass(frozen=True, slots=True)
class Number:
    """A figure as a number in ``unit``, for a question that makes its answer of several entries."""

    unit: str
    zero: bool = False
    kind: ControlKind = "figure"

    def options(self) -> Mapping[str, str]:
        """None: it is a figure."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> float:
        """The number, in the unit."""
        return entry(text, self.unit, zero_allowed=self.zero, where=where).in_unit(self.unit)


@dataclass(frozen=True, slots=True)
class Shown:
    """What an instrument showed, as it was written: ``text`` in one of ``units``, the first where it says none."""

    text: str
    units: tuple[str, ...]
    zero: bool
    where: str
    negative: bool = False

    def quantity(self, symbol: str = "") -> Quantity:
        """What was shown; a bare figure is in ``symbol``, the unit of its instrument, and any other is refused."""
        return entry(
            self.text,
            symbol or self.units[0],
            want=[known_unit(one).dimension for one in ((symbol,) if symbol else self.units)],
            basis_required=False,
            zero_allowed=self.zero,
            negative_allowed=self.negative,
            where=self.where,
        )

    def value(self, symbol: str) -> float:
        """What was shown, in that unit; what cannot be brought to it is told where it stands."""
        shown = self.quantity(symbol)
        try:
            return shown.in_unit(symbol)
        except StillroomError as error:
            unit = worded("Write it in {examples}", examples=symbol)
            raise BadEntry(
                worded("A figure in {unit} is needed here", unit=symbol),
                repr(self.text[:40]),
                unit,
                where=self.where,
            ) from error

    def words(self, symbol: str = "") -> str:
        """As it was written, a bare figure with its unit."""
        return with_unit(self.text, symbol or self.units[0])


@dataclass(frozen=True, slots=True)
class Showed:
    """A figure read off an instrument; of ``units`` the instrument tells which, where there are several.

    ``zero``, ``negative``: whether it may show zero, or less, as a scale that was tared does.
    """

    units: tuple[str, ...]
    printed: str = ""
    zero: bool = False
    negative: bool = False
    kind: ControlKind = "figure"

    @property
    def unit(self) -> str:
        """Printed beside the field."""
        return self.printed or self.units[0]

    def options(self) -> Mapping[str, str]:
        """None: it is a figure."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> Shown:
        """What was shown.

        Raises
        ------
        BadEntry
            It cannot be read in any of the units.
        """
        shown = Shown(text, self.units, self.zero, where, self.negative)
        shown.quantity()
        return shown


@dataclass(frozen=True, slots=True)
class HalfWidth:
    """How far a figure may be off, k = 2, in ``unit``."""

    unit: str
    kind: ControlKind = "figure"

    def options(self) -> Mapping[str, str]:
        """None: it is a figure."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> float:
        """Half the width of its ±, in the unit."""
        return entry(without_sign(text), self.unit, where=where).in_unit(self.unit)


@dataclass(frozen=True, slots=True)
class PlusMinus:
    """How far what it stands ``beside`` may be off, k = 2, in ``unit``: "0.5", "0.5 %", "2 % of it"."""

    beside: Quantity | None
    unit: str
    kind: ControlKind = "figure"

    def options(self) -> Mapping[str, str]:
        """None: it is a figure."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> Sureness:
        """How sure it is, in the unit.

        Raises
        ------
        BadEntry
            It is none, or what it stands beside says another.
        """
        if self.beside is None:
            return Sureness(HalfWidth(self.unit).read(text, where) / 2.0)
        return sureness_of(self.beside, text, self.unit, where=where)


@dataclass(frozen=True, slots=True)
class Readings:
    """Figures one after the other, in the order they were read off.

    ``none``, ``too_many``: what must hold and what to do, where there are none, or more.
    """

    symbol: str
    """Unit of those that have none."""
    most: int
    """How many are taken."""
    none: tuple[str, str]
    too_many: tuple[str, str]
    unit: str = ""
    kind: ControlKind = "text"

    def options(self) -> Mapping[str, str]:
        """None: they are figures."""
        return NO_OPTIONS

    def read(self, text: str, where: str) -> tuple[Quantity, ...]:
        """Each as it was written.

        Raises
        ------
        BadEntry
            There is none, or there are too many, or one cannot be read.
        """
        found = several(text, self.symbol, where=where)
        if not found:
            raise BadEntry(self.none[0], "none", self.none[1], where=where)
        if len(found) > self.most:
            raise BadEntry(self.too_many[0], str(len(found)), self.too_many[1], where=where)
        return found


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of a few names, or the words it is shown with, whatever their capitals.

    ``must``, ``do``: said of another name; the nearest names are offered otherwise.
    """

    named: "Mapping[str, str] | Callable[[], Mapping[str, str] | Iterable[str]]"
    """The names with their words, or what gives them."""
    called: str = ""
    """What a name is, with its article: "a pair of salts"."""
    must: str = ""
    do: str = "Choose one"
    free: bool = False
    """Whether the field is text with the names to choose from."""
    alias: Callable[[str], str] | None = None
    """Gives the name that another one stands for."""
    unit: str = ""

    @property
    def kind(self) -> ControlKind:
        """Text with a list, or a choice."""
        return "list" if self.free else "choice"

    def options(self) -> Mapping[str, str]:
        """Names and their words."""
        named = self.named if isinstance(self.named, Mapping) else self.named()
        return named if isinstance(named, Mapping) else {one: one for one in named}

    def read(self, text: str, where: str) -> str:
        """The name.

        Raises
        ------
        BadEntry, UnknownName
            It is none of them.
        """
        options = self.options()
        shown = {name.casefold(): name for name in options}
        shown |= {str(words).partition(": ")[0].casefold(): name for name, words in options.items()}
        said = text if text in options else shown.get(text.strip().casefold(), text)
        if self.alias and said not in options:
            said = self.alias(said)
        try:
            return UnknownName.unless(said, self.called, options)
        except UnknownName as error:
            if self.must:
                raise BadEntry(
                    self.must, repr(text[:20]) if text else "nothing", self.do, where=where
                ) from None
            raise error.at(where) from error


@dataclass(frozen=True, slots=True)
class Words:
    """Words as they stand, perhaps with names to choose from, or on several lines.

    ``choice`` shows only these names until others were written.
    """

    named: Callable[[], Iterable[str]] = tuple
    unit: str = ""
    long: bool = False
    choice: bool = False

    @property
    def kind(self) -> ControlKind:
        """Text, with a list where it has names, or a choice."""
        if self.long or self.choice:
            return "long" if self.long else "choice"
        return "list" if self.options() else "text"

    def options(self) -> Mapping[str, str]:
        """Names that may be chosen."""
        return {one: one for one in self.named()}

    def read(self, text: str, where: str) -> str:  # noqa: ARG002
        """The words."""
        return text


@dataclass(frozen=True, slots=True)
class Own(Generic[Value]):
    """What only one question asks, read by a function of its own that takes the text and where it stands.

    ``named`` gives names to choose from, with their words, where it has some.
    """

    reads: Callable[[str, str], Value]
    kind: ControlKind = "text"
    unit: str = ""
    named: Callable[[], Mapping[str, str]] | None = None

    def options(self) -> Mapping[str, str]:
        """Names and their words."""
        return self.named() if self.named else NO_OPTIONS

    def read(self, text: str, where: str) -> Value:
        """What was said.

        Raises
        ------
        StillroomError
            It cannot be read; told at its place.
        """
        try:
            return self.reads(text, where)
        except StillroomError as error:
            raise (error if error.where else error.at(where)) from error
