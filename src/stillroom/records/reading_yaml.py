"""A YAML file as plain text with its lines: every value is kept as it was written, nothing is guessed or run.

Reads YAML 1.2 through the event stream of ruamel.yaml: no value is turned into a number, date or truth value
and no tag is ever carried out, so "0.100" keeps its digits and "no" is not False. Refuses what a file for a
laboratory never needs: anchors and aliases, tags, several documents, a depth or length nobody writes by hand.
Knows no keys; those stand in the file of each record.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from stillroom.errors import BadEntry, worded

LONGEST_FILE = 200_000
"""Longest file taken [bytes]."""
DEEPEST = 12
MOST_VALUES = 8_000


@dataclass(frozen=True, slots=True)
class Written:
    """One value of a file: a text, a list or a mapping, with the place it stands."""

    where: str
    """File and line, such as "order.yaml:7"."""
    text: str | None = None
    """The text, white space at the ends left out; "" where nothing was written. None for a list or mapping."""
    items: "tuple[Written, ...] | None" = None
    """The members of a list."""
    pairs: "tuple[tuple[Written, Written], ...] | None" = None
    """Keys and values of a mapping, in order, doubled keys included."""

    @property
    def is_empty(self) -> bool:
        """Whether nothing was written there."""
        return self.text == ""

    @property
    def is_what(self) -> str:
        """The shape in words, for an error: "a list", "a mapping", or the text itself in quotes."""
        if self.items is not None:
            return "a list"
        return "a mapping" if self.pairs is not None else repr(_short(self.text or ""))


@dataclass(slots=True)
class _Open:
    """A list or mapping whose end has not been seen yet."""

    where: str
    is_mapping: bool
    members: list[Written] = field(default_factory=list)

    def closed(self) -> Written:
        if not self.is_mapping:
            return Written(self.where, items=tuple(self.members))
        pairs = zip(self.members[::2], self.members[1::2], strict=True)
        placed = ((key, replace(value, where=key.where) if value.is_empty else value) for key, value in pairs)
        return Written(self.where, pairs=tuple(placed))


def read_yaml(source: str | bytes, name: str) -> Written:
    """The content of a YAML file.

    Parameters
    ----------
    source : str or bytes
        The whole file; bytes must be UTF-8.
    name : str
        What errors call the file.

    Returns
    -------
    Written
        The one value the file holds.

    Raises
    ------
    BadEntry
        The file cannot be read as one plain YAML document; the line is named where there is one.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    text = _decoded(source, name)
    try:
        return _one_document(YAML(typ="safe", pure=True).parse(text), name)
    except MarkedYAMLError as trouble:
        raise _not_yaml(trouble, text, name) from None
    except YAMLError as trouble:
        line = text.count("\n", 0, getattr(trouble, "position", 0)) + 1
        raise BadEntry(
            "A file may only hold characters that can be printed",
            worded("a hidden character in line {line}", line=line),
            "Type that line again",
            where=f"{name}:{line}",
        ) from None
    except (ValueError, OverflowError):
        raise BadEntry(
            "A \\u or \\U in double quotes must name a character",
            do="Type the character itself, or use single quotes",
            where=name,
        ) from None


