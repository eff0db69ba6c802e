"""Answers of the bench sums as a page: masses first, the tempting wrong answer beside the right one."""

from stillroom.documents.blocks import Block, Heading, Numbers, Page, Prose
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.numbers_shown import show
from stillroom.evidence.answer import Answer
from stillroom.texts.catalogue import t


def sum_page(
    title: str,
    answers: tuple[tuple[Answer, int, bool], ...],
    *,
    advice: str = "",
    cautions: tuple[str, ...] = (),
) -> Page:
    """A page of answers.

    Parameters
    ----------
    title : str
    answers : tuple of (Answer, decimals, per cent)
        With per cent, a share is shown as per cent.
    advice : str
    cautions : tuple of str
        Keys of ``reference.cautions``.
    """
    from dataclasses import replace

    shown = []
    for answer, decimals, percent in answers:
        one = show(answer, decimals=decimals)
        if percent:
            one = replace(one, value=f"{100 * answer.value:.{decimals}f}", unit="%", exact=100 * answer.value)
        shown.append(one)
    blocks: list[Block] = [Numbers(tuple(shown))]
    if advice:
        blocks += [Heading(t("What to do"), 3), Prose(advice)]
    for key in cautions:
        blocks.append(caution_block(key))
    return Page(
        title,
        "bench sum",
        "",
        tuple(blocks),
        practice=False,
        lead=t("Nothing is written in a book."),
    )
