"""The questions that need no book: each answered from its fields, as pages and as what is still unsaid.

One place for the pages, the command and what is kept, so that none can tell another story. A field that is empty was
not said.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import TypeAlias

from stillroom.actions.ask_order import OrderAsked, work_back_from
from stillroom.asking.question import NOTHING_NOTED, Answered, House, answer
from stillroom.documents.asking_order import asked_order_page, order_lesson
from stillroom.documents.blocks import NO_BOOK, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, said_in
from stillroom.documents.lessons import lesson_page
from stillroom.errors import UnknownName
from stillroom.questions import VERBS, declared
from stillroom.records.answer_entries import LeftUnsaid
from stillroom.records.starters import starter

ORDER_ENTRIES = ("product", "kind", "bottles", "strength", "of", "plant", "way", "due")
"""Fields of the six entries of an order; two of the six hold two fields."""
KEPT_ORDER = "order"
"""Field that names the order of the book a question goes on from."""

Answers: TypeAlias = Callable[[Mapping[str, str], date, PageFacts, House], Answered]


def answered(
    name: str,
    fields: Mapping[str, str],
    today: date,
    facts: PageFacts = NO_BOOK,
    house: House = NOTHING_NOTED,
) -> Answered:
    """Answer a question.

    Parameters
    ----------
    name : str
        A key of ``QUESTIONS``.
    fields : mapping of str to str
        What was entered.
    today : date
    facts : PageFacts
        Of the laboratory, where one is open.
    house : mapping of str to Condition
        What the house noted last, by field, where a book is open.

    Raises
    ------
    UnknownName
        There is no such question.
    StillroomError
        What was entered cannot be answered.
    """
    if name not in QUESTIONS:
        raise UnknownName.among(name, "a question", QUESTIONS)
    return QUESTIONS[name](fields, today, facts, house)


def order_asked(fields: Mapping[str, str]) -> OrderAsked:
    """The third question from its fields."""
    six = {name: fields.get(name, "") for name in ORDER_ENTRIES}
    said = {name: text for name, text in fields.items() if name not in (*ORDER_ENTRIES, KEPT_ORDER) and text}
    return OrderAsked(**six, said=said)


def _order(fields: Mapping[str, str], today: date, facts: PageFacts, _: House) -> Answered:
    found = work_back_from(order_asked(fields), today)
    said = said_in(fields)
    page = asked_order_page(
        found.plan,
        found.when,
        shown_unsaid("order", said, found.unsaid),
        way=starter(found.asked.way).title,
        **facts,
    )
    lesson = lesson_page(order_lesson(found.plan), title=f"Lesson: {page.title}", **facts)
    return Answered(page, lesson, None, tuple(one for one, _ in found.unsaid))


def shown_unsaid(
    question: str, fields: Mapping[str, str], unsaid: tuple[tuple[LeftUnsaid, float], ...]
) -> tuple[Unsaid, ...]:
    """What nobody said, each with the address of the question that asks for it.

    Parameters
    ----------
    question : str
    fields : mapping of str to str
        What was said.
    unsaid : tuple of (LeftUnsaid, float)
        With the share of the answer each moves.
    """
    return tuple(
        Unsaid(
            one.what,
            one.taken,
            one.because,
            one.effect,
            share,
            one.field,
            opened_at(question, fields, one.field),
        )
        for one, share in unsaid
    )


def _as_declared(name: str) -> Answers:
    def answers(fields: Mapping[str, str], today: date, facts: PageFacts, house: House) -> Answered:
        return answer(declared(name), fields, today, facts, house)

    return answers


QUESTIONS: dict[str, Answers] = {
    "order": _order,
    **{name: _as_declared(name) for name in VERBS},
}
KEPT = ("dilute", "dose", "order")
"""Questions whose answers can be kept in the book; the others are sums of the moment."""
