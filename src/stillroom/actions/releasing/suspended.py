"""Suspended lots: what changed, who has bottles, where they are released again; and what an act suspended."""

from collections.abc import Iterator
from dataclasses import replace

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.product_made import product_in
from stillroom.documents.blocks import Block, Heading, Link, Mark, Points, Table
from stillroom.documents.lot_accounts import amount_text
from stillroom.errors import UnknownName
from stillroom.records.entries import CertificateIssued, StatusDecided
from stillroom.records.lot_kinds import LotKind, kinds_that
from stillroom.records.lots import Status
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

MOST = 3


def suspended_blocks(look: Reader) -> list[Block]:
    """What the bench says first: which lots may not leave, why, and who has some of them."""
    found = look.standing("lot", states=(Status.SUSPENDED.value,)).rows[::-1]
    if not found:
        return _stopped_outside(look)
    rows = tuple(
        (
            Link(
                lot.code,
                f"/{'products' if LotKind(lot.kind).traits.on_release_list else 'stock'}/{lot.code}/release",
            ),
            lot.name,
            Mark("suspended"),
            "; ".join(look.decisions(lot.code)[-1].body.changed[:MOST]),
            ", ".join(who_has(look, lot.code)) or t("nobody"),
        )
        for lot in found
    )
    head = (
        t("Lot"),
        t("What"),
        t("Status"),
        t("What changed after its release"),
        t("Who has some of it"),
    )
    return [
        *_stopped_outside(look),
        Heading(t("Suspended: nothing of these lots may leave")),
        Table(head, rows),
        Points(
            (
                t(
                    "Look at what changed, tell who has bottles where it matters, and release the lot "
                    "again, stop it or reject it."
                ),
            ),
            "missing",
        ),
    ]


def _stopped_outside(look: Reader) -> list[Block]:
    """Lots that were stopped or rejected while customers have some of them and were not told since."""
    rows = []
    kinds = tuple(one.value for one in kinds_that(lambda one: one.on_release_list))
    states = (Status.STOPPED.value, Status.REJECTED.value)
    for lot in look.standing("lot", kinds=kinds, states=states, most=None).rows[::-1]:
        decided = look.decisions(lot.code)
        told = [one.body for one in look.people_told(lot.code) if one.entry_no > decided[-1].entry_no]
        heard = frozenset(name for one in told for name in (one.order, one.who) if name)
        who = who_has(look, lot.code, but=heard)
        if who:
            stands = Mark(decided[-1].body.to.value)
            row = (Link(lot.code, f"/trace/{lot.code}"), lot.name, stands, decided[-1].body.meaning)
            rows.append((*row, ", ".join(who)))
    if not rows:
        return []
    head = (t("Lot"), t("What"), t("Status"), t("Why"), t("Who has some of it and was not told"))
    return [Heading(t("Stopped, and not everybody was told")), Table(head, tuple(rows))]


def told_with_what_followed(lab: Laboratory, done: Done) -> Done:
    """The same, saying which released lots it suspended, and who has some of them or of what it stopped.

    Parameters
    ----------
    done : Done
        Of any action, once it is written.

    Returns
    -------
    Done
        As it was where nothing was suspended.
    """
    with lab.look() as look:
        told = [
            t(
                "Suspended with this: {lot}. Who has some of it: {who}.",
                lot=lot,
                who=", ".join(who_has(look, lot)) or t("nobody"),
            )
            for lot in dict.fromkeys(_suspended_with(look, done.entries))
        ]
        stopped = [
            t("Tell who has some of {lot}: {who}.", lot=lot, who=", ".join(who))
            for lot in _stopped_by(look, done.entries)
            if (who := who_has(look, lot))
        ]
    return replace(done, says=" ".join((*told, done.says, *stopped)).strip()) if told or stopped else done


def _stopped_by(look: Reader, numbers: tuple[int, ...]) -> Iterator[str]:
    """Lots that an act itself stopped or rejected."""
    for body in (look.entry(one).body for one in numbers):
        if isinstance(body, StatusDecided) and body.to in (Status.STOPPED, Status.REJECTED):
            yield body.subject


def _suspended_with(look: Reader, numbers: tuple[int, ...]) -> Iterator[str]:
    """Lots that an act suspended: it writes them right behind its own entries, each with its paper."""
    number = max(numbers, default=0)
    while number:
        number += 1
        try:
            body = look.entry(number).body
        except UnknownName:
            return
        if isinstance(body, StatusDecided) and set(body.because_of) & set(numbers):
            yield body.subject
        elif not isinstance(body, CertificateIssued):
            return


def who_has(look: Reader, code: str, *, but: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Who has some of a lot: the customer of each order with the amount, largest account of the book first.

    Parameters
    ----------
    code : str
        Of a lot.
    but : frozenset of str
        Orders and customers that are left out.
    """
    has = {where.partition("/")[2] for where, _ in look.balances(code) if where.startswith("customer/")}
    orders = {one.code: one.customer for one in look.orders_of(tuple(has))}
    of_formula = look.lot(code).kind.traits.made_as == "formula"
    found = []
    for (account, counted_in), amount in look.balances(code).items():
        kind, _, order = account.partition("/")
        if kind == "customer" and amount > 0 and not {order, orders.get(order, order)} & but:
            much = amount_text(amount, counted_in)
            words = product_in(look, code).each.counted(much) if of_formula else much
            found.append(
                t("{who} ({order}): {amount}", who=orders.get(order, order), order=order, amount=words)
                if order in orders
                else f"{order}: {words}"
            )
    return tuple(found)
