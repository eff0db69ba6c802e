"""Goods that were ordered from a supplier: written when they are ordered, put right when a date moves, received once.

Promises that what came is held against what was ordered, and that nothing is awaited that came or was called off. What
a receipt leaves over is awaited only where somebody said so, as an order of its own.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Unpack

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.house.pricing import price_paid
from stillroom.errors import BadEntry, worded
from stillroom.planning.shelf_inputs import named_percent
from stillroom.quantities.basis import PLANT_WORDS
from stillroom.quantities.entry import with_unit
from stillroom.quantities.parse import parse
from stillroom.quantities.quantity import Quantity
from stillroom.records.entries import Entry, GoodsOrdered, LotReceived
from stillroom.records.laboratory_from_yaml import price_from_text
from stillroom.records.lot_kinds import LotKind, Traits, kinds_that
from stillroom.records.written_values import iso_date, one_line, yes_or_no
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.plants import plant_rule
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from stillroom.texts.catalogue import later, t

CODE = "BUY-{number}"
HERE, CALLED_OFF, LATE, DUE, UNDER_WAY = (
    later("here"), later("called off"), later("late"), later("due today"), later("under way"),
)  # fmt: skip
"""How goods stand."""
COUNTED_AS_WHOLE = 0.01
"""What comes within so much of what was ordered is told as all of it (chosen). [1]"""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line of what is ordered from a supplier: its substance, how much, and the price as agreed."""

    substance: str
    amount: str
    price: str = ""


@dataclass(frozen=True, slots=True)
class Bought:
    """What is said of a receipt beside the lot: its number where it was ordered, the price, when the rest comes."""

    goods: str = ""
    price: str = ""
    rest_comes: str = ""


NOT_ORDERED = Bought()


