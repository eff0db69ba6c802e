"""Where a lot comes from and where it went: a walk along the movements, done by the database.

A lot *went into* a batch when more of it went into the account ``batch/X`` than came back out; it *was made
by* the batch when more came out than went in. Taking a weighed rest back to the shelf therefore makes
nobody its own ancestor. Corrected entries are left out. ``UNION`` ends the walk when a circle (a recovered
spirit used again) closes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, bindparam, text

from stillroom.records.lots import CountedIn, batch_account

_LIVE = "NOT EXISTS (SELECT 1 FROM journal j WHERE j.corrects = {m}.entry_no)"
_SUM = (
    "(SELECT coalesce(sum(s.amount), 0) FROM movements s"
    " WHERE s.lot = {m}.lot AND {side} = {account} AND {live})"
)


def _net_into(m: str, account: str) -> str:
    """SQL for what of the movement's lot is in the batch account, in minus out."""
    live = _LIVE.format(m="s")
    went_in = _SUM.format(m=m, side='s."into"', account=account, live=live)
    came_out = _SUM.format(m=m, side="s.out_of", account=account, live=live)
    return f"({went_in} - {came_out})"


def _put_in(m: str) -> str:
    account = f'{m}."into"'
    return f"{account} LIKE 'batch/%' AND {_LIVE.format(m=m)} AND {_net_into(m, account)} > 0"


def _taken_out(m: str) -> str:
    account = f"{m}.out_of"
    return f"{account} LIKE 'batch/%' AND {_LIVE.format(m=m)} AND {_net_into(m, account)} < 0"


# Batches by which a lot was made, and the lots that went in; and the other way round.
_UPWARDS = f"""
WITH RECURSIVE walk(lot) AS (
    SELECT code FROM lots WHERE code IN :start
    UNION
    SELECT into_it.lot
    FROM walk
    JOIN movements out_of_it ON out_of_it.lot = walk.lot AND {_taken_out("out_of_it")}
    JOIN movements into_it ON into_it."into" = out_of_it.out_of AND {_put_in("into_it")}
)
SELECT lot FROM walk"""
_DOWNWARDS = f"""
WITH RECURSIVE walk(lot) AS (
    SELECT code FROM lots WHERE code IN :start
    UNION
    SELECT out_of_it.lot
    FROM walk
    JOIN movements into_it ON into_it.lot = walk.lot AND {_put_in("into_it")}
    JOIN movements out_of_it ON out_of_it.out_of = into_it."into" AND {_taken_out("out_of_it")}
)
SELECT lot FROM walk"""
_PUT_INTO_BATCH = (
    f'SELECT DISTINCT m.lot FROM movements m WHERE m."into" = :account AND {_put_in("m")} ORDER BY m.lot'
)
_TAKEN_FROM_BATCH = (
    f"SELECT DISTINCT m.lot FROM movements m WHERE m.out_of = :account AND {_taken_out('m')} ORDER BY m.lot"
)
_FLOWS = f"""
SELECT m.lot, m.out_of, m."into", m.counted_in, sum(m.amount) AS amount, min(m.entry_no) AS first_no
FROM movements m WHERE m.lot IN :lots AND {_LIVE.format(m="m")}
GROUP BY m.lot, m.out_of, m."into", m.counted_in ORDER BY first_no, m.lot, m.out_of, m."into", m.counted_in"""

_IS_LOT = f"SELECT m.code FROM lots m WHERE m.code = :code AND {_LIVE.format(m='m')}"
_AT_ONCE = 400
_BATCH, _CUSTOMER, _OUTSIDE = "batch/", "customer/", "outside/"


@dataclass(frozen=True, slots=True)
class Flow:
    """All that went of a lot from one account to another.

    Attributes
    ----------
    amount : int
        Whole micrograms [ug] or pieces.
    """

    lot: str
    out_of: str
    into: str
    amount: int
    counted_in: CountedIn


