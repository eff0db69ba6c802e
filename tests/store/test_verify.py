"""Whoever alters the book behind its back is found out, and what was altered is named."""

from dataclasses import replace
from json import loads

import pytest
from sqlalchemy import event

from stillroom.store import Book, journal
from stillroom.store import verify as verifying
from tests.store.practice import behind_its_back, received, write
from tests.store.test_genealogy import making


def troubles_after(book: Book, words: str) -> tuple[str, ...]:
    """What verify says after one statement on which no trigger answered."""
    assert book.verify().troubles == ()
    with behind_its_back(book) as connection:
        connection.execute(words)
    return book.verify().troubles


def test_a_whole_book_holds(told: Book) -> None:
    report = told.verify()

    assert report.holds
    with told.look() as look:
        assert report.entries == look.head.entry_no
        assert report.digest == look.head.digest
    assert report.rows > report.entries


def test_one_altered_movement_is_named(told: Book) -> None:
    found = troubles_after(
        told, "UPDATE movements SET amount = 38400000 WHERE lot = 'CIN-01' AND amount = 4600000"
    )

    assert found == (
        "The row of entry 18 line 2 in movements was altered: amount is 38400000 and must be 4600000",
    )


def test_a_movement_taken_away_is_named(told: Book) -> None:
    found = troubles_after(told, "DELETE FROM movements WHERE lot = 'CIN-01' AND amount = 4600000")

    assert found == ("The row of entry 18 line 2 in movements is missing",)


def test_a_movement_slipped_in_is_named(told: Book) -> None:
    columns = 'entry_no, line, lot, out_of, "into", amount, counted_in'
    found = troubles_after(
        told, f"INSERT INTO movements ({columns}) VALUES (8, 2, 'CIN-01', 'outside/x', 'shelf', 5, 'ug')"
    )

    assert found == ("The row of entry 8 line 2 in movements is extra: its entry does not bring it",)


def test_a_row_of_no_entry_is_named(told: Book) -> None:
    found = troubles_after(told, "INSERT INTO plans (entry_no, \"order\") VALUES (400, 'O-1')")

    assert found == ("The row of entry 400 in plans is extra: there is no such entry",)


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("readings", "value", "1.26"),
        ("readings", "as_written", "'1.25'"),
        ("results", "counts", "NOT counts"),
        ("decisions", "\"to\"", "'rejected'"),
        ("weighings", "actual_g", "actual_g + 0.01"),
        ("people", "may_release", "NOT may_release"),
        ("subjects", "subject", "'CIN-02'"),
        ("requests", "key", "'key-9'"),
        ("attachments", "seal", "'00'"),
    ],
)  # fmt: skip
def test_any_altered_column_is_named(told: Book, table: str, column: str, value: str) -> None:
    found = troubles_after(
        told, f"UPDATE {table} SET {column} = {value} WHERE entry_no = (SELECT max(entry_no) FROM {table})"
    )

    assert found
    bare = column.strip('"')
    assert all(f"in {table} was altered: {bare} is " in one for one in found)


def test_altered_words_of_the_journal_are_named(told: Book) -> None:
    found = troubles_after(
        told, "UPDATE journal SET text = replace(text, '500000000', '400000000') WHERE entry_no = 8"
    )

    assert found[0] == "Entry 8 was altered: its text does not have its digest"
    assert found[1:] == (
        "The row of entry 8 line 1 in movements was altered: amount is 500000000 and must be 400000000",
    )


def test_words_altered_with_their_digest_break_the_chain(told: Book) -> None:
    from stillroom.store.journal import digest_of

    with told._reader.begin() as connection:
        before, words = connection.exec_driver_sql(
            "SELECT before, text FROM journal WHERE entry_no = 9"
        ).one()
    forged = digest_of(before, words.replace("3000000000", "2000000000"))
    found = troubles_after(
        told,
        "UPDATE journal SET text = replace(text, '3000000000', '2000000000'),"
        f" digest = '{forged}' WHERE entry_no = 9",
    )

    assert "Entry 10 does not follow the entry before it: the chain is broken" in found


def test_an_entry_torn_out_is_named(told: Book) -> None:
    found = troubles_after(told, "DELETE FROM journal WHERE entry_no = 14")

    assert found[:2] == (
        "Entry 14 is missing: entry 15 comes next",
        "Entry 15 does not follow the entry before it: the chain is broken",
    )
    assert any("entry 14 in results is extra" in one for one in found)


def test_pages_torn_off_the_end_are_named(told: Book) -> None:
    with told.look() as look:
        last = look.head.entry_no
    with behind_its_back(told) as connection:
        connection.execute("DELETE FROM journal WHERE entry_no > 20")

    assert f"The head names entry {last}; the journal ends with entry 20" in told.verify().troubles


