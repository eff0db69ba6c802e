"""From any lot up to the plant and down to the customer; both ways agree with a walk by hand."""

import random

import pytest

from stillroom.records.entries import BatchBegun, Moved, ProcedureWritten, StepDone
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Movement
from stillroom.store import Book, Flow
from tests.store.practice import AT, PROCEDURE, moved, received, write


def making(batch: str, takes: dict[str, float], gives: dict[str, float]) -> tuple[BatchBegun, StepDone]:
    """A batch that takes some grams of lots and gives some grams of others."""
    lots = tuple(Lot(code, LotKind.EXTRACT, "extract", code, made_by=batch) for code in gives)
    movements = (
        *(moved(code, "shelf", f"batch/{batch}", mass_g) for code, mass_g in takes.items()),
        *(moved(code, f"batch/{batch}", "shelf", mass_g) for code, mass_g in gives.items()),
    )
    return BatchBegun(batch, "bark-extract", 1, 1.0), StepDone(batch, "step", (), movements, lots_made=lots)


def test_a_bottle_leads_up_to_its_plant_and_the_plant_down_to_the_customer(told: Book) -> None:
    with told.look() as look:
        up, down = look.made_from("T1"), look.went_into("CIN-01")

    assert up.lots == ("T1", "BASE-01", "CIN-01", "E1", "SPI-01")
    assert up.batches == ("E1", "T1")
    assert up.customers == ()
    assert down.lots == ("CIN-01", "E1", "T1")
    assert down.batches == ("E1", "T1")
    assert down.customers == ("O-1",)
    assert Flow("CIN-01", "outside/supplier", "shelf", 500_000_000, "ug") in up.flows
    assert Flow("CIN-01", "shelf", "batch/E1", 205_000_000, "ug") in up.flows
    assert Flow("CIN-01", "batch/E1", "shelf", 4_600_000, "ug") in up.flows
    assert Flow("T1", "shelf", "customer/O-1", 31, "piece") in down.flows
    assert Flow("E1", "shelf", "batch/T1", 13_020_000, "ug") in down.flows


def test_a_lot_that_was_used_for_nothing_stands_alone(told: Book) -> None:
    with told.look() as look:
        up, down = look.made_from("REA-01"), look.went_into("REA-01")

    assert (up.lots, up.batches, down.lots, down.batches) == (("REA-01",), (), ("REA-01",), ())


def test_a_batch_is_traced_before_it_has_given_anything(book: Book) -> None:
    write(book, ProcedureWritten(PROCEDURE), received("CIN-01", 100.0), *making("E1", {"CIN-01": 50.0}, {}))

    with book.look() as look:
        assert look.made_from("E1").lots == ("CIN-01",)
        assert look.made_from("E1").batches == ("E1",)
        assert look.went_into("E1").lots == ()
        assert look.went_into("CIN-01").batches == ("E1",)


def test_what_is_put_back_makes_no_ancestor(book: Book) -> None:
    write(
        book,
        ProcedureWritten(PROCEDURE),
        received("CIN-01", 100.0),
        received("CIN-02", 100.0),
        *making("E1", {"CIN-01": 50.0, "CIN-02": 20.0}, {"E1": 5.0}),
        Moved((moved("CIN-02", "batch/E1", "shelf", 20.0),), "not needed"),
        Moved((moved("CIN-01", "batch/E1", "shelf", 1.0),), "a rest"),
    )

    with book.look() as look:
        assert look.made_from("E1").lots == ("E1", "CIN-01")
        assert look.made_from("CIN-01").lots == ("CIN-01",)
        assert look.went_into("CIN-02").batches == ()


def test_spirit_that_goes_round_ends_the_walk(book: Book) -> None:
    write(
        book,
        ProcedureWritten(PROCEDURE),
        received("SPI-01", 100.0),
        *making("E1", {"SPI-01": 50.0}, {"E1": 5.0, "REC-1": 40.0}),
        *making("E2", {"REC-1": 40.0}, {"E2": 5.0, "REC-2": 30.0}),
        Moved((moved("REC-2", "shelf", "batch/E1", 30.0),), "into the first again"),
    )

    with book.look() as look:
        everything = {"SPI-01", "E1", "REC-1", "E2", "REC-2"}
        assert set(look.made_from("E1").lots) == everything - {"E2"}
        assert set(look.went_into("SPI-01").lots) == everything
        assert set(look.went_into("REC-2").lots) == {"REC-2", "E1", "REC-1", "E2"}


def test_a_corrected_step_leads_nowhere(book: Book) -> None:
    *_, step = write(
        book,
        ProcedureWritten(PROCEDURE),
        received("CIN-01", 100.0),
        received("CIN-02", 100.0),
        *making("E1", {"CIN-01": 50.0}, {"E1": 5.0}),
    )
    with book.pen(by="MA", at=AT, entered_at=AT) as pen:
        pen.enter(making("E1", {"CIN-02": 50.0}, {"E1": 5.0})[1], corrects=step, why="the other jar")

    with book.look() as look:
        assert look.made_from("E1").lots == ("E1", "CIN-02")
        assert look.went_into("CIN-01").batches == ()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_both_ways_agree_with_a_walk_by_hand(book: Book, seed: int) -> None:
    chance = random.Random(seed)
    shelf = [f"RAW-{one}" for one in range(6)]
    stories: list[tuple[list[str], list[str]]] = []
    for number in range(14):
        takes = chance.sample(shelf, chance.randint(1, 3))
        gives = [f"B{number}-{one}" for one in range(chance.randint(1, 2))]
        stories.append((takes, gives))
        shelf += gives
    write(
        book,
        ProcedureWritten(PROCEDURE),
        *(received(code, 1000.0) for code in shelf if code.startswith("RAW")),
        *(
            one
            for number, (takes, gives) in enumerate(stories)
            for one in making(f"B{number}", dict.fromkeys(takes, 1.0), dict.fromkeys(gives, 50.0))
        ),
    )
    above: dict[str, set[str]] = {code: {code} for code in shelf}
    for takes, gives in stories:  # in the order in which they were made, so that one pass is enough
        for code in gives:
            above[code] |= set().union(*(above[one] for one in takes))

    with book.look() as look:
        for code in shelf:
            assert set(look.made_from(code).lots) == above[code]
            assert set(look.went_into(code).lots) == {one for one in shelf if code in above[one]}


def test_pieces_are_traced_as_grams_are(book: Book) -> None:
    bottles = Movement("BOT-1", "shelf", "batch/E1", 50, "piece")
    lot = Lot("BOT-1", LotKind.PACKAGING, "bottle", "bottles")
    begun, step = making("E1", {"CIN-01": 5.0}, {"E1": 1.0})
    write(
        book,
        ProcedureWritten(PROCEDURE),
        received("CIN-01", 100.0),
        begun,
        StepDone(
            "E1",
            "fill",
            (),
            (Movement("BOT-1", "outside/x", "shelf", 60, "piece"), bottles, *step.movements),
            lots_made=(lot, *step.lots_made),
        ),
    )

    with book.look() as look:
        assert look.made_from("E1").lots == ("E1", "BOT-1", "CIN-01")
        assert look.went_into("BOT-1").batches == ("E1",)
