"""One thing a question asks, declared as a field of the record that holds what was said.

An entry is ``needed``, ``taken`` as something where nobody says it, or may be left out (``maybe``). Its name is the
field of the form, the option of the command, the key in JSON and the place of its errors. The record is a ``Said``.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Generic, Literal, Protocol, Required, TypeAlias, TypedDict, TypeVar, Unpack

from stillroom.errors import BadEntry
from stillroom.quantities.strength_words import refuse_silent

Read = TypeVar("Read", covariant=True)
Value = TypeVar("Value")
Taken = TypeVar("Taken")
ControlKind: TypeAlias = Literal["figure", "text", "long", "choice", "list", "date"]
ENTRY = "entry"
"""Where a field of a record keeps its declaration."""
Told: TypeAlias = "str | Callable[[Any, Any], str]"
"""Words, or what gives them from what was found and what was said."""


class Reader(Protocol[Read]):
    """Reads one entry as a person writes it.

    ``kind`` is the control that takes it, ``unit`` is printed beside it, and ``options`` gives its names with their
    words, where it has some.
    """

    @property
    def kind(self) -> ControlKind: ...  # noqa: D102
    @property
    def unit(self) -> str: ...  # noqa: D102

    def options(self) -> Mapping[str, str]:
        """Names that may be said, with their words."""
        ...

    def read(self, text: str, where: str) -> Read:
        """What was said, or an error at ``where``."""
        ...


@dataclass(frozen=True, slots=True)
class Assumption:
    """What an answer stands on because nobody said otherwise.

    ``what``, ``taken``, ``because``: "how warm the room is", "25 °C", "the constants are those of 25 °C".
    """

    what: Told
    taken: Told
    because: Told
    effect: Told
    """What it does to the answer."""
    share: "float | Callable[[Any, Any], float]"
    """Part of the answer it moves, for the order of the list. [1]"""
    counts: Callable[[Any, Any], bool] | None = None
    """Whether the answer stands on it, from what was found and what was said."""
    field: str = ""
    """The entry that replaces it; the one it stands at when left out."""


@dataclass(frozen=True, slots=True)
class Flag:
    """A flag of the command, and the name it says."""

    says: str
    help: str


class Face(TypedDict, total=False):
    """How an entry looks at its doors.

    ``chosen``, ``then``: chosen before anybody chose; ``then`` in the lines after the first.
    """

    label: Required[str]
    """Words over its row, or of its own where it stands ``beside`` the entry before it."""
    short: str
    """In place of the label, inside the field."""
    hint: str
    beside: bool
    folded: bool
    """Asked only where somebody opens the rest."""
    unasked: bool
    """Asked only where it was said, or what was taken in its place is opened."""
    when: str
    """Style class of its row, for one that is shown only while a choice stands."""
    chosen: str
    then: str
    begins: Callable[[date], str]
    """What its field begins with, from the day it is asked."""
    house: str
    """Condition of the house that is offered beside it."""
    offers: str
    """What of the laboratory may be chosen, said by its code: "scale", "titrant"."""
    left_out: str
    """Words of a choice for leaving it out."""
    help: str
    """What the command says."""
    option: str
    """Name of its option, where that is another."""
    usual: str
    """What the command takes where its option is left out."""
    ratio_said: bool | Callable[[str, Mapping[str, str]], bool]
    """Command and Python print no "% v/v" beside it, so a bare share says there what it is a share of; a
    function of its name and of what else was said tells whether it is a strength."""
    argument: bool
    """The command takes it as its argument, and ``joined`` where it takes several."""
    joined: str
    flags: Mapping[str, Flag]
    """Flags of the command in place of an option."""


@dataclass(frozen=True, slots=True)
class HangsOn(Generic[Value]):
    """Read in a way that hangs on what was said of an entry before it: a titre in mL, or in g when it is weighed."""

    field: str
    """That entry, as a field of the record."""
    reads: Callable[[Any], Reader[Value]]
    """From what was said of it to the reader."""
    unit: str = ""
    """Printed beside the field."""
    kind: ControlKind = "figure"

    def options(self) -> Mapping[str, str]:
        """None."""
        return {}


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that may be said, as it was declared."""

    reads: Reader[Any] | HangsOn[Any]
    face: Face
    needed: bool = False
    must: str = ""
    do: str = ""
    otherwise: Any = None
    assumption: Assumption | None = None
    name: str = ""
    attribute: str = ""
    """Field of its record, where what was read stands."""

    def said(self, text: Mapping[str, str], before: Mapping[str, Any]) -> Any:
        """What was said of it, read; what is taken where nobody said.

        Parameters
        ----------
        before : mapping of str to object
            What was read of the entries before it, by field.

        Raises
        ------
        StillroomError
            It is needed and was not said, or it cannot be read.
        """
        written = text.get(self.name, "")
        if not written and not self.needed:
            return self.otherwise
        if not written and self.must:
            raise BadEntry(self.must, "nothing", self.do, where=self.name)
        if isinstance(self.reads, HangsOn):
            return self.reads.reads(before[self.reads.field]).read(written, self.name)
        return self.reads.read(written, self.name)

    def refuse_silent_ratio(self, text: Mapping[str, str], *, where: str) -> None:
        """Refuse a bare share at a door that prints nothing beside its entries.

        Parameters
        ----------
        where : str
            What that door calls it.

        Raises
        ------
        BadEntry
            It is a strength, and says no ratio.
        """
        must = self.face.get("ratio_said", False)
        if must if isinstance(must, bool) else must(self.name, text):
            refuse_silent(text.get(self.name, ""), where=where)


def needed(
    reads: Reader[Value] | HangsOn[Value], *, must: str = "", do: str = "", **face: Unpack[Face]
) -> Value:
    """An entry without which there is no answer.

    Parameters
    ----------
    must, do : str
        Said where it is left out; the reader's own words otherwise.
    """
    declared: Value = field(metadata={ENTRY: Entry(reads, face, needed=True, must=must, do=do)})
    return declared


def taken(
    otherwise: Taken,
    reads: Reader[Value] | HangsOn[Value],
    *,
    unsaid: Assumption | None = None,
    **face: Unpack[Face],
) -> Value | Taken:
    """An entry that is taken as something where nobody says it.

    Parameters
    ----------
    otherwise : object
        What is taken.
    unsaid : Assumption or None
        Told then, with what it does to the answer; None where it moves nothing.
    """
    declared: Value | Taken = field(
        metadata={ENTRY: Entry(reads, face, otherwise=otherwise, assumption=unsaid)}
    )
    return declared


def maybe(
    reads: Reader[Value] | HangsOn[Value], *, unsaid: Assumption | None = None, **face: Unpack[Face]
) -> Value | None:
    """An entry that may be left out: then there is none.

    Parameters
    ----------
    unsaid : Assumption or None
        Told then, with what it does to the answer.
    """
    declared: Value | None = field(metadata={ENTRY: Entry(reads, face, assumption=unsaid)})
    return declared
