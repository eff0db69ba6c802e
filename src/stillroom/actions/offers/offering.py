"""Offers in the book: an enquiry answered with what the book knows, kept as it was told, taken or withdrawn.

An offer is numbered and never changed: asked again, it is another. It expires by its own date; taken, it becomes an
order with its procedures and its plan, in one go or not at all.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.day.free_bench import free_for
from stillroom.actions.house.describing import tax_of
from stillroom.actions.house.house_facts import hours_a_day
from stillroom.actions.house.pricing import suppliers_of
from stillroom.actions.offers.on_the_bench import as_promised, on_the_bench
from stillroom.actions.offers.shelf_serves import serving, work_in_hand_h
from stillroom.actions.offers.without_bottles import begin_other_order, offer_without_bottles
from stillroom.actions.orders.requesting import items_of, request_of
from stillroom.actions.orders.taking import begin_order, next_order
from stillroom.documents.doors import said_in
from stillroom.documents.offer_price import without_a_date, without_a_price
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.planning.offering.offer import Offer
from stillroom.planning.offering.terms import OfferTerms
from stillroom.planning.request import PlanRequest
from stillroom.quantities.money import money_text
from stillroom.questions.offer import QUESTION, Enquired, Offered, as_order, offered, terms_said
from stillroom.questions.offer_otherwise import Otherwise
from stillroom.questions.offer_shelf import OfferedOtherwise
from stillroom.questions.order import parts_of, request_said
from stillroom.records.entries import Entry, OfferEnded, OfferMade, PlanMade
from stillroom.records.offer_entries import HowEnded
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

OFFER = "OFF-{number}"
NOT_YET = later("Not kept yet: nothing is written in the book.")
"""What is said of an answer that stands on the book as it would be kept."""


@dataclass(frozen=True, slots=True)
class OfferStands:
    """An offer of the book and how it stands."""

    entry: Entry[OfferMade]
    offer: Offer
    """As it was told."""
    ended: OfferEnded | None
    stands: str

    @property
    def code(self) -> str:
        """Its number."""
        return self.entry.body.code


def make_offer(
    lab: Laboratory,
    asked: Mapping[str, str],
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Answer an enquiry with what the book knows, and keep the offer as it was told.

    Parameters
    ----------
    asked : mapping of str to str
        The enquiry, by the entries of the question.

    Raises
    ------
    StillroomError
        As when it is asked; nothing is written.
    """
    text = said_in(asked)
    with lab.knowing_its_own():
        said = QUESTION.way(text).said.read(text, (at or lab.clock()).date(), {})
    with lab.act("make offer", text, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        found = offer_of(pen.look, said, at or lab.clock())
        offer = replace(found.offer, stated_by=by) if found.offer.stated_by else found.offer
        code = _next_offer(pen.look)
        body = OfferMade(
            code,
            offer.what,
            said.customer,
            offer.title,
            text,
            offer.to_json(),
            found.request.to_json() if found.request else {},
        )
        return Done(
            (pen.enter(body),),
            _kept_as(code, offer),
        )


def _kept_as(code: str, offer: Offer) -> str:
    if offer.lacks:
        return t("Offer {code}: {title}. {why}", code=code, title=offer.title, why=without_a_date(offer))
    if offer.price is None:
        return t(
            "Offer {code}: {title}, ready in {days} days. {missing}",
            code=code, title=offer.title, days=offer.days_promised, missing=without_a_price(offer),
        )  # fmt: skip
    return t(
        "Offer {code}: {title}, ready in {days} days for {price} without tax.",
        code=code,
        title=offer.title,
        days=offer.days_promised,
        price=money_text(offer.price, offer.currency),
    )


def offer_of(look: Reader, said: Enquired | Otherwise, now: datetime) -> Offered | OfferedOtherwise:
    """The offer of an enquiry with everything the book knows, on the bench as it stands."""
    now = now.replace(second=0, microsecond=0)
    if isinstance(said, Otherwise):
        other, under = offer_without_bottles(look, said, now)
        laid = on_the_bench(look, other.offer, other.steps, under, now)
        return replace(other, offer=laid, answers=as_promised(laid, other.answers), not_kept=NOT_YET)
    request, terms, served = worked_from(look, said, now)
    found = offered(request, terms, said, served)
    laid = on_the_bench(look, found.offer, found.steps, terms, now)
    return replace(found, offer=laid, answers=as_promised(laid, found.answers), not_kept=NOT_YET)


def worked_from(
    look: Reader, said: Enquired, now: datetime
) -> tuple[PlanRequest, OfferTerms, tuple[tuple[str, str], ...]]:
    """What an enquiry for bottles is answered from with everything the book knows: request, terms, what serves."""
    order, named, base = parts_of(as_order(said), "as asked")
    asked = request_said(said, order, named, base)
    book = request_of(look, order, asked.extraction, asked.formula)
    said_now = {one.role: one for one in asked.known}
    with_assay = "assay of the plant" in said_now
    known = {one.role: one for one in book.known} | said_now
    request = replace(
        book,
        known=tuple(known.values()),
        assay_reckoned_as="" if with_assay else book.assay_reckoned_as,
        assay_matter="as is" if with_assay else book.assay_matter,
    )
    shelf = serving(look, request)
    request = replace(request, known=(*request.known, *shelf.known), stock=shelf.stock)
    terms = _terms(look, said, request, now)
    return request, terms, shelf.served


def _terms(look: Reader, said: Enquired, request: PlanRequest, now: datetime) -> OfferTerms:
    """What was said of an offer, and what the house says: its hours, its tax, its suppliers, its bench."""
    tax, percent = tax_of(look.house().tax)
    kinds = {one.kind for one in (*request.extraction.steps, *request.formula.steps)}
    bench = free_for(look, now, sorted(kinds)) if said.hours_a_day is None else ()
    return replace(
        terms_said(said),
        tax=tax,
        tax_percent=percent,
        hours_per_day=said.hours_a_day or hours_a_day(look)[0],
        work_in_hand_h=0.0 if bench else work_in_hand_h(look),
        supplied=suppliers_of(look, items_of(request.extraction, request.formula)),
        bench=bench,
    )


def accept_offer(
    lab: Laboratory, code: str, *, by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """The customer takes an offer: it becomes an order, with its procedures and its plan.

    Parameters
    ----------
    code : str
        Of the offer.

    Raises
    ------
    NotAllowed
        It was taken or withdrawn, its date is over, or the bench cannot make it.
    """
    today = (at or lab.clock()).date()
    with lab.act("accept offer", {"offer": code}, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        standing = offer_standing(pen.look, code, today)
        _must_be_open(standing)
        if standing.offer.lacks:
            raise NotAllowed(
                "An offer is taken once it promises a day",
                without_a_date(standing.offer),
                "Ask again once it is there; an order can be taken without an offer",
            )
        body = standing.entry.body
        request = PlanRequest.from_json(body.request) if body.request else None
        number = next_order(pen.look)
        ready = (today + timedelta(days=standing.offer.days_promised)).isoformat()
        due = max(
            standing.offer.wanted_by, ready
        )  # who signs takes the day of the paper, not an earlier one asked for
        if body.what != "product":
            with lab.knowing_its_own():
                said = QUESTION.way(body.asked).said.read(
                    body.asked, date.fromisoformat(standing.offer.today), {}
                )
            numbers = begin_other_order(pen, said, request, number, due)
        elif request is not None:
            order = replace(request.order, code=number, due=due, customer=body.customer)
            numbers, kept = begin_order(pen, order, request)
            numbers.append(pen.enter(PlanMade(kept.order.code, kept.to_json(), planned(kept))))
        else:
            ended = pen.enter(OfferEnded(code, "accepted"))
            return Done((ended,), t("Offer {code} is accepted: {title}.", code=code, title=body.title))
        numbers.append(pen.enter(OfferEnded(code, "accepted", "", number)))
        return Done(
            tuple(numbers),
            t("Offer {code} is order {order}, due {due}.", code=code, order=number, due=due),
        )


def planned(request: PlanRequest) -> dict[str, float]:
    """The answers of a plan by line, as the book keeps them."""
    from stillroom.planning.plan import plan

    return {one.key: one.value for one in plan(request).lines}


def withdraw_offer(
    lab: Laboratory,
    code: str,
    why: str,
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Take an offer back before anybody took it.

    Raises
    ------
    BadEntry
        No reason is said.
    NotAllowed
        It was taken or withdrawn already.
    """
    if not why.strip():
        raise BadEntry("An offer is withdrawn for a reason", "nothing", "Say why", where="why")
    today = (at or lab.clock()).date()
    asked = {"offer": code, "why": why}
    with lab.act("withdraw offer", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        standing = offer_standing(pen.look, code, today)
        if standing.ended is not None:
            _must_be_open(standing)
        return Done(
            (pen.enter(OfferEnded(code, "withdrawn", why.strip())),),
            t("Offer {code} is withdrawn.", code=code),
        )


def offer_standing(look: Reader, code: str, today: date) -> OfferStands:
    """An offer and how it stands on a day.

    Raises
    ------
    UnknownName
        There is none of that number.
    """
    entry = look.offer(code)
    offer = Offer.from_json(entry.body.offer)
    ended = look.offer_ended(code)
    how: HowEnded | str = (
        ended.body.how if ended else "expired" if offer.valid_until < today.isoformat() else "open"
    )
    return OfferStands(entry, offer, ended.body if ended else None, how)


def offers_standing(look: Reader, codes: Sequence[str], today: date) -> tuple[OfferStands, ...]:
    """Some offers, in the order they are given, asked for together."""
    look.offers_ahead(codes)
    return tuple(offer_standing(look, one, today) for one in codes)


def offer_of_order(look: Reader, order: str) -> OfferStands | None:
    """The offer an order came from; None where it came from none."""
    ended = next((one for one in look.offers_ended() if one.body.order == order), None)
    return (
        None
        if ended is None
        else offer_standing(look, ended.body.code, date.fromisoformat(ended.done_at[:10]))
    )


def _must_be_open(standing: OfferStands) -> None:
    if standing.stands != "open":
        raise NotAllowed(
            "An offer is taken while it is open",
            worded("{code}, which is {stands}", code=standing.code, stands=standing.stands),
            "Ask again: the answer of today is another offer",
        )


def _next_offer(look: Reader) -> str:
    taken = {one.body.code for one in look.offers()}
    number = len(taken) + 1
    while OFFER.format(number=number) in taken:
        number += 1
    return OFFER.format(number=number)
