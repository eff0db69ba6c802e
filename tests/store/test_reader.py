"""Looking into the book: records come back as they went in, and typos are offered the nearest name."""

from dataclasses import replace

import pytest

from stillroom.errors import UnknownName
from stillroom.records.entries import ApparatusAdded, PersonJoined, ProcedureWritten, StatusDecided
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Status, micrograms
from stillroom.store import Book
from stillroom.store.looking import Head, KeptAtHeads, once
from stillroom.store.reader import Reader
from tests.store.practice import AT, FIRST, JON, LATER, MARA, ORDER, PROCEDURE, SCALE, received, write


def test_records_come_back_as_they_went_in(told: Book) -> None:
    with told.look() as look:
        assert look.book() == replace(FIRST, epoch=2)
        assert look.people() == (MARA, JON)
        assert look.person("JO") == JON
        assert (look.apparatus("SCALE-2"), look.apparatus_list()) == (SCALE, (SCALE,))
        assert (look.procedure("bark-extract"), look.procedures()) == (PROCEDURE, (PROCEDURE,))
        assert (look.order("O-1"), look.orders()) == (ORDER, (ORDER,))
        assert look.lot("CIN-01") == received("CIN-01", 500.0).lot
        assert look.lot_codes() == ("CIN-01", "SPI-01", "REA-01", "BASE-01", "E1", "T1")
        assert [one.code for one in look.batches()] == ["E1", "T1"]
        assert look.batch("E1").planned == {"bark_g": 200.0}


def test_lists_are_found_by_subject(told: Book) -> None:
    with told.look() as look:
        assert [one.body.as_written for one in look.readings("CIN-01", "loss on drying", "drying/1")] == [
            "1.250"
        ]
        assert look.readings("CIN-01", series="drying/2") == ()
        assert [one.body.value for one in look.results("CIN-01", "loss on drying")] == [9.5]
        assert look.results("CIN-01", "alkaloids") == ()
        assert [one.body.outcome for one in look.tests("CIN-01")] == ["present"]
        assert [one.body.voucher for one in look.identities("CIN-01")] == ["V-7"]
        assert [one.body.alone for one in look.decisions("CIN-01")] == [True]
        assert [one.body.what for one in look.deviations("E1")] == ["power was off for 10 min"]
        assert [one.body.mass_g for one in look.doses("T1")] == [13.02]
        assert [one.body.units for one in look.fillings("T1")] == [51]
        assert [one.body.step for one in look.steps("T1")] == ["mix"]
        assert [one.body.request["seed"] for one in look.plans("O-1")] == [7]
        assert [one.code for one in look.batches(order="O-1")] == ["E1", "T1"]
        assert [one.body.found for one in look.stock_counts("E1")] == [25_500_000]
        assert [one.body.found for one in look.stock_counts("E1", corrected=True)] == [26_000_000, 25_500_000]


def test_entries_are_found_by_kind_and_by_every_code_they_speak_of(told: Book) -> None:
    with told.look() as look:
        assert [one.kind for one in look.entries(subject="SPI-01")] == ["lot received", "step done"]
        assert [one.kind for one in look.entries("step done", "E1")] == ["step done", "step done"]
        assert look.latest("step done", "E1") == look.entries("step done", "E1")[-1]
        assert look.latest("step done", "REA-01") is None
        numbers = [one.entry_no for one in look.entries(corrected=True)]
        assert numbers == list(range(1, look.head.entry_no + 1))
        assert len(look.entries()) == len(numbers) - 1


def test_stock_is_the_sum_of_the_movements(told: Book) -> None:
    with told.look() as look:
        assert look.balance_ug("CIN-01") == micrograms(500.0 - 205.0 + 4.6)
        assert look.balance_ug("CIN-01", "batch/E1") == micrograms(200.4)
        assert look.balance_ug("E1") == micrograms(39.2 - 13.02)
        assert look.balance_pieces("T1") == 51 - 2 - 31
        assert look.balances("T1") == {
            ("shelf", "piece"): 18,
            ("retained", "piece"): 2,
            ("customer/O-1", "piece"): 31,
            ("batch/T1", "piece"): -51,
        }
        assert [one.movement.into for one in look.movements("T1")] == ["shelf", "retained", "customer/O-1"]
        assert {one.movement.lot for one in look.movements(account="batch/E1")} == {"CIN-01", "SPI-01", "E1"}
        assert [(one.by, one.done_at) for one in look.movements("REA-01")] == [("MA", AT)]


def test_a_lot_waits_until_the_latest_decision(told: Book) -> None:
    with told.look() as look:
        assert look.status("CIN-01") is Status.RELEASED
        assert look.status("SPI-01") is Status.WAITING
        assert [one.code for one in look.lots(status=Status.RELEASED)] == ["CIN-01"]
        assert [one.code for one in look.lots((LotKind.SPIRIT,), Status.WAITING)] == ["SPI-01"]
        assert look.lots((LotKind.WATER,)) == ()
    (number,) = write(told, StatusDecided("CIN-01", Status.STOPPED, "smells wrong"))
    with told.look() as look:
        assert look.status("CIN-01") is Status.STOPPED
    with told.pen(by="MA", at=AT, entered_at=LATER) as pen:
        pen.enter(StatusDecided("CIN-01", Status.RELEASED, "the other jar"), corrects=number, why="wrong jar")
    with told.look() as look:
        assert look.status("CIN-01") is Status.RELEASED
        assert look.status("T1") is Status.WAITING


