"""An offer on the pages of the laboratory, with its cost, its chances and what would change them.

Money has two decimals, chances are so many of 100.
"""

from collections.abc import Iterable, Mapping
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Shown,
    Table,
)
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.offer_price import without_a_date, without_a_price
from stillroom.documents.setting_words import said_of_setting
from stillroom.evidence.answer import Answer
from stillroom.planning.offering.offer import Bought, Changed, Offer, Spread
from stillroom.planning.offering.what_if import CHANGES
from stillroom.quantities.money import money_text
from stillroom.texts.catalogue import between, later, t, word

FIRST = ("price", "days_promised", "chance_wanted_percent", "cost", "floor_price")
"""Figures of an offer that stand first."""
OF_THE_DATE = ("days_promised", "chance_wanted_percent")
"""Figures that say nothing where no date can be promised."""
WHAT = {
    "product": later("a product"),
    "own plant": later("your own plant, extracted"),
    "tests": later("tests"),
    "reagent": later("a reagent"),
    "dilution": later("spirit, diluted"),
}
STANDS = {
    "open": later("open"),
    "expired": later("expired"),
    "accepted": later("accepted"),
    "withdrawn": later("withdrawn"),
}


def of_100(percent: float | None) -> str:
    """A chance as so many of 100; never sure because every draw agreed."""
    if percent is None:
        return ""
    if percent > 99:
        return t("more than 99 of 100")
    if percent < 1:
        return t("less than 1 of 100")
    return t("{percent:.0f} of 100", percent=percent)


def offer_blocks(
    offer: Offer, answers: Mapping[str, Answer] | None = None
) -> tuple[list[Block], list[Block]]:
    """What an offer says to the laboratory: first the promise, then what it stands on.

    Parameters
    ----------
    answers : mapping of str to Answer, optional
        Its figures, so that they open to their reasons; without them they stand as they were told.
    """
    return [*_promise(offer, answers), *_chances(offer)], [
        *_prices(offer),
        *_buying(offer),
        *_changes(offer),
        *_cost(offer),
    ]


