"""How long it takes to trace a lot in a book of 100,000 movements, beside a walk in plain Python."""

import argparse
import platform
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from stillroom.records.entries import (
    BatchBegun,
    BookBegun,
    LotReceived,
    PersonJoined,
    ProcedureWritten,
    StepDone,
)
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Movement
from stillroom.records.people import Person
from stillroom.records.procedures import Procedure
from stillroom.store import Book, Reader

AT = "2026-01-01T08:00:00+00:00"
LINES = 20
GRAM = 1_000_000


def fill(book: Book, movements: int) -> None:
    """Batches of twenty movements, all from water and spirit, every fourth from earlier extracts too."""
    with book.pen(by="MA", at=AT, entered_at=AT) as pen:
        pen.enter(PersonJoined(Person("MA", "Invented")))
        pen.enter(ProcedureWritten(Procedure("p", 1, "p", "extraction", "extract", "bark", (), ())))
        for code in ("WATER", "SPIRIT", *(f"BARK-{one}" for one in range(20))):
            lot = Lot(code, LotKind.PLANT, "x", code)
            pen.enter(LotReceived(lot, (Movement(code, "outside/x", "shelf", 10**9 * GRAM),)))
    batches = movements // LINES
    for first in range(0, batches, 100):
        with book.pen(by="MA", at=AT, entered_at=AT) as pen:
            for number in range(first, min(first + 100, batches)):
                code = f"B{number}"
                pen.enter(BatchBegun(code, "p", 1, 1.0))
                earlier = [f"B{number - back}" for back in (1, 2, 3)] if number % 4 == 3 else []
                takes = ["WATER", "SPIRIT", f"BARK-{number % 20}", *earlier]
                taken = [takes[one % len(takes)] for one in range(LINES - 1)]
                lines = [Movement(one, "shelf", f"batch/{code}", GRAM) for one in taken]
                made = Lot(code, LotKind.EXTRACT, "x", code, made_by=code)
                gives = Movement(code, f"batch/{code}", "shelf", 1000 * GRAM)
                pen.enter(StepDone(code, "s", (), (*lines, gives), lots_made=(made,)))


def walk_down(look: Reader, start: str) -> set[str]:
    """The same answer by reading every movement and walking in Python."""
    into: dict[str, set[str]] = {}
    out_of: dict[str, set[str]] = {}
    for one in look.movements():
        movement = one.movement
        into.setdefault(movement.lot, set()).add(movement.into)
        out_of.setdefault(movement.out_of, set()).add(movement.lot)
    found, waiting = {start}, deque([start])
    while waiting:
        for account in into.get(waiting.popleft(), ()):
            if account.startswith("batch/"):
                new = out_of.get(account, set()) - found
                found |= new
                waiting += new
    return found


def timed(what: str, do: Callable[[], object]) -> float:
    """Run, print the seconds, give them back."""
    start = time.perf_counter()
    do()
    seconds = time.perf_counter() - start
    print(f"{what:<58}{seconds:8.3f} s")
    return seconds


def main() -> None:
    """Print the figures."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--movements", type=int, default=100_000)
    wanted = reader.parse_args().movements
    print(f"Python {platform.python_version()}, {wanted:,} movements in a file")
    with TemporaryDirectory() as folder:
        path = Path(folder) / "trace.book"
        with Book.begin(path, BookBegun("b", 1, "Invented", practice=True), by="MA", at=AT) as book:
            timed("written, 100 batches to a request", lambda: fill(book, wanted))
            last = f"B{wanted // LINES - 1}"
            with book.look() as look:
                timed(f"made_from({last}), up to bark", lambda: look.made_from(last))
                timed("went_into(BARK-7), a twentieth of all", lambda: look.went_into("BARK-7"))
                ours = timed("went_into(WATER), everything there is", lambda: look.went_into("WATER"))
                plain = timed("the same by a walk in Python", lambda: walk_down(look, "WATER"))
                same = set(look.went_into("WATER").lots) == walk_down(look, "WATER")
            print(f"{'ratio':<58}{plain / ours:8.1f}   answers agree: {same}")
            timed("verify, every row projected again", book.verify)
            timed("index made again from the journal", book.rebuild)


if __name__ == "__main__":
    main()
