"""Looking at lists: one page of what stands now, searched and filtered by the database, whatever the book's age.

Promises a fixed number of questions for a list, however long it is, and that what stands ahead (on the shelf, in hand,
open) comes first, the newest before the older. A word that nothing begins with finds its nearest spellings.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Text,
    bindparam,
    case,
    column,
    exists,
    false,
    func,
    select,
    text,
)

from stillroom.records.entries import Entry
from stillroom.records.lot_kinds import CountedIn, LotKind
from stillroom.records.lots import BEYOND_THE_BOOK, Movement
from stillroom.store import tables as t
from stillroom.store.looking import Looking, live, once, parts
from stillroom.store.searching import NEAR, pieces_of, words_of
from stillroom.store.stocks import Moving

PAGE = 50
"""Rows of one page of a list. [1]"""
_MOST_SPELLINGS = 20


@dataclass(frozen=True, slots=True)
class Standing:
    """A lot, batch, order, offer, thing ordered from a supplier or procedure, as it stands now."""

    code: str
    entry_no: int
    """The entry that brought it in."""
    kind: str
    """Of a lot, of an offer; the procedure of a batch; the product of an order; the substance of goods; the purpose
    of a procedure."""
    name: str
    """Of a lot; the order of a batch; the customer of an order; the title of an offer or a procedure; the supplier of
    goods."""
    state: str
    """Status of a lot; of a batch "running", "done" or "given up"; of an order "open" or "closed"; of an offer "open"
    or how it ended; of goods "under way", "here" or "called off"; of a procedure ""."""
    amount: int
    """On the shelf, or delivered. [ug or pieces]"""
    counted_in: CountedIn
    day: str
    """Use-by day of a lot, last step of a batch, due day of an order, the day goods come (ISO); "" for none."""
    ahead: bool
    """Whether it stands on the shelf, is in hand, open or under way; a procedure always does."""


@dataclass(frozen=True, slots=True)
class Found:
    """One page of a list."""

    rows: tuple[Standing, ...]
    count: int
    """How many there are of them, on all pages."""
    spellings: tuple[str, ...] = ()
    """What was taken for a word that nothing begins with."""

    @property
    def codes(self) -> tuple[str, ...]:
        """Codes of the page."""
        return tuple(one.code for one in self.rows)


class Lists(Looking):
    """Pages of lots, batches, orders, offers, goods, procedures and entries."""

    @once
    def standing(
        self,
        what: str,
        *,
        kinds: tuple[str, ...] = (),
        states: tuple[str, ...] = (),
        words: str = "",
        ahead: bool | None = None,
        first: int = 0,
        most: int | None = PAGE,
    ) -> Found:
        """One page of what stands now.

        Parameters
        ----------
        what : str
            "lot", "batch", "order", "offer", "goods" or "procedure".
        kinds, states : tuple of str
            Only these, where any are given.
        words : str
            Words to search by, in any spelling near enough.
        ahead : bool, optional
            Only what stands ahead, or only what does not.
        first : int
            How many are passed over. [1]
        most : int or None
            How many are given at most; all when None. [1]
        """
        self.settle()
        s = t.standings.c
        wanted: list[ColumnElement[bool]] = [s.what == what]
        if kinds:
            wanted.append(s.kind.in_(kinds))
        if states:
            wanted.append(s.state.in_(states))
        if ahead is not None:
            wanted.append(s.ahead.is_(ahead))
        spellings: list[str] = []
        for one in words_of(words):
            near, condition = self._like(one)
            wanted.append(condition)
            spellings += near
        count = self._connection.scalar(select(func.count()).select_from(t.standings).where(*wanted)) or 0
        order = [s.ahead.desc(), s.entry_no.desc(), s.code]
        if what in ("order", "goods"):  # the next day first
            order.insert(1, case((s.ahead, s.day)))
        columns = (s.code, s.entry_no, s.kind, s.name, s.state, s.amount, s.counted_in, s.day, s.ahead)
        rows = self._connection.execute(
            select(*columns).where(*wanted).order_by(*order).limit(most).offset(first)
        )
        return Found(tuple(Standing(*row) for row in rows), count, tuple(spellings))

    @once
    def substances_of(self, kinds: tuple[LotKind, ...], words: str = "") -> tuple[str, ...]:
        """Substances of lots of some kinds, or those of which a lot is found by some words.

        Parameters
        ----------
        kinds : tuple of LotKind
            Of the lots.
        words : str
            As for ``standing``.
        """
        self.settle()
        s, l = t.standings.c, t.lots.c  # noqa: E741
        wanted = [l.kind.in_([one.value for one in kinds]), live(t.lots)]
        if found := [self._like(one)[1] for one in words_of(words)]:
            wanted.append(l.code.in_(select(s.code).where(s.what == "lot", *found)))
        return tuple(self._connection.scalars(select(l.substance).where(*wanted).distinct()))

    @once
    def beyond_the_book(self) -> tuple[str, ...]:
        """Lots of which more was used than the book had."""
        b = t.balances.c
        asked = select(b.lot).distinct().where(b.account == BEYOND_THE_BOOK, b.amount < 0).order_by(b.lot)
        return tuple(self._connection.scalars(asked))

    @once
    def entries_page(
        self, *, kind: str = "", about: str = "", by: str = "", first: int = 0, most: int = PAGE
    ) -> tuple[tuple[Entry, ...], int]:
        """One page of the journal, the newest first, and how many entries there are.

        Parameters
        ----------
        kind, about, by : str
            Only of a kind, about a code, by a person; all when "".
        first, most : int
            How many are passed over, and given. [1]
        """
        table = t.subjects if about else t.entries
        asked = {"subject": about, "kind": kind}
        wanted = [table.c[name] == said for name, said in asked.items() if said]
        if by:
            written = t.entries.c
            wanted.append(
                exists().where(written.entry_no == table.c.entry_no, written.by == by)
                if about
                else written.by == by
            )
        if wanted:
            count = self._connection.scalar(select(func.count()).select_from(table).where(*wanted)) or 0
        else:
            count = self.head.entry_no
        numbers = table.c.entry_no
        page = select(numbers).where(*wanted).order_by(numbers.desc()).limit(most).offset(first)
        found = self._load(select(column("entry_no")).select_from(page.subquery()))
        return tuple(reversed(found)), count

    def entry_kinds(self) -> tuple[str, ...]:
        """Kinds of entry the book holds, by name."""
        return tuple(self._connection.scalars(select(t.entries.c.kind).distinct().order_by(t.entries.c.kind)))

    # Everything, for tables that are taken out

    def every_movement(self) -> Iterator[Moving]:
        """Every movement that stands, in the order in which they were written; read as it goes."""
        m, e = t.movements, t.entries.c
        asked = (
            select(m.c.entry_no, m.c.lot, m.c.out_of, m.c.into, m.c.amount, m.c.counted_in, e.by, e.done_at)
            .join(t.entries, e.entry_no == m.c.entry_no)
            .where(live(m))
            .order_by(m.c.entry_no, m.c.line)
        )
        for row in self._connection.execute(asked):
            move = Movement(row.lot, row.out_of, row.into, row.amount, row.counted_in)
            yield Moving(row.entry_no, move, row.by, row.done_at)

    def every_result(self) -> Iterator[tuple[Any, ...]]:
        """Every result that stands: entry, time, person, subject, name, value, uncertainty, k, unit, basis, method."""
        r, e = t.results.c, t.entries.c
        asked = (
            select(
                r.entry_no, e.done_at, e.by, r.subject, r.what, r.value, r.standard_uncertainty, r.coverage_factor,
                r.unit, r.basis, r.method, r.counts, r.because,
            )
            .join(t.entries, e.entry_no == r.entry_no)
            .where(live(t.results))
            .order_by(r.entry_no)
        )  # fmt: skip
        yield from (tuple(row) for row in self._connection.execute(asked))

    # What a page of a list says beside how things stand, asked once for all its rows

    def done_on(self, entries: Sequence[int]) -> dict[int, str]:
        """When what each entry tells of was done (ISO)."""
        e = t.entries.c
        rows = self._connection.execute(select(e.entry_no, e.done_at).where(e.entry_no.in_(entries)))
        return {number: str(done_at) for number, done_at in rows}

    def results_of(self, lots: Sequence[str], *, counting: bool = True) -> dict[str, tuple[str, ...]]:
        """What was found out of each lot and counts, by name; or whatever was looked for."""
        r = t.results.c
        asked = select(r.subject, r.what).where(live(t.results)).order_by(r.entry_no)
        if counting:
            asked = asked.where(r.counts)
        found: dict[str, dict[str, None]] = {}
        for part in parts(lots):
            for subject, what in self._connection.execute(asked.where(r.subject.in_(part))):
                found.setdefault(subject, {})[what] = None
        return {subject: tuple(names) for subject, names in found.items()}

    def tests_of(self, lots: Sequence[str]) -> dict[str, int]:
        """How many tests with controls gave a result for each lot. [1]."""
        c = t.control_tests.c
        asked = select(c.subject, func.count()).where(
            c.subject.in_(lots), c.outcome != "no result", live(t.control_tests)
        )
        found = self._connection.execute(asked.group_by(c.subject))
        return {subject: int(count) for subject, count in found}

    def next_steps(self, batches: Sequence[str]) -> dict[str, tuple[str, str]]:
        """Title of the procedure of each batch, and the first of its steps that is not done; "" where all are."""
        b, p, s, d = t.batches.c, t.procedures.c, t.procedure_steps.c, t.steps
        done = exists().where(d.c.batch == b.code, d.c.step == s.name, live(d))
        asked = (
            select(b.code, p.title, s.name, done)
            .select_from(t.batches)
            .join(t.procedures, (p.code == b.procedure) & (p.version == b.version) & live(t.procedures))
            .outerjoin(t.procedure_steps, s.entry_no == p.entry_no)
            .where(b.code.in_(batches), live(t.batches))
            .order_by(b.code, s.line)
        )
        found: dict[str, tuple[str, str]] = {}
        for code, title, step, is_done in self._connection.execute(asked):
            _, coming = found.get(code, (title, ""))
            found[code] = (title, coming or ("" if is_done or step is None else step))
        return found

    def why_given_up(self, batches: Sequence[str]) -> dict[str, str]:
        """Why each batch was given up that was."""
        g = t.batches_given_up
        asked = (
            select(g.c.batch, g.c.why, g.c.taken_up_again)
            .where(g.c.batch.in_(batches), live(g))
            .order_by(g.c.entry_no)
        )
        last: dict[str, Any] = {row.batch: row for row in self._connection.execute(asked)}
        return {batch: row.why for batch, row in last.items() if not row.taken_up_again}

    # How words are found

    def _like(self, word: str) -> tuple[list[str], ColumnElement[bool]]:
        """Spellings taken for a word, and what must hold of the code of whatever is meant by it."""
        w, s = t.words.c, t.standings.c
        begins = self._begins(w.word, word)
        if self._connection.scalar(select(w.word).where(begins).limit(1)) is not None:
            return [], s.code.in_(select(w.code).where(begins))
        near = self._spellings(word)
        return near, s.code.in_(select(w.code).where(w.word.in_(near))) if near else false()

    def _begins(self, of: ColumnElement[str], word: str) -> ColumnElement[bool]:
        """Whether a word begins so; a range on SQLite, where LIKE reads every row."""
        if self._connection.dialect.name == "sqlite":
            return (of >= word) & (of < word + "\U0010ffff")
        return of.startswith(word, autoescape=True)

    def _spellings(self, word: str) -> list[str]:
        asked = text(
            "SELECT word FROM word_pieces WHERE piece IN :pieces GROUP BY word, pieces"
            " HAVING 2.0 * count(*) >= :near * (pieces + :mine)"
            " ORDER BY 2.0 * count(*) / (pieces + :mine) DESC, word LIMIT :most"
        ).bindparams(bindparam("pieces", expanding=True, type_=Text))
        pieces = pieces_of(word)
        asked_of = {"pieces": list(pieces), "near": NEAR, "mine": len(pieces), "most": _MOST_SPELLINGS}
        return list(self._connection.execute(asked, asked_of).scalars())
