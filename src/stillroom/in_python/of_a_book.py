"""What a book knows for each of many enquiries, read once, as text that any worker can take.

Promises that no worker opens the book, and that what was read is part of what an answer hangs on.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.day.free_bench import lacking
from stillroom.actions.offers.offering import worked_from
from stillroom.errors import BadEntry, StillroomError
from stillroom.planning.offering.terms import OfferTerms
from stillroom.planning.request import PlanRequest
from stillroom.questions.offer import QUESTION, Enquired, as_order, terms_said
from stillroom.questions.order import parts_of, request_said
from stillroom.texts.catalogue import t

Book = Mapping[str, Any]
"""What a book knows for an enquiry; empty without one."""


def said_of(text: Mapping[str, str], today: str) -> Enquired:
    """An enquiry for bottles, read.

    Parameters
    ----------
    text : mapping of str to str
        Entries of ``offer``.
    today : str
        ISO date.

    Raises
    ------
    BadEntry
        It asks for something else, or cannot be read.
    """
    said = QUESTION.way(text).said.read(text, date.fromisoformat(today), {})
    if not isinstance(said, Enquired):
        raise BadEntry("Many enquiries are for bottles", t(QUESTION.way(text).called), "Ask for it by itself")
    return said


def of_book(lab: Laboratory, asked: Sequence[Mapping[str, str]], today: str) -> list[str]:
    """What the book knows for each enquiry, as JSON.

    Parameters
    ----------
    lab : Laboratory
    asked : sequence of mapping of str to str
    today : str
        ISO date.
    """
    found: list[str] = []
    with lab.knowing_its_own(), lab.look() as look:
        now = lab.clock()
        day = date.fromisoformat(today)
        now = now.replace(year=day.year, month=day.month, day=day.day)
        for text in asked:
            try:
                request, terms, served = worked_from(look, said_of(text, today), now)
                lacks = lacking(
                    look, now, (one.kind for one in (*request.extraction.steps, *request.formula.steps))
                )
                known = {"request": request.to_json(), "terms": terms.to_text(), "served": served,
                         "lacks": [asdict(one) for one in lacks]}  # fmt: skip
            except StillroomError as trouble:
                known = {"refused": trouble.sentence}
            found.append(json.dumps(known, ensure_ascii=False, sort_keys=True))
    return found


def request_and_terms(said: Enquired, book: str) -> tuple[PlanRequest, OfferTerms, Book]:
    """Request and terms, from what was said alone or with what a book knows.

    Parameters
    ----------
    said : Enquired
    book : str
        As of ``of_book``; "" without one.
    """
    known = json.loads(book) if book else {}
    if known:
        return PlanRequest.from_json(known["request"]), OfferTerms.from_text(known["terms"]), known
    order, extraction, formula = parts_of(as_order(said), "as asked")
    return request_said(said, order, extraction, formula), terms_said(said), known
