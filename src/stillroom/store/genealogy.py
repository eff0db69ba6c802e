"""Where a lot comes from and where it went: a walk along the balances, done by the database.

A lot *went into* a batch when more of it went into the account ``batch/X`` than came back out; it *was made
by* the batch when more came out than went in. Taking a weighed rest back to the shelf therefore makes
nobody its own ancestor. Corrected entries are left out. ``UNION`` ends the walk when a circle (a recovered
spirit used again) closes.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from sqlalchemy import Connection, Text, TextClause, bindparam, text

from stillroom.records.lot_kinds import CountedIn
from stillroom.records.lots import batch_account
from stillroom.store.looking import parts

_BATCH, _CUSTOMER, _OUTSIDE = "batch/", "customer/", "outside/"
_LIVE = "NOT EXISTS (SELECT 1 FROM journal j WHERE j.corrects = {m}.entry_no)"


def starts(dialect: str, column: str, prefix: str) -> str:
    """SQL for "starts with": a range of the index on SQLite, where LIKE would read every row.

    Parameters
    ----------
    column, prefix : str
        A column, and plain letters without signs. [text]
    """
    if dialect == "sqlite":
        return f"{column} >= '{prefix}' AND {column} < '{prefix[:-1]}{chr(ord(prefix[-1]) + 1)}'"
    return f"{column} LIKE '{prefix}%'"


@dataclass(frozen=True, slots=True)
class _Walk:
    """One direction: how lots hang together by their balances, seen from a lot and from a batch."""

    lots: str
    """From some lots, these among them."""
    batches: str
    """Accounts of the batches on the way from some lots, in the order in which they were begun."""
    from_batch: str


@cache
def _walk_words(dialect: str, near: str, far: str) -> _Walk:
    """SQL of a walk from a lot to the batches where its balance is ``near``, and on to lots whose is ``far``."""
    batch = starts(dialect, "n.account", _BATCH)
    into = f"JOIN balances n ON n.lot = walk.lot AND {batch} AND n.amount {near} 0"
    walk = (
        f"WITH RECURSIVE walk(lot) AS (SELECT code FROM lots WHERE code IN :lots"
        f" UNION SELECT f.lot FROM walk {into} JOIN balances f ON f.account = n.account AND f.amount {far} 0)"
    )
    return _Walk(
        f"{walk} SELECT lot FROM walk",
        f"{walk} SELECT x.account FROM (SELECT DISTINCT n.account AS account FROM walk {into}) AS x"
        f" JOIN batches b ON b.code = substr(x.account, {len(_BATCH) + 1}) AND {_LIVE.format(m='b')}"
        " ORDER BY b.entry_no",
        f"SELECT f.lot FROM balances f WHERE f.account IN :accounts AND f.amount {far} 0",
    )


def _upwards(dialect: str) -> _Walk:
    return _walk_words(dialect, "<", ">")


def _downwards(dialect: str) -> _Walk:
    return _walk_words(dialect, ">", "<")


_FLOWS = """
SELECT m.lot, m.out_of, m."into", m.counted_in, sum(m.amount) AS amount, min(m.entry_no) AS first_no
FROM ({some}) m WHERE {live}
GROUP BY m.lot, m.out_of, m."into", m.counted_in ORDER BY first_no, m.lot, m.out_of, m."into", m.counted_in"""
_OF_LOTS = "SELECT * FROM movements a WHERE a.lot IN :lots"
# CROSS JOIN: SQLite goes through the few accounts of customers first, not through every movement of the lots.
_CUSTOMERS = f"""
SELECT m."into" FROM balances b CROSS JOIN movements m
WHERE m.lot = b.lot AND m."into" = b.account AND b.lot IN :lots
 AND b.account LIKE '{_CUSTOMER}%' AND {_LIVE.format(m="m")}
