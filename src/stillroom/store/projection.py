"""From an entry to its rows in the index: pure, so that the index can be checked and made again."""

from dataclasses import fields, is_dataclass
from enum import Enum
from typing import TypeAlias

from stillroom.errors import BookTrouble
from stillroom.records import entries as body
from stillroom.records.entry_subjects import lots_of, movements_of, named_in, subjects_of
from stillroom.store import tables
from stillroom.store.journal import Written
from stillroom.store.searching import words_of

Value: TypeAlias = str | int | float | bool | None
IndexRow: TypeAlias = dict[str, Value]
Projection: TypeAlias = dict[str, list[IndexRow]]

_NUMBERED = frozenset(name for name, table in tables.PROJECTED.items() if "line" in table.c)
_BARE = frozenset({str, int, float, bool, type(None)})
_SHARED: dict[tuple[object, str], tuple[str, ...]] = {}  # fields that are columns, found once


def project(written: Written) -> Projection:
    """Every row the index holds because of this entry.

    Parameters
    ----------
    written : Written
        The entry and its request.

    Returns
    -------
    dict of str to list of dict
        Rows by name of the table, lines in order from 1.
    """
    entry = written.entry
    found: Projection = {}

    def add(table: str, *records: object, **more: Value) -> None:
        """One row for each record, holding the fields that are columns of the table."""
        numbered = table in _NUMBERED
        for line, record in enumerate(records, start=1):
            row: IndexRow = {"entry_no": entry.entry_no}
            if numbered:
                row["line"] = line
            row |= _columns_of(record, table) | more
            found.setdefault(table, []).append(row)

    add("entries", entry)
    add("subjects", *({"subject": one, "kind": entry.kind} for one in subjects_of(entry.body)))
    add("attachments", *({"seal": one} for one in entry.attachments))
    if written.request is not None:
        add("requests", written.request)
    add("lots", *lots_of(entry.body))
    add("movements", *movements_of(entry.body))
    add(
        "words",
        *(
            {"code": code, "word": word}
            for code, *told in named_in(entry.body)
            for word in words_of(code, *told)
        ),
    )
    if (table := tables.MIRRORS.get(type(entry.body))) is not None:
        add(table, entry.body)
    match entry.body:
        case body.PersonJoined(person=person):
            add("people", person)
        case body.ApparatusAdded(apparatus=apparatus):
            add("apparatus", apparatus)
        case body.ProcedureWritten(procedure=procedure):
            add("procedures", procedure)
            add("procedure_steps", *({"name": one.name} for one in procedure.steps))
        case body.OrderTaken(order=order):
            strengths = {
                f"{name}_{field.name}": getattr(getattr(order, name), field.name)
                for name in ("aim", "at_least")
                for field in fields(order.aim)
            }
            add("orders", order, **strengths)
        case body.ResultReckoned(readings=used) | body.DoseDecided(readings=used):
            add("readings_used", *({"reading_no": one} for one in used))
        case body.StepDone(weighings=weighings):
            add("weighings", *(_columns_of(one, "weighings") | {"weighed": one.line} for one in weighings))
        case body.MarkerStated(marker=thing):
            add("own_things", {"what": "marker", "name": thing.name})
        case body.PlantStated(plant=thing):
            add("own_things", {"what": "plant", "name": thing.name})
        case body.IngredientStated(ingredient=thing):
            add("own_things", {"what": "ingredient", "name": thing.name})
    return found


def _columns_of(record: object, table: str) -> IndexRow:
    """The fields of a record that the table keeps; columns that are ready stand as they are."""
    if isinstance(record, dict):
        return record
    known = _SHARED.get((type(record), table))
    if known is None:
        names = {one.name for one in fields(record)} if is_dataclass(record) else set()
        columns = (one.name for one in tables.PROJECTED[table].c)
        known = tuple(one for one in columns if one in names - {"entry_no", "line"})
        _SHARED[type(record), table] = known
    return {
        name: value if type(value) in _BARE else _plain(value)
        for name in known
        for value in (getattr(record, name),)
    }


def _plain(value: object) -> Value:
    if isinstance(value, Enum):
        return str(value.value)
    if value is None or isinstance(value, str | int | float):
        return value
    raise BookTrouble(
        "A column of the index holds one value",
        type(value).__name__,
        "Give it a table of its own in the projection",
    )
