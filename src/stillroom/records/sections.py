"""A mapping a person wrote, read key by key, with every trouble of the file told together.

``Section`` knows which keys may stand in a mapping; ``Troubles`` gathers what is wrong while reading goes on,
so that five slips are five sentences and not five attempts. What a text means is the business of the reader.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from contextvars import ContextVar
from difflib import get_close_matches
from typing import TypeVar

from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.records.reading_yaml import Written

Value = TypeVar("Value")
LONGEST_KEY_SHOWN = 40
CLOSE = 0.6
MOST_TOLD = 20
_LINE = re.compile(r":([0-9]+)$")


WATCH: ContextVar["Callable[..., None] | None"] = ContextVar(
    "who watches what is read of a file", default=None
)
"""Told what is read of which mapping, where somebody watches: a schema is made so."""


def _watched(*seen: object) -> None:
    if watch := WATCH.get():
        watch(*seen)


class SeveralBadEntries(BadEntry):
    """Two or more things in one file or form cannot be taken; one sentence each.

    Parameters
    ----------
    must, got, do, where : str
        Of the first.
    errors : tuple of StillroomError
        All of them, in the order of the file.
    """

    def __init__(
        self,
        must: str,
        got: str = "",
        do: str = "",
        *,
        where: str = "",
        errors: tuple[StillroomError, ...] = (),
    ) -> None:
        self.errors = errors
        super().__init__(must, got, do, where=where)

    @classmethod
    def of(cls, errors: Iterable[StillroomError]) -> "SeveralBadEntries":
        """One error that tells all of these.

        Parameters
        ----------
        errors : iterable of StillroomError
            At least one.
        """
        every = tuple(errors)
        first = every[0]
        return cls(first.must, first.got, first.do, where=first.where, errors=every)

    @property
    def sentence(self) -> str:
        """Every sentence on a line of its own."""
        return "\n".join(one.sentence for one in self.errors) or super().sentence

    def at(self, where: str) -> "SeveralBadEntries":
        """The same errors; those that know no place are told this one."""
        return self.of(one if one.where else one.at(where) for one in self.errors)


class Troubles:
    """What is wrong so far in one file or form."""

    def __init__(self) -> None:
        self._found: list[StillroomError] = []

    def __len__(self) -> int:
        return len(self._found)

    def add(self, trouble: StillroomError, where: str = "") -> None:
        """Keep one trouble, with its place unless it knows it.

        Parameters
        ----------
        where : str
            File and line, or field.
        """
        told = trouble.at(where) if where and not trouble.where else trouble
        self._found.extend(told.errors if isinstance(told, SeveralBadEntries) else (told,))

    def refuse(self, must: str, got: str = "", do: str = "", *, where: str) -> None:
        """Keep one trouble said in its parts.

        Parameters
        ----------
        must, got, do, where : str
            As in ``StillroomError``.
        """
        self.add(BadEntry(must, got, do, where=where))

    def tell(self) -> None:
        """Raise what was found, if anything was.

        Raises
        ------
        BadEntry, UnknownName
            The one trouble there was.
        SeveralBadEntries
            All of them, when there were more.
        """
        if len(self._found) == 1:
            raise self._found[0]
        if self._found:
            told = sorted(self._found, key=_line_of)
            rest = len(told) - MOST_TOLD
            if rest > 0:
                told[MOST_TOLD:] = [
                    BadEntry(worded("{rest} more cannot be taken", rest=rest), do="Correct these first")
                ]
            raise SeveralBadEntries.of(told)


class Section:
    """A mapping of the file, with the keys that may stand in it.

    Parameters
    ----------
    written : Written
        What should be a mapping.
    what : str
        What it is about, with its article ("an order").
    keys : iterable of str
        Each accepted key, plainly written ("declared at least").
    troubles : Troubles
        Where unknown and doubled keys are told.
    """

    def __init__(self, written: Written, what: str, keys: Iterable[str], troubles: Troubles) -> None:
        self.what = what
        self.where = written.where
        self.troubles = troubles
        self._found: dict[str, Written] = {}
        self._excused: set[str] = set()
        _watched("keys", self.where, *keys)
        if written.pairs is None:
            troubles.refuse(
                f"{what[0].title()}{what[1:]} is written as keys and values",
                written.is_what,
                "Write 'key: value' lines",
                where=written.where,
            )
            self._excused = set(keys)
            return
        known = tuple(keys)
        for key, value in written.pairs:
            self._take(key, value, known)

    def _take(self, key: Written, value: Written, known: tuple[str, ...]) -> None:
        if key.text is None:
            self.troubles.refuse("A key is plain text", key.is_what, where=key.where)
            return
        name = plain_key(key.text)
        if name not in known:
            shown = key.text if len(key.text) <= LONGEST_KEY_SHOWN else key.text[:LONGEST_KEY_SHOWN] + "…"
            near = get_close_matches(name, known, n=1, cutoff=CLOSE)
            trouble = UnknownName.among(shown, f"a key of {self.what}", near or known)
            if value.is_empty and not near:
                trouble = UnknownName(
                    trouble.must,
                    do="Is it part of the text before it? Put that in quotes: a comma inside { } ends a text",
                )
            self.troubles.add(trouble, key.where)
            self._excused.update(near)
        elif name in self._found:
            self.troubles.refuse(
                f"A key stands once in {self.what}",
                f"{key.text!r} a second time",
                f"Keep one; the first is at {self._found[name].where}",
                where=key.where,
            )
        else:
            self._found[name] = value

    def has(self, *keys: str) -> bool:
        """Whether something was written under any of these keys."""
        return any(key in self._found and not self._found[key].is_empty for key in keys)

    def where_of(self, key: str) -> str:
        """The place of a key, or of the mapping where it is missing."""
        return self._found[key].where if key in self._found else self.where or key

    def value(self, key: str) -> Written | None:
        """What stands under a key; None when nothing does."""
        _watched("value", self.where, key)
        return self._found[key] if self.has(key) else None

    def read(
        self, key: str, reader: Callable[[str, str], Value], instead: Value, *, needed: bool = True
    ) -> Value:
        """One text, read; a trouble is kept and the stand-in goes on in its place.

        Parameters
        ----------
        reader : callable
            Takes the text and its place.
        instead : value
            The value where nothing is written and nothing needed, and the stand-in after a trouble.
        needed : bool
            Whether it is a trouble when the key is missing.
        """
        _watched("text", self.where, key, reader)
        written = self.value(key)
        if written is None:
            if needed:
                self.miss(key)
            return instead
        if written.text is None:
            self.troubles.refuse(f"'{key}' is one text", written.is_what, where=written.where)
            return instead
        return self._caught(reader, written.text, written.where, instead)

    def read_list(self, key: str, reader: Callable[[str, str], Value]) -> tuple[Value, ...]:
        """A list of texts, each read; one text alone is a list of one, nothing an empty one.

        Parameters
        ----------
        reader : callable
            Takes the text and its place.
        """
        _watched("list", self.where, key, reader)
        written = self.value(key)
        if written is None:
            return ()
        if written.pairs is not None:
            self.troubles.refuse(f"'{key}' is a list", written.is_what, "Write [a, b]", where=written.where)
            return ()
        found: list[Value] = []
        for one in written.items if written.items is not None else (written,):
            if not one.text:
                shown = one.is_what if one.text is None else "nothing"
                self.troubles.refuse(f"'{key}' is a list of texts", shown, where=one.where)
                continue
            try:
                found.append(reader(one.text, one.where))
            except StillroomError as trouble:
                self.troubles.add(trouble, one.where)
        return tuple(found)

    def miss(self, key: str) -> None:
        """Tell that a needed key is missing, unless a misspelt one already was."""
        _watched("missed", self.where, key)
        if key not in self._excused:
            self.troubles.refuse(
                f"{self.what[0].title()}{self.what[1:]} needs '{key}'",
                "nothing" if key in self._found else "",
                f"Add a line '{key}: …'" if _LINE.search(self.where_of(key)) else "Fill it in",
                where=self.where_of(key),
            )

    def _caught(self, reader: Callable[[str, str], Value], text: str, where: str, instead: Value) -> Value:
        try:
            return reader(text, where)
        except StillroomError as trouble:
            self.troubles.add(trouble, where)
            return instead


def members_of(written: Written | None, named_by: str, troubles: Troubles) -> tuple[Written, ...]:
    """The members of a list of mappings, or of a mapping whose keys are their names.

    Parameters
    ----------
    written : Written or None
        The list, or the mapping "name: {…}".
    named_by : str
        The key a name is put under when it stood before the colon.

    Returns
    -------
    tuple of Written
        Mappings, each with its name inside; a member "name: text" keeps its text as a mapping under "value".
    """
    if written is None:
        return ()
    _watched("members", written.where, named_by)
    if written.items is not None:
        return written.items
    if written.pairs is None:
        troubles.refuse(
            "A list is needed here", written.is_what, "Begin each member with '- '", where=written.where
        )
        return ()
    found = []
    for key, value in written.pairs:
        name = (Written(key.where, text=named_by), key)
        inside = value.pairs if value.pairs is not None else ((Written(value.where, text="value"), value),)
        found.append(Written(key.where, pairs=(name, *inside)))
    return tuple(found)


def _line_of(trouble: StillroomError) -> int:
    found = _LINE.search(trouble.where)
    return int(found[1]) if found else 0


def once_each(names: Iterable[tuple[str, str]], what: str, troubles: Troubles) -> None:
    """Tell every name that stands twice.

    Parameters
    ----------
    names : iterable of (str, str)
        Each name and its place.
    what : str
        What is named ("step").
    """
    seen: dict[str, str] = {}
    for name, where in names:
        if name and name in seen:
            troubles.refuse(
                f"Each {what} has a name of its own",
                f"{name!r} a second time",
                f"The first is at {seen[name]}",
                where=where,
            )
        seen.setdefault(name, where)


def plain_key(key: str) -> str:
    """A key without capitals, underscores and hyphens: "Declared_at-least" is "declared at least"."""
    return " ".join(key.replace("_", " ").replace("-", " ").casefold().split())


def from_fields(fields: Mapping[str, str]) -> Written:
    """The fields of a form as a mapping; the place of each is its own name.

    Parameters
    ----------
    fields : mapping of str to str
        What was typed, by the name of the field.
    """
    return Written(
        "",
        pairs=tuple(
            (Written(name, text=name.strip()), Written(name, text=value.strip()))
            for name, value in fields.items()
        ),
    )
