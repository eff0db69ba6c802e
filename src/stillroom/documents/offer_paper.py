"""An offer as a customer reads and signs it, and what was promised beside what came.

The paper of the customer says nothing about cost and margin.
"""

from datetime import date, timedelta
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Empty,
    Facts,
    Heading,
    Link,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Table,
)
from stillroom.documents.offer_price import price_told, without_a_date, without_a_price
from stillroom.documents.offering import span
from stillroom.planning.offering.offer import Offer
from stillroom.quantities.money import money_text
from stillroom.records.house_entries import HouseDescribed
from stillroom.texts.catalogue import t

PRICES = "/laboratory/prices/new"
"""Where a price is noted."""


def offer_paper(
    offer: Offer,
    *,
    code: str,
    customer: str,
    house: HouseDescribed,
    strength: tuple[tuple[str, str], ...] = (),
    **page_facts: Unpack[PageFacts],
) -> Page:
    """An offer that a customer can sign: what, when, how much, until when.

    Parameters
    ----------
    house : HouseDescribed
        Its address stands on the paper.
    strength : tuple of (str, str)
        What is promised of the content, as words and value.
    **page_facts
        As on every page.
    """
    latest = date.fromisoformat(offer.valid_until) + timedelta(days=offer.days_promised)
    maker = ", ".join(
        one for one in (page_facts["laboratory"], house.address, house.telephone, house.email) if one
    )
    if offer.lacks or offer.price is None or offer.to_pay is None:
        note = (
            Link(t("Note what is there"), "/laboratory") if offer.lacks else Link(t("Note a price"), PRICES)
        )
        return Page(
            title=t("Offer {code}", code=code),
            kind="offer",
            code=code,
            blocks=(Empty(t("Nothing to sign yet."), without_a_date(offer) or without_a_price(offer), note),),
            **page_facts,
            href=f"/offers/{code}/paper",
        )
    each = money_text(offer.price / offer.units, offer.currency)
    lines: list[tuple[str, str]] = [
        (offer.title, money_text(offer.price, offer.currency)),
        (
            f"{offer.tax} {offer.tax_percent:g} %" if offer.tax_percent is not None else t("Tax"),
            money_text(offer.tax_amount, offer.currency)
            if offer.tax_amount is not None
            else t("no tax stated"),
        ),
        (t("To pay"), money_text(offer.to_pay, offer.currency)),
    ]
    blocks: list[Block] = [
        Facts(
            (
                (t("From"), maker),
                (t("For"), customer),
                (t("Offer"), code),
                (t("Date"), offer.today),
                (t("Valid until"), offer.valid_until),
            )
        ),
        Heading(t("What is offered")),
        Facts(((t("What"), offer.title), *strength)),
        Heading(t("Price")),
        Table((t("What"), offer.currency), tuple(lines), (1,)),
        *(
            [Prose(t("{price} for each of {units}.", price=each, units=offer.units))]
            if offer.units > 1
            else []
        ),
        Heading(t("When")),
        Prose(
            t(
                "Ready {days} days after you accept: accepted on {today}, on {ready}; accepted on the last "
                "day, on {latest}.",
                days=offer.days_promised, today=offer.today, ready=offer.ready_on, latest=latest.isoformat(),
            )
        ),
        Prose(
            t(
                "This date is kept in about {kept:.0f} of 100 such orders; you are told as soon as it is in doubt.",
                kept=offer.kept_percent,
            ),
            quiet=True,
        ),
        Heading(t("Accepted")),
        PenLines((t("Name"), t("Date"), t("Signature"))),
    ]  # fmt: skip
    return Page(
        title=t("Offer {code}", code=code),
        kind="offer",
        code=code,
        blocks=tuple(blocks),
        **page_facts,
        href=f"/offers/{code}/paper",
    )


def promised_and_came(
    offer: Offer, *, days: int | None, cost: float | None, cost_says: str, code: str
) -> list[Block]:
    """What was promised beside what came, for the page of an order.

    Parameters
    ----------
    days : int or None
        From the order to its last bottle; None while it is under way. [d]
    cost : float or None
        What it came to cost as far as the book tells; None where nothing had a price. [currency]
    cost_says : str
        What is in that, and what is not.
    code : str
        Of the offer.
    """
    took = t("not delivered yet") if days is None else t("took {days} days", days=days)
    came = money_text(cost, offer.currency) if cost is not None else t("not known yet")
    kept = days is not None and days <= offer.days_promised
    rows = (
        (t("Days"), str(offer.days_promised), took),
        (
            t("Cost"),
            t("not all of it had a price")
            if offer.unpriced
            else f"{money_text(offer.cost.middle, offer.currency)} ({span(offer.cost)})",
            came,
        ),
        (t("Price without tax"), price_told(offer), ""),
    )
    says = [] if days is None else [t("The date was kept.") if kept else t("The date was not kept.")]
    if cost is not None and not offer.unpriced:
        inside = offer.cost.low <= cost <= offer.cost.high
        says.append(t("The cost lies in its band.") if inside else t("The cost lies outside its band."))
    return [
        Heading(t("Promised, and what came")),
        Table((t("What"), t("Promised"), t("Came")), rows),
        *([Points(tuple(says), "plain")] if says else []),
        *([Prose(cost_says, quiet=True)] if cost_says else []),
        Facts(((t("Offer"), Link(code, f"/offers/{code}")),)),
    ]
