"""A process that starts writing processes, one for each line on its input.

``receive <book>`` starts a writer that receives lots without end and prints the numbers of its entries once
they are written; ``take <book> <times>`` one that takes a gram of CIN-01 so many times and prints how often
it got it; ``wait -`` waits for one of them and prints ``gone``. Every line starts with the process number of
the writer. They are forked, so that fifty of them need not each load the libraries again.
"""

import os
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from stillroom.errors import NotEnough
from stillroom.records.entries import Moved, ReadingTaken
from stillroom.store import Book
from tests.store.practice import AT, begun, moved, received, write


def say(words: str) -> None:
    """One write to the pipe: a line is there whole, or not at all."""
    os.write(1, f"{os.getpid()} {words}\n".encode())


def receive(where: str) -> None:
    with Book.open(where) as book:
        while True:
            with book.pen(by="MA", at=AT, entered_at=AT) as pen:
                code = f"LOT-{pen.look.head.entry_no + 1}"
                first = pen.enter(received(code, 1.0))
                second = pen.enter(ReadingTaken(code, "mass", 1.0, "g", "1.00"))
            say(f"wrote {first} {second}")


def take(where: str, times: int) -> None:
    got = 0
    with Book.open(where) as book:
        for _ in range(times):
            try:
                with book.pen(by="MA", at=AT, entered_at=AT) as pen:
                    pen.enter(Moved((moved("CIN-01", "shelf", "waste", 1.0),), "taken"))
            except NotEnough:
                continue
            got += 1
    say(f"got {got}")


def warm_up() -> None:
    """Load and prepare what every writer needs, and let go of the book before any fork."""
    with TemporaryDirectory() as folder, begun(Path(folder) / "warm.book") as book:
        write(book, received("LOT", 1.0), ReadingTaken("LOT", "mass", 1.0, "g", "1.00"))


def main() -> None:
    warm_up()
    for line in sys.stdin:
        word, where, *more = line.split()
        if word == "wait":
            child, _ = os.waitpid(-1, 0)
            os.write(1, f"{child} gone\n".encode())
            continue
        if os.fork():
            continue
        say("started")
        receive(where) if word == "receive" else take(where, int(more[0]))
        os._exit(0)


if __name__ == "__main__":
    main()
