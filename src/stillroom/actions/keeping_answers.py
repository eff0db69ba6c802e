"""An answer that was worked out without a book is kept in one: a name only then, each assumption a thing to find out.

An order worked back brings its extraction, its formula, the order and the plan with it, in one go or not at all. What
was assumed stays named until a later plan of the same order knows better, or the question is kept again.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.house.house_facts import condition_of
from stillroom.actions.house.pricing import currency_of, known_prices
from stillroom.actions.offers.offering import make_offer
from stillroom.actions.orders.requesting import request_for
from stillroom.actions.orders.taking import begin_order, in_the_book, next_order
from stillroom.actions.questions import answered
from stillroom.documents.doors import said_in
from stillroom.errors import UnknownName, worded
from stillroom.evidence.answer import FOR_A_PLAN_ONLY
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.questions.order import HOUSE_FIELDS, Ordered, house_said, parts_of
from stillroom.questions.order_told import setting_field, slug
from stillroom.records.entries import AnswerKept, Entry, LeftUnsaid, PlanMade
from stillroom.records.orders import Order
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

KEPT_ORDER = "order"
"""Entry that names the order of the book a question goes on from."""
_PRICE = re.compile(r"\b([A-Z]{3})/")


@dataclass(frozen=True, slots=True)
class ToFindOut:
    """Something an answer was made with and nobody has measured or said yet.

    ``question``, ``title``, ``order``: of the answer it belongs to.
    """

    what: str
    taken: str
    because: str
    effect: str
    field: str
    """What it is called in the question."""
    question: str
    title: str
    order: str
    entry_no: int
    """Where the answer stands."""
    asked: dict[str, str]
    """The question again, of its order as it stands."""


def keep(lab: Laboratory, question: str, asked: Mapping[str, str], **sign: Unpack[Signed]) -> Done:
    """Keep the answer to a question; an order worked back brings its procedures and its plan.

    Parameters
    ----------
    question : str
        "dilute", "dose", "order" or "offer".
    asked : mapping of str to str
        Every entry, so that it can be worked out again.

    Raises
    ------
    StillroomError
        As when it is asked; nothing is written.
    """
    if question == "offer":
        return make_offer(lab, asked, **sign)
    if question == "order":
        return keep_order(lab, asked, **sign)
    found = answered(question, asked, lab.today())
    body = AnswerKept(question, found.page.title, dict(asked), found.unsaid)
    asking = {"question": question, "asked": dict(asked)}
    with lab.act("keep answer", asking, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done(
            (pen.enter(body),),
            t("{title} is kept. {unsaid}", title=found.page.title, unsaid=_to_find_out(len(found.unsaid))),
        )


def keep_order(lab: Laboratory, asked: Mapping[str, str], **sign: Unpack[Signed]) -> Done:
    """Keep an order worked back: its procedures, the order, the plan, and what is still to find out.

    Parameters
    ----------
    asked : mapping of str to str
        Every entry. With the code of an order kept before only its plan is made anew, with what was said since.

    Raises
    ------
    NotAllowed, BadEntry, UnknownName
        As when it is asked; nothing is written.
    """
    today = lab.today()
    found = answered("order", asked, today)
    fields = {name: text for name, text in said_in(asked).items() if name != KEPT_ORDER}
    said, worked = Ordered.read(fields, today, {}), found.found.plan.request
    order = asked.get(KEPT_ORDER, "").strip()
    with lab.act("keep order", fields | {KEPT_ORDER: order}, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        numbers = [] if order else _begun(pen, said, worked)
        numbers += _house_as_said(pen, fields)
        code = order or pen.look.orders()[-1].code
        counted = replace(worked, currency=currency_of(pen.look))
        request = in_the_book(pen.look, code, counted)
        kept = plan(_with_what_is_known(pen.look, code, request))
        values = {one.key: one.value for one in kept.lines}
        numbers.append(pen.enter(PlanMade(code, kept.request.to_json(), values)))
        known = kept.request.order
        title = f"{known.amount_words} of {known.product}"
        numbers.append(pen.enter(AnswerKept("order", title, fields | {KEPT_ORDER: code}, found.unsaid, code)))
        return Done(
            tuple(numbers),
            t(
                "{title} is order {code}. {unsaid}",
                title=title,
                code=code,
                unsaid=_to_find_out(len(found.unsaid)),
            ),
        )


def _begun(pen: BookWriter, said: Ordered, request: PlanRequest) -> list[int]:
    """Write the procedures of an order, and the order itself; their numbers."""
    order, _, _ = parts_of(said, next_order(pen.look))
    return begin_order(pen, order, request)[0]


def _house_as_said(pen: BookWriter, said: Mapping[str, str]) -> list[int]:
    """Note how the house is, where it was said and stands otherwise or not at all; the numbers of the entries."""
    numbers = []
    for field, what in HOUSE_FIELDS.items():
        if not said.get(field, ""):
            continue
        body, standing = house_said(field, said[field]), condition_of(pen.look, what)
        if standing is None or standing.value != body.value:
            numbers.append(pen.enter(body))
    return numbers


def _with_what_is_known(look: Reader, code: str, request: PlanRequest) -> PlanRequest:
    """The request of an order of the book with its assay, prices and house; what was said now comes before them."""
    book = request_for(look, code)
    said = {one.role: one for one in request.known}
    known = {one.role: one for one in book.known} | said
    with_assay = "assay of the plant" in said
    return replace(
        book,
        extraction=request.extraction,
        known=tuple(known.values()),
        assay_reckoned_as="" if with_assay else book.assay_reckoned_as,
        assay_matter="as is" if with_assay else book.assay_matter,
    )


def corrected_since(look: Reader, entry: Entry[AnswerKept]) -> dict[str, str]:
    """What the order of a kept answer says otherwise by now, by field of the question; nothing where it is the same."""
    plans = [one for one in look.plans(entry.body.order) if one.entry_no < entry.entry_no]
    if not entry.body.order or not plans:
        return {}
    was = _fields_of(PlanRequest.from_json(plans[-1].body.request).order)
    now = _fields_of(look.order(entry.body.order))
    differs = {name: text for name, text in now.items() if text != was[name]}
    return differs | (
        {"of": "", "declared-at-least": now["declared-at-least"]} if "strength" in differs else {}
    )


def _fields_of(order: Order) -> dict[str, str]:
    """An order as the question asks for it."""
    return {
        "product": order.product,
        "kind": order.product_type,
        "market": order.market,
        "customer": order.customer,
        "bottles": order.amount_words,
        "strength": order.aim.as_written,
        "declared-at-least": order.at_least.as_written,
        "due": order.due,
        "how-sure": f"{order.how_sure_percent:g} %",
    }


def to_find_out(look: Reader) -> tuple[ToFindOut, ...]:
    """What answers in the book were made with and nobody has measured or said since."""
    latest: dict[tuple[str, str], Entry[AnswerKept]] = {}
    for entry in look.answers_kept():
        latest[entry.body.question, entry.body.order or entry.body.title] = entry
    found, currency = [], currency_of(look)
    for entry in latest.values():
        body = entry.body
        since = corrected_since(look, entry)
        known = _known_since(look, body.order) | since.keys() if body.order else frozenset()
        found += [
            ToFindOut(
                one.what,
                one.taken,
                one.because,
                "–" if since else one.effect,
                one.field,
                body.question,
                body.title,
                body.order,
                entry.entry_no,
                {**body.asked, **since},
            )
            for one in (_in_currency(each, currency) for each in body.unsaid)
            if one.field not in known
        ]
    return tuple(found)


def _in_currency(one: LeftUnsaid, currency: str) -> LeftUnsaid:
    """A price taken in another currency than plans count in now is none: the cost leaves it out until it is noted."""
    counted = _PRICE.search(one.taken) if one.field.startswith("price-of-") else None
    if counted is None or counted[1] == currency:
        return one
    return replace(
        one,
        taken=t("no price in {currency}", currency=currency),
        effect=t("left out of the cost; {taken} was taken when it was asked", taken=one.taken),
    )


def answer_kept(look: Reader, entry_no: int) -> Entry[AnswerKept]:
    """The kept answer of an entry.

    Raises
    ------
    UnknownName
        The entry is none.
    """
    for entry in look.answers_kept():
        if entry.entry_no == entry_no:
            return entry
    raise UnknownName(
        worded("Entry {entry_no} keeps no answer", entry_no=entry_no), do="Open the entry itself"
    )


def _known_since(look: Reader, order: str) -> frozenset[str]:
    """Fields that the last plan of an order no longer assumes."""
    plans = look.plans(order)
    if not plans:
        return frozenset()
    request = PlanRequest.from_json(plans[-1].body.request)
    noted = known_prices(look, request.extraction, request.formula)
    measured = {slug(one.role) for one in (*request.known, *noted) if one.origin not in FOR_A_PLAN_ONLY}
    measured |= {field for field, what in HOUSE_FIELDS.items() if condition_of(look, what) is not None}
    settings = {
        setting_field(step.name, one.name)
        for step in request.extraction.steps
        for one in step.settings
        if one.origin == "measured"
    }
    altered = (
        {"base"} if request.formula.version > 1 else set[str]()
    )  # no longer the plain base that was taken
    return frozenset(measured | settings | altered)


def _to_find_out(count: int) -> str:
    if not count:
        return "Nothing in it was assumed."
    return f"{count} {'thing is' if count == 1 else 'things are'} to find out, on the bench."
