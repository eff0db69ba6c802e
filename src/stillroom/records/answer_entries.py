"""Bodies of entries that keep an answer worked out without a book, and what nobody had said when it was."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LeftUnsaid:
    """Something nobody had said when an answer was kept: what was taken instead, and what it does to the answer."""

    what: str
    taken: str
    because: str
    effect: str
    field: str


@dataclass(frozen=True, slots=True)
class AnswerKept:
    """An answer that was worked out without a book, and then kept: the question, and what is still to find out."""

    question: str
    title: str
    asked: dict[str, str]
    unsaid: tuple[LeftUnsaid, ...]
    order: str = ""