GROUP BY m."into" ORDER BY min(m.entry_no)"""
_IS_LOT = f"SELECT m.code FROM lots m WHERE m.code IN :lots AND {_LIVE.format(m='m')}"


@dataclass(frozen=True, slots=True)
class Flow:
    """All that went of a lot from one account to another."""

    lot: str
    out_of: str
    into: str
    amount: int
    """Whole micrograms [ug] or pieces."""
    counted_in: CountedIn


@dataclass(frozen=True, slots=True)
class Trace:
    """What hangs together with a lot or batch, in one direction."""

    start: str
    lots: tuple[str, ...]
    """The lot itself first, then sorted."""
    batches: tuple[str, ...]
    """Makings on the way, in the order in which they were begun."""
    customers: tuple[str, ...]
    """Names behind ``customer/``; empty upwards."""
    flows: tuple[Flow, ...]
    """In the order of their first entries. Upwards: from outside, into and out of the batches on the way.
    Downwards: every movement of the lots."""


def made_from(connection: Connection, code: str) -> Trace:
    """Every lot and batch that ``code`` was made from."""
    dialect = connection.dialect.name
    lots, batches = _walk(connection, _upwards(dialect), code)
    some = " UNION ".join(
        f"{_OF_LOTS} AND {one}"
        for one in ('a."into" IN :accounts', "a.out_of IN :accounts", starts(dialect, "a.out_of", _OUTSIDE))
    )
    flows = _flows(connection, some, lots, batches)
    return Trace(code, _first(code, lots), _named(batches, _BATCH), (), tuple(flows))


def lots_below(connection: Connection, code: str) -> tuple[str, ...]:
    """Every lot that ``code`` went into, itself first."""
    words = _downwards(connection.dialect.name)
    _, start = _start(connection, words, code)
    return _first(code, _asked(connection, words.lots, lots=start) if start else [])


def went_into(connection: Connection, code: str, most: int | None = None) -> Trace:
    """Every batch, lot and customer that ``code`` went into; of more lots than ``most``, without their movements."""
    lots, batches = _walk(connection, _downwards(connection.dialect.name), code)
    told = lots if most is None or len(lots) <= most else [one for one in lots if one == code]
    flows = _flows(connection, _OF_LOTS, told, batches)
    customers = _named(customers_of(connection, lots), _CUSTOMER)
    return Trace(code, _first(code, lots), _named(batches, _BATCH), customers, tuple(flows))


def customers_of(connection: Connection, lots: Sequence[str]) -> list[str]:
    """Accounts of customers that some lots went to, in the order of their first entries."""
    found = (one for part in parts(lots) for one in _asked(connection, _CUSTOMERS, lots=part))
    return list(dict.fromkeys(found))


def _walk(connection: Connection, words: _Walk, code: str) -> tuple[list[str], list[str]]:
    """Lots and batch accounts in one direction from a lot, or from a batch that is no lot (yet)."""
    accounts, start = _start(connection, words, code)
    if not start:
        return [], accounts
    accounts += _asked(connection, words.batches, lots=start)
    return _asked(connection, words.lots, lots=start), list(dict.fromkeys(accounts))


def _start(connection: Connection, words: _Walk, code: str) -> tuple[list[str], list[str]]:
    """The account of the batch and the lots that a walk begins with."""
    if _asked(connection, _IS_LOT, lots=[code]):
        return [], [code]
    accounts = [batch_account(code)]
    return accounts, _asked(connection, words.from_batch, accounts=accounts)


@cache
def _ready(words: str, names: tuple[str, ...]) -> TextClause:
    """SQL in which each name stands for several values; made once."""
    return text(words).bindparams(*(bindparam(name, expanding=True, type_=Text) for name in names))


def _asked(connection: Connection, words: str, **bound: Sequence[str]) -> list[str]:
    return list(connection.execute(_ready(words, tuple(bound)), bound).scalars())


def _flows(connection: Connection, some: str, lots: list[str], accounts: list[str]) -> list[Flow]:
    words = _FLOWS.format(some=some, live=_LIVE.format(m="m"))
    names = tuple(name for name in ("lots", "accounts") if f":{name}" in some)
    sums: dict[tuple[str, str, str, CountedIn], tuple[int, int]] = {}
    for part in parts(lots):
        bound = {"lots": part, "accounts": accounts}
        for row in connection.execute(_ready(words, names), {name: bound[name] for name in names}):
            sums[row.lot, row.out_of, row.into, row.counted_in] = (row.first_no, int(row.amount))
    ordered = sorted(sums.items(), key=lambda one: (one[1][0], one[0]))
    return [
        Flow(lot, out_of, into, amount, counted_in)
        for (lot, out_of, into, counted_in), (_, amount) in ordered
    ]


def _named(accounts: Iterable[str], prefix: str) -> tuple[str, ...]:
    return tuple(one.removeprefix(prefix) for one in accounts)


def _first(code: str, lots: list[str]) -> tuple[str, ...]:
    return tuple(sorted(lots, key=lambda one: (one != code, one)))
