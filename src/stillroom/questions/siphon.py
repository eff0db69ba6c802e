"""When a Soxhlet may stop: siphonings still to run, from the dry residues of samples of its last ones.

A whole siphoning runs into the flask and is not caught: a sample is pipetted from the thimble just before it siphons,
the same volume each time. With its volume and that of a siphoning its residue stands for the whole. Promises the
siphonings and the time they take, or a sentence why the residues cannot tell. The calculation is
``answers.siphon_tail``. Writes nothing.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from stillroom.answers.siphon_tail import RESIDUE, Tail, tail
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import ASKED, Figure, HalfWidth, Own, Readings
from stillroom.asking.said import Said
from stillroom.documents.blocks import Heading, Numbers, Points, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.numbers_shown import show
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import share
from stillroom.quantities.quantity import Quantity
from stillroom.texts.catalogue import later, t

MAY_REMAIN_PERCENT = 1.0
RESIDUE_LIMITS_MG = 2.0
"""A dish and a residue on a scale of a milligram, either way: common practice, no source."""
MOST_RESIDUES = 30
SLOW_RATIO = 0.85
CAUTIONS = ("closed-apparatus", "heat-without-cooling", "leaving-the-room", "flammable-vapour", "own-numbers")


# ---- what is asked


def may_remain(text: str, where: str) -> Answer:
    """The share of all that can be washed out that may stay [%]."""
    return reading("may remain", 100.0 * share(text, least=1e-6, most=0.5, where=where), "%", ASKED)


def effect_of_residues(found: Tail, _: Said) -> str:
    """What the doubt of the residues does to the rest."""
    half = 2.0 * (found.remaining_share.answer.standard_uncertainty or 0.0)
    return t("moves what remains by ± {half:.2g} of a per cent", half=half)


@dataclass(frozen=True, slots=True, kw_only=True)
class Residues(Said):
    """The residues of samples of the last siphonings, what they stand for, and what may remain."""

    residues: tuple[Quantity, ...] = needed(
        Readings(
            "mg",
            MOST_RESIDUES,
            (later("The dry residues of the last siphonings are needed"), later('Write "412; 251; 156 mg"')),
            (
                worded("At most {most_residues} residues are taken", most_residues=MOST_RESIDUES),
                later("Leave the first ones out: the last tell the most"),
            ),
        ),
        label=later("Dry residues in mg, in order"), hint=later("Such as 310; 190; 118"), argument=True, joined="; ",
    )  # fmt: skip
    collected: Answer = needed(
        Figure(of="collected", symbol="g", unit="g"),
        must=worded("The entry {called} is needed", called="collected"),
        do=later('Write "18.42 g": dry, these siphonings included'),
        label=later("Collected so far, these included"),
        help='Dry, so far, these siphonings included: "18.42 g".',
    )
    cycle: Answer = needed(
        Figure(of="cycle", symbol="min", unit="min"),
        must=worded("The entry {called} is needed", called="cycle"),
        do=later('Write "14 min": from one siphoning to the next'),
        label=later("From one siphoning to the next"),
        help='From one siphoning to the next: "14 min".',
    )
    sample: Answer | None = maybe(
        Figure(of="sample", symbol="mL", unit="mL"),
        label=later("Pipetted from the thimble just before it siphons"),
        help='Volume of each sample that was dried: "10 mL". Left out, the residues are those of whole siphonings.',
    )  # fmt: skip
    siphoned: Answer | None = maybe(
        Figure(of="siphoned", symbol="mL", unit="mL"), label=later("Volume of a siphoning"),
        hint=later("What runs over, measured once with water"), beside=True,
        help='What runs over at a siphoning, measured once with water: "60 mL".',
    )  # fmt: skip
    remain: Answer = taken(
        assumed("may remain", MAY_REMAIN_PERCENT, "%", "common practice, no source: a hundredth"),
        Own(may_remain, "figure", "%"),
        label=later("Share that may remain"), folded=True,
        help='Share of all that can be washed out that may stay: "0.1 %".',
        unsaid=Assumption(
            what=later("how much may remain"), taken=f"{MAY_REMAIN_PERCENT:g} %",
            because=later("common practice, no source"),
            effect=later("a tenth of it takes a few siphonings more"), share=0.5,
        ),
    )  # fmt: skip
    sure: float | None = maybe(
        HalfWidth("mg"),
        label=later("How sure each residue is"), folded=True,
        help='How far a residue may be off, k = 2: "1 mg".',
        unsaid=Assumption(
            what=later("how sure each residue is"), taken=f"± {RESIDUE_LIMITS_MG:g} mg",
            because=later("common practice, no source"), effect=effect_of_residues, share=0.1,
        ),
    )  # fmt: skip


# ---- how it is worked out


def work(said: Residues) -> Tail:
    """Carry the residues on until no more remains than may."""
    if said.sure is None:
        uncertainty = RESIDUE_LIMITS_MG / math.sqrt(3.0)
        because = f"within {RESIDUE_LIMITS_MG:g} mg: common practice, no source"
    else:
        uncertainty, because = said.sure / 2.0, f"± {said.sure:g} mg (k = 2)"
    times, of_what = _of_a_siphoning(said)
    residues = [
        reading(
            f"{RESIDUE} {at}",
            one.in_unit("mg") * times,
            "mg",
            f"{ASKED}, {because}{of_what}",
            standard_uncertainty=uncertainty * times,
        )
        for at, one in enumerate(said.residues, 1)
    ]
    try:
        return tail(residues, said.collected, said.cycle, said.remain)
    except StillroomError as error:
        raise (error if error.where else error.at("residues")) from error


def _of_a_siphoning(said: Residues) -> tuple[float, str]:
    """By what the residue of a sample is multiplied to be that of its siphoning, and how that was said."""
    if said.sample is None and said.siphoned is None:
        return 1.0, ""
    if said.sample is None or said.siphoned is None:
        raise BadEntry(
            "A sample stands beside the volume of a siphoning", "one of them", "Write both",
            where="siphoned" if said.sample else "sample",
        )  # fmt: skip
    taken_ml, over_ml = said.sample.value, said.siphoned.value
    return over_ml / taken_ml, f", of {taken_ml:g} mL, times {over_ml:g} mL over {taken_ml:g} mL"


# ---- what is told


def tell(found: Tail, said: Residues) -> Told:
    """Whether it may stop, what is left, and what the residues cannot see."""
    verdict, may_stop = _verdict(found, f"{said.remain.value:g} %")
    masses = [one.in_unit("mg") for one in said.residues]
    over = ["", *(f"{this / before:.2f}" for before, this in pairwise(masses))]
    return Told(
        t("When the Soxhlet may stop"),
        t(
            "{collected} collected, a siphoning every {cycle}. Nothing is written in a book.",
            collected=f"{said.collected.value:g} g", cycle=f"{said.cycle.value:g} min",
        ),
        (
            Points((verdict,), "done" if may_stop else "missing"),
            *((Numbers((
                show(found.cycles, label=t("More siphonings"), decimals=0),
                show(found.minutes, label=t("Time they take"), decimals=0),
            )),) if may_stop or round(found.cycles.value) else ()),
            Heading(t("What is left")),
            Numbers((
                show(found.remaining, label=t("Still washes out")),
                show(found.remaining_share, label=t("Of all that can be washed out")),
                show(found.ratio, label=t("Each residue over the one before"), decimals=4),
            )),
            Table(
                (t("Siphoning"), t("Residue, mg"), t("Over the one before")),
                tuple(
                    (str(at), f"{mass:g}", ratio)
                    for at, (mass, ratio) in enumerate(zip(masses, over, strict=True), 1)
                ),
                (1, 2),
            ),
            Heading(t("What the residues cannot see")),
            Points(_unseen(found.ratio.value)),
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _verdict(found: Tail, remain: str) -> tuple[str, bool]:
    """One sentence, and whether it may stop."""
    rest, more = found.remaining_share, round(found.cycles.value)
    share_left = rest.answer.value
    most = rest.interval[1] if rest.interval else share_left + rest.expanded_uncertainty
    if more:
        return t(
            "Not yet: {more} more siphonings, {minutes:.0f} min, until {may_remain} remains.",
            more=more,
            minutes=found.minutes.value,
            may_remain=remain,
        ), False
    if most > found.may_remain.value:
        return t(
            "The residues scatter too much to tell: {share:.2g} % by their line, but more than {may_remain} may "
            "remain. Dry and weigh the next one too",
            share=share_left,
            may_remain=remain,
        ), False
    return t(
        "It may stop: {share:.2g} % remains, no more than {may_remain}.", share=share_left, may_remain=remain
    ), True


def _unseen(ratio: float) -> tuple[str, ...]:
    hardly = t("They hardly fall: look whether it siphons over fully, and whether the pieces are too coarse.")
    return (
        *((hardly,) if ratio > SLOW_RATIO else ()),
        t(
            "A slow rest inside coarse pieces leaves with time, not with siphonings: it shows when residues stop "
            "falling."
        ),
        t("Dry each residue to constant mass; pipette the same volume each time, just before it siphons."),
        t("Stop the heat before the flask is dry."),
    )


QUESTION = Question(
    name="siphon",
    title=later("When may the Soxhlet stop"),
    lead=later(
        "The dry residue of a sample of each of the last siphonings tells how much is left, and how many more it "
        "takes. A batch has a watch that does it as it runs."
    ),
    button=later("May it stop?"),
    help="Siphonings a Soxhlet still needs, from the dry RESIDUES of its last ones (mg, in order, three at least).",
    kind="soxhlet tail",
    asks=Way(Residues, work, tell),
)
