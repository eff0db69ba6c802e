"""How a step runs, before it begins: what is to be known, and its figures with their spread."""

import math
from collections.abc import Iterable

from stillroom.documents.blocks import Block, Heading, Points, Table
from stillroom.documents.numbers_shown import number
from stillroom.planning.outcome import HowItRuns, RunLine, StepForecast
from stillroom.quantities.rounding import shown, to_decimals, to_significant
from stillroom.texts.catalogue import between, t


def runs_blocks(steps: Iterable[StepForecast], *, folded: bool = False) -> list[Block]:
    """A heading, sentences and a table for each step that tells how it runs.

    Parameters
    ----------
    folded : bool
        Whether they open only when asked.
    """
    return [block for one in steps if one.runs for block in how_blocks(one.step, one.runs, folded=folded)]


def how_blocks(step: str, runs: HowItRuns, *, folded: bool = False) -> list[Block]:
    """How one step runs.

    Parameters
    ----------
    step : str
        Its name.
    folded : bool
        Whether it opens only when asked.
    """
    head = (t("Figure"), t("Median"), "5–95 %")
    rows = tuple((t(one.label), *_figure(one)) for one in runs.figures)
    cannot = [Points(runs.cannot, "missing")] if runs.cannot else []
    return [
        *(cannot if folded else []),
        Heading(t("How it runs: {step}", step=step), 3, folded),
        *([] if folded else cannot),
        *([Points(runs.says)] if runs.says else []),
        *([Table(head, rows, (1,))] if rows else []),
    ]


def _figure(one: RunLine) -> tuple[str, str]:
    """The median with its unit and the span, to the digits that the span is worth; a count without any decimals."""
    ends = (one.median, one.low, one.high)
    half = 0.5 * (one.high - one.low)
    if all(map(math.isfinite, ends)) and not one.unit and all(end == round(end) for end in ends):
        middle, low, high = (number(end, 0) for end in ends)
    elif not math.isfinite(half) or half <= 1e-9 * abs(one.median):
        middle = low = high = f"{to_significant(one.median, 3).normalize():f}"
    else:
        most = 3 - math.floor(math.log10(abs(one.median))) if one.median else 3
        decimals = min(shown(one.median, half).decimals, most)
        middle, low, high = (f"{to_decimals(end, decimals):f}" for end in ends)
    return f"{middle} {one.unit}".strip(), "" if low == high else between(low, high)
