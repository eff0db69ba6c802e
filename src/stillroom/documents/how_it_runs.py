"""How a step runs, before it begins: what is to be known, and its figures with their spread."""

from collections.abc import Iterable

from stillroom.documents.blocks import Block, Heading, Points, Table
from stillroom.documents.numbers_shown import number
from stillroom.planning.outcome import HowItRuns, RunLine, StepForecast
from stillroom.texts.catalogue import between, t


def runs_blocks(steps: Iterable[StepForecast]) -> list[Block]:
    """A heading, sentences and a table for each step that tells how it runs.

    Parameters
    ----------
    steps : iterable of StepForecast
    """
    return [block for one in steps if one.runs for block in how_blocks(one.step, one.runs)]


def how_blocks(step: str, runs: HowItRuns, *, folded: bool = False) -> list[Block]:
    """How one step runs.

    Parameters
    ----------
    step : str
        Its name.
    runs : HowItRuns
    folded : bool
        Whether it opens only when asked.
    """
    head = (t("Figure"), t("Median"), "5–95 %")
    rows = tuple(
        (t(one.label), f"{number(one.median)} {one.unit}".strip(), _span(one)) for one in runs.figures
    )
    return [
        Heading(t("How it runs: {step}", step=step), 3, folded),
        *([Points(runs.cannot, "missing")] if runs.cannot else []),
        *([Points(runs.says)] if runs.says else []),
        *([Table(head, rows, (1,))] if rows else []),
    ]


def _span(one: RunLine) -> str:
    low, high = number(one.low), number(one.high)
    return "" if low == high else between(low, high)
