"""A procedure as the fields of a form, and back: the same record, read by the same rules as its file.

A field is named by its place ("line-2-percent", "step-3-set-1-value"), and every trouble is told at its field. Lists
stand one to a line. A row that was left empty altogether is no row. Written into fields and read back, a procedure is
the same.
"""

import re
from collections.abc import Mapping

from stillroom.quantities.numbers import in_digits
from stillroom.records.procedure_from_yaml import procedure_from_written
from stillroom.records.procedures import Procedure
from stillroom.records.reading_yaml import Written
from stillroom.records.sections import Troubles
from stillroom.records.to_yaml import procedure_content

HEADER = {
    "code": "procedure",
    "version": "version",
    "title": "title",
    "purpose": "purpose",
    "makes": "makes",
    "scaled-by": "scaled by",
    "markers": "markers",
    "keeps": "keeps",
    "product-type": "product type",
    "notes": "notes",
    "claims": "claims",
    "label-text": "label text",
}
LINE = {
    "name": "name",
    "substance": "substance",
    "percent": "percent",
    "role": "role",
    "phase": "phase",
    "label": "label name",
    "amount": "amount",
    "serves": "serves",
}
STEP = {
    "name": "name",
    "kind": "kind",
    "says": "says",
    "takes": "takes",
    "gives": "gives",
    "weighs": "weighs",
    "ticks": "ticks",
    "cautions": "cautions",
    "hands": "hands",
    "watch": "watch",
    "free": "free",
    "wait": "longest wait",
}
SETTING = {
    "name": "name",
    "value": "value",
    "unit": "unit",
    "spread": "spread",
    "doubt": "standard uncertainty",
    "origin": "origin",
    "because": "because",
}
"""Part of a field's name, and the key of the file that it is."""
LISTS = frozenset({"markers", "takes", "gives", "weighs", "ticks", "cautions"})
CHOSEN = frozenset({"kind", "spread", "origin", "role", "serves", "unit"})
"""Fields that are never empty by themselves: they do not make a row."""
MOST_ROWS = 60
_ROW = re.compile(r"(line|step)-([0-9]{1,3})-")


def procedure_from_fields(fields: Mapping[str, str]) -> Procedure:
    """The procedure a form holds.

    Parameters
    ----------
    fields : mapping of str to str
        What was typed, by the name of the field.

    Returns
    -------
    Procedure
        The procedure. [record]

    Raises
    ------
    BadEntry, UnknownName
        Something cannot be taken; the field is named.
    SeveralBadEntries
        More than one thing cannot be taken.
    """
    troubles = Troubles()
    pairs = [*_pairs("", HEADER, fields)]
    lines = tuple(
        Written(f"line-{at}-name", pairs=tuple(_pairs(f"line-{at}-", LINE, fields)))
        for at in rows(fields, "line")
    )
    steps = tuple(_step(at, fields) for at in rows(fields, "step"))
    for key, members in (("lines", lines), ("steps", steps)):
        if members:
            pairs.append((Written(key, text=key), Written(key, items=members)))
    return procedure_from_written(Written("", pairs=tuple(pairs)), troubles)


def rows(fields: Mapping[str, str], what: str) -> list[int]:
    """Numbers of the rows in which something was typed.

    Parameters
    ----------
    what : "line", "step", or "step-3-set"
        Which rows.
    """
    found: set[int] = set()
    for name, value in fields.items():
        if not name.startswith(f"{what}-") or not value:
            continue
        number, _, part = name.removeprefix(f"{what}-").partition("-")
        at = in_digits(number)
        if at is not None and part and part.rpartition("-")[2] not in CHOSEN:
            found.add(at)
    return sorted(found)[:MOST_ROWS]


def fields_of(procedure: Procedure) -> dict[str, str]:
    """A procedure as the fields of its form.

    Parameters
    ----------
    procedure : Procedure
        The procedure. [record]

    Returns
    -------
    dict of str to str
        Every field that is not empty, by its name. [text]
    """
    content = procedure_content(procedure)
    found = _texts("", HEADER, content)
    for at, line in enumerate(content["lines"], start=1):
        found |= _texts(f"line-{at}-", LINE, line)
    for at, step in enumerate(content["steps"], start=1):
        found |= _texts(f"step-{at}-", STEP, step)
        for number, setting in enumerate(step["settings"], start=1):
            found |= _texts(f"step-{at}-set-{number}-", SETTING, setting)
    return found


def _step(at: int, fields: Mapping[str, str]) -> Written:
    begins = f"step-{at}-"
    pairs = _pairs(begins, STEP, fields)
    settings = tuple(
        Written(f"{begins}set-{number}-name", pairs=tuple(_pairs(f"{begins}set-{number}-", SETTING, fields)))
        for number in rows(fields, f"{begins}set")
    )
    if settings:
        key = Written(f"{begins}settings", text="settings")
        pairs.append((key, Written(f"{begins}settings", items=settings)))
    return Written(f"{begins}name", pairs=tuple(pairs))


def _pairs(begins: str, keys: Mapping[str, str], fields: Mapping[str, str]) -> list[tuple[Written, Written]]:
    pairs = []
    for part, key in keys.items():
        where = f"{begins}{part}"
        text = fields.get(where, "").strip()
        value = Written(where, text=text)
        if part in LISTS and text:
            listed = [one.strip() for one in re.split(r"\r\n|\r|\n", text)]
            value = Written(where, items=tuple(Written(where, text=one) for one in listed if one))
        pairs.append((Written(where, text=key), value))
    return pairs


def _texts(begins: str, keys: Mapping[str, str], content: Mapping[str, object]) -> dict[str, str]:
    found = {}
    for part, key in keys.items():
        value = content.get(key)
        if value:
            found[f"{begins}{part}"] = (
                value if isinstance(value, str) else "\n".join(map(str, _listed(value)))
            )
    return found


def _listed(value: object) -> tuple[object, ...]:
    return tuple(value) if isinstance(value, tuple | list) else (value,)
