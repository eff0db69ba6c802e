"""What nobody said when a question was asked, so that every answer shows what it stands on.

Promises one line for each thing taken in place of an entry: what, why, what it does to the answer, and the one
tap that replaces it. Sorted by effect, largest first. Reckons nothing: the effect comes from whoever asked.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from stillroom.documents.blocks import Block, Heading, Link, Prose, Table
from stillroom.errors import spoken
from stillroom.texts.catalogue import t

OPEN = "open"
"""Query field that names the entry to be opened."""


def said_in(fields: Mapping[str, str]) -> dict[str, str]:
    """What was said of a question: an empty field was not said, and which one is opened says nothing."""
    return {name: text.strip() for name, text in fields.items() if text.strip() and name != OPEN}


def question_address(question: str, fields: Mapping[str, str], **more: str) -> str:
    """Address of a question with everything that was said.

    Parameters
    ----------
    question : str
        "dilute", or one of its papers: "dilute/lesson".
    **more : str
        Fields said besides, or in place of those.
    """
    return f"/ask/{question}?{urlencode({**fields, **more})}"


def opened_at(question: str, fields: Mapping[str, str], field: str) -> str:
    """Address of the same question with one field opened and ready for the hand."""
    return question_address(question, fields, **{OPEN: field})


@dataclass(frozen=True, slots=True)
class Unsaid:
    """Something nobody entered: what was taken instead, and what that does to the answer."""

    what: str
    """Such as "density of the bulk"."""
    taken: str
    """Such as "1.00 g/mL"."""
    because: str
    effect: str
    """In words: "moves the answer by ± 3 %"."""
    effect_share: float
    """For the order only, largest first."""
    field: str
    """Name of the field of the question that replaces it."""
    href: str
    """The same question with that field opened."""


def unsaid_blocks(items: Sequence[Unsaid]) -> tuple[Block, ...]:
    """The blocks that list what nobody said.

    Parameters
    ----------
    items : sequence of Unsaid
        In any order; none gives no blocks.
    """
    if not items:
        return ()
    ordered = sorted(items, key=lambda one: -abs(one.effect_share))
    return (
        Heading(t("What nobody said")),
        Prose(
            t(
                "Taken in place of an entry, what moves the answer most first. Say one, and it is "
                "calculated again."
            )
        ),
        Table(
            (t("Not said"), t("Taken instead"), t("Because"), t("What it does")),
            tuple(
                (Link(spoken(one.what), one.href), spoken(one.taken), spoken(one.because), spoken(one.effect))
                for one in ordered
            ),
        ),
    )
