"""The trail of an answer as it is kept: one row a step, filed under its seal, and read back again."""

from collections.abc import Mapping
from threading import Lock

from stillroom.errors import BookTrouble, worded
from stillroom.evidence.answer import Answer, Leaf, row_of, walk
from stillroom.evidence.seal import Json

MOST_READ = 512
"""How many trails are kept as they were read. [1]"""
_READ: dict[int, tuple[Mapping[str, Json], Answer]] = {}
_ONE_AT_A_TIME = Lock()


def trail(answer: Answer) -> dict[str, Json]:
    """The answer as a table of rows keyed by content, fit for the journal.

    Returns
    -------
    dict
        ``{"top": key, "rows": {key: row}}``.
    """
    return {"top": answer.key, "rows": {one.key: row_of(one) for one in walk(answer)}}


def from_trail(table: Mapping[str, Json]) -> Answer:
    """The answer that a trail table was made from; read once while the table is asked for now and then.

    Raises
    ------
    BookTrouble
        A row is missing, or a row does not have the seal it is filed under.
    """
    kept = _READ.get(id(table))
    if kept is not None and kept[0] is table:
        return kept[1]
    answer = _read(table)
    with _ONE_AT_A_TIME:
        while len(_READ) >= MOST_READ:
            del _READ[next(iter(_READ))]
        _READ[id(table)] = (table, answer)
    return answer


def _read(table: Mapping[str, Json]) -> Answer:
    rows = table["rows"]
    if not isinstance(rows, Mapping):
        raise BookTrouble("A trail must hold its rows", type(rows).__name__, "Verify the book")
    made: dict[str, Answer] = {}

    def make(key: str) -> Answer:
        if key in made:
            return made[key]
        row = rows.get(key)
        if not isinstance(row, Mapping):
            raise BookTrouble(
                "Every row of a trail must be there", worded("no row {key}", key=key), "Verify the book"
            )
        leaf = row.get("leaf")
        answer = Answer(
            name=str(row["name"]),
            value=float(row["value"]),  # type: ignore[arg-type]
            unit=str(row["unit"]),
            standard_uncertainty=_optional_float(row.get("standard_uncertainty")),
            basis=str(row.get("basis", "")),
            leaf=_leaf(leaf) if isinstance(leaf, Mapping) else None,
            how=str(row.get("how", "")),
            says=str(row.get("says", "")),
            inputs=tuple((str(name), make(str(below))) for name, below in _pairs(row.get("inputs"))),
            fixed=tuple((str(name), value) for name, value in _pairs(row.get("fixed"))),  # type: ignore[misc]
            pick=str(row.get("pick", "")),
            sources=tuple(str(one) for one in _items(row.get("sources"))),
            degrees_of_freedom=_optional_float(row.get("degrees_of_freedom")),
        )
        if answer.key != key:
            raise BookTrouble("A row of a trail must have the seal it is filed under", key, "Verify the book")
        made[key] = answer
        return answer

    return make(str(table["top"]))


def _leaf(row: Mapping[str, Json]) -> Leaf:
    entry_no = row.get("entry_no")
    more = (str(row.get("cause", "")), row.get("shape", ""), str(row.get("scatter", "")))
    return Leaf(row["kind"], str(row["where"]), None if entry_no is None else int(entry_no), *more)  # type: ignore[arg-type]


def _pairs(value: Json) -> list[tuple[Json, Json]]:
    return [(one[0], one[1]) for one in value] if isinstance(value, list | tuple) else []


def _items(value: Json) -> list[Json]:
    return list(value) if isinstance(value, list | tuple) else []


def _optional_float(value: Json) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]
