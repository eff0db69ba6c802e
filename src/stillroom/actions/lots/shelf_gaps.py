"""More was used of a lot than the book has: the use is kept, and the gap stands on the lot until somebody counts.

What really happened is never refused for want of stock. The missing amount is moved in from ``BEYOND_THE_BOOK``, an
account from outside that may lie below zero, in the same transaction; when a later entry shows where the slip was, it
goes back there. So no shelf is ever below zero, and a gap is never silent.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.records.entries import Moved
from stillroom.records.lots import BEYOND_THE_BOOK, SHELF, Movement, batch_account
from stillroom.store.book_writer import BookWriter
from stillroom.texts.catalogue import t

WHY_IN = "more was used than the book had: count the shelf"
WHY_BACK = "a later entry shows that the book had enough"


@dataclass(frozen=True, slots=True)
class Gaps:
    """What was moved so that no account lies below zero."""

    entries: tuple[int, ...] = ()
    says: str = ""
    """A sentence that begins with a space, "" where no gap is left."""


def settle(pen: BookWriter, codes: Iterable[str]) -> Gaps:
    """Bring every account of some lots to nothing or more, and take back what the book had after all.

    Parameters
    ----------
    pen : BookWriter
        After the entry that may leave a gap, within the same transaction.
    codes : iterable of str
        Lots to look at.
    """
    came, back, short = [], [], []
    for code in dict.fromkeys(codes):
        if not pen.look.holds(code)[0]:
            continue
        made_in = batch_account(pen.look.lot(code).made_by or "")
        balances = pen.look.balances(code)
        for (account, counted_in), amount in balances.items():
            if amount < 0 and account != made_in and not account.startswith(("outside/", "loss/")):
                came.append(Movement(code, BEYOND_THE_BOOK, account, -amount, counted_in))
                short.append(code)
        for counted_in in ("ug", "piece"):
            owed = -balances.get((BEYOND_THE_BOOK, counted_in), 0)
            spare = min(owed, balances.get((SHELF, counted_in), 0))
            if spare > 0:
                back.append(Movement(code, SHELF, BEYOND_THE_BOOK, spare, counted_in))
    numbers = [
        pen.enter(Moved(tuple(moves), why)) for moves, why in ((came, WHY_IN), (back, WHY_BACK)) if moves
    ]
    said = dict.fromkeys(short)
    return Gaps(
        tuple(numbers),
        " "
        + t(
            "The shelf holds less than the book thinks ({lots}): count it, and correct what is wrong.",
            lots=", ".join(said),
        )
        if said
        else "",
    )
