"""When a Soxhlet may stop, as a page: how many siphonings more, what still washes out, what the residues cannot see.

Promises the answer first. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Page, PageFacts, Points, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.showing import show
from stillroom.results.siphon_tail import Tail

CAUTIONS = ("heat-without-cooling", "leaving-the-room", "flammable-vapour", "own-numbers")
SLOW_RATIO = 0.85


@dataclass(frozen=True, slots=True)
class SiphonWords:
    """The residues in the words they were asked in.

    Attributes
    ----------
    residues : tuple of str
        [mg]
    collected, cycle, may_remain : str
    """

    residues: tuple[str, ...]
    collected: str
    cycle: str
    may_remain: str


def siphon_page(
    found: Tail,
    words: SiphonWords,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "may I stop", on one page.

    Parameters
    ----------
    found : Tail
    words : SiphonWords
    unsaid : sequence of Unsaid
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    more, share = round(found.cycles.value), found.remaining_share.answer.value
    if more:
        verdict = f"Not yet: {more} more siphonings, {found.minutes.value:.0f} min, until {words.may_remain} remains."
    else:
        verdict = f"It may stop: {share:.2g} % remains, no more than {words.may_remain}."
    rows: list[tuple[Cell, ...]] = []
    for at, residue in enumerate(words.residues):
        before = f"{float(residue) / float(words.residues[at - 1]):.2f}" if at else ""
        rows.append((str(at + 1), residue, before))
    blocks: list[Block] = [
        Points((verdict,), "missing" if more else "done"),
        Numbers(
            (
                show(found.cycles, label="More siphonings", decimals=0),
                show(found.minutes, label="Time they take", decimals=0),
            )
        ),
        Heading("What is left"),
        Numbers(
            (
                show(found.remaining.answer, label="Still washes out", k=found.remaining.k),
                show(
                    found.remaining_share.answer,
                    label="Of all that can be washed out",
                    k=found.remaining_share.k,
                ),
                show(found.ratio, label="Each residue over the one before", decimals=4),
            )
        ),
        Table(("Siphoning", "Residue, mg", "Over the one before"), tuple(rows), (1, 2)),
        Heading("What the residues cannot see"),
        Points(_unseen(found.ratio.value)),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title="When the Soxhlet may stop",
        kind="soxhlet tail",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"{words.collected} collected, a siphoning every {words.cycle}. Nothing is written in a book.",
        href=href,
    )


def _unseen(ratio: float) -> tuple[str, ...]:
    said = [
        "A slow rest inside coarse pieces leaves with time, not with siphonings: it shows when residues stop falling.",
        "Dry each residue to constant mass; catch the whole of a siphoning, or the same share of each.",
        "Stop the heat before the flask is dry.",
    ]
    if ratio > SLOW_RATIO:
        said.insert(
            0, "They hardly fall: look whether it siphons over fully, and whether the pieces are too coarse."
        )
    return tuple(said)
