"""The questions that need no book: each answered from its fields, as pages and as what is still unsaid.

One place for the pages, the command and what is kept, so that none can tell another story. A field that is empty was
not said.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, TypeAlias

from stillroom.actions.book.laboratory import Laboratory
from stillroom.asking.question import NOTHING_NOTED, Answered, House, answer
from stillroom.documents.blocks import NO_BOOK, PageFacts
from stillroom.errors import UnknownName
from stillroom.questions import VERBS, declared

Works: TypeAlias = Callable[[Any], Any] | None
Answers: TypeAlias = Callable[[Mapping[str, str], date, PageFacts, House, Works], Answered]


def answered(
    name: str,
    fields: Mapping[str, str],
    today: date,
    facts: PageFacts = NO_BOOK,
    house: House = NOTHING_NOTED,
    lab: Laboratory | None = None,
) -> Answered:
    """Answer a question.

    Parameters
    ----------
    name : str
        A key of ``QUESTIONS``.
    fields : mapping of str to str
        What was entered.
    facts : PageFacts
        Of the laboratory, where one is open.
    house : mapping of str to Condition
        What the house noted last, by field, where a book is open.
    lab : Laboratory or None
        Whose book is open: an enquiry is answered with what it knows, as it would be kept.

    Raises
    ------
    UnknownName
        There is no such question.
    StillroomError
        What was entered cannot be answered.
    """
    if name not in QUESTIONS:
        raise UnknownName.among(name, "a question", QUESTIONS)
    if lab is None or name not in FROM_THE_BOOK:
        return QUESTIONS[name](fields, today, facts, house, None)
    from stillroom.actions.offers.offering import offer_of

    with lab.knowing_its_own(), lab.look() as look:
        return QUESTIONS[name](fields, today, facts, house, lambda said: offer_of(look, said, lab.clock()))


def _as_declared(name: str) -> Answers:
    def answers(
        fields: Mapping[str, str], today: date, facts: PageFacts, house: House, works: Works
    ) -> Answered:
        return answer(declared(name), fields, today, facts, house, works)

    return answers


QUESTIONS: dict[str, Answers] = {name: _as_declared(name) for name in VERBS}
FROM_THE_BOOK = ("offer",)
"""Questions that an open book answers with what it knows."""
KEPT = ("dilute", "dose", "order", "offer")
"""Questions whose answers can be kept in the book; the others are sums of the moment."""
