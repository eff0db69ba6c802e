"""What a question asks, declared as the fields of the record that holds what was said.

An entry is ``needed``, ``taken`` as something where nobody says it, or may be left out (``maybe``). Its name is the
field of the form, the option of the command, the key in JSON and the place of its errors. What is read stands in the
record with its type, so that an answer is worked out from figures and names, never from text.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from functools import cache
from typing import Any, Literal, Protocol, Required, TypeAlias, TypedDict, TypeVar, Unpack

from stillroom.errors import BadEntry, StillroomError
from stillroom.records.conditions import Condition
from stillroom.records.sections import Troubles

Read = TypeVar("Read", covariant=True)
Value = TypeVar("Value")
Taken = TypeVar("Taken")
Record = TypeVar("Record", bound="Said")
ControlKind: TypeAlias = Literal["figure", "text", "choice", "list", "date"]
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

    Attributes
    ----------
    what, taken, because : str or function
        "how warm the room is", "25 °C", "the constants are those of 25 °C".
    effect : str or function
        What it does to the answer.
    share : float or function
        Part of the answer it moves, for the order of the list. [1]
    counts : function or None
        Whether the answer stands on it, from what was found and what was said.
    field : str
        The entry that replaces it; the one it stands at when left out.
    """

    what: Told
    taken: Told
    because: Told
    effect: Told
    share: "float | Callable[[Any, Any], float]"
    counts: Callable[[Any, Any], bool] | None = None
    field: str = ""


class Face(TypedDict, total=False):
    """How an entry looks at its doors.

    Attributes
    ----------
    label : str
        Words over its row, or of its own where it stands ``beside`` the entry before it.
    short : str
        In place of the label, inside the field.
    hint : str
    folded : bool
        Asked only where somebody opens the rest.
    chosen : str
        Chosen before anybody chose.
    house : str
        Condition of the house that is offered beside it.
    help : str
        What the command says.
    option : str
        Name of its option, where that is another.
    usual : str
        What the command takes where its option is left out.
    argument : bool
        The command takes it as its argument, and ``joined`` where it takes several.
    flags : mapping of str to str
        Names and the flags of the command that say them.
    """

    label: Required[str]
    short: str
    hint: str
    beside: bool
    folded: bool
    chosen: str
    house: str
    help: str
    option: str
    usual: str
    argument: bool
    joined: str
    flags: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that may be said, as it was declared."""

    reads: Reader[Any]
    face: Face
    needed: bool = False
    must: str = ""
    do: str = ""
    otherwise: Any = None
    assumption: Assumption | None = None
    name: str = ""

    def said(self, text: Mapping[str, str]) -> Any:
        """What was said of it, read; what is taken where nobody said.

        Raises
        ------
        StillroomError
            It is needed and was not said, or it cannot be read.
        """
        written = text.get(self.name, "")
        if written:
            return self.reads.read(written, self.name)
        if not self.needed:
            return self.otherwise
        if self.must:
            raise BadEntry(self.must, "nothing", self.do, where=self.name)
        return self.reads.read("", self.name)


def needed(reads: Reader[Value], *, must: str = "", do: str = "", **face: Unpack[Face]) -> Value:
    """An entry without which there is no answer.

    Parameters
    ----------
    reads : Reader
    must, do : str
        Said where it is left out; the reader's own words otherwise.
    **face : Face
    """
    declared: Value = field(metadata={ENTRY: Entry(reads, face, needed=True, must=must, do=do)})
    return declared


def taken(
    otherwise: Taken, reads: Reader[Value], *, unsaid: Assumption | None = None, **face: Unpack[Face]
) -> Value | Taken:
    """An entry that is taken as something where nobody says it.

    Parameters
    ----------
    otherwise : object
        What is taken.
    reads : Reader
    unsaid : Assumption or None
        Told then, with what it does to the answer; None where it moves nothing.
    **face : Face
    """
    declared: Value | Taken = field(
        metadata={ENTRY: Entry(reads, face, otherwise=otherwise, assumption=unsaid)}
    )
    return declared


def maybe(reads: Reader[Value], *, unsaid: Assumption | None = None, **face: Unpack[Face]) -> Value | None:
    """An entry that may be left out: then there is none.

    Parameters
    ----------
    reads : Reader
    unsaid : Assumption or None
        Told then, with what it does to the answer.
    **face : Face
    """
    declared: Value | None = field(metadata={ENTRY: Entry(reads, face, assumption=unsaid)})
    return declared


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said of a question, read: the record each question declares its entries in.

    Attributes
    ----------
    text : mapping of str to str
        As it was written, by the name of the entry.
    today : date
    house : mapping of str to Condition
        What the house noted last, by the name of the entry it may answer.
    """

    text: Mapping[str, str]
    today: date
    house: Mapping[str, Condition]

    @classmethod
    @cache
    def entries(cls) -> tuple[Entry, ...]:
        """Every entry, in the order it was declared."""
        return tuple(
            replace(one.metadata[ENTRY], name=one.name.replace("_", "-"))
            for one in fields(cls)
            if ENTRY in one.metadata
        )

    @classmethod
    def read(
        cls: type[Record], text: Mapping[str, str], today: date, house: Mapping[str, Condition]
    ) -> Record:
        """Everything that was said, read.

        Parameters
        ----------
        text : mapping of str to str
            By the name of the entry; what is empty was not said.
        today : date
        house : mapping of str to Condition

        Raises
        ------
        StillroomError
            Something cannot be read, or is needed; several are told together, each at its entry.
        """
        troubles, read = Troubles(), {}
        for one in cls.entries():
            try:
                read[one.name.replace("-", "_")] = one.said(text)
            except StillroomError as error:
                troubles.add(error, one.name)
        troubles.tell()
        return cls(text=text, today=today, house=house, **read)
