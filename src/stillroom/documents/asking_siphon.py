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
            "asking_siphon.not_yet_more_siphonings",
            more=more,
            minutes=found.minutes.value,
            may_remain=words.may_remain,
        )
    elif unsure:
        verdict = t("asking_siphon.cannot_tell_yet", share=share, may_remain=words.may_remain)
    else:
        verdict = t("asking_siphon.may_stop_remains_no", share=share, may_remain=words.may_remain)
    rows: list[tuple[Cell, ...]] = []
    for at, residue in enumerate(words.residues):
        before = f"{float(residue) / float(words.residues[at - 1]):.2f}" if at else ""
        rows.append((str(at + 1), residue, before))
    blocks: list[Block] = [
        Points((verdict,), "missing" if more or unsure else "done"),
        Numbers(
            (
                show(found.cycles, label=t("asking_siphon.more_siphonings"), decimals=0),
                show(found.minutes, label=t("asking_siphon.time_they_take"), decimals=0),
            )
        ),
        Heading(t("asking_siphon.what_is_left")),
        Numbers(
            (
                show(found.remaining, label=t("asking_siphon.still_washes_out")),
                show(found.remaining_share, label=t("asking_siphon.all_can_washed_out")),
                show(found.ratio, label=t("asking_siphon.each_residue_over_before"), decimals=4),
            )
        ),
        Table(
            (
                t("asking_siphon.siphoning"),
                t("asking_siphon.residue"),
                t("asking_siphon.over_the_one_before"),
            ),
            tuple(rows),
            (1, 2),
        ),
        Heading(t("asking_siphon.residues_cannot_see")),
        Points(_unseen(found.ratio.value)),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
    ]
    return Page(
        title=t("asking_siphon.soxhlet_may_stop"),
        kind="soxhlet tail",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "asking_siphon.collected_siphoning_every_nothing", collected=words.collected, cycle=words.cycle
        ),
        href=href,
    )


def _unseen(ratio: float) -> tuple[str, ...]:
    said = [
        t("asking_siphon.slow_rest_inside_coarse"),
        t("asking_siphon.dry_each_residue_constant"),
        t("asking_siphon.stop_heat_before_flask"),
    ]
    if ratio > SLOW_RATIO:
        said.insert(0, t("asking_siphon.hardly_fall_look_whether"))
    return tuple(said)