def test_people_and_apparatus_stand_as_last_written_and_procedures_keep_every_version(told: Book) -> None:
    write(
        told,
        PersonJoined(replace(JON, may_release=True)),
        ApparatusAdded(replace(SCALE, standard_uncertainty=0.01)),
        ProcedureWritten(replace(PROCEDURE, version=2, title="Extract of bark, warmer")),
    )

    with told.look() as look:
        assert look.person("JO").may_release
        assert len(look.people()) == 2
        assert look.apparatus("SCALE-2").standard_uncertainty == 0.01
        assert look.procedure("bark-extract").version == 2
        assert look.procedure("bark-extract", 1) == PROCEDURE
        assert [one.version for one in look.procedures()] == [2]


@pytest.mark.parametrize(
    ("ask", "near"),
    [
        (lambda look: look.lot("CIN-10"), "'CIN-01'"),
        (lambda look: look.balance_ug("CIN-10"), "'CIN-01'"),
        (lambda look: look.balances("CIN-10"), "'CIN-01'"),
        (lambda look: look.received_at("CIN-10"), "'CIN-01'"),
        (lambda look: look.movements("CIN-10"), "'CIN-01'"),
        (lambda look: look.status("CIN-10"), "'CIN-01'"),
        (lambda look: look.made_from("CIN-10"), "'CIN-01'"),
        (lambda look: look.person("JOO"), "'JO'"),
        (lambda look: look.apparatus("SCALE-1"), "'SCALE-2'"),
        (lambda look: look.procedure("bark-extracts"), "'bark-extract'"),
        (lambda look: look.procedure("bark-extract", 9), "newest is 1"),
        (lambda look: look.order("O-11"), "'O-1'"),
        (lambda look: look.batch("E11"), "'E1'"),
        (lambda look: look.entry(4000), "last entry"),
    ],
)  # fmt: skip
def test_an_unknown_code_is_told_with_the_nearest(written_once: object, ask: object, near: str) -> None:
    with (
        Book.open(written_once("told")) as book,  # type: ignore[operator]
        book.look() as look,
        pytest.raises(UnknownName, match=near),
    ):
        ask(look)  # type: ignore[operator]


def test_a_look_is_one_moment(told: Book) -> None:
    with told.look() as look:
        before = look.head
        write(told, received("CIN-09", 10.0))

        assert look.head == before
        assert "CIN-09" not in look.lot_codes()
    with told.look() as look:
        assert "CIN-09" in look.lot_codes()


def test_a_pen_sees_what_it_wrote(book: Book) -> None:
    with book.pen(by="MA", at=AT, entered_at=LATER) as pen:
        number = pen.enter(received("CIN-01", 10.0))

        assert pen.look.lot("CIN-01").code == "CIN-01"
        assert pen.look.entry(number).body == received("CIN-01", 10.0)
        assert pen.look.balance_ug("CIN-01") == 10_000_000


def test_what_was_asked_once_is_asked_again_after_something_is_written(told: Book) -> None:
    asked: list[int] = []

    @once
    def last_entry(look: Reader, _: str) -> int:
        asked.append(look.head.entry_no)
        return asked[-1]

    for _ in range(2):
        with told.look() as look:
            before = last_entry(look, "a"), last_entry(look, "a"), len(look.people())
    where = told.place.path or told.place.url.render_as_string(hide_password=False)
    with Book.open(where, files=told.place.files) as another:
        number = write(another, PersonJoined(replace(JON, code="NEW", name="Newly Come")))[-1]
    with told.look() as look:
        after = last_entry(look, "a"), last_entry(look, "a"), len(look.people())

    assert before == (number - 1, number - 1, 2)
    assert after == (number, number, 3)
    assert asked == [number - 1, number]


def test_what_was_found_is_found_again_until_the_index_is_made_anew(told: Book) -> None:
    asked: list[str] = []

    @once
    def note(look: Reader, what: str) -> None:
        asked.append(f"{what} {look.head.entry_no > 0}")

    for _ in range(2):
        with told.look() as look:
            note(look, "a")
            note(look, "b")
    told.rebuild()
    with told.look() as look:
        note(look, "a")

    assert asked == ["a True", "b True", "a True"]


def test_no_more_is_kept_than_of_the_last_heads_and_not_without_end() -> None:
    kept = KeptAtHeads(heads=2, most=3)
    for entry_no in range(1, 4):
        kept.at(Head(entry_no, "")).update(dict.fromkeys(range(5), entry_no))

    assert kept.at(Head(3, "")) == {2: 3, 3: 3, 4: 3}
    assert kept.at(Head(2, "")) == {2: 2, 3: 2, 4: 2}
    assert kept.at(Head(1, "")) == {}


def test_a_pen_sees_what_it_has_just_written(told: Book) -> None:
    with told.pen(by="MA", at=AT, entered_at=AT) as pen:
        before = len(pen.look.people())
        pen.enter(PersonJoined(replace(JON, code="NEW", name="Newly Come")))

        assert (before, len(pen.look.people())) == (2, 3)
