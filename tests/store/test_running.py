"""Balances and standings run along with the entries, and are what the movements sum up to."""

import random
from pathlib import Path

import pytest
from sqlalchemy import Connection, event, select

from stillroom.records.entries import (
    BatchBegun,
    BatchGivenUp,
    Moved,
    OrderTaken,
    ProcedureWritten,
    StatusDecided,
    StepDone,
)
from stillroom.records.lots import Status
from stillroom.store import Book
from stillroom.store import tables as t
from stillroom.store.running import make_running_again
from tests.store.practice import AT, ORDER, PROCEDURE, begun, behind_its_back, moved, received, write
from tests.store.test_genealogy import making
from tests.store.test_verify import troubles_after

RUNNING = (t.balances, t.standings, t.word_pieces)


def rows(connection: Connection) -> list[list[tuple[object, ...]]]:
    return [
        [tuple(row) for row in connection.execute(select(one).order_by(*one.primary_key.columns))]
        for one in RUNNING
    ]


def test_what_ran_along_is_what_is_made_again(told: Book) -> None:
    with told._writer.begin() as connection:
        ran = rows(connection)
        make_running_again(connection)

        assert rows(connection) == ran
        assert all(ran)


@pytest.mark.parametrize("seed", range(3))
def test_random_moves_and_corrections_leave_balances_that_are_sums(book: Book, seed: int) -> None:
    chance = random.Random(seed)
    write(
        book,
        ProcedureWritten(PROCEDURE),
        OrderTaken(ORDER),
        *(received(f"CIN-{one}", 900.0) for one in range(4)),
    )
    numbers: list[int] = []
    for turn in range(40):
        lot = f"CIN-{chance.randrange(4)}"
        into = chance.choice(("waste", "retained", "customer/O-1", "loss/spilled"))
        body = Moved((moved(lot, "shelf", into, chance.randrange(1, 9)),), "moved")
        if numbers and chance.random() < 0.4:
            with book.pen(by="MA", at=AT, entered_at=AT) as pen:
                old = numbers.pop(chance.randrange(len(numbers)))
                numbers.append(pen.enter(body, corrects=old, why="misread"))
        else:
            numbers += write(book, body)
        if turn % 10 == 0:
            write(book, StatusDecided(lot, chance.choice(list(Status)), "looked at"))

    with book._writer.begin() as connection:
        ran = rows(connection)
        make_running_again(connection)
        assert rows(connection) == ran
    assert book.verify().troubles == ()


def test_a_balance_altered_behind_its_back_is_named(told: Book) -> None:
    found = troubles_after(
        told, "UPDATE balances SET amount = amount + 5 WHERE lot = 'CIN-01' AND account = 'shelf'"
    )

    assert len(found) == 1
    assert found[0].startswith("The balance of CIN-01 in shelf was altered: it is (299600005,")


def test_a_standing_taken_away_and_one_slipped_in_are_named(told: Book) -> None:
    assert troubles_after(told, "DELETE FROM standings WHERE what = 'batch' AND code = 'E1'") == (
        "How batch E1 stands is missing",
    )
    with behind_its_back(told) as connection:
        connection.execute("UPDATE standings SET code = 'E9' WHERE what = 'lot' AND code = 'E1'")
    assert "How lot E9 stands is extra: no entry brings it" in told.verify().troubles


def test_a_search_altered_behind_its_back_is_named(told: Book) -> None:
    (found,) = troubles_after(told, "DELETE FROM word_pieces WHERE word = 'bark'")

    assert found.startswith("The pieces of words to search by are not those of")


def state_of(book: Book, what: str, code: str) -> str:
    with book._reader.begin() as connection:
        s = t.standings.c
        return str(connection.scalar(select(s.state).where(s.what == what, s.code == code)))


def test_a_batch_runs_until_its_last_step_and_ends_when_it_is_given_up(book: Book) -> None:
    write(book, ProcedureWritten(PROCEDURE), received("CIN-01", 100.0))
    write(book, BatchBegun("E1", "bark-extract", 1, 1.0), BatchBegun("E2", "bark-extract", 1, 1.0))
    assert (state_of(book, "batch", "E1"), state_of(book, "batch", "E2")) == ("running", "running")

    write(book, StepDone("E1", "percolate", (), (moved("CIN-01", "shelf", "batch/E1", 5.0),)))
    write(book, BatchGivenUp("E2", "the flask broke"))
    assert (state_of(book, "batch", "E1"), state_of(book, "batch", "E2")) == ("done", "given up")

    write(book, BatchGivenUp("E2", "it did not", taken_up_again=True))
    assert state_of(book, "batch", "E2") == "running"


def test_an_order_is_open_until_its_bottles_are_delivered(told: Book) -> None:
    assert state_of(told, "order", "O-1") == "open"

    from stillroom.records.lots import Movement

    write(told, Moved((Movement("T1", "shelf", "customer/O-1", 18, "piece"),), "sold", "O-1"))
    assert state_of(told, "order", "O-1") == "open"
    write(told, Moved((Movement("T1", "retained", "customer/O-1", 1, "piece"),), "sold", "O-1"))
    assert state_of(told, "order", "O-1") == "closed"


def test_writing_asks_for_no_movement_that_was_written_before(book: Book) -> None:
    """What is written costs the same after 10 movements and after a million: none of them is read."""
    write(book, ProcedureWritten(PROCEDURE), received("CIN-01", 900.0))
    write(book, *making("E1", {"CIN-01": 50.0}, {"E1": 5.0}))
    asked: list[str] = []
    event.listen(book._writer, "before_cursor_execute", lambda *given: asked.append(given[2]))

    write(
        book,
        Moved((moved("CIN-01", "shelf", "waste", 1.0),), "spilled"),
        *making("E2", {"E1": 1.0}, {"E2": 0.5}),
    )

    assert asked
    assert not [one for one in asked if "FROM movements" in one]


@pytest.mark.postgres
def test_a_server_is_let_see_how_much_was_filled_in_before_it_makes_standings(
    postgres_url: str, tmp_path: Path
) -> None:
    book = begun(postgres_url, tmp_path / "files")
    write(book, received("CIN-01", 500.0), received("CIN-02", 500.0))
    book.rebuild()
    with book.look() as look:
        rows_known = "SELECT CAST(reltuples AS INTEGER) FROM pg_class WHERE relname = 'movements'"
        known = look._connection.exec_driver_sql(rows_known).scalar()
        balances_known = look._connection.exec_driver_sql(
            rows_known.replace("movements", "balances")
        ).scalar()
    book.close()

    assert (known, balances_known) == (2, 4)