def order_goods(
    lab: Laboratory,
    lines: Sequence[Wanted],
    supplier: str,
    comes: str,
    *,
    order: str = "",
    **sign: Unpack[Signed],
) -> Done:
    """Write what was ordered from a supplier, and when it is expected.

    Parameters
    ----------
    comes : str
        The day it is expected: "2027-03-04", "4 March 2027".
    order : str
        The customer's order it is for; "" where for none.

    Raises
    ------
    BadEntry
        Nothing is ordered, or an amount, a price or the day cannot be read.
    UnknownName
        There is no such customer's order.
    """
    if not lines:
        raise BadEntry(
            "Something is ordered", "nothing", "Write how much of at least one thing", where="amount"
        )
    asked = {"lines": [f"{one.substance}|{one.amount}|{one.price}" for one in lines], "from": supplier,
             "comes": comes, "order": order}  # fmt: skip
    with lab.act("order goods", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        numbers, codes, day = list[int](), list[str](), ""
        for line in lines:
            code = _next_code(pen.look)
            body = checked(
                GoodsOrdered(code, line.substance, line.amount, supplier, comes, line.price, order.strip())
            )
            numbers.append(pen.enter(body))
            codes.append(code)
            day = body.comes
        return Done(
            tuple(numbers), t("{codes}: ordered, expected on {day}.", codes=", ".join(codes), day=day)
        )


def checked(body: GoodsOrdered) -> GoodsOrdered:
    """Goods as they are kept: words on one line, an amount that can be read, a price, an ISO date.

    Raises
    ------
    BadEntry
        One of them cannot be read.
    """
    _amount_of(body.as_written)
    if body.price:
        price_from_text(body.substance, body.price, "price")
    return replace(
        body,
        substance=one_line(body.substance, "substance"),
        as_written=one_line(body.as_written, "amount"),
        supplier=one_line(body.supplier, "supplier") if body.supplier.strip() else "",
        comes=iso_date(body.comes, "comes"),
    )


def to_come(goods: GoodsOrdered) -> float | None:
    """How much of it an order for bottles can count on; None where the mass of its volume is not known [g or pieces].

    Notes
    -----
    A volume of spirit is taken at 20 °C and at the strength its substance names: good enough for a date, and weighed
    when it comes.
    """
    amount = _amount_of(goods.as_written)
    if amount.dimension.startswith("count"):
        return amount.value
    if amount.dimension == "mass":
        return amount.in_unit("g")
    percent = named_percent(goods.substance)
    if percent is None:
        return amount.in_unit("mL") if goods.substance.endswith("water") else None
    return (
        amount.in_unit("mL")
        * float(spirit_density_kg_m3(spirit_mass_fraction(percent / 100.0), 20.0))
        / 1000.0
    )


def coming_of(look: Reader) -> dict[str, tuple[float, str]]:
    """By substance how much is under way and can be counted, and the day the last of it comes [g or pieces]."""
    found: dict[str, tuple[float, str]] = {}
    for one in look.goods_under_way():
        amount = to_come(one.body)
        if amount is not None:
            before, day = found.get(one.body.substance, (0.0, ""))
            found[one.body.substance] = (before + amount, max(day, one.body.comes))
    return found


def in_words(goods: GoodsOrdered) -> str:
    """Number, amount and day: "BUY-1, 2.5 kg, comes 2027-03-04"."""
    return t("{code}, {amount}, comes {day}", code=goods.code, amount=goods.as_written, day=goods.comes)


def how_it_stands(goods: GoodsOrdered, came: bool, today: date) -> str:
    """Here, called off, late, due today, or under way, as a mark.

    Parameters
    ----------
    came : bool
        Whether anything came of it.
    """
    if came:
        return HERE
    if goods.called_off:
        return CALLED_OFF
    if goods.comes < today.isoformat():
        return LATE
    return DUE if goods.comes == today.isoformat() else UNDER_WAY


def day_in_words(goods: GoodsOrdered, stands: str, today: date) -> str:
    """The day it comes, and by how much that is past where it is late.

    Parameters
    ----------
    stands : str
        As of ``how_it_stands``.
    """
    late_d = (today - date.fromisoformat(goods.comes)).days
    return t("{day}, late by {days} d", day=goods.comes, days=late_d) if stands == LATE else goods.comes


def likely_kind(look: Reader, substance: str) -> LotKind:
    """What sort of lot it becomes: as the last of it, else by its name; whoever receives it says."""
    before = look.lots(substances=frozenset({substance}))
    known = [one.kind for one in before if one.kind in kinds_that(lambda kind: kind.comes_in == "received")]
    if known:
        return known[-1]
    first, last = substance.split()[0], substance.split()[-1]
    is_plant = last in PLANT_WORDS or plant_rule(substance).status != "no rule found"

    def has(one: Traits) -> bool:
        if first == "spirit":
            return one.spirit == "stock"
        if first == "water":
            return one.by_volume == "water"
        if first in ("bottle", "cap", "label"):
            return one.used_to == "pack"
        return one.carrier == ("plant" if is_plant else "ingredient")

    return kinds_that(has)[0]


def as_ordered(lab: Laboratory, code: str) -> dict[str, str]:
    """What a receipt of goods begins with, by the fields of its form: as ordered, but its amount is weighed or counted.

    Raises
    ------
    UnknownName
        Nothing was ordered under that code.
    """
    with lab.look() as look:
        goods = look.goods(code).body
        kind = likely_kind(look, goods.substance)
        last = look.lots(substances=frozenset({goods.substance}))
        return {
            "goods": goods.code, "kind": kind.value, "substance": goods.substance, "supplier": goods.supplier,
            "price": goods.price, "code": _lot_after(look, last[-1].code) if last else "",
        }  # fmt: skip


def _lot_after(look: Reader, code: str) -> str:
    """The next free code after that of another lot: CIN-02 after CIN-01; "" where it ends with no number."""
    counted = re.fullmatch(r"(.*?)(\d+)", code)
    if counted is None:
        return ""
    number = int(counted[2]) + 1
    while look.holds(found := f"{counted[1]}{number:0{len(counted[2])}d}")[0]:
        number += 1
    return found


def after_receipt(pen: BookWriter, body: LotReceived, bought: Bought) -> tuple[tuple[int, ...], str]:
    """What follows from a receipt: the price that was paid, what came of what was ordered, the rest that is awaited.

    Parameters
    ----------
    body : LotReceived
        As it was written.

    Returns
    -------
    (tuple of int, str)
        Entries, and a sentence.

    Raises
    ------
    BadEntry
        The price cannot be read; or the rest is awaited, and how much it is cannot be told.
    """
    paid = price_paid(pen.look, body.lot.substance, bought.price) if bought.price else None
    numbers = (pen.enter(paid),) if paid else ()
    if not bought.goods:
        return numbers, ""
    goods = pen.look.goods(body.goods).body
    left = _left_of(goods, body.as_written)
    says = t(
        "{code}: {came} came of {ordered}.", code=goods.code, came=body.as_written, ordered=goods.as_written
    )
    if body.lot.substance != goods.substance:
        says = f"{says} " + t("It was ordered as {substance}.", substance=goods.substance)
    if bought.rest_comes:
        if left is None:
            raise BadEntry(
                "The rest of what was ordered is known where some of it is left, counted as it was ordered",
                worded("{came} of {ordered}", came=body.as_written, ordered=goods.as_written),
                "Leave the day of the rest empty, and write what is still to come as ordered again",
                where="rest-comes",
            )
        rest = checked(replace(goods, code=_next_code(pen.look), as_written=left, comes=bought.rest_comes))
        return (*numbers, pen.enter(rest)), f"{says} " + t("The rest: {rest}.", rest=in_words(rest))
    if left is not None:
        says = f"{says} " + t("{left} less, and nothing more of it is awaited.", left=left)
    return numbers, says


def _left_of(goods: GoodsOrdered, came: str) -> str | None:
    """How much less came than was ordered, in the unit of the order; None where all came or nobody can tell."""
    ordered = _amount_of(goods.as_written)
    got = _amount_of(with_unit(came, ordered.unit if ordered.dimension.startswith("count") else ""))
    if ordered.dimension != got.dimension:
        return None
    left = ordered.value - (got.value if ordered.unit == got.unit else got.in_unit(ordered.unit))
    return f"{left:.4g} {ordered.unit}" if left > COUNTED_AS_WHOLE * ordered.value else None


def _amount_of(text: str) -> Quantity:
    return parse(text, want=("mass", "count", "volume"), zero_allowed=False, words_after=True, where="amount")


def _next_code(look: Reader) -> str:
    taken = {one.body.code for one in look.goods_ordered()}
    number = len(taken) + 1
    while CODE.format(number=number) in taken:
        number += 1
    return CODE.format(number=number)


def _fields(_: Reader, entry: Entry[GoodsOrdered]) -> tuple[Field, ...]:
    goods = entry.body
    choices = (("no", t("it comes")), ("yes", t("it comes no more")))
    return (
        Field("comes", t("Comes on"), goods.comes, kind="date"),
        Field("amount", t("Amount"), goods.as_written),
        Field("supplier", t("From"), goods.supplier),
        Field("price", t("Price"), goods.price),
        Field("substance", t("Substance"), goods.substance),
        Field("order", t("For the order"), goods.order),
        Field("called off", t("Stands"), "yes" if goods.called_off else "no", choices=choices),
    )


def _applies(pen: BookWriter, entry: Entry[GoodsOrdered], changed: Mapping[str, str], why: str) -> Done:
    old = entry.body
    off = changed.get("called off")
    body = GoodsOrdered(
        old.code,
        changed.get("substance", old.substance),
        changed.get("amount", old.as_written),
        changed.get("supplier", old.supplier),
        changed.get("comes", old.comes),
        changed.get("price", old.price),
        changed.get("order", old.order).strip(),
        old.called_off if off is None else yes_or_no(off, "called off"),
    )
    number = enter_again(pen, entry, checked(body), why)
    return Done((number,), t("{batch}: {what} corrected.", batch=old.code, what=", ".join(changed)))


GOODS = Way(_fields, _applies, later("What it said before stays to be read"))
