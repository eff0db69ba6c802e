"""What was said of a question, read: the record each question declares its entries in.

What is read stands in the record with its type, so that an answer is worked out from figures and names, never from
text. Promises that everything is read before anything is worked out, so that all slips are told at once, each at its
entry.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import date
from functools import cache
from typing import Any, TypeAlias, TypeVar

from stillroom.asking.entries import ENTRY, Entry, Face, HangsOn, Reader
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.records.conditions import Condition
from stillroom.records.sections import Troubles

Value = TypeVar("Value")
Record = TypeVar("Record", bound="Said")
AnyPart = TypeVar("AnyPart", bound="Part")
AnyLine = TypeVar("AnyLine", bound="Line")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Several entries that say one thing together; what stands in them is declared as in a ``Said``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line(Part):
    """One of several lines of the same entries."""

    number: int
    """From 1; what its entries say may hold it as ``{at}``."""


@dataclass(frozen=True, slots=True)
class Together:
    """Entries that say one thing together, as they were declared."""

    part: type[Part]
    reads: Callable[[Any], Any]

    def entries(self) -> tuple[Entry, ...]:
        """Its entries, in order."""
        return _declared(self.part)

    def said(self, text: Mapping[str, str], before: Mapping[str, Any], troubles: Troubles) -> tuple[Any, ...]:
        """What they say, alone in a tuple; nothing where they cannot be read."""
        return _together(self.part, self.reads, self.entries(), text, before, troubles)


@dataclass(frozen=True, slots=True)
class Lines:
    """Several lines, as they were declared; a command says each in one word, ``written`` like that."""

    line: type[Line]
    reads: Callable[[Any], Any]
    most: int
    shown: int
    must: str
    do: str
    called: str
    written: str = ""
    help: str = ""
    option: str = ""
    name: str = ""

    def in_fields(self, said: Sequence[Sequence[str]]) -> dict[str, str]:
        """What a command or a program says of them, as the fields of a form.

        Parameters
        ----------
        said : sequence of sequences of str
            For each line, what it says in the order of its entries.

        Raises
        ------
        BadEntry
            There are more than may be said, or one does not say everything.
        """
        if len(said) > self.most:
            told = worded("At most {most} may be said together", most=self.most)
            raise BadEntry(told, str(len(said)), "Say the rest by itself", where=self.name)
        for one in said:
            if len([text for text in one if text.strip()]) != len(self.entries(1)):
                must = worded('Each is written "{written}"', written=self.written)
                got = repr(", ".join(text for text in one if text))
                raise BadEntry(must, got, "Say all of it", where=self.name)
        return {
            entry.name: text
            for number, one in enumerate(said, 1)
            for entry, text in zip(self.entries(number), one, strict=True)
        }

    def entries(self, number: int = 0) -> tuple[Entry, ...]:
        """The entries of one line; of all of them, one line after the other, where no number is said."""
        if not number:
            return tuple(one for at in range(1, self.most + 1) for one in self.entries(at))
        return tuple(
            _numbered(one, number, self._name(one, number, first=not at), folded=number > self.shown)
            for at, one in enumerate(_declared(self.line))
        )

    def _name(self, one: Entry, number: int, *, first: bool) -> str:
        if not self.called:
            return f"{one.name}-{number}"
        return f"{self.called}-{number}" if first else f"{self.called}-{number}-{one.name}"

    def said(self, text: Mapping[str, str], before: Mapping[str, Any], troubles: Troubles) -> tuple[Any, ...]:
        """Every line of which something was said, in a tuple; nothing where there is none."""
        found: list[Any] = []
        any_said = False
        for number in range(1, self.most + 1):
            entries = self.entries(number)
            if any(one.name in text for one in entries if not one.face.get("chosen")):
                any_said = True
                found += _together(self.line, self.reads, entries, text, before, troubles, number=number)
        if not any_said and not self.must:
            return ((),)
        if not any_said:
            troubles.refuse(self.must, "none", self.do, where=self.entries(1)[0].name)
            return ()
        return (tuple(found),)


@dataclass(frozen=True, slots=True)
class Others:
    """Entries whose names hang on what was said before them, as they were declared."""

    named: Callable[[Mapping[str, Any]], Mapping[str, Reader[Any]]]
    """From what was read of the entries before them to the reader of each that may be said."""
    called: Callable[[str], str]
    """Words of an entry, from its name."""
    hint: str

    def entries(self) -> tuple[Entry, ...]:
        """None before anything is said."""
        return ()

    def said(self, text: Mapping[str, str], before: Mapping[str, Any], troubles: Troubles) -> tuple[Any, ...]:
        """What was said of each, by name, alone in a tuple; nothing where it cannot be told what may be said."""
        try:
            named = self.named(before)
        except StillroomError as error:
            troubles.add(error, error.where)
            return ()
        read = {}
        for name in (one for one in text if one in named):
            try:
                read[name] = named[name].read(text[name], name)
            except StillroomError as error:
                troubles.add(error, name)
        return (read,)


Group: TypeAlias = Together | Lines | Others


def others(
    named: Callable[[Mapping[str, Any]], Mapping[str, Reader[Value]]],
    *,
    called: Callable[[str], str],
    hint: str,
) -> Mapping[str, Value]:
    """Entries whose names hang on what was said before them: the settings of a way of extracting.

    Parameters
    ----------
    named : function
        From what was read of the entries before them to the reader of each that may be said.
    called : function
        Words of an entry, from its name.
    """
    declared: Mapping[str, Value] = field(metadata={ENTRY: Others(named, called, hint)})
    return declared


def together(part: type[AnyPart], reads: Callable[[AnyPart], Value]) -> Value:
    """Several entries that say one thing together: a strength, how it is known, the temperature it was read at.

    Parameters
    ----------
    reads : function
        From what was said of each to the one thing; an error it raises without a place stands at the first entry.
    """
    declared: Value = field(metadata={ENTRY: Together(part, reads)})
    return declared


def as_it_is(line: AnyLine) -> AnyLine:
    """The line with its entries."""
    return line


def lines(
    line: type[AnyLine],
    reads: Callable[[AnyLine], Value] = as_it_is,  # type: ignore[assignment]
    *,
    most: int,
    shown: int,
    must: str = "",
    do: str = "",
    called: str = "",
    written: str = "",
    help: str = "",  # noqa: A002
    option: str = "",
) -> tuple[Value, ...]:
    """Several lines of the same entries, one at least where ``must`` says so.

    Parameters
    ----------
    reads : function
        From the entries of a line to what they say together.
    most, shown : int
        How many there may be, and how many stand on the first screen.
    must, do : str
        Said where there is none; empty where there need not be one.
    called : str
        "stock" names its entries "stock-1" for the first, then "stock-1-amount"; "mass-1" and "titre-1" without it.
    written, help, option : str
        How a command says one: "1.0150 g, 8.42 mL"; what it says of that, and the option, where that is not the field.
    """
    several = Lines(line, reads, most, shown, must, do, called, written, help, option)
    declared: tuple[Value, ...] = field(metadata={ENTRY: several})
    return declared


def _numbered(one: Entry, number: int, name: str, *, folded: bool) -> Entry:
    face = Face(**one.face)
    face["label"] = worded(face["label"], at=number)
    if "short" in face:
        face["short"] = worded(face["short"], at=number)
    if number > 1:
        face.pop("hint", None)
        face |= {"chosen": face["then"]} if "then" in face else {}
    if folded and not face.get("beside"):
        face["folded"] = True
    must = worded(one.must, at=number) if one.must else ""
    return replace(one, name=name, face=face, must=must)


def _declared(record: type[Any]) -> tuple[Entry, ...]:
    """The entries of a record by their names, those of a group one after the other."""
    return tuple(
        each for one in _in_order(record) for each in ((one,) if isinstance(one, Entry) else one.entries())
    )


def _in_order(record: type[Any]) -> Iterator[Entry | Lines]:
    """The same, several lines of the same entries as one."""
    for one in fields(record):
        declared = one.metadata.get(ENTRY)
        if isinstance(declared, Together | Others):
            yield from declared.entries()
        elif isinstance(declared, Lines):
            yield replace(declared, name=one.name.replace("_", "-"))
        elif declared is not None:
            yield replace(declared, name=one.name.replace("_", "-"), attribute=one.name)


def _read(
    entries: Iterable[Entry], text: Mapping[str, str], before: Mapping[str, Any], troubles: Troubles
) -> dict[str, Any]:
    """What was said of some entries, by field; what hangs on one that cannot be read is missed at most."""
    read: dict[str, Any] = {}
    for one in entries:
        known = {**before, **read}
        hangs = isinstance(one.reads, HangsOn) and one.reads.field not in known
        if hangs and not (one.needed and one.must and not text.get(one.name)):
            continue
        try:
            read[one.attribute] = one.said(text, known)
        except StillroomError as error:
            troubles.add(error, one.name)
    return read


def _together(
    part: type[Part],
    reads: Callable[[Any], Any],
    entries: tuple[Entry, ...],
    text: Mapping[str, str],
    before: Mapping[str, Any],
    troubles: Troubles,
    **more: int,
) -> tuple[Any, ...]:
    """What entries say together, alone in a tuple; nothing where one of them cannot be read."""
    read = _read(entries, text, before, troubles)
    if len(read) == len(entries):
        try:
            return (reads(part(**read, **more)),)
        except StillroomError as error:
            troubles.add(error, entries[0].name)
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said of a question, read: the record each question declares its entries in."""

    text: Mapping[str, str]
    """As it was written, by the name of the entry."""
    today: date
    house: Mapping[str, Condition]
    """What the house noted last, by the name of the entry it may answer."""

    @classmethod
    @cache
    def entries(cls) -> tuple[Entry, ...]:
        """Every entry, in the order it was declared."""
        return _declared(cls)

    @classmethod
    @cache
    def declared(cls) -> tuple[Entry | Lines, ...]:
        """The same, several lines of the same entries as one."""
        return tuple(_in_order(cls))

    @classmethod
    def others(cls) -> Others | None:
        """Entries whose names hang on what is said, where it has such."""
        declared = (one.metadata.get(ENTRY) for one in fields(cls))
        return next((one for one in declared if isinstance(one, Others)), None)

    def others_said(self) -> set[str]:
        """Names of what was read whose entries hang on what was said before them."""
        held = (
            getattr(self, one.name) for one in fields(self) if isinstance(one.metadata.get(ENTRY), Others)
        )
        return {name for each in held for name in each}

    @classmethod
    def read(
        cls: type[Record], text: Mapping[str, str], today: date, house: Mapping[str, Condition]
    ) -> Record:
        """Everything that was said, read.

        Parameters
        ----------
        text : mapping of str to str
            By the name of the entry; what is empty was not said.

        Raises
        ------
        StillroomError
            Something cannot be read, or is needed; several are told together, each at its entry.
        """
        troubles, read = Troubles(), dict[str, Any]()
        for one in fields(cls):
            declared = one.metadata.get(ENTRY)
            if isinstance(declared, Group):
                for found in declared.said(text, read, troubles):
                    read[one.name] = found
            elif declared is not None:
                entry = replace(declared, name=one.name.replace("_", "-"), attribute=one.name)
                read |= _read((entry,), text, read, troubles)
        troubles.tell()
        return cls(text=text, today=today, house=house, **read)