def _decoded(source: str | bytes, name: str) -> str:
    raw = source.encode("utf-8", "surrogatepass") if isinstance(source, str) else source
    if len(raw) > LONGEST_FILE:
        raise BadEntry(
            worded("A file may have at most {longest_file} kB", longest_file=LONGEST_FILE // 1000),
            worded("{raw:.0f} kB", raw=len(raw) / 1000),
            "Split it, or check that it is the right file",
            where=name,
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = raw.count(b"\n", 0, trouble.start) + 1
        raise BadEntry(
            "A file must be text in UTF-8",
            worded("a byte that is not in line {line}", line=line),
            "Save it again as UTF-8",
            where=f"{name}:{line}",
        ) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _one_document(events: Iterator[Any], name: str) -> Written:
    from ruamel.yaml import events as seen

    open_ones: list[_Open] = []
    found: Written | None = None
    count = 0
    for event in events:
        where = f"{name}:{event.start_mark.line + 1}"
        if isinstance(event, seen.DocumentStartEvent) and found is not None:
            raise BadEntry(
                "A file holds one document", "a second one after '---'", "Make it two files", where=where
            )
        done: Written | None = None
        if isinstance(event, seen.NodeEvent):
            _refuse_machinery(event, where)
            count += 1
            if count > MOST_VALUES:
                raise BadEntry(
                    worded("A file may hold at most {most_values} values", most_values=MOST_VALUES),
                    do="Split it",
                    where=where,
                )
        if isinstance(event, seen.ScalarEvent):
            done = Written(where, text=_kept(event.value, plain=event.style is None, where=where))
        elif isinstance(event, seen.CollectionStartEvent):
            if len(open_ones) == DEEPEST:
                raise BadEntry(
                    worded(
                        "Lists and mappings may lie at most {deepest} deep in each other", deepest=DEEPEST
                    ),
                    do="Check the brackets and the indentation",
                    where=where,
                )
            open_ones.append(_Open(where, isinstance(event, seen.MappingStartEvent)))
        elif isinstance(event, seen.CollectionEndEvent):
            done = open_ones.pop().closed()
        if done is not None and open_ones:
            open_ones[-1].members.append(done)
        elif done is not None:
            found = done
    if found is None or found.is_empty:
        raise BadEntry(
            "A file must hold keys and values", "an empty file", "Write 'key: value' lines", where=name
        )
    return found


def _refuse_machinery(event: Any, where: str) -> None:
    if event.anchor is not None:
        raise BadEntry(
            "A file must say everything where it stands",
            "an anchor or alias ('&' or '*' before a name)",
            "Write the value out, or put it in quotes",
            where=where,
        )
    if getattr(event, "tag", None) is not None:
        raise BadEntry(
            "A file holds plain text only",
            worded("the tag {tag!r}", tag=_short(str(event.tag))),
            "Leave the tag out, or put the value in quotes",
            where=where,
        )


def _kept(value: str, *, plain: bool, where: str) -> str:
    if any(0xD800 <= ord(one) < 0xE000 for one in value):
        raise BadEntry(
            "A value must be made of whole characters",
            "half of one ('\\ud800' and the like)",
            "Type the character itself",
            where=where,
        )
    text = value.strip()
    return "" if plain and text in ("~", "null") else text


def _not_yaml(trouble: Any, text: str, name: str) -> BadEntry:
    lines = text.split("\n")
    context, problem = trouble.context or "", trouble.problem or ""
    mark = trouble.problem_mark or trouble.context_mark
    must = "A file must be laid out as YAML"
    do = "Check this line and the one above: 'key: value', indented by spaces"
    if "quoted scalar" in context:
        mark = trouble.context_mark
        must, do = "A quotation mark must be closed", "Close it, or leave both out"
    number = min(mark.line + 1 if mark else 1, len(lines))
    while number > 1 and not lines[number - 1].strip():
        number -= 1
    line = lines[number - 1]
    if "'\\t'" in problem or line.lstrip(" ").startswith("\t"):
        must, do = "Lines are indented by spaces and values follow one space", "Replace the tab in this line"
    elif "cannot start any token" in problem:
        must, do = "A value that begins with a sign such as % @ ` must stand in quotes", "Put it in quotes"
    elif "mapping values are not allowed" in problem:
        must = "A line holds one key, and is indented like its neighbours"
        do = "Put a value with a colon in quotes, or check the indentation"
    elif "simple key" in context:
        must, do = "Every line has a key, a colon and a space", "Write 'key: value'"
    elif "flow" in context:
        must, do = "A bracket must be closed, with commas between what it holds", "Close it with ] or }"
    return BadEntry(must, repr(_short(line.strip())), do, where=f"{name}:{number}")


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"
