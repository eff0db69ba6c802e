"""The right to write: entries go into journal and index together, or not at all."""

from dataclasses import asdict

from sqlalchemy import Connection, insert, select, update

from stillroom.errors import BadEntry, BookTrouble, worded
from stillroom.evidence.seal import seal
from stillroom.records.entries import KIND_OF, VERSION, Body, BookBegun, BookRestored, Entry
from stillroom.records.entry_json import body_from_json, body_to_json
from stillroom.store import tables as t
from stillroom.store.attachments import Attachments
from stillroom.store.journal import BEFORE_THE_FIRST, Request, Written, row_of
from stillroom.store.projection import Projection, project
from stillroom.store.reader import Reader
from stillroom.store.refusals import (
    refuse_correction,
    refuse_moment,
    refuse_signature,
    refuse_stocks_below_zero,
    refuse_taken_codes,
    refuse_unknown,
)
from stillroom.store.running import Touched, move_balances, move_standings


def write_index(connection: Connection, *written: Written) -> None:
    """Write the rows of some entries into the index."""
    together: Projection = {}
    for one in written:
        for table, rows in project(one).items():
            together.setdefault(table, []).extend(rows)
    for table, rows in together.items():
        connection.execute(insert(t.PROJECTED[table]), rows)


class BookWriter:
    """Writes entries inside one transaction that holds the head row.

    Attributes
    ----------
    look : Reader
        Reads inside the same transaction and sees its own entries.
    entered_at : str
        When the entries are written down (ISO).
    by : str
        Code of the person who signs them.
    doubt : str
        Why the times cannot be, where whoever writes says that they are right.
    earlier : tuple of int
        Entries already written under this request key, by the same words; when there are any, nothing more is
        written.

    Raises
    ------
    BadEntry
        The request key was used for other words, or a time is not one.
    """

    def __init__(
        self,
        connection: Connection,
        attachments: Attachments,
        *,
        by: str,
        at: str,
        entered_at: str,
        request_key: str | None = None,
        asked: str = "",
    ) -> None:
        refuse_moment("The time it was done", at)
        refuse_moment("The time it is entered", entered_at)
        self.look = Reader(connection)
        self.look.settle = self._settle
        self._connection = connection
        self._attachments = attachments
        self.by, self._at, self.entered_at, self.doubt = by, at, entered_at, ""
        last = connection.execute(select(t.head.c.entry_no, t.head.c.digest)).one_or_none()
        self._first_no = self._entry_no = last.entry_no if last else 0
        self._digest = last.digest if last else BEFORE_THE_FIRST
        self._key, self._asked, self._turn = request_key, seal(asked), 0
        self._touched, self._unsettled = Touched(), Touched()
        self._torn = False
        self.earlier = self._written_before()

    def enter(
        self,
        body: Body,
        *,
        done_at: str | None = None,
        why: str = "",
        corrects: int | None = None,
        attachments: tuple[str, ...] = (),
    ) -> int:
        """Write one entry.

        Parameters
        ----------
        body : Body
            What happened.
        done_at : str, optional
            When it was done (ISO with offset), if not at the pen's time.
        why : str
            Reason; a correction must have one.
        corrects : int, optional
            Number of the entry it replaces.
        attachments : tuple of str
            Seals of files kept beside the book before.

        Returns
        -------
        int
            Number of the entry.

        Raises
        ------
        BadEntry, UnknownName
            See ``refusals``. Nothing was written.
        """
        if self.earlier:
            numbers = ", ".join(str(one) for one in self.earlier)
            raise BadEntry(
                "A request is carried out once",
                worded("one written before as entry {numbers}", numbers=numbers),
            )
        kind = KIND_OF[type(body)]
        # What is written is what will be read back: 5 becomes 5.0 where the record says float.
        body = body_from_json(kind, VERSION[kind], body_to_json(body))
        self._refuse(body, kind, done_at, why, corrects, attachments)
        written = Written(
            Entry(
                entry_no=self._entry_no + 1,
                kind=kind,
                version=VERSION[kind],
                by=self.by,
                done_at=done_at or self._at,
                entered_at=self.entered_at,
                why=why,
                corrects=corrects,
                body=body,
                attachments=attachments,
                doubt=self.doubt,
            ),
            None if self._key is None else Request(self._key, self._turn + 1, self._asked),
        )
        row = row_of(written, self._digest)
        replaced = None if corrects is None else self.look.entry(corrects)
        self._torn = True
        self._connection.execute(insert(t.journal), [asdict(row)])
        write_index(self._connection, written)
        move_balances(self._connection, written.entry, replaced)
        self.look.kept.clear()
        self._torn = False
        self._entry_no, self._digest, self._turn = row.entry_no, row.digest, self._turn + 1
        for one in (body, *((replaced.body,) if replaced else ())):
            self._touched.by(one, row.entry_no)
            self._unsettled.by(one, row.entry_no)
        return row.entry_no

    @property
    def at(self) -> str:
        """When it was done [ISO time]."""
        return self._at

    def written(self) -> tuple[Entry, ...]:
        """The entries of this request so far."""
        return tuple(self.look.entry(number) for number in range(self._first_no + 1, self._entry_no + 1))

    def finish(self) -> None:
        """Check the stocks and move the head; the commit comes next.

        Raises
        ------
        NotEnough
            A lot would hold less than nothing.
        """
        if self._torn:
            raise BookTrouble("Half an entry is never kept", "a pen whose last entry failed", "Begin again")
        if self._entry_no == self._first_no:
            return
        refuse_stocks_below_zero(self.look, self._touched.codes["lot"], self._first_no)
        self._settle()
        at_head = {"entry_no": self._entry_no, "digest": self._digest}
        if self._first_no == 0:
            self._connection.execute(insert(t.head), [{"one": 1, **at_head}])
        else:
            self._connection.execute(update(t.head).values(at_head))

    def _settle(self) -> None:
        """Ask anew how everything stands that was written since it was asked last."""
        unsettled, self._unsettled = self._unsettled, Touched()
        move_standings(self._connection, unsettled)

    def _refuse(
        self,
        body: Body,
        kind: str,
        done_at: str | None,
        why: str,
        corrects: int | None,
        attachments: tuple[str, ...],
    ) -> None:
        if done_at is not None:
            refuse_moment("The time it was done", done_at)
        if isinstance(body, BookBegun) != (self._entry_no == 0):
            raise BadEntry(
                "A book begins with its first entry, once",
                worded("{kind!r} as entry {entry_no}", kind=kind, entry_no=self._entry_no + 1),
            )
        if isinstance(body, BookBegun):
            return
        if corrects is not None:
            if isinstance(body, BookRestored):
                raise BadEntry(
                    "That the book went on from a copy cannot be corrected",
                    worded("entry {corrects}", corrects=corrects),
                )
            refuse_correction(self.look, corrects, kind, why)
        refuse_signature(self.look, self.by, body)
        refuse_unknown(self.look, body)
        refuse_taken_codes(self.look, body, corrects)
        for one in attachments:
            if not self._attachments.has(one):
                raise BadEntry("A file must be kept before an entry names it", repr(one), "Attach it again")

    def _written_before(self) -> tuple[int, ...]:
        if self._key is None:
            return ()
        c = t.requests.c
        query = select(c.entry_no, c.asked).where(c.key == self._key).order_by(c.entry_no)
        rows = self._connection.execute(query).all()
        if any(row.asked != self._asked for row in rows):
            raise BadEntry(
                "A request key stands for one request",
                worded("the key of entry {entry_no} with other words", entry_no=rows[0].entry_no),
                "Reload the page and enter it again",
            )
        return tuple(row.entry_no for row in rows)
