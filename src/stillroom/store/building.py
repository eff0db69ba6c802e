"""Making the tables of a book, and making its index again from the journal."""

import hashlib
from functools import cache

from sqlalchemy import Connection, create_engine, insert, inspect, select, text

from stillroom.errors import BookTrouble, Phrase, worded
from stillroom.evidence.seal import canonical
from stillroom.store import tables as t
from stillroom.store.book_writer import write_index
from stillroom.store.guards import guard_foundation, guard_index
from stillroom.store.journal import written_of
from stillroom.store.running import make_running_again

_AT_ONCE = 500
_BEGINNING = 7_305_001  # a number PostgreSQL keeps two beginnings apart by


def make_empty(connection: Connection, name: str) -> None:
    """Make every table of a book in an empty database.

    Raises
    ------
    BookTrouble
        Something stands there already.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _BEGINNING})
    standing = inspect(connection).get_table_names()
    if standing:
        what = "a book" if is_book(connection) else f"tables {', '.join(sorted(standing)[:5])}"
        raise BookTrouble(
            "A new book needs an empty place",
            worded("{called}, where {what} stands", called=name, what=Phrase(what)),
            "Choose another place",
        )
    t.FOUNDATION.create_all(connection, checkfirst=False)
    guard_foundation(connection)
    _make_index_tables(connection)


def is_book(connection: Connection) -> bool:
    """Whether the database holds a journal and its head."""
    return {t.journal.name, t.head.name} <= set(inspect(connection).get_table_names())


def foundation_gone(connection: Connection) -> list[str]:
    """Tables outside the index that are not there; a book of an earlier version may lack one."""
    return sorted(set(t.FOUNDATION.tables) - set(inspect(connection).get_table_names()))


def make_foundation_whole(connection: Connection) -> None:
    """Make the tables outside the index that an earlier version did not know."""
    t.FOUNDATION.create_all(connection, checkfirst=True)


def altered_tables(connection: Connection) -> list[str]:
    """Tables and indexes of a file that are not defined as a new book would define them, each in one sentence."""
    if connection.dialect.name != "sqlite":
        return []
    wanted, found = _defined_anew(), _defined(connection)
    return [
        f"The table {name} is not defined as it must be"
        for name in sorted(wanted.keys() | found.keys())
        if wanted.get(name) != found.get(name)
    ]


def _defined(connection: Connection) -> dict[str, str]:
    asked = text("SELECT name, sql FROM sqlite_master WHERE type <> 'trigger' AND sql IS NOT NULL")
    return {name: " ".join(str(sql).split()) for name, sql in connection.execute(asked)}


@cache
def _defined_anew() -> dict[str, str]:
    """How a new book would define its tables."""
    engine = create_engine("sqlite://")
    with engine.begin() as new:
        make_empty(new, "a new book")
        defined = _defined(new)
    engine.dispose()
    return defined


def index_stands(connection: Connection) -> tuple[int, str] | None:
    """Number and shape of the index as it stands, or None where there is none, or its number is damaged."""
    if not inspect(connection).has_table(t.index_made.name):
        return None
    row = connection.execute(select(t.index_made.c.index_number, t.index_made.c.shape)).one_or_none()
    return (row.index_number, row.shape) if row and isinstance(row.index_number, int) else None


def index_is_ours(connection: Connection) -> bool:
    """Whether the index is the one this version makes.

    Raises
    ------
    BookTrouble
        A newer version made it.
    """
    stands = index_stands(connection)
    if stands is not None and stands[0] > t.INDEX_NUMBER:
        raise BookTrouble(
            "A book is opened by the version that wrote in it last, or a newer one",
            worded(
                "an index number {stands}, where this version knows {index_number}",
                stands=stands[0],
                index_number=t.INDEX_NUMBER,
            ),
            "Install the newer version",
        )
    return stands == (t.INDEX_NUMBER, t.shape())


def make_index_again(connection: Connection) -> None:
    """Drop the index, make it anew from the journal, and guard it. All in the caller's transaction."""
    for name in inspect(connection).get_table_names():
        if name not in t.FOUNDATION.tables and (name in t.INDEX.tables or _was_index(connection, name)):
            connection.exec_driver_sql(f'DROP TABLE "{name}"')
    _make_index_tables(connection)
    query = select(t.journal.c.text).order_by(t.journal.c.entry_no)
    after = 0
    while texts := list(
        connection.execute(query.where(t.journal.c.entry_no > after).limit(_AT_ONCE)).scalars()
    ):
        written = [written_of(one) for one in texts]
        write_index(connection, *written)
        after = written[-1].entry.entry_no
    make_running_again(connection)


def index_digest(connection: Connection) -> str:
    """SHA-256 over every row of the index, the same on every database."""
    hashed = hashlib.sha256()
    for name, table in t.PROJECTED.items():
        hashed.update(f"{name}\n".encode())
        for row in connection.execute(select(table).order_by(*table.primary_key.columns)):
            hashed.update(canonical(list(row)).encode() + b"\n")
    return hashed.hexdigest()


def _make_index_tables(connection: Connection) -> None:
    t.INDEX.create_all(connection, checkfirst=False)
    connection.execute(insert(t.index_made), [{"one": 1, "index_number": t.INDEX_NUMBER, "shape": t.shape()}])
    guard_index(connection)


def _was_index(connection: Connection, name: str) -> bool:
    """Whether a table unknown here hangs on the journal: an index table of another version."""
    return any(one["referred_table"] == t.journal.name for one in inspect(connection).get_foreign_keys(name))
