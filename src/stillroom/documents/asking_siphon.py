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
from stillroom.texts.catalogue import t

CAUTIONS = ("closed-apparatus", "heat-without-cooling", "leaving-the-room", "flammable-vapour", "own-numbers")
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
    rest = found.remaining_share
    most = rest.interval[1] if rest.interval else share + rest.expanded_uncertainty
    unsure = not more and most > found.may_remain.value
    if more:
        verdict = t(
            "Not yet: {more} more siphonings, {minutes:.0f} min, until {may_remain} remains.",
            more=more,
            minutes=found.minutes.value,
            may_remain=words.may_remain,
        )
    elif unsure:
        verdict = t(
            "The residues scatter too much to tell: {share:.2g} % by their line, but more than "
            "{may_remain} may remain. Dry and weigh the next one too",
            share=share,
            may_remain=words.may_remain,
        )
    else:
        verdict = t(
            "It may stop: {share:.2g} % remains, no more than {may_remain}.",
            share=share,
            may_remain=words.may_remain,
        )
    rows: list[tuple[Cell, ...]] = []
    for at, residue in enumerate(words.residues):
        before = f"{float(residue) / float(words.residues[at - 1]):.2f}" if at else ""
        rows.append((str(at + 1), residue, before))
    blocks: list[Block] = [
        Points((verdict,), "missing" if more or unsure else "done"),
        Numbers(
            (
                show(found.cycles, label=t("More siphonings"), decimals=0),
                show(found.minutes, label=t("Time they take"), decimals=0),
            )
        ),
        Heading(t("What is left")),
        Numbers(
            (
                show(found.remaining, label=t("Still washes out")),
                show(found.remaining_share, label=t("Of all that can be washed out")),
                show(found.ratio, label=t("Each residue over the one before"), decimals=4),
            )
        ),
        Table(
            (
                t("Siphoning"),
                t("Residue, mg"),
                t("Over the one before"),
            ),
            tuple(rows),
            (1, 2),
        ),
        Heading(t("What the residues cannot see")),
        Points(_unseen(found.ratio.value)),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=t("When the Soxhlet may stop"),
        kind="soxhlet tail",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "{collected} collected, a siphoning every {cycle}. Nothing is written in a book.",
            collected=words.collected,
            cycle=words.cycle,
        ),
        href=href,
    )


def _unseen(ratio: float) -> tuple[str, ...]:
    said = [
        t(
            "A slow rest inside coarse pieces leaves with time, not with siphonings: it shows "
            "when residues stop falling."
        ),
        t("Dry each residue to constant mass; catch the whole of a siphoning, or the same share of each."),
        t("Stop the heat before the flask is dry."),
    ]
    if ratio > SLOW_RATIO:
        said.insert(
            0,
            t("They hardly fall: look whether it siphons over fully, and whether the pieces are too coarse."),
        )
    return tuple(said)
