"""The last entry that was acknowledged, kept in a small file beside the book: an older book in its place is recognised.

A book that lost its log, or a copy of the file alone that was taken while somebody read, is whole and short of what
was written last. Promises that verifying says so, and that nobody writes on in it unawares. A book on a server needs
none; where the file is absent or cannot be read, nothing is known, and verifying says that.
"""

import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from sqlalchemy import Connection, select

from stillroom.errors import BookTrouble
from stillroom.store import tables as t
from stillroom.store.engines import Place
from stillroom.store.halves import ACKNOWLEDGED
from stillroom.store.looking import Head
from stillroom.store.verify import GO_ON, VerifyReport


@dataclass(frozen=True, slots=True)
class Acknowledged:
    """The file beside one book; None for a book on a server."""

    path: Path | None

    @classmethod
    def of(cls, place: Place) -> "Acknowledged":
        """The file of a book."""
        return cls(place.path and place.path.with_name(f"{place.path.name}{ACKNOWLEDGED}"))

    def keep(self, head: Head) -> None:
        """Write down the head, once it is on the disk; one write of one length, so that no half of it stands there."""
        if self.path is None:
            return
        with suppress(OSError):  # a full disk: the book itself has what was written
            handle = os.open(self.path, os.O_WRONLY | os.O_CREAT, 0o600)
            try:
                os.write(handle, f"{head.entry_no:010} {head.digest}\n".encode())
            finally:
                os.close(handle)

    def stands(self) -> Head | None:
        """What was acknowledged last; read before a look begins, for what is written meanwhile is not in that look."""
        try:
            number, digest = self.path.read_text().split() if self.path else ("", "")
            return Head(int(number), digest)
        except (OSError, ValueError):
            return None

    def told_with(self, report: VerifyReport, connection: Connection, found: Head | None) -> VerifyReport:
        """What verifying found, with what the book lacks, or with that nothing beside a book in a file can tell.

        Parameters
        ----------
        found : Head or None
            As ``stands`` told before the look of ``connection`` began.
        """
        lacks = _troubles(found, connection)
        untold = (
            f"Whether it is the newest cannot be told: no {self.path.name} lies beside it"
            if self.path and found is None
            else ""
        )
        return replace(report, troubles=(*report.troubles, *lacks), lacks=lacks, untold=untold)

    def lacking(self, digest_at: Callable[[int], str | None], last: Callable[[], int]) -> tuple[str, ...]:
        """A sentence where a journal, told by the digests of its entries, does not hold what was acknowledged last."""
        return _lacking(self.stands(), digest_at, last)

    def must_hold(self, connection: Connection) -> None:
        """Refuse to write on in a book that lacks what was acknowledged.

        Raises
        ------
        BookTrouble
        """
        for one in _troubles(self.stands(), connection):
            raise BookTrouble(
                "A book is written on where it holds all that was acknowledged",
                one,
                GO_ON,
            )


def _troubles(found: Head | None, connection: Connection) -> tuple[str, ...]:
    j = t.journal.c
    return _lacking(
        found,
        lambda entry_no: connection.scalar(select(j.digest).where(j.entry_no == entry_no)),
        lambda: connection.scalar(select(t.head.c.entry_no)) or 0,
    )


def _lacking(
    found: Head | None, digest_at: Callable[[int], str | None], last: Callable[[], int]
) -> tuple[str, ...]:
    if found is None or digest_at(found.entry_no) == found.digest:
        return ()
    ends = f"is not in this file, which ends with entry {last()}: an older copy, or one that lost its log"
    return (f"Entry {found.entry_no}, acknowledged here, {ends}",)
