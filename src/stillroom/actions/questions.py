"""The questions that need no book: each answered from its fields, as pages and as what is still unsaid.

One place for the pages, the command and what is kept, so that none can tell another story. A field that is empty was
not said.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import TypeAlias
from urllib.parse import urlencode

from stillroom.actions.ask_order import OrderAsked, work_back_from
from stillroom.actions.asked_pages import NO_BOOK, AskedPages, dilution_pages, dose_pages
from stillroom.actions.page_facts import PageFacts
from stillroom.documents.asking_order import asked_order_page, order_lesson
from stillroom.documents.doors import Unsaid
from stillroom.documents.lessons import lesson_page
from stillroom.errors import UnknownName
from stillroom.records.starters import starter

ORDER_ENTRIES = ("product", "kind", "bottles", "strength", "of", "plant", "way", "due")
"""Fields of the six entries of an order; two of the six hold two fields."""
KEPT_ORDER = "order"
"""Field that names the order of the book a question goes on from."""

Answers: TypeAlias = Callable[[Mapping[str, str], date, PageFacts], AskedPages]


def answered(question: str, fields: Mapping[str, str], today: date, facts: PageFacts = NO_BOOK) -> AskedPages:
    """Answer a question.

    Parameters
    ----------
    question : str
        "dilute", "dose" or "order".
    fields : mapping of str to str
        What was entered.
    today : date
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    UnknownName
        There is no such question.
    StillroomError
        What was entered cannot be answered.
    """
    if question not in QUESTIONS:
        raise UnknownName.among(question, "a question", QUESTIONS)
    return QUESTIONS[question](fields, today, facts)


def address(question: str, fields: Mapping[str, str], **more: str) -> str:
    """Address of a question with everything that was said."""
    return f"/ask/{question}?{urlencode({**fields, **more})}"


def order_asked(fields: Mapping[str, str]) -> OrderAsked:
    """The third question from its fields."""
    six = {name: fields.get(name, "") for name in ORDER_ENTRIES}
    said = {name: text for name, text in fields.items() if name not in (*ORDER_ENTRIES, KEPT_ORDER) and text}
    return OrderAsked(**six, said=said)


def _order(fields: Mapping[str, str], today: date, facts: PageFacts) -> AskedPages:
    found = work_back_from(order_asked(fields), today)
    shown = tuple(
        Unsaid(
            one.what,
            one.taken,
            one.because,
            one.effect,
            share,
            one.field,
            f"{address('order', fields, open=one.field)}#{one.field}",
        )
        for one, share in found.unsaid
    )
    page = asked_order_page(
        found.plan, found.days, found.begin_by, shown, way=starter(found.asked.way).title, **facts
    )
    lesson = lesson_page(order_lesson(found.plan), title=f"Lesson: {page.title}", **facts)
    return AskedPages(page, lesson, None, tuple(one for one, _ in found.unsaid))


QUESTIONS: dict[str, Answers] = {
    "dilute": lambda fields, _, facts: dilution_pages(fields, facts),
    "dose": lambda fields, _, facts: dose_pages(fields, facts),
    "order": _order,
}
