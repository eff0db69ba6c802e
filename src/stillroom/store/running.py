"""Balances and standings run along with the entries: moved by each, made again from all, proved against the sum.

What a balance and a standing is stands here once, as a question to the tables that grow. A request asks it of what it
touched, ``make_running_again`` of everything, ``unproved`` of everything beside what stands there. So writing costs the
same in a book of ten years as in a new one.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache

from sqlalchemy import Connection, Table, Text, TextClause, bindparam, delete, select, text

from stillroom.records.entries import (
    BatchBegun,
    BatchGivenUp,
    Body,
    Entry,
    GoodsOrdered,
    LotReceived,
    OfferEnded,
    OfferMade,
    OrderTaken,
    ProcedureWritten,
    StatusDecided,
    StepDone,
)
from stillroom.records.entry_subjects import lots_of, movements_of, named_in
from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import SHELF
from stillroom.store import tables as t
from stillroom.store.searching import pieces_of, words_of

CUSTOMER = "customer/"
_AT_ONCE = 400
_LIVE = "NOT EXISTS (SELECT 1 FROM journal j WHERE j.corrects = {0}.entry_no)"

_SIDE = """
SELECT m.lot AS lot, m.{side} AS account, m.counted_in AS counted_in,
 CASE WHEN c.entry_no IS NULL THEN {sign} m.amount ELSE 0 END AS amount, coalesce(c.entry_no, m.entry_no) AS entry_no
FROM movements m LEFT JOIN journal c ON c.corrects = m.entry_no"""
BALANCES = f"""
SELECT lot, account, counted_in, CAST(sum(amount) AS BIGINT) AS amount, max(entry_no) AS entry_no
FROM ({_SIDE.format(side='"into"', sign="")} UNION ALL {_SIDE.format(side="out_of", sign="-")}) AS sides
GROUP BY lot, account, counted_in"""
"""What every balance must be: the sum of the movements that stand."""

MONTHS = f"""
SELECT lot, month, counted_in, CAST(sum(amount) AS BIGINT) AS amount, max(entry_no) AS entry_no FROM (
 SELECT m.lot AS lot, substr(e.done_at, 1, 7) AS month, m.counted_in AS counted_in, CASE WHEN c.entry_no IS NOT NULL
  THEN 0 WHEN m."into" = '{SHELF}' THEN m.amount WHEN m.out_of = '{SHELF}' THEN - m.amount ELSE 0 END AS amount,
  coalesce(c.entry_no, m.entry_no) AS entry_no
 FROM movements m JOIN entries e ON e.entry_no = m.entry_no LEFT JOIN journal c ON c.corrects = m.entry_no) AS moved
GROUP BY lot, month, counted_in"""
"""What every month must be: what came to the shelf and left it, of the movements that stand."""

_STATE = f"""
coalesce((SELECT d."to" FROM decisions d WHERE d.subject = l.code AND {_LIVE.format("d")}
 ORDER BY d.entry_no DESC LIMIT 1), 'waiting')"""
_PIECES = "EXISTS (SELECT 1 FROM balances p WHERE p.lot = l.code AND p.counted_in = 'piece')"
_LOTS = f"""
SELECT 'lot' AS what, l.code AS code, l.kind AS kind, l.name AS name, {_STATE} AS state,
 coalesce(b.amount, 0) AS amount, CASE WHEN {_PIECES} THEN 'piece' ELSE 'ug' END AS counted_in,
 coalesce(l.use_by, '') AS day, coalesce(b.amount, 0) > 0 AS ahead, l.entry_no AS entry_no
FROM lots l LEFT JOIN balances b ON b.lot = l.code AND b.account = '{SHELF}'
 AND b.counted_in = CASE WHEN {_PIECES} THEN 'piece' ELSE 'ug' END
WHERE {_LIVE.format("l")}"""
_GIVEN_UP = f"""
coalesce((SELECT NOT g.taken_up_again FROM batches_given_up g WHERE g.batch = b.code AND {_LIVE.format("g")}
 ORDER BY g.entry_no DESC LIMIT 1), {{no}})"""
_LEFT_TO_DO = f"""
EXISTS (SELECT 1 FROM procedures p JOIN procedure_steps s ON s.entry_no = p.entry_no
 WHERE p.code = b.procedure AND p.version = b.version AND {_LIVE.format("p")}
 AND NOT EXISTS (SELECT 1 FROM steps d WHERE d.batch = b.code AND d.step = s.name AND {_LIVE.format("d")}))"""
_BATCHES = f"""
SELECT 'batch', x.code, x.kind, x.name, CASE WHEN x.ended THEN 'given up' WHEN x.open THEN 'running' ELSE 'done' END,
 0, 'ug', x.day, x.open AND NOT x.ended, x.entry_no