@dataclass(frozen=True, slots=True)
class Trace:
    """What hangs together with a lot or batch, in one direction.

    Attributes
    ----------
    start : str
    lots : tuple of str
        The lot itself first, then sorted.
    batches : tuple of str
        Makings on the way, in the order in which they were begun to be filled.
    customers : tuple of str
        Names behind ``customer/``; empty upwards.
    flows : tuple of Flow
        In the order of their first entries. Upwards: from outside, into and out of the batches on the way.
        Downwards: every movement of the lots.
    """

    start: str
    lots: tuple[str, ...]
    batches: tuple[str, ...]
    customers: tuple[str, ...]
    flows: tuple[Flow, ...]


def made_from(connection: Connection, code: str) -> Trace:
    """Every lot and batch that ``code`` was made from."""
    batch = [] if _is_lot(connection, code) else [batch_account(code)]
    start = _lots(connection, _PUT_INTO_BATCH, account=batch[0]) if batch else [code]
    lots = _walk(connection, _UPWARDS, start)
    flows = _flows(connection, lots)
    net = _net(flows)
    on_the_way = dict.fromkeys([*batch, *(account for (_, account), amount in net.items() if amount < 0)])
    kept = [
        one
        for one in flows
        if one.out_of.startswith(_OUTSIDE) or one.into in on_the_way or one.out_of in on_the_way
    ]
    return Trace(code, _first(code, lots), _named(on_the_way, _BATCH), (), tuple(kept))


def went_into(connection: Connection, code: str) -> Trace:
    """Every batch, lot and customer that ``code`` went into."""
    batch = [] if _is_lot(connection, code) else [batch_account(code)]
    start = _lots(connection, _TAKEN_FROM_BATCH, account=batch[0]) if batch else [code]
    lots = _walk(connection, _DOWNWARDS, start)
    flows = _flows(connection, lots)
    net = _net(flows)
    on_the_way = dict.fromkeys([*batch, *(account for (_, account), amount in net.items() if amount > 0)])
    customers = dict.fromkeys(one.into for one in flows if one.into.startswith(_CUSTOMER))
    return Trace(
        code, _first(code, lots), _named(on_the_way, _BATCH), _named(customers, _CUSTOMER), tuple(flows)
    )


def _is_lot(connection: Connection, code: str) -> bool:
    return bool(_lots(connection, _IS_LOT, code=code))


def _lots(connection: Connection, query: str, **bound: str) -> list[str]:
    return list(connection.execute(text(query), bound).scalars())


def _walk(connection: Connection, query: str, start: list[str]) -> list[str]:
    if not start:
        return []
    ready = text(query).bindparams(bindparam("start", expanding=True))
    return list(connection.execute(ready, {"start": start}).scalars())


def _flows(connection: Connection, lots: list[str]) -> list[Flow]:
    ready = text(_FLOWS).bindparams(bindparam("lots", expanding=True))
    rows: list[Row[Any]] = []
    for first in range(0, len(lots), _AT_ONCE):
        rows += connection.execute(ready, {"lots": lots[first : first + _AT_ONCE]}).all()
    rows.sort(key=lambda row: row.first_no)
    return [Flow(row.lot, row.out_of, row.into, int(row.amount), row.counted_in) for row in rows]


def _net(flows: Iterable[Flow]) -> dict[tuple[str, str], int]:
    """In minus out for each lot and batch account, in the order of the flows."""
    net: dict[tuple[str, str], int] = {}
    for one in flows:
        for account, sign in ((one.into, 1), (one.out_of, -1)):
            if account.startswith(_BATCH):
                net[one.lot, account] = net.get((one.lot, account), 0) + sign * one.amount
    return net


def _named(accounts: Iterable[str], prefix: str) -> tuple[str, ...]:
    return tuple(one.removeprefix(prefix) for one in accounts)


def _first(code: str, lots: list[str]) -> tuple[str, ...]:
    return tuple(sorted(lots, key=lambda one: (one != code, one)))
