"""What later steps of an extraction are expected to give, before anything was weighed and with what was."""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents.blocks import Block, Heading, Prose, Table
from stillroom.documents.numbers_shown import number
from stillroom.texts.catalogue import between, t


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of something a later step gives.

    ``before``, ``now``: 5, 50 and 95 of 100 draws, before anything was weighed and with what was.
    """

    name: str
    unit: str
    before: tuple[float, float, float]
    now: tuple[float, float, float]
    read: float | None
    """What the scale showed, once it has."""


def expected_blocks(expected: Sequence[Expected]) -> list[Block]:
    """A table of what is expected and what was weighed; nothing where nothing is expected."""
    if not expected:
        return []

    def span(low: float, middle: float, high: float) -> str:
        ends = between(number(low), number(high))
        return number(middle) if ends == number(middle) else f"{number(middle)} ({ends})"

    rows = tuple(
        (
            one.name,
            one.unit,
            span(*one.before),
            span(*one.now),
            number(one.read) if one.read is not None else "",
        )
        for one in expected
    )
    return [
        Heading(t("What is expected"), folded=True),
        Prose(
            t(
                "The median and the range from 5 to 95 %, before anything was weighed and with what "
                "was weighed. A weighing changes the inputs of the calculation, so that the masses "
                "still add up."
            ),
            quiet=True,
        ),
        Table(
            (
                t("What"),
                t("Unit"),
                t("Before"),
                t("With what was weighed"),
                t("Weighed"),
            ),
            rows,
            (4,),
        ),
    ]