FROM (SELECT b.code AS code, b.procedure AS kind, b."order" AS name, {_GIVEN_UP} AS ended, {_LEFT_TO_DO} AS open,
 coalesce((SELECT max(e.done_at) FROM steps d JOIN entries e ON e.entry_no = d.entry_no
  WHERE d.batch = b.code AND {_LIVE.format("d")}), (SELECT f.done_at FROM entries f WHERE f.entry_no = b.entry_no))
 AS day, b.entry_no AS entry_no FROM batches b WHERE {_LIVE.format("b")}) AS x
WHERE 1 = 1"""
_ORDERS = f"""
SELECT 'order', x.code, x.kind, x.name, CASE WHEN x.amount < x.units THEN 'open' ELSE 'closed' END,
 x.amount, 'piece', x.day, x.amount < x.units, x.entry_no
FROM (SELECT o.code AS code, o.product AS kind, o.customer AS name, o.units AS units, o.due AS day,
 o.entry_no AS entry_no, coalesce((SELECT CAST(sum(b.amount) AS BIGINT) FROM balances b
  JOIN lots l ON l.code = b.lot AND l.kind = 'product' AND {_LIVE.format("l")}
  WHERE b.account = '{CUSTOMER}' || o.code AND b.counted_in = 'piece'), 0) AS amount
 FROM orders o WHERE {_LIVE.format("o")}) AS x
WHERE 1 = 1"""
_NO_LATER = "NOT EXISTS (SELECT 1 FROM {0} n WHERE n.code = {1}.code AND n.entry_no > {1}.entry_no AND {2})"
_OFFERS = f"""
SELECT 'offer', x.code, x.kind, x.name, x.state, 0, 'ug', '', x.state = 'open', x.entry_no
FROM (SELECT o.code AS code, o.what AS kind, o.title AS name, o.entry_no AS entry_no,
 coalesce((SELECT f.how FROM offers_ended f WHERE f.code = o.code AND {_LIVE.format("f")}
  ORDER BY f.entry_no LIMIT 1), 'open') AS state
 FROM offers o WHERE {_LIVE.format("o")} AND {_NO_LATER.format("offers", "o", _LIVE.format("n"))}) AS x
WHERE 1 = 1"""
_GOODS = f"""
SELECT 'goods', x.code, x.kind, x.name, x.state, 0, 'ug', x.day, x.state = 'under way', x.entry_no
FROM (SELECT g.code AS code, g.substance AS kind, g.supplier AS name, g.comes AS day, g.entry_no AS entry_no,
 CASE WHEN EXISTS (SELECT 1 FROM receipts r WHERE r.goods = g.code AND {_LIVE.format("r")}) THEN 'here'
  WHEN g.called_off THEN 'called off' ELSE 'under way' END AS state FROM goods_ordered g
 WHERE {_LIVE.format("g")} AND {_NO_LATER.format("goods_ordered", "g", _LIVE.format("n"))}) AS x
