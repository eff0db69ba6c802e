"""Shake a base out of water: what the solvent carries over, all at once and in portions, and what to do about it.

Promises the same at worst where the pH was read with a strip or a meter. The equations are
``science.extraction.partition``. Writes nothing.
"""

from dataclasses import dataclass

from stillroom.answers.buffer_weighed import LIMITS_PH, STRIP_LIMITS_PH, shown_ph
from stillroom.answers.ph_words import READ_BY, ph_in, read_with
from stillroom.answers.plain_sums import in_percent
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Said
from stillroom.documents.blocks import Heading, Numbers, Points, Shown
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.quantities.numbers import number_in
from stillroom.science.extraction.partition import distribution_ratio_of_base, share_recovered
from stillroom.texts.catalogue import later, t

ENOUGH_PERCENT = 98.0
PH_MARGIN = 1.0
MOST_PORTIONS, USUAL_PORTIONS = 20, 3
CAUTIONS = ("pressure-in-funnel", "ammonia-and-solvent")


@dataclass(frozen=True, slots=True)
class Shaken:
    """What shaking out carries over.

    Attributes
    ----------
    distribution : Answer
        Solvent over water, all forms of the base together. [1]
    at_once, in_portions : Answer
        Share carried over. [%]
    at_worst : Answer or None
        In portions, where the pH is as low as its reading may mean; None where nobody said what it was read with. [%]
    lower : float
        How far the pH may lie lower then. [1]
    """

    distribution: Answer
    at_once: Answer
    in_portions: Answer
    at_worst: Answer | None
    lower: float


# ---- what is asked


def water_ph(text: str, where: str) -> Answer:
    """The pH of the water."""
    return reading("pH", ph_in(text, where), "", ASKED)


def portions_in(text: str, where: str) -> Answer:
    """Whole portions of solvent."""
    count = number_in(text, where=where).value
    if count != int(count) or not 1 <= count <= MOST_PORTIONS:
        must = worded("The solvent is divided into 1 to {most} whole portions", most=MOST_PORTIONS)
        raise BadEntry(must, repr(text[:40]), where=where)
    return reading("portions", count, "", ASKED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaking(Said):
    """A base in water, and the solvent it is shaken with."""

    pka: Answer = needed(
        Figure(of="pKa", symbol="", low=-2.0, high=16.0, must=worded("A pKa lies between -2 and 16")),
        label=later("pKa of the base"), help='Of the base: "8.5".',
    )  # fmt: skip
    partition_ratio: Answer = needed(
        Figure(of="partition ratio", symbol="", low=1e-6, must=later("A partition ratio lies above zero")),
        label=later("Partition ratio, solvent over water"), hint=later("Of the uncharged base, such as 60"),
        help='Of the uncharged base, solvent over water: "60".',
    )  # fmt: skip
    ph: Answer = needed(Own(water_ph, "figure"), label=later("pH of the water"), help='Of the water: "9.5".')
    water: Answer = needed(Figure(of="water", symbol="mL", unit="mL"), label=later("Water"), help='"100 mL".')
    solvent: Answer = needed(
        Figure(of="solvent", symbol="mL", unit="mL"), label=later("Solvent in all"), help='In all: "90 mL".'
    )
    portions: Answer = taken(
        assumed("portions", float(USUAL_PORTIONS), "", "three are usual"),
        Own(portions_in, "figure"),
        label=later("Into how many equal portions"),
        help=f"Equal portions the solvent is divided into; {USUAL_PORTIONS} when left out.",
        unsaid=Assumption(
            what=later("how many portions"), taken=f"{USUAL_PORTIONS}", because=later("three are usual"),
            effect=later("each portion more carries over more"), share=0.1,
        ),
    )  # fmt: skip
    ph_by: str | None = maybe(
        OneOf(READ_BY, must=later("A pH is read by strip or meter")),
        label=later("What the pH was read with"), help="What it was read with: strip or meter.",
        unsaid=Assumption(
            what=later("what the pH is read with"), taken=later("nothing"), because=later("nobody said"),
            share=0.5,
            effect=worded(
                "a strip may be {strip:g} off: say it, and the answer at its worst is told", strip=STRIP_LIMITS_PH
            ),
        ),
    )  # fmt: skip


# ---- how it is worked out


def work(said: Shaking) -> Shaken:
    """What goes over at the pH as read, at once and in portions; and at the lowest pH that reading may mean."""
    ratio, count = _distributed(said, said.ph), int(said.portions.value)
    at_worst, lower = None, 0.0
    if said.ph_by:
        ph = said.ph.value
        kind, _ = read_with(said.ph_by, (ph - PH_MARGIN, ph + PH_MARGIN), ph)
        lower = LIMITS_PH[kind]
        error = reading(f"error of the {said.ph_by}", -lower, "", "at its worst")
        low = reckoned(
            f"pH where the {said.ph_by} reads {lower:g} too high", shown_ph, unit="",
            inputs={"ph": said.ph, "instrument_error": error},
            says="the reading less how far it may be off",
        )  # fmt: skip
        at_worst = _carried(said, _distributed(said, low), count, f"in portions, at pH {low.value:g}")
    return Shaken(
        ratio, _carried(said, ratio, 1, "all at once"), _carried(said, ratio, count, "in portions"), at_worst, lower
    )  # fmt: skip


def _distributed(said: Shaking, ph: Answer) -> Answer:
    return reckoned(
        "distribution ratio", distribution_ratio_of_base, unit="",
        inputs={"partition_ratio": said.partition_ratio, "pka": said.pka, "ph": ph},
        says="only the uncharged part of the base goes into the solvent", sources=("harvey-analytical",),
    )  # fmt: skip


def _carried(said: Shaking, ratio: Answer, shakes: int, name: str) -> Answer:
    each = reading("solvent in each portion", said.solvent.value / shakes, "mL", ASKED)
    share = reckoned(
        f"share {name}", share_recovered, unit="",
        inputs={"distribution_ratio": ratio, "water_ml": said.water, "solvent_ml_per_shake": each},
        fixed={"shakes": shakes},
        says="one less what each portion leaves behind", sources=("harvey-analytical",),
    )  # fmt: skip
    return reckoned(
        name, in_percent, unit="%", basis="share of the base carried over",
        inputs={"share": share}, says="one less what each portion leaves behind",
    )  # fmt: skip


# ---- what is told


def tell(it: Shaken, said: Shaking) -> Told:
    """What goes over, at once, in portions and at worst, and what to do."""
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
        ),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _shares(it: Shaken, said: Shaking) -> tuple[Shown, ...]:
    many = int(said.portions.value)
    at_worst = t("In {many} portions, at pH {ph:g}", many=many, ph=said.ph.value - it.lower)
    return (
        show(it.at_once, label=t("All at once"), decimals=2),
        show(it.in_portions, label=t("In {many} portions", many=many), decimals=3),
        *((show(it.at_worst, label=at_worst, decimals=3),) if it.at_worst else ()),
    )


