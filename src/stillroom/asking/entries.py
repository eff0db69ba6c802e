"""What a question asks, declared as the fields of the record that holds what was said.

An entry is ``needed``, ``taken`` as something where nobody says it, or may be left out (``maybe``). Its name is the
field of the form, the option of the command, the key in JSON and the place of its errors. What is read stands in the
record with its type, so that an answer is worked out from figures and names, never from text.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from functools import cache
from typing import Any, Generic, Literal, Protocol, Required, TypeAlias, TypedDict, TypeVar, Unpack

from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.records.conditions import Condition
from stillroom.records.sections import Troubles

Read = TypeVar("Read", covariant=True)
Value = TypeVar("Value")
Taken = TypeVar("Taken")
Record = TypeVar("Record", bound="Said")
AnyLine = TypeVar("AnyLine", bound="Line")
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
class HangsOn(Generic[Value]):
    """Read in a way that hangs on what was said of an entry before it: a titre in mL, or in g when it is weighed.

    Attributes
    ----------
    field : str
        That entry, as a field of the record.
    reads : function
        From what was said of it to the reader.
    unit : str
        Printed beside the field.
    """

    field: str
    reads: Callable[[Any], Reader[Value]]
    unit: str = ""
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

    def said(self, text: Mapping[str, str], before: Mapping[str, Any]) -> Any:
        """What was said of it, read; what is taken where nobody said.

        Parameters
        ----------
        text : mapping of str to str
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


def needed(
    reads: Reader[Value] | HangsOn[Value], *, must: str = "", do: str = "", **face: Unpack[Face]
) -> Value:
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
    reads : Reader
    unsaid : Assumption or None
        Told then, with what it does to the answer; None where it moves nothing.
    **face : Face
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
    reads : Reader
    unsaid : Assumption or None
        Told then, with what it does to the answer.
    **face : Face
    """
    declared: Value | None = field(metadata={ENTRY: Entry(reads, face, assumption=unsaid)})
    return declared


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One of several lines of the same entries; a question declares what stands in it as it declares its own entries.

    Attributes
    ----------
    number : int
        From 1; what its entries say may hold it as ``{at}``.
    """

    number: int


@dataclass(frozen=True, slots=True)
class Lines:
    """Several lines, as they were declared."""

    line: type[Line]
    most: int
    shown: int
    must: str
    do: str

    def entries(self, number: int) -> tuple[Entry, ...]:
        """The entries of one line."""
        return tuple(_numbered(one, number, folded=number > self.shown) for one in _declared(self.line))

    def said(self, text: Mapping[str, str], before: Mapping[str, Any], troubles: Troubles) -> tuple[Any, ...]:
        """Every line of which something was said."""
        found, any_said = [], False
        for number in range(1, self.most + 1):
            entries = self.entries(number)
            if any(one.name in text for one in entries):
                any_said = True
                read = _read(entries, text, before, troubles)
                names = {name.removesuffix(f"_{number}"): value for name, value in read.items()}
                if len(read) == len(entries):
                    found.append(self.line(number=number, **names))
        if not any_said:
            troubles.refuse(self.must, "none", self.do, where=self.entries(1)[0].name)
        return tuple(found)


def lines(line: type[AnyLine], *, most: int, shown: int, must: str, do: str) -> tuple[AnyLine, ...]:
    """Several lines of the same entries, one at least.

    Parameters
    ----------
    line : type of Line
    most, shown : int
        How many there may be, and how many stand on the first screen.
    must, do : str
        Said where there is none.
    """
    declared: tuple[AnyLine, ...] = field(metadata={ENTRY: Lines(line, most, shown, must, do)})
    return declared


def _numbered(one: Entry, number: int, *, folded: bool) -> Entry:
    face = Face(**one.face)
    face["label"] = worded(face["label"], at=number)
    if folded and not face.get("beside"):
        face["folded"] = True
    must = worded(one.must, at=number) if one.must else ""
    return replace(one, name=f"{one.name}-{number}", face=face, must=must)


def _declared(record: type[Any]) -> tuple[Entry, ...]:
    """The entries of a record by their names, each line of several by itself."""
    found: list[Entry] = []
    for one in fields(record):
        declared = one.metadata.get(ENTRY)
        if isinstance(declared, Lines):
            found += [each for number in range(1, declared.most + 1) for each in declared.entries(number)]
        elif declared is not None:
            found.append(replace(declared, name=one.name.replace("_", "-")))
    return tuple(found)


def _read(
    entries: Iterable[Entry], text: Mapping[str, str], before: Mapping[str, Any], troubles: Troubles
) -> dict[str, Any]:
    """What was said of some entries, by field; what hangs on an entry that cannot be read is not read either."""
    read: dict[str, Any] = {}
    for one in entries:
        if isinstance(one.reads, HangsOn) and one.reads.field not in before:
            continue
        try:
            read[one.name.replace("-", "_")] = one.said(text, before)
        except StillroomError as error:
            troubles.add(error, one.name)
    return read


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
        return _declared(cls)

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
        troubles, read = Troubles(), dict[str, Any]()
        for one in fields(cls):
            declared = one.metadata.get(ENTRY)
            if isinstance(declared, Lines):
                read[one.name] = declared.said(text, read, troubles)
            elif declared is not None:
                entry = replace(declared, name=one.name.replace("_", "-"))
                read |= _read((entry,), text, read, troubles)
        troubles.tell()
        return cls(text=text, today=today, house=house, **read)