WHERE 1 = 1"""
_PROCEDURES = f"""
SELECT 'procedure', p.code, p.purpose, p.title, '', 0, 'ug', '', 1 = 1, p.entry_no FROM procedures p
WHERE {_LIVE.format("p")} AND NOT EXISTS (SELECT 1 FROM procedures n WHERE n.code = p.code AND {_LIVE.format("n")}
 AND (n.version > p.version OR n.version = p.version AND n.entry_no < p.entry_no))"""
STANDINGS = {
    "lot": (_LOTS, "l.code"),
    "batch": (_BATCHES, "x.code"),
    "order": (_ORDERS, "x.code"),
    "offer": (_OFFERS, "x.code"),
    "goods": (_GOODS, "x.code"),
    "procedure": (_PROCEDURES, "p.code"),
}
"""What every standing must be, and the column that holds its code."""


@dataclass
class Touched:
    """What some entries touched: the codes of whatever may stand otherwise now."""

    codes: dict[str, dict[str, None]] = field(default_factory=lambda: {one: {} for one in STANDINGS})
    words: dict[str, int] = field(default_factory=dict)
    procedures: dict[str, None] = field(default_factory=dict)

    def by(self, body: Body, entry_no: int) -> None:
        """Add what one entry touches, written or replaced."""
        moving, lots = movements_of(body), lots_of(body)
        self._add("lot", (*(one.lot for one in moving), *(one.code for one in lots)))
        self._add(
            "order",
            (
                account.removeprefix(CUSTOMER)
                for one in moving
                for account in (one.out_of, one.into)
                if account.startswith(CUSTOMER)
            ),
        )
        match body:
            case StatusDecided(subject=code):
                self._add("lot", (code,))
            case BatchBegun(code=code) | StepDone(batch=code) | BatchGivenUp(batch=code):
                self._add("batch", (code,))
            case OrderTaken(order=order):
                self._add("order", (order.code,))
            case OfferMade(code=code) | OfferEnded(code=code):
                self._add("offer", (code,))
            case GoodsOrdered(code=code):
                self._add("goods", (code,))
            case LotReceived(goods=code) if code:
                self._add("goods", (code,))
            case ProcedureWritten(procedure=procedure):
                self.procedures[procedure.code] = None
                self._add("procedure", (procedure.code,))
        for named in named_in(body):
            for word in words_of(*named):
                self.words.setdefault(word, entry_no)

    def _add(self, what: str, codes: Iterable[str]) -> None:
        self.codes[what].update(dict.fromkeys(codes))


def move_balances(connection: Connection, entry: Entry, replaced: Entry | None) -> None:
    """Move balances and months by one entry, and back by the entry it replaces."""
    balances: dict[tuple[str, str, str], int] = {}
    months: dict[tuple[str, str, str], int] = {}
    for sign, one in ((1, entry), (-1, replaced)):
        for move in movements_of(one.body) if one is not None else ():
            for account, by in ((move.into, sign), (move.out_of, -sign)):
                key = move.lot, account, move.counted_in
                balances[key] = balances.get(key, 0) + by * move.amount
            month = move.lot, one.done_at[:7], move.counted_in  # type: ignore[union-attr]
            shelf = (move.into == SHELF) - (move.out_of == SHELF)
            months[month] = months.get(month, 0) + sign * shelf * move.amount
    for table, column, moved in (("balances", "account", balances), ("months", "month", months)):
        if moved:
            names = ("lot", column, "counted_in", "amount", "entry_no")
            rows = [
                dict(zip(names, (*key, amount, entry.entry_no), strict=True)) for key, amount in moved.items()
            ]
            connection.execute(_moved(table, column), rows)


@cache
def _moved(table: str, column: str) -> TextClause:
    return text(
        f"INSERT INTO {table} (lot, {column}, counted_in, amount, entry_no)"
        f" VALUES (:lot, :{column}, :counted_in, :amount, :entry_no) ON CONFLICT (lot, {column}, counted_in)"
        f" DO UPDATE SET amount = {table}.amount + excluded.amount, entry_no = excluded.entry_no"
    )


def move_standings(connection: Connection, touched: Touched) -> None:
    """Ask anew how everything stands that was touched; a batch by a procedure that was written, too."""
    codes = {what: list(some) for what, some in touched.codes.items()}
    if touched.procedures:
        asked = select(t.batches.c.code).where(t.batches.c.procedure.in_(list(touched.procedures)))
        codes["batch"] += connection.execute(asked).scalars()
    for what, some in codes.items():
        for at in range(0, len(some), _AT_ONCE):
            part = some[at : at + _AT_ONCE]
            s = t.standings
            connection.execute(delete(s).where(s.c.what == what, s.c.code.in_(part)))
            connection.execute(_standing(connection, what, some=True), {"codes": part})
    _keep_pieces(connection, touched.words)


def make_running_again(connection: Connection) -> None:
    """Make balances, standings and pieces of words again from the tables that grow."""
    for table in (t.balances, t.months, t.standings, t.word_pieces):
        connection.execute(delete(table))
    _look_through(connection, t.GROWN)
    connection.execute(text(f"INSERT INTO balances (lot, account, counted_in, amount, entry_no) {BALANCES}"))
    connection.execute(text(f"INSERT INTO months (lot, month, counted_in, amount, entry_no) {MONTHS}"))
    _look_through(connection, (t.balances,))
    for what in STANDINGS:
        connection.execute(_standing(connection, what, some=False))
    _keep_pieces(connection, _words(connection))


def _look_through(connection: Connection, tables: Iterable[Table]) -> None:
    """Let a server see how much this transaction filled in, by which it chooses its way; a file chooses without."""
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"ANALYZE {', '.join(one.name for one in tables)}"))


def summed(connection: Connection) -> dict[str, dict[tuple[str, CountedIn], int]]:
    """What the movements of every lot sum up to, for each account and way of counting."""
    sums: dict[str, dict[tuple[str, CountedIn], int]] = {}
    for row in connection.execute(text(BALANCES)):
        sums.setdefault(row.lot, {})[row.account, row.counted_in] = int(row.amount)
    return sums


def unproved(connection: Connection) -> Iterator[str]:
    """What of balances, standings and pieces is not what the movements and entries sum up to, a sentence each."""
    b, m = t.balances.c, t.months.c
    sums = [
        *_differences(
            "The balance of {0} in {1}",
            connection,
            text(BALANCES),
            connection.execute(select(b.lot, b.account, b.counted_in, b.amount, b.entry_no)),
            keys=3,
        ),
        *_differences(
            "What moved of {0} in {1}",
            connection,
            text(MONTHS),
            connection.execute(select(m.lot, m.month, m.counted_in, m.amount, m.entry_no)),
            keys=3,
        ),
    ]
    if sums:  # standings rest on them
        yield from sums
        return
    s = t.standings.c
    for what in STANDINGS:
        columns = (
            s.what,
            s.code,
            s.kind,
            s.name,
            s.state,
            s.amount,
            s.counted_in,
            s.day,
            s.ahead,
            s.entry_no,
        )
        found = connection.execute(select(*columns).where(s.what == what))
        words = _question(connection, what, some=False)
        yield from _differences("How {0} {1} stands", connection, text(words), found, keys=2)
    p = t.word_pieces.c
    wanted = {
        (piece, word, len(pieces), entry_no)
        for word, entry_no in _words(connection).items()
        for pieces in (pieces_of(word),)
        for piece in pieces
    }
    stands = {tuple(row) for row in connection.execute(select(p.piece, p.word, p.pieces, p.entry_no))}
    if wanted != stands:
        yield f"The pieces of words to search by are not those of {len(wanted ^ stands)} words"


def _differences(
    called: str,
    connection: Connection,
    wanted: TextClause,
    stands: Iterable[tuple[object, ...]],
    *,
    keys: int,
) -> Iterator[str]:
    must = {tuple(row[:keys]): _plain(row[keys:]) for row in connection.execute(wanted)}
    for row in stands:
        key = tuple(row[:keys])
        due = must.pop(key, None)
        if due is None:
            yield f"{called.format(*key)} is extra: no entry brings it"
        elif due != (found := _plain(row[keys:])):
            yield f"{called.format(*key)} was altered: it is {found} and must be {due}"
    for key in must:
        yield f"{called.format(*key)} is missing"


def _plain(row: Iterable[object]) -> tuple[object, ...]:
    return tuple(int(one) if isinstance(one, bool) else one for one in row)


def _question(connection: Connection, what: str, *, some: bool) -> str:
    words, code = STANDINGS[what]
    words = words.replace("{no}", "0" if connection.dialect.name == "sqlite" else "FALSE")
    return f"{words} AND {code} IN :codes" if some else words


def _standing(connection: Connection, what: str, *, some: bool) -> TextClause:
    columns = "what, code, kind, name, state, amount, counted_in, day, ahead, entry_no"
    ready = text(f"INSERT INTO standings ({columns}) {_question(connection, what, some=some)}")
    return ready.bindparams(bindparam("codes", expanding=True, type_=Text)) if some else ready


def _words(connection: Connection) -> dict[str, int]:
    words = connection.execute(text("SELECT word, min(entry_no) FROM words GROUP BY word"))
    return {str(word): int(entry_no) for word, entry_no in words}


def _keep_pieces(connection: Connection, words: dict[str, int]) -> None:
    rows = [
        {"piece": piece, "word": word, "pieces": len(pieces_of(word)), "entry_no": entry_no}
        for word, entry_no in words.items()
        for piece in pieces_of(word)
    ]
    if rows:
        connection.execute(_PIECES_KEPT, rows)


_PIECES_KEPT = text(
    "INSERT INTO word_pieces (piece, word, pieces, entry_no) VALUES (:piece, :word, :pieces, :entry_no)"
    " ON CONFLICT (piece, word) DO NOTHING"
)
