"""JSON Schemas of the files a person writes, for editors: found by watching what the readers look for.

Promises that what a reader takes, its keys in small letters, the schema takes too; that a misspelt key is marked, and a
missing one that is always needed. What a text means is left to the reader.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from stillroom.errors import StillroomError, UnknownName
from stillroom.records.laboratory_from_yaml import laboratory_of
from stillroom.records.order_from_yaml import order_of
from stillroom.records.procedure_from_yaml import procedure_from_written
from stillroom.records.reading_yaml import Written
from stillroom.records.sections import WATCH, Troubles
from stillroom.records.written_values import OneOf

DIALECT = "https://json-schema.org/draft/2020-12/schema"
TEXT: dict[str, Any] = {"$ref": "#/$defs/text"}
DEFINED = {"text": {"type": ["string", "number", "boolean", "null"]}}
READERS: Mapping[str, Callable[[Written], object]] = {
    "order": order_of,
    "procedure": lambda written: procedure_from_written(written, Troubles()),
    "laboratory": laboratory_of,
}
"""Each kind of file, and what reads its mapping."""


@dataclass
class _Mapping:
    """What was looked for in one mapping: its keys in their order, and what each takes."""

    keys: tuple[str, ...] = ()
    takes: dict[str, tuple[str, Any]] = field(default_factory=dict)
    missed: set[str] = field(default_factory=set)


def file_schema(kind: str) -> dict[str, Any]:
    """The JSON Schema of a kind of file.

    Parameters
    ----------
    kind : str
        "order", "procedure" or "laboratory".

    Raises
    ------
    UnknownName
        There is no such kind of file.
    """
    if kind not in READERS:
        raise UnknownName.among(kind, "a kind of file", READERS)
    read = READERS[kind]
    seen = _watch(read, set())
    while (inside := _members(seen)) - seen.keys():
        again = _watch(read, inside)
        for path, one in again.items():
            one.missed |= seen.get(path, one).missed
        seen = again
    always = {
        path: [
            key for key in one.keys if key in one.missed and _missed_alone(read, inside, path, one.keys, key)
        ]
        for path, one in seen.items()
    }
    return {
        "$schema": DIALECT,
        "title": f"{kind.title()} file of stillroom",
        **_mapping("", seen, always),
        "$defs": DEFINED,
    }


def _watch(
    read: Callable[[Written], object], inside: set[str], given: Mapping[str, tuple[str, ...]] | None = None
) -> dict[str, _Mapping]:
    """What a reader looks for in a mapping that holds one empty member of each list, and texts where any are given."""
    seen: dict[str, _Mapping] = {}

    def watch(what: str, path: str, *told: Any) -> None:
        one = seen.setdefault(path, _Mapping())
        if what == "keys":
            one.keys = told
        elif what == "missed":
            one.missed.add(told[0])
        elif what == "members":
            parent, _, key = path.rpartition("/")
            seen[parent].takes[key] = (what, told[0])
        elif what != "value":
            one.takes[told[0]] = (what, told[1])
        else:
            one.takes.setdefault(told[0], (what, None))

    before = WATCH.set(watch)
    try:
        read(_probe("", inside, given or {}))
    except StillroomError:
        pass  # the mapping is made to be found wanting
    finally:
        WATCH.reset(before)
    return {path: one for path, one in seen.items() if one.keys}


def _probe(path: str, inside: set[str], given: Mapping[str, tuple[str, ...]]) -> Written:
    pairs = [(Written(path, text=key), Written(path, text="1")) for key in given.get(path, ())]
    for one in sorted(inside):
        parent, _, key = one.rpartition("/")
        if parent == path and key not in given.get(path, ()):
            member = _probe(one, inside, given)
            pairs.append((Written(path, text=key), Written(one, items=(member,))))
    return Written(path, pairs=tuple(pairs))


def _members(seen: Mapping[str, _Mapping]) -> set[str]:
    """Every key that was looked at without being read as a text or a list: it holds mappings."""
    return {
        f"{path}/{key}"
        for path, one in seen.items()
        for key, (what, _) in one.takes.items()
        if what in ("value", "members")
    }


def _missed_alone(
    read: Callable[[Written], object], inside: set[str], path: str, keys: tuple[str, ...], key: str
) -> bool:
    """Whether a key is missed where all others are there."""
    others = tuple(one for one in keys if one != key and f"{path}/{one}" not in inside)
    return key in _watch(read, inside - {f"{path}/{key}"}, {path: others}).get(path, _Mapping()).missed


def _mapping(path: str, seen: Mapping[str, _Mapping], always: Mapping[str, list[str]]) -> dict[str, Any]:
    one = seen[path]
    schemas = {
        key: _value(f"{path}/{key}", *one.takes.get(key, ("text", None)), seen, always) for key in one.keys
    }
    needed = [
        {"anyOf": [{"required": [key.replace(" ", between)]} for between in (" ", "_", "-")]}
        if " " in key
        else {"required": [key]}
        for key in always[path]
    ]
    return {
        "type": "object",
        "properties": schemas,
        "patternProperties": {
            f"^{re.sub(' ', '[ _-]', key)}$": one for key, one in schemas.items() if " " in key
        },
        "additionalProperties": False,
        **({"allOf": needed} if needed else {}),
    }


def _value(
    path: str, what: str, told: Any, seen: Mapping[str, _Mapping], always: Mapping[str, list[str]]
) -> dict[str, Any]:
    if what == "members" and path in seen:
        value = [TEXT] if "value" in seen[path].keys else []
        named = {**always, path: [key for key in always[path] if key != told]}
        return {
            "anyOf": [
                {"type": "null"},
                {"type": "array", "items": _mapping(path, seen, always)},
                {"type": "object", "additionalProperties": {"anyOf": [*value, _mapping(path, seen, named)]}},
            ]
        }
    text: dict[str, Any] = TEXT
    if isinstance(told, OneOf):
        text = {"anyOf": [{"enum": list(told.known)}, TEXT]}
    elif doc := getattr(told, "__doc__", None):
        text = {**TEXT, "description": doc.splitlines()[0]}
    return {"anyOf": [text, {"type": "array", "items": text}]} if what == "list" else text
