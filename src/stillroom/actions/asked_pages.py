"""The questions that have a lesson, as pages: answer, lesson, a label where there is one; from fields, with no book.

One place for the pages, the command and what is kept. A field that is empty was not said. Each question loads its own
rooms when it is asked, so that a command answers at once.
"""

from collections.abc import Mapping

from stillroom.asking.question import Answered
from stillroom.documents.blocks import NO_BOOK, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.documents.lessons import lesson_page
from stillroom.records.answer_entries import LeftUnsaid


def blend_pages(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> Answered:
    """Spirits to be blended, or poured together.

    Parameters
    ----------
    fields : mapping of str to str
        As ``ask_blend.work_out_blend`` takes them.
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        What was entered cannot be answered, or nothing at hand makes it.
    """
    from stillroom.actions.ask_blend import work_out_blend
    from stillroom.documents.blending import blend_lesson, blend_page

    said = said_in(fields)
    asked = work_out_blend(said)
    page = blend_page(
        asked.found,
        asked.words,
        shown_unsaid("blend", said, asked.unsaid),
        href=question_address("blend", said),
        **facts,
    )
    lesson = lesson_page(
        blend_lesson(asked.found, asked.words),
        title=f"Lesson: {page.title}",
        href=question_address("blend/lesson", said),
        **facts,
    )
    return Answered(page, lesson, None, tuple(one for one, _ in asked.unsaid))


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
