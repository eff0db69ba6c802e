"""Offers: the list of them, one with its promise and what it stands on, and the paper a customer signs."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.offers.offering import OfferStands, offer_of_order, offer_standing, offers_standing
from stillroom.actions.offers.what_it_cost import what_came
from stillroom.documents.blocks import Block, Empty, Facts, Heading, Link, Mark, Page, Prose, Table
from stillroom.documents.offer_paper import offer_paper, promised_and_came
from stillroom.documents.offer_price import price_told, ready_told
from stillroom.documents.offering import STANDS, offer_page
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.planning.request import PlanRequest
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def show_offers(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Offers, those nobody has answered first and the newest before the older, a page at a time."""
    with lab.look() as look:
        found = look.standing("offer", states=wanted.states, words=wanted.words, first=wanted.first)
        rows = tuple(
            (
                Link(one.code, f"/offers/{one.code}"),
                one.entry.body.customer,
                one.offer.title,
                price_told(one.offer),
                ready_told(one.offer),
                one.offer.valid_until,
                Mark(t(STANDS[one.stands])),
            )
            for one in offers_standing(look, found.codes, lab.today())
        )
        head = (
            t("Offer"),
            t("Customer"),
            t("What"),
            t("Price"),
            t("Ready in"),
            t("Valid until"),
            t("Stands"),
        )
        blocks: list[Block] = [
            *finder(
                wanted,
                "/offers",
                len(rows),
                found.count,
                states=("open", "accepted", "withdrawn"),
                spellings=found.spellings,
            )
        ]
        if rows:
            blocks.append(Table(head, rows))
        elif not wanted.asks:
            blocks.append(
                Empty(
                    t("No enquiry has been answered yet."),
                    t("An offer says what to buy, the date you can keep, and what it costs you."),
                    Link(t("Answer an enquiry"), "/ask/offer"),
                )
            )
        return Page(
            t("Offers"), "offers", "", tuple(blocks), **facts_of(look), href=wanted.address("/offers")
        )


def show_offer(lab: Laboratory, code: str) -> Page:
    """An offer as it was told, and how it ended."""
    with lab.look() as look:
        one = offer_standing(look, code, lab.today())
        return offer_page(
            one.offer,
            code=code,
            customer=one.entry.body.customer,
            stands=t(STANDS[one.stands]),
            more=_ended(one),
            **facts_of(look),
        )


def show_offer_paper(lab: Laboratory, code: str) -> Page:
    """The paper a customer signs."""
    with lab.look() as look:
        one = offer_standing(look, code, lab.today())
        facts = facts_of(look)
        facts["date"] = one.offer.today
        return offer_paper(
            one.offer,
            code=code,
            customer=one.entry.body.customer,
            house=look.house(),
            strength=_strength(one),
            **facts,
        )


def came_of(look: Reader, order: str) -> list[Block]:
    """What was promised of an order beside what came; nothing where it came from no offer."""
    one = offer_of_order(look, order)
    if one is None:
        return []
    request = one.entry.body.request
    came = what_came(look, order, one.offer, PlanRequest.from_json(request) if request else None)
    return promised_and_came(one.offer, days=came.days, cost=came.cost, cost_says=came.says, code=one.code)


def _strength(one: OfferStands) -> tuple[tuple[str, str], ...]:
    """What is promised of the content; of what is no product, what the customer has to know of it."""
    if one.offer.what != "product":
        told = (one.offer.amount_says, one.offer.strength_says)
        return tuple((t("Note") if at else t("How much"), words) for at, words in enumerate(told) if words)
    order = PlanRequest.from_json(one.entry.body.request).order
    return (
        (t("Kind of product"), f"{order.product_type}, {order.market}"),
        (t("Declared at least"), order.at_least.printed),
    )


def _ended(one: OfferStands) -> list[Block]:
    if one.ended is None:
        return []
    if one.ended.order:
        return [Facts(((t("It became order"), Link(one.ended.order, f"/orders/{one.ended.order}")),))]
    why = f": {one.ended.why}" if one.ended.why else ""
    return [Heading(t("How it ended")), Prose(f"{t(STANDS[one.ended.how])}{why}")]
