"""What is told and taught of shaking out: what goes over, what to do about the pH, and what helps an emulsion.

Promises that the pH is told to be moved only where that is what helps.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from stillroom.answers.ph_words import READ_BY
from stillroom.asking.question import Told
from stillroom.documents.blocks import Block, Heading, Numbers, Points, Shown, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer
from stillroom.science.extraction.partition import distribution_ratio, shakes_needed, share_recovered
from stillroom.texts.catalogue import later, t

ENOUGH_PERCENT = 98.0
PH_MARGIN = 1.0
CLEAR_PH = 2.0
"""From its pKa, where all but 1 % of a substance is uncharged. [1]"""
CAUTIONS = ("pressure-in-funnel", "ammonia-and-solvent")
KINDS: Mapping[str, str] = {
    "base": later("a base, such as most alkaloids"),
    "acid": later("an acid, such as a phenolic acid"),
    "both": later("both: a base with an acid group"),
    "neutral": later("neither: no charge at any pH"),
    "charged": later("charged at every pH: a quaternary base"),
}


@dataclass(frozen=True, slots=True)
class Shaken:
    """What shaking out carries over.

    ``at_once``, ``in_portions``: share carried over. [%]
    """

    distribution: Answer
    """Solvent over water, all forms together. [1]"""
    at_once: Answer
    in_portions: Answer
    at_worst: Answer | None
    """In portions, where the pH is as far off as its reading may mean; None where nobody said what it was
    read with. [%]"""
    worst_ph: float
    """The pH then. [1]"""
    elsewhere: tuple[tuple[float, float, float], ...]
    """pH, log of the distribution ratio, share carried over in portions [1, 1, %], around the pH asked for."""


class Words(Protocol):
    """What was said of the substance, the water and the solvent."""

    @property
    def kind(self) -> str: ...  # noqa: D102
    @property
    def pkas(self) -> dict[str, Answer]: ...  # noqa: D102
    @property
    def partition_ratio(self) -> Answer: ...  # noqa: D102
    @property
    def ph(self) -> Answer: ...  # noqa: D102
    @property
    def water(self) -> Answer: ...  # noqa: D102
    @property
    def solvent(self) -> Answer: ...  # noqa: D102
    @property
    def portions(self) -> Answer: ...  # noqa: D102
    @property
    def ph_by(self) -> str | None: ...  # noqa: D102


def best_ph(said: Words) -> float | None:
    """The nearest pH at which what can go over does; None where pH changes nothing."""
    at = {name: one.value for name, one in said.pkas.items()}
    if said.kind == "both":
        return (at["base_pka"] + at["acid_pka"]) / 2.0
    if said.kind == "base" and at:
        return min(at["base_pka"] + CLEAR_PH, 14.0)
    return max(at["acid_pka"] - CLEAR_PH, 0.0) if said.kind == "acid" and at else None


def tell(it: Shaken, said: Words) -> Told:
    """What goes over, at once, in portions and at worst, what to do, and how the pH decides it."""
    return Told(
        t(
            "Shaking {water} out with {solvent} at pH {ph}",
            water=f"{said.water.value:g} mL", solvent=f"{said.solvent.value:g} mL", ph=f"{said.ph.value:g}",
        ),
        t("Nothing is written in a book."),
        (
            Numbers((show(it.distribution, label=t("Distribution ratio"), decimals=3), *_shares(it, said))),
            Heading(t("What to do"), 3),
            Points(_advice(it, said)),
            *_by_ph(it, said),
            Heading(t("If the layers will not part"), 3, folded=True),
            Points(tuple(t(one) for one in WILL_NOT_PART)),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


WILL_NOT_PART = (
    later("In this order, each for a quarter of an hour; most often the first is enough (common practice)."),
    later("Wait, and turn the funnel slowly; do not shake again."),
    later("Tilt it and warm it in the hand; let the pressure out."),
    later("Salt: dissolve 5 to 20 g of sodium chloride in each 100 mL of water."),
    later("Filter both layers through a pad of kieselguhr or wool, and let them part again."),
    later("Spin it in tubes, if there is a centrifuge that may hold solvent."),
    later("What will not part is kept and counted as a layer of its own; next time turn instead of shaking."),
)


def _by_ph(it: Shaken, said: Words) -> tuple[Block, ...]:
    if not it.elsewhere:
        return ()
    many = int(said.portions.value)
    return (
        Heading(t("At another pH"), 3, folded=True),
        Table(
            (t("pH"), t("log of the distribution ratio"), t("In {many} portions, %", many=many)),
            tuple((f"{ph:g}", number(ratio, 2), number(share, 2)) for ph, ratio, share in it.elsewhere),
            figures=(0, 1, 2),
        ),
    )


def _shares(it: Shaken, said: Words) -> tuple[Shown, ...]:
    many = int(said.portions.value)
    at_worst = t("In {many} portions, at pH {ph:g}", many=many, ph=it.worst_ph)
    return (
        show(it.at_once, label=t("All at once"), decimals=2),
        show(it.in_portions, label=t("In {many} portions", many=many), decimals=2),
        *((show(it.at_worst, label=at_worst, decimals=2),) if it.at_worst else ()),
    )


def _advice(it: Shaken, said: Words) -> tuple[str, ...]:
    keep = t("Keep every layer until a drop shows that it is empty.")
    told = [*_about_the_ph(said), keep]
    if len(told) == 1 and it.in_portions.value < ENOUGH_PERCENT:
        told = [t("Another portion carries over more than a larger one would."), *_for_99(it, said), keep]
    return (*told, *_of_its_kind(said), *_at_worst(it, said))


def _at_worst(it: Shaken, said: Words) -> list[str]:
    if it.at_worst is None or not said.ph_by:
        return []
    off = it.worst_ph - said.ph.value
    if said.ph_by == "strip" and it.at_worst.value < ENOUGH_PERCENT <= it.in_portions.value:
        return [
            t(
                "With a strip the pH may be {off:g} off: it cannot decide this, measure with a meter.",
                off=abs(off),
            )
        ]
    by = t(READ_BY[said.ph_by])
    if off < 0:
        return [
            t(
                "With {read_by} the pH may be {lower:g} lower: that is the last figure.",
                read_by=by,
                lower=-off,
            )
        ]
    return [
        t("With {read_by} the pH may be {higher:g} higher: that is the last figure.", read_by=by, higher=off)
    ]


def _charged(beyond: float) -> str:
    """Share that is charged so far on the wrong side of its pKa [%]."""
    return number(100.0 / (1.0 + 10.0**-beyond), 0)


def _about_the_ph(said: Words) -> list[str]:
    """Raise or lower the pH, where much of it is charged."""
    best, ph, many = best_ph(said), said.ph.value, int(said.portions.value)
    at = {name: one.value for name, one in said.pkas.items()}
    if best is None:
        return []
    if said.kind == "base" and ph < at["base_pka"] + PH_MARGIN:
        return [
            t(
                "At pH {ph:g}, {charged} % of a base of pKa {pka:g} is charged and stays in the water: raise the pH "
                "before adding solvent.",
                ph=ph, pka=at["base_pka"], charged=_charged(at["base_pka"] - ph),
            )
        ]  # fmt: skip
    if said.kind == "acid" and ph > at["acid_pka"] - PH_MARGIN:
        return [
            t(
                "At pH {ph:g}, {charged} % of an acid of pKa {pka:g} is charged and stays in the water: lower the pH "
                "before adding solvent.",
                ph=ph, pka=at["acid_pka"], charged=_charged(ph - at["acid_pka"]),
            )
        ]  # fmt: skip
    if said.kind != "both":
        return []
    told = []
    if abs(ph - best) > PH_MARGIN / 2:
        ratio: float = distribution_ratio(said.partition_ratio.value, best, **at)
        share: float = share_recovered(ratio, said.water.value, said.solvent.value / many, many)
        told.append(
            t(
                "Most goes over at pH {best:.1f}, between its two pKa: {share:.1f} %.",
                best=best,
                share=100.0 * share,
            )
        )
    if at["base_pka"] > at["acid_pka"]:
        told.append(
            t(
                "Its base is stronger than its acid: between the two it carries both charges at once and hardly leaves "
                "the water. What is shown is the most that can go over; try it with a drop first."
            )
        )
    return told


def _for_99(it: Shaken, said: Words) -> list[str]:
    each = said.solvent.value / said.portions.value
    try:
        count = shakes_needed(it.distribution.value, said.water.value, each, 0.99)
    except StillroomError:
        return [t("Not even 100 such portions carry over 99 %: another pH or another solvent is needed.")]
    return [t("99 % take {count} portions of {each:.3g} mL.", count=count, each=each)]


def _of_its_kind(said: Words) -> list[str]:
    if said.kind == "base":
        return [
            t(
                "Ammonia is the mildest alkali here: strong alkali breaks esters and takes phenolic bases back."
            ),
            t(
                "What falls out of the acid before is leaf green, resin and fat: the filtrate is the fraction."
            ),
        ]
    if said.kind == "both":
        return [t("Neither strong acid nor strong alkali: in both it is charged.")]
    return []


def teach(it: Shaken, said: Words) -> Lesson | None:
    """The same on paper, where all the solvent at once tempts; None where it is not divided."""
    many, once, divided = (
        int(said.portions.value), it.at_once.value, it.in_portions.value,
    )  # fmt: skip
    if many == 1:
        return None
    return Lesson(
        question=t("How much of it goes into the solvent, and is it better to divide the solvent?"),
        given=(
            (t("What it is"), t(KINDS[said.kind])),
            (t("pKa"), "; ".join(f"{one.value:g}" for one in said.pkas.values())),
            (t("Partition ratio, solvent over water"), f"{said.partition_ratio.value:g}"),
            (t("pH of the water"), f"{said.ph.value:g}"),
            (t("Water"), f"{said.water.value:g} mL"),
            (t("Solvent in all"), f"{said.solvent.value:g} mL"),
            (t("Into how many equal portions"), f"{many}"),
        ),
        blanks=(t("Distribution ratio"), t("All at once, %"), t("In {many} portions, %", many=many)),
        tempting=t("The same solvent takes out the same, divided or not."),
        tempting_answer=f"{number(once, 2)} %",
        how_far_off=t(
            "In {many} portions {left:.2g} % stay behind, at once {left_at_once:.2g} %: each fresh portion takes its "
            "share of what the one before it left.",
            many=many, left=100.0 - divided, left_at_once=100.0 - once,
        ),
        worked=(Numbers((show(it.distribution, label=t("Distribution ratio"), decimals=3), *_shares(it, said))),),
    )  # fmt: skip
