"""Any answer as a lesson: the question with room for a pen, the tempting way, the worked answer on the back.

Promises a sheet that teaches without the answer in sight: what the tempting way gives stands on the front, how
far off it is stands on the back. Works nothing out: the figures are those of the answer it is made from.
"""

from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import Block, Cell, Facts, Heading, Page, PageFacts, PenLines, Prose, TurnOver
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class Lesson:
    """A question that was answered, ready to be asked again on paper."""

    question: str
    """One or two sentences, ending in a question mark."""
    given: tuple[tuple[str, Cell], ...]
    """What the learner may use."""
    blanks: tuple[str, ...]
    """What is asked for, each with room for a pen."""
    tempting: str
    """The way that looks right, in one sentence."""
    tempting_answer: str
    """What it gives."""
    how_far_off: str
    """Told on the back, with the reason."""
    worked: tuple[Block, ...]
    """The right answer step by step."""


def lesson_page(
    lesson: Lesson,
    *,
    title: str,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The lesson as a page of two sides.

    Parameters
    ----------
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    front: tuple[Block, ...] = (
        Prose(lesson.question),
        Heading(t("Given")),
        Facts(lesson.given),
        Heading(t("Calculate")),
        PenLines(lesson.blanks),
        Heading(t("A tempting way")),
        Prose(
            t(
                "{tempting} It gives {tempting_answer}.",
                tempting=lesson.tempting,
                tempting_answer=lesson.tempting_answer,
            )
        ),
        PenLines((t("How far off is that"), t("and why"))),
    )
    back: tuple[Block, ...] = (
        TurnOver(t("Turn over")),
        Heading(t("How far off the tempting way is")),
        Prose(lesson.how_far_off),
        Heading(t("Worked")),
        *lesson.worked,
    )
    return Page(
        title=title,
        kind="lesson",
        code="",
        blocks=(*front, *back),
        **page_facts,
        lead=t("The worked answer is on the back."),
        href=href,
    )
