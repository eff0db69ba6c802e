"""Ceilings that the tables here do not hold: a person looks one up and states it with its source.

Promises that a stated ceiling never lifts one of the law's table and may only be stricter than it, and that "none" is a
statement of its own with a source, never a silence. Local codes and licensed practice come first.
"""

from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.product_made import product_of
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import reading
from stillroom.planning.lawful import rule_of
from stillroom.products.limits import Ceiling, ceiling
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.parse import parse
from stillroom.records.entries import CeilingStated, Entry
from stillroom.records.entry_json import body_to_json
from stillroom.records.orders import Order
from stillroom.records.written_values import one_line
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

NONE = "none"


def ceiling_wanted(lab: Laboratory, lot: str) -> tuple[str, str, str]:
    """Of what, in which kind of product and market a ceiling of a lot is looked up; empty where nothing is dosed."""
    with lab.look() as look:
        known = look.lot(lot)
        if known.kind.traits.made_as != "formula":
            return "", "", ""
        made = product_of(look, known.made_by or lot)
        counted = made.order.aim.counted if made.order and made.order.aim.percent > 0 else ""
        return counted, made.product_type, made.market


def state_ceiling(
    lab: Laboratory,
    marker: str,
    product_type: str,
    market: str,
    percent: str,
    source: str,
    **sign: Unpack[Signed],
) -> Done:
    """Write the ceiling of a marker in a kind of product, with where it was found.

    Parameters
    ----------
    marker, product_type, market : str
        "linalool", "skin leave-on", "EU".
    percent : str
        "0.5 %", by mass of the product; "none" where the source sets no ceiling.
    source : str
        Which text, which entry, of which date; or whose written opinion.

    Raises
    ------
    BadEntry
        Something is missing, or the figure is no share by mass.
    NotAllowed
        The table of the law has a rule already, and this one allows no less.
    """
    wanted = {
        "marker": (marker, "linalool"),
        "product type": (product_type, "skin leave-on"),
        "market": (market, "EU"),
        "ceiling": (percent, "0.5 %"),
        "source": (source, "the text, its entry and its date"),
    }
    for where, (text, example) in wanted.items():
        if not text.strip():
            raise BadEntry(
                worded("A ceiling names its {where}", where=where),
                "nothing",
                worded("Write it like {example}", example=example),
                where=where,
            )
    body = CeilingStated(
        one_line(marker, "marker"),
        one_line(product_type, "product type"),
        one_line(market, "market"),
        _percent(percent),
        one_line(percent, "ceiling"),
        one_line(source, "source"),
    )
    ruled = ceiling(body.marker, body.product_type, body.market)
    if ruled.verdict != "no rule found" and not _is_stricter(body.percent, ruled):
        raise NotAllowed(
            "What the law says is stated by hand only where it became stricter",
            ruled.says,
            "Write a lower ceiling with its source, or correct the table",
        )
    with lab.act("state ceiling", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        number = pen.enter(body)
        return Done(
            (number,),
            t(
                "{marker} in {product_type} ({market}): {body}.",
                marker=body.marker,
                product_type=body.product_type,
                market=body.market,
                body=_most(body),
            ),
        )


@once
def ceiling_for(look: Reader, order: Order) -> Ceiling:
    """The rule about what an order counts: the law's, or what was stated in the book where that is stricter."""
    found = rule_of(order)
    entry = _stated(look, order)
    if entry is None:
        return found
    if found.verdict == "no rule found" or _is_stricter(entry.body.percent, found):
        return _as_rule(entry, order)
    return found


def _is_stricter(percent: float | None, ruled: Ceiling) -> bool:
    """Whether a stated ceiling, of a text newer than the table, allows less than the row of the table."""
    return percent is not None and ruled.limit is not None and percent < ruled.limit.value


def _stated(look: Reader, order: Order) -> Entry[CeilingStated] | None:
    names = {name.casefold() for name in (order.aim.reckoned_as, order.aim.of, order.aim.counted)}
    fitting = [
        one
        for one in look.ceilings()
        if one.body.marker.casefold() in names
        and one.body.product_type.casefold() == order.product_type.casefold()
        and one.body.market.casefold() == order.market.casefold()
    ]
    return fitting[-1] if fitting else None


def _as_rule(entry: Entry[CeilingStated], order: Order) -> Ceiling:
    body, where = entry.body, f"entry {entry.entry_no}"
    whole = body.marker.casefold() == order.aim.counted.casefold()
    compound = order.aim.reckoned_as if whole else body.marker
    limit = (
        reading(
            f"ceiling of {body.marker} in {body.product_type}",
            body.percent,
            "%",
            f"{where}, {body.source}",
            entry_no=entry.entry_no,
            basis=f"w/w as {compound}, of product",
        )
        if body.percent is not None
        else None
    )
    says = f"Stated by {entry.by} from {body.source} ({where}): {_most(body)} in {body.product_type}."
    return Ceiling(
        substance=body.marker,
        product_type=body.product_type,
        market=body.market,
        verdict=None if limit else "no rule found",
        limit=limit,
        limit_row=where,
        basis=f"as {compound}",
        conditions="",
        later_change="",
        source="",
        state_of_data=None,
        says=says,
    )


def _most(body: CeilingStated) -> str:
    return "no ceiling is set" if body.percent is None else f"at most {body.as_written}"


def _percent(text: str) -> float | None:
    if text.strip().casefold() == NONE:
        return None
    found = parse(text, want="ratio", basis_required=False, zero_allowed=False, where="ceiling")
    if found.basis.ratio not in (None, "w/w") or mass_fraction(found, silent=True) > 1:
        raise BadEntry(
            "A ceiling is a share by mass of the product",
            repr(text[:40]),
            "Write it like 0.5 %",
            where="ceiling",
        )
    return found.in_unit("%")


def aim_must_be_lawful(look: Reader, order: Order) -> None:
    """Refuse an order whose aim passes the ceiling of its kind of product.

    Raises
    ------
    NotAllowed
        What is made is not allowed, or the aim lies above the ceiling.
    """
    if order.is_plain:
        return
    found = ceiling_for(look, order)
    if found.verdict == "not allowed":
        raise NotAllowed(
            "What is made must be allowed", found.says, "Choose another active or kind of product"
        )
    if found.limit is not None and order.aim.percent > found.limit.value:
        raise NotAllowed(
            worded(
                "The aim must stay below the ceiling of {limit:g} % for {product_type}",
                limit=found.limit.value,
                product_type=order.product_type,
            ),
            order.aim.as_written,
            worded("Lower the aim. {found_says}", found_says=found.says),
        )
