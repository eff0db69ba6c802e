"""What things cost here: noted once, used by every plan in place of an invented round price.

Promises one currency and the unit a plan counts in. A price is what was asked for once, never a promise. A plan counts
in the currency of the laboratory (in euro where nobody said one); a price in another currency is kept and said, and
never added up.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.offering.product import PRICED
from stillroom.planning.offering.terms import USUAL_SUPPLIERS_DAYS, Supplied
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PRICE_OF
from stillroom.planning.route import other_lines
from stillroom.quantities.money import EURO, one_reading
from stillroom.quantities.units import convert
from stillroom.records.entries import Entry, PriceNoted
from stillroom.records.entry_json import body_to_json
from stillroom.records.laboratory import Price
from stillroom.records.laboratory_from_yaml import price_from_text
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import same_substance
from stillroom.texts.catalogue import t

KEYS_OF_PRICES = {role: key for key, role in PRICED.items() if role != "plant"}
"""Line of the buying list for what a plan calls the price of a thing."""
INGREDIENTS = "formula ingredients"
MADE_OF: dict[str, tuple[str, ...]] = {
    "stock spirit": ("spirit ",),
    "acid": ("hydrochloric acid",),
    "ammonia": ("ammonia",),
    "ethyl acetate": ("ethyl acetate",),
    "bottle": ("bottle",),
    "cap": ("cap",),
    "label": ("label",),
    "water": ("tap water", "purified water"),
    "hour": ("hour of work",),
}
"""What a plan calls a thing, and how its substance begins on a shelf."""


def note_price(lab: Laboratory, of: str, text: str, **sign: Unpack[Signed]) -> Done:
    """Note what something costs.

    Parameters
    ----------
    of : str
        A substance, a packaging item, or what a plan calls it: "stock spirit", "hour", "electricity".
    text : str
        "38 EUR/kg", "0.55 EUR/piece; packs of 50 pieces; 3 to 6 days".

    Raises
    ------
    BadEntry
        It is no price, or is for another kind of unit than a plan counts that thing in.
    """
    body = price_said(of, text)
    with lab.act("note price", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        says = f"{body.of} costs {body.as_written}."
        if body.currency != currency_of(pen.look):
            says += f" Plans count in {currency_of(pen.look)} and leave it out."
        return Done((pen.enter(body),), says)


def price_said(of: str, text: str) -> PriceNoted:
    """The entry of a price.

    Parameters
    ----------
    of, text : str
        As for ``note_price``.

    Raises
    ------
    BadEntry
        As for ``note_price``.
    """
    one_reading(text, where="price")
    price = price_from_text(of, text, "price")
    role = role_of(price.of)
    if role:
        _per_unit(price.per, role)
    return PriceNoted(
        price.of,
        f"{price.money.amount:f}",
        price.money.currency,
        price.per,
        price.as_written,
        price.pack,
        price.low_days,
        price.high_days,
    )


def price_paid(look: Reader, of: str, text: str) -> PriceNoted | None:
    """The entry of what was paid for what came; packs and days stay as they were noted. None where nothing is new.

    Parameters
    ----------
    of, text : str
        As for ``note_price``.

    Raises
    ------
    BadEntry
        As for ``note_price``.
    """
    before = next((one.body for one in look.prices() if one.body.of == of), None)
    sold = before.as_written.partition(";")[2] if before and ";" not in text else ""
    paid = price_said(of, f"{text};{sold}" if sold else text)
    return None if paid == before else paid


def prices_noted(look: Reader) -> tuple[tuple[Price, int], ...]:
    """Every price with the entry it stands in, the last one noted of each thing."""
    return tuple((_price_of(one), one.entry_no) for one in look.prices())


def currency_of(look: Reader) -> str:
    """What money is counted in here: as the laboratory says, euro where it says nothing."""
    return look.house().currency or EURO


def counted_in(lab: Laboratory | None) -> str:
    """The same of the laboratory that is open; euro where none is."""
    if lab is None:
        return EURO
    with lab.look() as look:
        return currency_of(look)


def price_like(lab: Laboratory, price: str = "38", per: str = "kg") -> str:
    """A price as it is written here, for a hint: "38 EUR/kg" in the currency of the laboratory.

    Parameters
    ----------
    price, per : str
        The figure, and what it is for. [text]
    """
    return f"{price} {counted_in(lab)}/{per}"


def prices_left_out(look: Reader) -> tuple[str, ...]:
    """A sentence for each price in another currency than the laboratory counts in."""
    counted = currency_of(look)
    return tuple(
        t(
            "The price of {of}, {price} (entry {entry_no}), is not in {currency} and is added to nothing.",
            of=one.body.of,
            price=one.body.as_written,
            entry_no=one.entry_no,
            currency=counted,
        )
        for one in look.prices()
        if one.body.currency != counted
    )


def known_prices(look: Reader, extraction: Procedure, formula: Procedure) -> list[Known]:
    """The prices a plan can use.

    Parameters
    ----------
    extraction : Procedure
        Its scaled line is what a plan calls the plant.
    formula : Procedure
        Its ingredients are priced together, each at its own price where it has one.
    """
    plants = {line.substance for line in extraction.lines if line.name == extraction.scaled_by}
    found: dict[str, Known] = {}
    for entry in look.prices():
        price = entry.body
        role = "plant" if price.of in plants else role_of(price.of)
        if not role or price.currency != currency_of(look):
            continue
        unit = f"{price.currency}/{ASSUMED[PRICE_OF + role].unit.partition('/')[2]}"
        found[role] = Known(
            PRICE_OF + role,
            f"price of {price.of}",
            float(price.amount) * _per_unit(price.per, role),
            unit,
            origin="reading",
            because=f"{price.as_written}, entry {entry.entry_no}",
            entry_no=entry.entry_no,
        )
    together = _of_ingredients(look, formula, found.get(INGREDIENTS))
    return list((found | ({INGREDIENTS: together} if together else {})).values())


def _of_ingredients(look: Reader, formula: Procedure, rest: Known | None) -> Known | None:
    """What a kilogram of the ingredients of a formula costs, where some have a price of their own; else nothing.

    The rest costs what was noted for formula ingredients, or what is assumed in euro.
    """
    counted = currency_of(look)
    if rest is None and counted == EURO:
        rest = ASSUMED[PRICE_OF + INGREDIENTS]
    priced = {one.body.of: one for one in look.prices() if one.body.currency == counted}
    told: dict[str, Entry[PriceNoted]] = {}
    share, cost, of_the_rest = 0.0, 0.0, False
    for line in other_lines(formula):
        own = next((one for of, one in priced.items() if same_substance(of, line.substance)), None)
        each = _each(own.body, INGREDIENTS) if own is not None else None
        if own is not None and each is not None:
            told[own.body.of] = own
        elif rest is not None:
            each, of_the_rest = rest.value, True
        else:
            return None
        share += line.percent or 0.0
        cost += (line.percent or 0.0) * each
    if not (told and share):
        return None
    because = [f"{of} {one.body.as_written}, entry {one.entry_no}" for of, one in told.items()]
    if of_the_rest and rest is not None:
        because.append(f"the rest {rest.value:g} {rest.unit}, {rest.because}")
    last = max(one.entry_no for one in told.values())
    unit = f"{counted}/kg"
    if of_the_rest and rest is not None and rest.origin == "assumed":
        return replace(rest, value=cost / share, because="; ".join(because))
    role = PRICE_OF + INGREDIENTS
    return Known(role, role, cost / share, unit, origin="reading", because="; ".join(because), entry_no=last)


def ingredients_unpriced(look: Reader, formula: Procedure) -> tuple[str, ...]:
    """A sentence where ingredients have prices that no plan can use yet, since others of the same product have none."""
    counted = currency_of(look)
    priced = [one.body.of for one in look.prices() if one.body.currency == counted]
    if counted == EURO or any(role_of(one) == INGREDIENTS for one in priced):
        return ()
    lines = [one.substance for one in other_lines(formula)]
    told = [one for one in lines if any(same_substance(of, one) for of in priced)]
    lacking = [one for one in lines if one not in told]
    if not (told and lacking):
        return ()
    return (
        t(
            "The price of {told} is used once {lacking} has one in {currency} too, or once a price of "
            '"formula ingredients" stands for the rest.',
            told=", ".join(told), lacking=", ".join(lacking), currency=counted,
        ),
    )  # fmt: skip


def _each(price: PriceNoted, role: str) -> float | None:
    """A price in the unit a plan counts that role in; None where it is for another kind of unit."""
    try:
        return float(price.amount) * _per_unit(price.per, role)
    except BadEntry:
        return None


def suppliers_of(look: Reader, items: Mapping[str, str]) -> tuple[Supplied, ...]:
    """How things are bought here, for a plan: packs in the unit a plan prices them in, and the days of suppliers.

    Parameters
    ----------
    items : mapping of str to str
        Key of the line of the buying list for each substance of two procedures.
    """
    found: dict[str, Supplied] = {}
    for entry in look.prices():
        price = entry.body
        key = items.get(price.of) or KEYS_OF_PRICES.get(role_of(price.of))
        if key is None or not (price.pack or price.high_days):
            continue
        role = role_of(price.of) or ("plant" if key == "plant_g" else INGREDIENTS)
        pack = price.pack / _per_unit(price.per, role) if price.pack else 0.0
        days = (price.low_days, price.high_days) if price.high_days else USUAL_SUPPLIERS_DAYS
        found[key] = Supplied(key, pack, *days, f"{price.as_written}, entry {entry.entry_no}")
    return tuple(found.values())


def role_of(of: str) -> str:
    """What a plan calls a thing, "" where it has no price of its own in a plan."""
    words = of.casefold()
    if PRICE_OF + words in ASSUMED:
        return words
    return next((role for role, begins in MADE_OF.items() if words.startswith(begins)), "")


def _per_unit(per: str, role: str) -> float:
    """How many of the units it was priced in are in the one a plan counts in."""
    wanted = ASSUMED[PRICE_OF + role].unit.partition("/")[2]
    if {per, wanted} <= {"piece", "pieces", "bottles", "units"}:
        return 1.0
    try:
        return convert(1.0, wanted, per)
    except StillroomError:
        raise BadEntry(
            worded("The price of {role} is for one {wanted}", role=role, wanted=wanted),
            worded("one for {per}", per=per),
            worded("Write it like 12.50 {counted_in}/{wanted}", counted_in=EURO, wanted=wanted),
            where="price",
        ) from None


def _price_of(entry: Entry[PriceNoted]) -> Price:
    return price_from_text(entry.body.of, entry.body.as_written, "price")
