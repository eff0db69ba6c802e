"""The index says what the journal says: the same fields, the same rows, made again at will."""

import sqlite3
from contextlib import closing
from dataclasses import fields
from pathlib import Path

import pytest
from sqlalchemy import text

from stillroom.errors import BookTrouble
from stillroom.records import entries as e
from stillroom.records.lots import Lot, Movement
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Procedure
from stillroom.store import Book
from stillroom.store import tables as t
from stillroom.store.guards import guard_names, guards_present
from stillroom.store.journal import Written, written_of
from stillroom.store.projection import project
from tests.store.practice import AT, FIRST, address

# Table, the record it mirrors, fields that stand in the journal or a table of their own, other columns.
MIRRORS = [
    ("lots", Lot, set(), set()),
    ("movements", Movement, set(), set()),
    ("people", Person, set(), set()),
    ("apparatus", Apparatus, set(), set()),
    ("procedures", Procedure, {"lines", "steps", "markers"}, set()),
    (
        "orders",
        Order,
        {"aim", "at_least", "what", "asks", "tests"},
        {f"{one}_{field.name}" for one in ("aim", "at_least") for field in fields(StatedStrength)},
    ),
    ("books", e.BookBegun, set(), set()),
    ("restorations", e.BookRestored, set(), set()),
    ("plans", e.PlanMade, {"request", "answers"}, set()),
    ("receipts", e.LotReceived, {"lot", "movements", "mass_standard_uncertainty_g"}, set()),
    ("identities", e.IdentityDecided, set(), set()),
    ("plants_described", e.PlantDescribed, set(), set()),
    ("readings", e.ReadingTaken, set(), set()),
    ("results", e.ResultReckoned, {"trail", "readings"}, set()),
    ("control_tests", e.ControlTestRead, set(), set()),
    ("decisions", e.StatusDecided, {"missing", "changed", "because_of"}, set()),
    ("batches", e.BatchBegun, {"planned"}, set()),
    ("steps", e.StepDone, {"ran_in", "weighings", "movements", "ticks", "lots_made"}, set()),
    ("weighings", e.Weighing, {"line"}, {"weighed"}),
    ("batches_given_up", e.BatchGivenUp, set(), set()),
    ("deviations", e.DeviationNoted, set(), set()),
    ("ceilings", e.CeilingStated, set(), set()),
    ("outages", e.OutageNoted, {"batches", "steps"}, set()),
    ("conditions", e.ConditionNoted, set(), set()),
    ("duties", e.DutiesGiven, set(), set()),
    ("prices", e.PriceNoted, set(), set()),
    ("doses", e.DoseDecided, {"trail", "readings"}, set()),
    ("fillings", e.UnitsFilled, {"lot", "movements", "check_weights_g"}, set()),
    ("removals", e.Moved, {"movements"}, set()),
    ("stock_counts", e.StockCounted, set(), set()),
    ("answers_kept", e.AnswerKept, {"asked", "unsaid"}, set()),
    ("lot_openings", e.LotOpened, set(), set()),
    ("reagents_allowed", e.ReagentAllowed, set(), set()),
    ("house", e.HouseDescribed, set(), set()),
    ("lines_decided", e.LineDecided, set(), set()),
    ("evidence", e.EvidenceShown, set(), set()),
    ("certificates", e.CertificateIssued, {"changed", "pages"}, set()),
    ("people_told", e.PeopleTold, set(), set()),
    ("complaints", e.ComplaintHeard, set(), set()),
    ("rehearsals", e.RecallRehearsed, set(), set()),
    ("days_planned", e.DayPlanned, {"plan"}, set()),
    ("bench_notes", e.BenchNoted, set(), set()),
    ("offers", e.OfferMade, {"asked", "offer", "request"}, set()),
    ("offers_ended", e.OfferEnded, set(), set()),
    ("goods_ordered", e.GoodsOrdered, set(), set()),
    ("entries", e.Entry, {"corrects", "body", "attachments", "corrected_by", "doubt"}, set()),
]
MADE_OF_SEVERAL = {
    "own_things",
    "subjects",
    "attachments",
    "requests",
    "readings_used",
    "words",
    "procedure_steps",
}


@pytest.mark.parametrize(("table", "record", "elsewhere", "more"), MIRRORS, ids=[one[0] for one in MIRRORS])
def test_a_table_has_the_fields_of_its_record(table: str, record: type, elsewhere: set, more: set) -> None:
    names = {one.name for one in fields(record)}
    columns = set(t.PROJECTED[table].c.keys()) - {"entry_no", "line"}

    assert elsewhere <= names
    assert columns == (names - elsewhere - {"entry_no"}) | more


