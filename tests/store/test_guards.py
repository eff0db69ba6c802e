"""The book only grows, whoever holds the database."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager

import psycopg
import pytest
from sqlalchemy import Engine, text

from stillroom.store import Book
from stillroom.store import tables as t
from stillroom.store.engines import writing_engine
from stillroom.store.guards import guard_names, guards_present
from tests.store.practice import behind_its_back, plain

REFUSED = (sqlite3.IntegrityError, psycopg.errors.RaiseException)


@contextmanager
def another_program(book: Book) -> Iterator[sqlite3.Connection | psycopg.Connection]:
    """A connection as any other program would open it, without our pragmas."""
    if book.place.path is not None:
        with closing(sqlite3.connect(book.place.path)) as connection:
            yield connection
    else:
        with psycopg.connect(plain(book)) as server:
            yield server


def attempt(book: Book, words: str) -> None:
    with another_program(book) as connection:
        connection.execute(words)


def test_no_row_of_a_growing_table_is_changed_or_erased(told: Book) -> None:
    before = told.digest()

    for table in t.GROWING:
        column = table.primary_key.columns.values()[0].name
        with pytest.raises(REFUSED, match="never edited"):
            attempt(told, f"UPDATE {table.name} SET {column} = {column}")
        with pytest.raises(REFUSED, match="never edited"):
            attempt(told, f"DELETE FROM {table.name}")
    assert told.digest() == before


def test_the_head_neither_goes_back_nor_anywhere_else(told: Book) -> None:
    for words in ("entry_no = entry_no - 1", "entry_no = entry_no + 1", "digest = 'x'", "one = 2"):
        with pytest.raises(REFUSED, match="only goes forward"):
            attempt(told, f"UPDATE head SET {words}")
    with pytest.raises(REFUSED, match="never edited"):
        attempt(told, "DELETE FROM head")


def test_an_entry_out_of_turn_is_refused(told: Book) -> None:
    columns = "INSERT INTO journal (entry_no, text, before, digest)"

    with pytest.raises(REFUSED, match="next number"):
        attempt(told, f"{columns} SELECT max(entry_no) + 2, 't', 'b', 'd' FROM journal")
    with pytest.raises(REFUSED, match="names the digest before"):
        attempt(told, f"{columns} SELECT max(entry_no) + 1, 't', 'b', 'd' FROM journal")


def test_replacing_is_refused_as_well_as_changing(told: Book) -> None:
    if told.place.path is None:
        with pytest.raises(REFUSED, match="never edited"):
            attempt(told, "TRUNCATE movements CASCADE")
        return

    with pytest.raises(REFUSED, match="never edited"):
        attempt(told, "INSERT OR REPLACE INTO movements SELECT * FROM movements")


@pytest.mark.parametrize("wrong", ["amount = 0", "amount = -5", "counted_in = 'lb'", '"into" = out_of'])
def test_the_database_itself_refuses_a_movement_that_is_none(told: Book, wrong: str) -> None:
    with (
        pytest.raises((sqlite3.IntegrityError, psycopg.errors.CheckViolation), match=r"movements_|CHECK"),
        behind_its_back(told) as connection,
    ):
        connection.execute(f"UPDATE movements SET {wrong}")


def test_every_guard_stands_at_the_beginning_and_after_the_index_was_made_again(told: Book) -> None:
    engine: Engine = writing_engine(told.place)
    wanted = guard_names(engine.dialect.name)

    with engine.begin() as connection:
        assert guards_present(connection) == wanted
    told.rebuild()
    with engine.begin() as connection:
        assert guards_present(connection) == wanted
        assert len(wanted) > 2 * len(t.GROWING)
        connection.execute(text("SELECT 1"))
    engine.dispose()


def test_a_missing_guard_is_named(told: Book) -> None:
    on_table = "" if told.place.path else " ON movements"
    name = "movements_keeps_delete" if told.place.path else "movements_keeps_rows"
    with another_program(told) as connection:
        connection.execute(f"DROP TRIGGER {name}{on_table}")
        connection.commit()

    assert told.verify().troubles == (f"The guard {name} is missing",)


def test_a_reader_cannot_write(told: Book) -> None:
    from stillroom.errors import BookTrouble

    with pytest.raises(BookTrouble, match=r"readonly|read-only"), told.look() as look:
        look._connection.execute(text("INSERT INTO contacts VALUES ('a', 'b', 'c')"))
