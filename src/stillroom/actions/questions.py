"""The questions that need no book: each answered from its fields, as pages and as what is still unsaid.

One place for the pages, the command and what is kept, so that none can tell another story. A field that is empty was
not said.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import TypeAlias

from stillroom.asking.question import NOTHING_NOTED, Answered, House, answer
from stillroom.documents.blocks import NO_BOOK, PageFacts
from stillroom.errors import UnknownName
from stillroom.questions import VERBS, declared

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


def _as_declared(name: str) -> Answers:
    def answers(fields: Mapping[str, str], today: date, facts: PageFacts, house: House) -> Answered:
        return answer(declared(name), fields, today, facts, house)

    return answers


QUESTIONS: dict[str, Answers] = {name: _as_declared(name) for name in VERBS}
KEPT = ("dilute", "dose", "order", "offer")
"""Questions whose answers can be kept in the book; the others are sums of the moment."""