def test_every_table_of_the_index_is_compared_with_something() -> None:
    assert {one[0] for one in MIRRORS} | MADE_OF_SEVERAL == set(t.PROJECTED)


def test_every_table_says_what_it_is_for() -> None:
    for table in (*t.FOUNDATION.sorted_tables, *t.INDEX.sorted_tables):
        assert table.comment, table.name


def test_the_story_has_every_kind_and_every_kind_has_its_rows(told: Book) -> None:
    with told.look() as look:
        entries = look.entries(corrected=True)
    common = {"entries", "subjects", "attachments", "requests", "lots", "movements", "words"}

    assert {one.kind for one in entries} == set(e.KINDS)
    for entry in entries:
        assert set(project(Written(entry))) - common, entry.kind


def test_the_tables_hold_what_project_says_and_nothing_else(told: Book) -> None:
    expected: dict[str, list[dict[str, object]]] = {name: [] for name in t.PROJECTED}
    with told._reader.begin() as connection:
        for words in connection.execute(text("SELECT text FROM journal ORDER BY entry_no")).scalars():
            for name, rows in project(written_of(words)).items():
                expected[name] += rows
        for name, table in t.PROJECTED.items():
            query = table.select().order_by(*table.primary_key.columns)
            found = [dict(row._mapping) for row in connection.execute(query)]

            assert found == expected[name]
            assert found, f"the story writes nothing into {name}"


def test_an_index_made_again_is_the_same(told: Book) -> None:
    before = told.digest()
    told.rebuild()

    assert told.digest() == before
    assert told.verify().troubles == ()


def test_a_file_and_a_server_reckon_the_same_digest(told: Book, written_once: object) -> None:
    with Book.open(written_once("told")) as other:  # type: ignore[operator]
        assert told.digest() == other.digest()


def test_an_older_index_is_made_again_after_a_dated_copy(told: Book) -> None:
    digest = told.digest()
    engine = told._writer
    wanted = guard_names(engine.dialect.name)
    with engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE index_made")
        connection.exec_driver_sql("DROP TABLE doses")
        connection.exec_driver_sql(
            "CREATE TABLE old_doses (entry_no INTEGER REFERENCES journal (entry_no), dose INTEGER)"
        )
    told.close()

    with Book.open(address(told), files=told.place.files) as again:
        assert again.digest() == digest
        assert again.verify().troubles == ()
        with again._reader.begin() as connection:
            assert guards_present(connection) == wanted
            assert not again._reader.dialect.has_table(connection, "old_doses")
        if told.place.path is not None:
            with again.look() as look:
                last = look.head.entry_no
            copy = told.place.path.with_name(f"lab.book.2026-05-12.entry-{last}.index-0")
            with closing(sqlite3.connect(copy)) as older:
                assert older.execute("SELECT count(*) FROM journal").fetchone() == (last,)
                assert older.execute("SELECT count(*) FROM old_doses").fetchone() == (0,)


def test_a_book_of_a_newer_version_is_left_alone(told: Book) -> None:
    with told._writer.begin() as connection:
        connection.exec_driver_sql("DROP TABLE index_made")
        connection.exec_driver_sql("CREATE TABLE index_made (one INTEGER, index_number INTEGER, shape TEXT)")
        connection.exec_driver_sql(f"INSERT INTO index_made VALUES (1, {t.INDEX_NUMBER + 1}, 'newer')")
    where = address(told)

    with pytest.raises(BookTrouble, match=f"index number {t.INDEX_NUMBER + 1}.*Install the newer version"):
        Book.open(where, files=told.place.files)
    with (
        pytest.raises(BookTrouble, match="Install the newer version"),
        told.pen(by="MA", at="", entered_at=""),
    ):
        pass


def test_nothing_but_a_book_is_opened(tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("these are notes, not a book", encoding="utf-8")
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection:
        connection.execute("CREATE TABLE notes (words TEXT)")

    with pytest.raises(BookTrouble, match=r"nothing at .*absent.book.*Begin it first"):
        Book.open(tmp_path / "absent.book")
    with pytest.raises(BookTrouble, match="another kind of file"):
        Book.open(other)
    with pytest.raises(BookTrouble, match="must be a book"):
        Book.open(tmp_path / "other.db")
    with pytest.raises(BookTrouble, match="the folder"):
        Book.begin(tmp_path, FIRST, by="MA", at=AT)
    with pytest.raises(BookTrouble, match="kind 'mysql'"):
        Book.open("mysql://somewhere/book")
    assert not (tmp_path / "absent.book").exists()
    assert sorted(one.name for one in tmp_path.iterdir()) == ["notes.txt", "other.db"]
