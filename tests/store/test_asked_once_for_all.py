"""What a list asks of one row after another is asked once for all of them, and gives the same."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

import pytest
from sqlalchemy import event

from stillroom.actions.bench.next_of_order import orders_ahead
from stillroom.actions.day.jobs_in_hand import jobs_in_hand
from stillroom.actions.lots.ethanol_known import courses_ahead
from stillroom.actions.shelf.reagent_dates import dates_ahead, use_by_of
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH
from stillroom.records.lots import SHELF
from stillroom.schedule.bench import Bench
from stillroom.store import Book
from stillroom.store.reader import Reader
from tests.practice import told_folder


@pytest.fixture(scope="module")
def practice() -> Iterator[Book]:
    with Book.open(told_folder() / "laboratory.book") as book:
        yield book


@contextmanager
def counted(book: Book) -> Iterator[tuple[Reader, list[str]]]:
    """A look that finds everything anew, and every statement it makes."""
    asked: list[str] = []

    def note(*given: object) -> None:
        asked.append(str(given[2]))

    event.listen(book._reader, "before_cursor_execute", note)
    try:
        with book.look() as look:
            look.kept = {}
            asked.clear()
            yield look, asked
    finally:
        event.remove(book._reader, "before_cursor_execute", note)


def batches(look: Reader) -> list[object]:
    codes = [one.code for one in look.batches()]
    return [(look.begun(one), look.given_up(one), look.steps(one)) for one in codes]


def orders(look: Reader) -> list[object]:
    codes = [one.code for one in look.orders()]
    found: list[object] = [
        (look.batches(order=one), look.is_planned(one), look.bottles_in(f"customer/{one}")) for one in codes
    ]
    return found


def shelf(look: Reader) -> list[object]:
    codes = [one.code for one in look.lots() if look.balance_ug(one.code) > 0]
    return [
        (look.lot(one), look.status(one), look.balance_ug(one), look.balance_pieces(one)) for one in codes
    ]


def bottles(look: Reader) -> list[object]:
    found: list[object] = []
    for one in look.lots():
        found += [look.openings(one.code), look.readings(one.code, STRENGTH), look.readings(one.code, FACTOR)]
        found += [look.results(one.code, "loss on drying")]
    return found


def bottles_ahead(look: Reader) -> None:
    lots = look.lots()
    dates_ahead(look, lots)
    look.results_ahead([one.code for one in lots])


def ethanol(look: Reader) -> list[object]:
    lots, made = [one.code for one in look.lots()], [one.code for one in look.batches()]
    orders = [look.order(one.order) for one in look.batches() if one.order]
    found: list[object] = [
        (look.results(one), look.readings(one), look.plants_described(one)) for one in lots
    ]
    return [*orders, *found, *((look.steps(one), look.fillings(one), look.readings(one)) for one in made)]


def ethanol_ahead(look: Reader) -> None:
    courses_ahead(look, [one.code for one in look.lots()], [one.code for one in look.batches()])


AHEAD: dict[str, tuple[Callable[[Reader], list[object]], Callable[[Reader], object], int]] = {
    "batches": (batches, lambda look: look.batches_ahead([one.code for one in look.batches()]), 4),
    "orders": (orders, lambda look: orders_ahead(look, [one.code for one in look.orders()]), 7),
    "shelf": (shelf, lambda look: (look.lots(), look.lots(on_shelf=True)), 4),
    "bottles": (bottles, bottles_ahead, 7),
    "ethanol": (ethanol, ethanol_ahead, 13),
}
"""What is asked of one after another, what asks it for all, and how many statements that takes."""


@pytest.mark.parametrize("what", AHEAD)
def test_what_is_known_ahead_is_what_each_would_be_told_by_itself(practice: Book, what: str) -> None:
    one_by_one, ahead, most = AHEAD[what]
    with counted(practice) as (look, asked):
        told = one_by_one(look)
        alone = len(asked)
    with counted(practice) as (look, asked):
        ahead(look)
        together = len(asked)
        asked.clear()
        assert one_by_one(look) == told
        left = [one for one in asked if what != "shelf" or SHELF not in one]

    assert told
    assert together <= min(most, alone)
    if what != "shelf":  # a lot that is used up is asked for by itself
        assert not left


def test_the_last_days_of_a_shelf_of_reagents_cost_as_many_statements_as_those_of_one(practice: Book) -> None:
    with counted(practice) as (look, asked):
        lots = [one for one in look.lots(on_shelf=True) if "bottle" in one.kind.traits.papers]
        dates_ahead(look, lots)
        before = len(asked)
        found = [use_by_of(look, one) for one in lots]
        left = asked[before:]

    assert len([one for one in found if one]) > 3
    assert not [
        one
        for one in left
        if any(table in one for table in ("lot_openings", "readings", "subjects", "steps"))
    ]


def test_the_work_of_a_day_reads_no_batch_that_is_done_and_no_lot_by_itself(practice: Book) -> None:
    """Every batch of the told laboratory is done, and most of its lots are used up."""
    with counted(practice) as (look, asked):
        lots = len(look.lots())
        asked.clear()
        begins = datetime.fromisoformat("2026-11-24T00:00:00+00:00")
        found = jobs_in_hand(look, Bench((), ()), begins, begins + timedelta(hours=9), 17 * 60)

    assert not [one for one in found.jobs if one.code in ("E1", "T1", "T2")]
    assert not [one for one in asked if "steps.batch = ?" in one or "movements.lot = ?" in one]
    assert (
        len([one for one in asked if "results.subject = ?" in one]) < lots / 4
    )  # of the plant of an open order
