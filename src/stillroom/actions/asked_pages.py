"""The first two questions as pages: answer, lesson, and a label where there is one; from fields, with no book.

One place for the pages, the command and what is kept. A field that is empty was not said.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from stillroom.actions.ask_dilute import work_out_dilution
from stillroom.actions.ask_dose import work_out_asked_dose
from stillroom.actions.page_facts import PageFacts
from stillroom.documents.asking_dilute import dilution_label, dilution_lesson, dilution_page
from stillroom.documents.asking_dose import asked_dose_page, dose_lesson
from stillroom.documents.blocks import Page
from stillroom.documents.doors import Unsaid
from stillroom.documents.lessons import lesson_page
from stillroom.records.entries import LeftUnsaid

NO_BOOK = PageFacts(practice=False, laboratory="", date="", book="")
OPEN = "open"
"""Query field that names the entry to be opened."""


@dataclass(frozen=True, slots=True)
class AskedPages:
    """A question answered, on paper and screen.

    Attributes
    ----------
    page, lesson : Page
    label : Page or None
        For the bottle, where something was mixed.
    unsaid : tuple of LeftUnsaid
        What was taken because nobody said it.
    """

    page: Page
    lesson: Page
    label: Page | None
    unsaid: tuple[LeftUnsaid, ...]


def dilution_pages(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> AskedPages:
    """Spirit to be diluted.

    Parameters
    ----------
    fields : mapping of str to str
        As ``ask_dilute.work_out_dilution`` takes them.
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        What was entered cannot be answered.
    """
    said = _said(fields)
    asked = work_out_dilution(said)
    found, words = asked.found, asked.words
    return AskedPages(
        dilution_page(
            found, words, _shown("dilute", said, asked.unsaid), href=_address("dilute", said), **facts
        ),
        lesson_page(
            dilution_lesson(found, words),
            title=f"Lesson: {words.title}",
            href=_address("dilute/lesson", said),
            **facts,
        ),
        dilution_label(found, words, href=_address("dilute/label", said), **facts),
        tuple(one for one, _ in asked.unsaid),
    )


def dose_pages(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> AskedPages:
    """A product to be dosed from an extract.

    Parameters
    ----------
    fields : mapping of str to str
        As ``ask_dose.work_out_asked_dose`` takes them.
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        What was entered cannot be answered, or may not be made.
    """
    said = _said(fields)
    told, unsaid = work_out_asked_dose(said)
    return AskedPages(
        asked_dose_page(told, _shown("dose", said, unsaid), href=_address("dose", said), **facts),
        lesson_page(
            dose_lesson(told), title=f"Lesson: {told.title}", href=_address("dose/lesson", said), **facts
        ),
        None,
        tuple(one for one, _ in unsaid),
    )


def _said(fields: Mapping[str, str]) -> dict[str, str]:
    return {name: text.strip() for name, text in fields.items() if text.strip() and name != OPEN}


def _address(question: str, fields: Mapping[str, str], **more: str) -> str:
    return f"/ask/{question}?{urlencode({**fields, **more})}"


def _shown(
    question: str, fields: Mapping[str, str], unsaid: tuple[tuple[LeftUnsaid, float], ...]
) -> tuple[Unsaid, ...]:
    return tuple(
        Unsaid(
            one.what,
            one.taken,
            one.because,
            one.effect,
            share,
            one.field,
            _address(question, fields, **{OPEN: one.field}),
        )
        for one, share in unsaid
    )