def test_a_correction_hung_on_another_entry_is_named(told: Book) -> None:
    with told.look() as look:
        (correction,) = [one for one in look.entries(corrected=True) if one.corrects]
    found = troubles_after(told, f"UPDATE journal SET corrects = 8 WHERE entry_no = {correction.entry_no}")

    assert f"Entry {correction.entry_no} corrects {correction.corrects}, not 8" in found


def test_a_stock_below_nothing_is_named(told: Book) -> None:
    found = troubles_after(told, "UPDATE movements SET amount = 600000000 WHERE entry_no = 18 AND line = 1")

    assert any(
        one.startswith("Lot CIN-01 holds 504.6 g (shelf) 600 g taken already 95.4 g is missing")
        for one in found
    )


def test_a_lost_or_altered_file_is_named(told: Book) -> None:
    seal = told.attach(b"photograph of a jar")
    path = told.place.files / seal[:2] / seal[2:]  # type: ignore[operator]
    assert told.verify().holds

    path.write_bytes(b"photograph of another jar")
    assert "must be as it was filed" in told.verify().troubles[0]
    path.unlink()
    (only,) = told.verify().troubles
    with told.look() as look:
        (filed,) = [one.entry_no for one in look.entries(corrected=True) if seal in one.attachments]
    assert f"The file {seal[:12]}… of entry {filed} cannot be trusted" in only
    assert "is not a file beside this book" in only


def test_a_damaged_file_of_the_book_is_noticed(told: Book) -> None:
    if told.place.path is None:
        pytest.skip("a server keeps its own files")
    told._writer.dispose()
    told._reader.dispose()
    content = bytearray(told.place.path.read_bytes())
    middle = content.index(b"kitchen scale")
    content[middle : middle + 7] = b"KITCHEN"
    told.place.path.write_bytes(bytes(content))

    assert not told.verify().holds


def test_the_database_is_asked_whether_its_file_is_whole(told: Book) -> None:
    if told.place.path is None:
        pytest.skip("a server keeps its own files")
    with behind_its_back(told) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("UPDATE journal SET corrects = 400 WHERE entry_no = 9")

    found = told.verify().troubles
    assert found[0].startswith("The database file is damaged: CHECK constraint failed in journal")
    assert found[1:] == ("Entry 9 corrects None, not 400",)


def test_what_came_since_it_held_last_is_verified_alone(told: Book) -> None:
    with told.look() as look:
        last = look.head
    write(told, received("CIN-77", 10.0))

    report = told.verify(last)
    assert report.holds
    assert report.entries == last.entry_no + 1
    with behind_its_back(told) as connection:
        connection.execute("UPDATE movements SET amount = 5 WHERE lot = 'CIN-77'")
    assert told.verify(last).troubles == (
        f"The row of entry {last.entry_no + 1} line 1 in movements was altered: amount is 5 and must be 10000000",
    )
    assert not told.verify(replace(last, digest="0" * 64)).holds


def test_a_long_look_says_how_far_it_is(told: Book) -> None:
    far: list[tuple[int, int]] = []
    entries = told.verify(progress=lambda done, of: far.append((done, of))).entries

    assert far[-1] == (entries, entries)


def test_a_long_book_is_verified_by_as_many_statements_as_a_short_one_and_reads_each_text_once(
    told: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A batch that made a lot owes it to nobody: none of them is asked for by itself."""
    write(told, received("CIN-79", 1.0))
    asked: list[str] = []
    read: list[str] = []
    kept = journal.KeptByText(verifying._Follows.of, verifying.MOST_LETTERS)
    monkeypatch.setattr(verifying, "_FOLLOWS", kept)
    event.listen(told._reader, "before_cursor_execute", lambda *given: asked.append(given[2]))
    monkeypatch.setattr(journal.json, "loads", lambda text: (read.append(text), loads(text))[1])

    report = told.verify()
    before = len(asked)
    assert len(read) == report.entries
    assert told.verify() == report
    assert len(read) == report.entries

    for number in range(5):
        lot = received(f"CIN-{80 + number}", 50.0)
        write(told, lot, *making(f"E{80 + number}", {lot.lot.code: 50.0}, {f"E{80 + number}": 5.0}))
    asked.clear()
    assert told.verify().holds
    assert len(asked) == before


@pytest.mark.parametrize("number", ["NaN", "1e999", "-Infinity"])
def test_a_text_with_a_number_that_is_none_is_named(told: Book, number: str) -> None:
    found = troubles_after(
        told, f"UPDATE journal SET text = replace(text, '500000000', '{number}') WHERE entry_no = 8"
    )

    assert found[0] == "Entry 8 was altered: its text does not have its digest"
    assert found[1].startswith("Entry 8 cannot be read: ")