def _advice(it: Shaken, said: Shaking) -> tuple[str, ...]:
    ph, pka, keep = said.ph.value, said.pka.value, t("Keep every layer until a drop shows that it is empty.")
    told = [keep]
    if ph < pka + PH_MARGIN:
        told = [
            t(
                "At pH {ph:g} much of a base of pKa {pka:g} is charged and stays in the water: raise the pH before "
                "adding solvent.",
                ph=ph, pka=pka,
            ),
            keep,
        ]  # fmt: skip
    elif it.in_portions.value < ENOUGH_PERCENT:
        told = [t("Another portion carries over more than a larger one would.")]
    if it.at_worst is not None and said.ph_by:
        undecided = said.ph_by == "strip" and it.at_worst.value < ENOUGH_PERCENT <= it.in_portions.value
        told.append(
            t(
                "With a strip the pH may be {lower:g} lower: it cannot decide this, measure with a meter.",
                lower=it.lower,
            )
            if undecided
            else t(
                "With {read_by} the pH may be {lower:g} lower: that is the last figure.",
                read_by=t(READ_BY[said.ph_by]),
                lower=it.lower,
            )
        )
    return tuple(told)


# ---- what is taught


def teach(it: Shaken, said: Shaking) -> Lesson | None:
    """The same on paper, where all the solvent at once tempts; None where it is not divided."""
    many, once, divided = (
        int(said.portions.value), it.at_once.value, it.in_portions.value,
    )  # fmt: skip
    if many == 1:
        return None
    return Lesson(
        question=t("How much of the base goes into the solvent, and is it better to divide the solvent?"),
        given=(
            (t("pKa of the base"), f"{said.pka.value:g}"),
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


QUESTION = Question(
    name="shake",
    title=later("Shake a base out"),
    lead=later("The base, the pH of the water, the volumes: what goes over, at once and in portions."),
    button=later("What goes over?"),
    help="What shaking a base out of water recovers, all at once and in portions.",
    kind="bench sum",
    asks=Way(Shaking, work, tell, teach),
)
