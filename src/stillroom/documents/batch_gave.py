"""What a finished batch gave, on its sheet: figures that open to the weighings they come from, and what is missing."""

from collections.abc import Mapping, Sequence

from stillroom.answers.batch_given import RATIO_WITH_LIQUID, BatchGiven
from stillroom.documents.blocks import Block, Facts, Heading, Numbers, Points
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.texts.catalogue import later, t

LABELS = {
    "extract_of_100_g_dry": later("Extract of 100 g of dry plant"),
    "drug_extract_ratio": later("Drug–extract ratio, native"),
    "recovery": later("Marker of the plant found in the extract"),
    "ethanol_used": later("Ethanol used"),
    "ethanol_back": later("Ethanol back"),
    "ethanol_not_back": later("Ethanol that did not come back"),
}
WITH_LIQUID = later("Drug–extract ratio, its liquid counted")
DECIMALS = {"drug_extract_ratio": 2, "ethanol_back": 0}
"""Where there is no uncertainty to round by."""


def label_of(name: str, answer: Answer) -> str:
    """What a figure is called; of a ratio, whether the liquid that stays in the extract is counted.

    Parameters
    ----------
    name : str
        As ``BatchGiven.figures`` calls it. [text]
    """
    return t(WITH_LIQUID if answer.name == RATIO_WITH_LIQUID else LABELS[name])


def gave_blocks(
    batch: str, given: BatchGiven | None, hours: Answer, missing: Sequence[str]
) -> tuple[Block, ...]:
    """What a batch gave, and what would tell the rest.

    Parameters
    ----------
    hours : Answer
        From its beginning to its last step. [h]
    """
    figures = {} if given is None else given.figures
    shown = [
        show(
            one,
            label=label_of(name, one.answer),
            decimals=None if one.answer.standard_uncertainty else DECIMALS.get(name),
            href=f"/why/{batch}/{name}",
        )
        for name, one in figures.items()
    ]
    blocks: list[Block] = [
        Heading(t("What it gave")),
        *([Numbers(tuple(shown))] if shown else []),
        Facts(((t("From beginning to end"), f"{number(hours.value, 1)} {hours.unit}"),)),
    ]
    if missing:
        blocks.append(Points(tuple(missing), "missing"))
    return tuple(blocks)


def gave_names(given: BatchGiven | None) -> Mapping[str, str]:
    """What a program finds the figures by, by the key of each answer."""
    return {} if given is None else {one.answer.key: name for name, one in given.figures.items()}
