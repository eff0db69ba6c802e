"""Suspended lots for the bench: what changed, who has bottles, and where they are released again."""

from stillroom.documents.blocks import Block, Heading, Link, Mark, Points, Table
from stillroom.documents.lot_accounts import amount_text
from stillroom.records.lots import LotKind, Status
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

MOST = 3


def suspended_blocks(look: Reader) -> list[Block]:
    """What the bench says first: which lots may not leave, why, and who has some of them.

    Parameters
    ----------
    look : Reader
    """
    found = [lot for lot in look.lots() if look.status(lot.code) is Status.SUSPENDED]
    if not found:
        return []
    rows = tuple(
        (
            Link(lot.code, f"/products/{lot.code}/release"),
            lot.name,
            Mark("suspended"),
            "; ".join(look.decisions(lot.code)[-1].body.changed[:MOST]),
            ", ".join(who_has(look, lot.code)) or t("suspended.nobody"),
        )
        for lot in found
    )
    head = ("lot", "what", "status", "changed", "who_has")
    return [
        Heading(t("suspended.heading")),
        Table(tuple(t(f"suspended.{name}") for name in head), rows),
        Points((t("suspended.do"),), "missing"),
    ]


def who_has(look: Reader, code: str) -> tuple[str, ...]:
    """Who has some of a lot: the customer of each order with the amount, largest account of the book first.

    Parameters
    ----------
    look : Reader
    code : str
        Of a lot.
    """
    orders = {one.code: one.customer for one in look.orders()}
    bottles = look.lot(code).kind is LotKind.PRODUCT
    found = []
    for (account, counted_in), amount in look.balances(code).items():
        kind, _, order = account.partition("/")
        if kind == "customer" and amount > 0:
            much = amount_text(amount, counted_in)
            words = t("suspended.bottles", count=much) if bottles else much
            found.append(
                t("suspended.has", who=orders.get(order, order), order=order, amount=words)
                if order in orders
                else f"{order}: {words}"
            )
    return tuple(found)