def offer_page(
    offer: Offer,
    *,
    code: str,
    customer: str,
    stands: str,
    more: Iterable[Block] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """A kept offer, as the laboratory reads it.

    Parameters
    ----------
    stands : str
        Key of ``STANDS``.
    more : iterable of Block
        What came of it.
    **page_facts
        As on every page.
    """
    first, after = offer_blocks(offer)
    taken: list[Block] = (
        [
            Heading(t("What nobody has said or measured"), folded=True),
            Table(
                (t("What"), t("Taken"), t("Because")),
                tuple((_input(one.what), one.taken, one.because) for one in offer.assumed),
            ),
        ]
        if offer.assumed
        else []
    )
    return Page(
        title=t("Offer {code}: {title}", code=code, title=offer.title),
        kind="offer",
        code=code,
        blocks=(*more, *first, *after, *taken),
        **page_facts,
        status=stands,
        lead=t(
            "For {customer}, {today}, valid until {until}.",
            customer=customer,
            today=offer.today,
            until=offer.valid_until,
        ),
        href=f"/offers/{code}",
    )


def _promise(offer: Offer, answers: Mapping[str, Answer] | None) -> list[Block]:
    spans = {"cost": span(offer.cost), "days_promised": ""}
    missing = [one for one in (without_a_date(offer), without_a_price(offer)) if one]
    first = [one for one in FIRST if not (offer.lacks and one in OF_THE_DATE)]
    if answers is None:
        told: dict[str, tuple[str, float | None, str]] = {
            "price": (t("Price without tax"), offer.price, offer.currency),
            "days_promised": (t("Days promised"), float(offer.days_promised), t("days")),
            "chance_wanted_percent": (t("Chance of the date wanted"), offer.chance_wanted, "%"),
            "cost": (t("Cost"), None if offer.unpriced else offer.cost.middle, offer.currency),
            "floor_price": (t("Floor price"), offer.floor, offer.currency),
        }
        shown = [
            Shown(
                label=label,
                value=_value(key, value),
                unit=unit,
                span=spans.get(key, ""),
                exact=value,
                name=key,
            )
            for key in first
            for label, value, unit in (told[key],)
            if value is not None
        ]
    else:
        shown = [
            show(
                answers[key],
                decimals=2 if key in ("price", "cost", "floor_price") else 0,
                span=spans.get(key, ""),
            )
            for key in first
            if key in answers
        ]
    stated = t("The price is stated by {who}.", who=offer.stated_by) if offer.stated_by else ""
    return [
        Numbers(tuple(shown)),
        *([Points(tuple(missing), "missing")] if missing else []),
        *([Prose(stated)] if stated else []),
    ]


def _value(key: str, value: float) -> str:
    return f"{value:.2f}" if key in ("price", "cost", "floor_price") else f"{value:.0f}"


def span(spread: Spread) -> str:
    """Where 90 of 100 draws lie, with two decimals; nothing where all are one."""
    return between(f"{spread.low:.2f}", f"{spread.high:.2f}") if spread.low < spread.high else ""


def _chances(offer: Offer) -> list[Block]:
    rows: list[tuple[str, str]] = []
    if not offer.lacks:
        kept = t(
            "{date}, ordered today: kept in {kept:.0f} of 100 such orders",
            date=offer.ready_on, kept=offer.kept_percent,
        )  # fmt: skip
        rows.append((t("Ready"), kept))
    rows.append(
        (
            t("Days to expect, once what is missing is there") if offer.lacks else t("Days to expect"),
            f"{offer.days.middle:.0f} ({between(f'{offer.days.low:.0f}', f'{offer.days.high:.0f}')})",
        )
    )
    if not offer.lacks and offer.begins_in_days is not None and offer.earliest_days is not None:
        rows.append(
            (
                t("On the bench as it stands"),
                t(
                    "begun {begun}, ready {ready} if all goes as usual",
                    begun=offer.day(offer.begins_in_days), ready=offer.day(offer.earliest_days),
                ),
            )
        )  # fmt: skip
    if offer.chance_wanted is not None:
        rows.append(
            (t("By the date wanted"), f"{offer.wanted_by}: {of_100(offer.chance_wanted)}"),
        )
    if offer.enough is not None:
        rows.append((t("The first charge is enough"), of_100(offer.enough)))
    if offer.strong is not None:
        rows.append((t("The strength is right at once"), of_100(offer.strong)))
    rows.append(
        (
            t("Hours of hands and eyes"),
            f"{number(offer.hours.middle, 1)} ({between(number(offer.hours.low, 1), number(offer.hours.high, 1))})",
        )
    )
    says = [one for one in (offer.amount_says, offer.strength_says) if one]
    found: list[Block] = [Facts(tuple(rows)), *(Prose(one) for one in says)]
    return [*found, *([Points(offer.not_known, "missing")] if offer.not_known else [])]


def _prices(offer: Offer) -> list[Block]:
    if offer.price is None:
        return []
    if offer.tax_percent is None:
        tax = t("No tax is stated: note the laboratory's own under Laboratory, Address.")
    else:
        tax = t(
            "{tax} {rate:g} %: {amount}; to pay {all}.",
            tax=offer.tax,
            rate=offer.tax_percent,
            amount=money_text(offer.tax_amount or 0.0, offer.currency),
            all=money_text(offer.to_pay or 0.0, offer.currency),
        )
    rows = tuple(
        (
            t("{times} times: {units}", times=one.times, units=one.units),
            *(("", "") if offer.unpriced else (f"{one.cost.middle:.2f}", span(one.cost))),
            *("" if each is None else f"{each:.2f}" for each in (one.floor, one.price, one.price_each)),
        )
        for one in offer.ladder
        if one.floor is not None or one.price is not None
    )
    low = tuple(
        t(
            "At {times} times the amount the price lies below its floor: ask more, or measure first.",
            times=one.times,
        )
        for one in offer.ladder
        if one.price is not None and one.floor is not None and one.price < one.floor
    )
    head = (t("Amount"), t("Cost"), "5–95 %", t("Floor"), t("Price"), t("Each"))
    return [
        Heading(t("Price")),
        *([Table(head, rows, (1, 3, 4, 5), caption=f"{offer.currency}, {t('without tax')}")] if rows else []),
        *(
            []
            if offer.unpriced
            else [
                Prose(
                    t(
                        "At a margin of {margin:g} % of the price. Below the floor price more than 5 of 100 such "
                        "orders cost more than they bring.",
                        margin=round(offer.margin_percent, 1),
                    )
                )
            ]
        ),
        *([Points(low, "missing")] if low else []),
        Prose(tax),
    ]


def _buying(offer: Offer) -> list[Block]:
    if not offer.buying:
        return []
    paid = [one.pays for one in offer.buying if one.pays is not None]
    rows = tuple(
        (
            one.label,
            _amount(one.needed, one.unit),
            f"{_amount(one.have, one.unit)}{': ' + ', '.join(one.lots) if one.lots else ''}"
            if one.have or one.lots
            else "",
            _to_buy(one),
            "" if one.pays is None else f"{one.pays:.2f}",
            between(f"{one.low_days:g}", f"{one.high_days:g}") if one.high_days else "",
        )
        for one in offer.buying
    )
    head = (t("What"), t("Needed"), t("On the shelf"), t("To buy"), offer.currency, t("Days"))
    if not paid and any(one.high_days and one.to_buy for one in offer.buying):
        return [
            Heading(t("What to buy"), folded=True),
            Table(head, rows, (4,)),
            Prose(t("Nothing of it has a price here yet.")),
        ]
    free = any(one.pays is None and one.high_days and one.to_buy for one in offer.buying)
    says = (
        t("To spend: {paid}, and what has no price. What is left of a pack stays on the shelf.",
          paid=money_text(sum(paid), offer.currency))
        if free
        else t("To spend: {paid}. What is left of a pack stays on the shelf.",
               paid=money_text(sum(paid), offer.currency))
    )  # fmt: skip
    return [Heading(t("What to buy"), folded=True), Table(head, rows, (4,)), Prose(says)]


def _to_buy(one: Bought) -> str:
    if not one.to_buy:
        return ""
    return f"{one.packs} × {one.pack}" if one.packs else _amount(one.to_buy, one.unit)


def _changes(offer: Offer) -> list[Block]:
    if not offer.changes:
        return []
    rows = tuple(
        (
            t(CHANGES[one.what]),
            "" if offer.unpriced else f"{one.cost:+.2f}",
            *(f"{each:+.1f}" for each in (one.enough, one.strong, one.kept)),
            f"{one.days:+.0f}",
        )
        for one in offer.changes
    )
    head = (
        t("Instead"), offer.currency, t("Enough, of 100"), t("Right strength, of 100"), t("Date kept, of 100"),
        t("Days"),
    )  # fmt: skip
    best = min(offer.changes, key=lambda one: one.cost)
    return [
        Heading(t("What would change it"), folded=True),
        Table(head, rows, (1, 2, 3, 4, 5), caption=t("On average over the draws; more is +, less is −.")),
        *([Prose(_worth(best, offer.currency))] if best.cost < 0 and not offer.unpriced else []),
    ]


def _worth(one: Changed, currency: str) -> str:
    return t(
        "{what} saves {saved} on average.",
        what=t(CHANGES[one.what]).capitalize(),
        saved=money_text(-one.cost, currency),
    )


def _cost(offer: Offer) -> list[Block]:
    rows = tuple(
        (word(one.item), f"{one.cost.middle:.2f}", span(one.cost))
        for one in offer.lines
        if one.cost.high >= 0.005
    )
    if not rows:
        return []
    return [
        Heading(
            t("What it costs, as far as prices are known") if offer.unpriced else t("What it costs"),
            folded=True,
        ),
        Table((t("Item"), offer.currency, "5–95 %"), rows, (1,)),
    ]


def _input(name: str) -> str:
    parts = name.partition(", as ")[0].split("/")
    return ": ".join(said_of_setting(one) or one.replace("_", " ") for one in parts[-2:])


def _amount(value: float, unit: str) -> str:
    return f"{value:.0f} {unit}" if unit == "pieces" else f"{number(value)} {unit}".strip()
