"""A clock that ran back or leapt, and a day nobody wrote about, are asked about at every door, and marked."""

import warnings
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.book.backup import bring_back
from stillroom.actions.book.clock import TIME_IS_RIGHT
from stillroom.actions.book.laboratory import BOOK_FILE, Laboratory, begin_laboratory, open_laboratory
from stillroom.actions.book.signing import KEY_FILE, signed_head
from stillroom.actions.lots.receiving import receive_lot
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.pages.entry import show_entry
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Person
from stillroom.web.app import make_app
from tests.cli.test_verbs import run

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)
BERG = Person("AB", "Ada Berg", may_release=True)


@pytest.fixture
def own(tmp_path: Path) -> Laboratory:
    return begin_laboratory(tmp_path / "own", "My bench", BERG, clock=lambda: NOON)


def at(lab: Laboratory, when: datetime) -> Laboratory:
    return replace(lab, clock=lambda: when)


def receive(lab: Laboratory, code: str = "W-1", **more: datetime) -> int:
    return receive_lot(lab, Lot(code, LotKind.WATER, "water", "water"), "1 kg", by="AB", **more).entry_no


@pytest.mark.parametrize(
    ("clock", "done", "says"),
    [
        (NOON - timedelta(minutes=6), None, "the clock ran back"),
        (NOON.replace(year=2025), None, "the clock ran back"),
        (NOON.replace(year=2000), None, "the clock of this machine is at 2000"),
        (NOON.replace(year=2090), None, "the clock of this machine is at 2090"),
        (NOON + timedelta(days=401), None, "the clock leapt"),
        (NOON, datetime(1, 1, 1, tzinfo=UTC), "it was done on 0001-01-01"),
        (NOON, NOON - timedelta(days=6 * 366), "years before the book was begun"),
    ],
)
def test_it_is_asked_about_and_marked_where_somebody_says_that_it_is_right(
    own: Laboratory, clock: datetime, done: datetime | None, says: str
) -> None:
    lab, before = at(own, clock), own.book.digest()
    when = {} if done is None else {"at": done}
    with pytest.raises(BadEntry, match=says) as asked:
        receive(lab, **when)
    assert asked.value.where == "at"
    assert own.book.digest() == before
    token = TIME_IS_RIGHT.set(True)
    try:
        number = receive(lab, **when)
    finally:
        TIME_IS_RIGHT.reset(token)

    with own.look() as look:
        assert says in look.entry(number).doubt
    assert says in " ".join(page_text(show_entry(own, number)).split())
    assert own.book.verify().troubles == ()


@pytest.mark.parametrize(
    ("clock", "done"),
    [
        (NOON, None),
        (NOON - timedelta(minutes=4), None),
        (NOON + timedelta(days=399), None),
        (NOON, NOON - timedelta(days=4 * 365)),
    ],
)
def test_what_can_be_is_not_asked_about_and_leaves_no_mark(
    own: Laboratory, clock: datetime, done: datetime | None
) -> None:
    number = receive(at(own, clock), **({} if done is None else {"at": done}))

    with own.book.look() as look:
        assert look.entry(number).doubt == ""
        assert (
            "doubt"
            not in look._connection.exec_driver_sql(
                f"SELECT text FROM journal WHERE entry_no = {number}"
            ).scalar_one()
        )


def test_a_form_asks_and_takes_it_with_a_tick(own: Laboratory) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from fastapi.testclient import TestClient
    client = TestClient(make_app(at(own, NOON.replace(year=2090))), follow_redirects=False)
    typed = {
        "code": "W-1",
        "kind": "water",
        "substance": "water",
        "amount": "1 kg",
        "by": "AB",
        "owner": "ours",
    }
    asked = client.post("/stock/new", data=typed)
    assert (asked.status_code, "time-is-right" in asked.text) == (422, True)
    assert client.post("/stock/new", data=typed | {"at": "0001-01-01T00:00"}).status_code == 422
    taken = client.post("/stock/new", data=typed | {"time-is-right": "yes"})

    assert taken.status_code == 303
    assert client.post("/stock/new", data=typed | {"code": "W-2"}).status_code == 422


def test_a_command_asks_and_takes_it_with_an_option(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = str(tmp_path / "own")
    run("new", folder, "--name", "My bench", "--person", "AB: Ada Berg", capsys=capsys)
    words = (
        "receive",
        "W-1",
        "1 kg",
        "--kind",
        "water",
        "--substance",
        "water",
        "--in",
        folder,
        "--by",
        "AB",
    )
    code, _, err = run(*words, "--at", "0002-01-01 00:00", capsys=capsys)
    assert (code, "years before the book was begun" in err) == (2, True)
    assert run(*words, "--at", "0001-01-01 00:00", capsys=capsys)[0] == 2
    code, _, _ = run(*words, "--at", "0002-01-01 00:00", "--time-is-right", capsys=capsys)

    assert code == 0
    assert not TIME_IS_RIGHT.get()


def test_no_laboratory_is_begun_by_a_clock_that_cannot_be_right(tmp_path: Path) -> None:
    with pytest.raises(BadEntry, match="at 1970-01-01"):
        begin_laboratory(tmp_path / "own", "My bench", BERG, clock=lambda: datetime(1970, 1, 1, tzinfo=UTC))
    assert not (tmp_path / "own" / "laboratory.book").exists()


@pytest.mark.parametrize("year", [2000, 2025, 2090])
def test_a_book_goes_on_from_a_copy_and_is_signed_by_a_clock_that_can_be_right(
    own: Laboratory, tmp_path: Path, year: int
) -> None:
    """Restored in 2090, each later entry would have been written by a clock that ran back."""
    copy, elsewhere = own.book.backup(tmp_path / "copy.book"), tmp_path / "elsewhere"
    wrong = NOON.replace(year=year)
    asked = "the clock (ran back|of this machine is at)"
    with pytest.raises(BadEntry, match=asked):
        bring_back(copy, elsewhere, by="AB", clock=lambda: wrong)
    with pytest.raises(BadEntry, match=asked):
        signed_head(at(own, wrong))
    assert not (elsewhere / BOOK_FILE).exists()
    assert not (own.folder / KEY_FILE).exists()
    token = TIME_IS_RIGHT.set(True)
    try:
        bring_back(copy, elsewhere, by="AB", clock=lambda: wrong)
        assert f" at {year}-11-30" in signed_head(at(own, wrong))
    finally:
        TIME_IS_RIGHT.reset(token)

    with open_laboratory(elsewhere) as restored, restored.look() as look:
        last = look.entry(look.head.entry_no)
        assert (last.kind, "the clock" in last.doubt) == ("book restored", True)
        assert restored.book.verify().troubles == ()
