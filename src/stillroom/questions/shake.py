"""Shake a base, an acid or both in one out of water: what the solvent carries over, in portions, and what to do.

Promises the same at worst where the pH was read with a strip or a meter. The equations are
``science.extraction.partition``. Writes nothing.
"""

import math
import re
from dataclasses import dataclass

from stillroom.answers.buffer_weighed import LIMITS_PH, STRIP_LIMITS_PH, shown_ph
from stillroom.answers.ph_words import READ_BY, ph_in, read_with
from stillroom.answers.plain_sums import in_percent
from stillroom.asking.entries import Assumption, HangsOn, maybe, needed, taken
from stillroom.asking.question import Question, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.quantities.numbers import number_in
from stillroom.questions.shake_told import KINDS, PH_MARGIN, Shaken, teach, tell
from stillroom.science.extraction.partition import distribution_ratio, share_recovered
from stillroom.texts.catalogue import later

MOST_PORTIONS, USUAL_PORTIONS = 20, 3
_LOG = re.compile(r"\s*(?:log|lg)(?:10|₁₀)?\s*(?:P|Pow|K|Kow|KOW)?\s*[=:]?\s*(?P<figure>[-−+.,\d]+)\s*")
GROUPS = {
    "base": ("base_pka", "second_base_pka"), "acid": ("acid_pka", "second_acid_pka"), "both": ("base_pka", "acid_pka"),
    "neutral": (), "charged": (),
}  # fmt: skip


# ---- what is asked


def water_ph(text: str, where: str) -> Answer:
    """The pH of the water."""
    return reading("pH", ph_in(text, where), "", ASKED)


def ratio_in(text: str, where: str) -> Answer:
    """A partition ratio, or its logarithm where that is said: "60", "log P 1.78", "log Kow = 1.78".

    Raises
    ------
    BadEntry
        It is none, or not above zero.
    """
    logarithm = _LOG.fullmatch(text)
    value = number_in(logarithm["figure"] if logarithm else text, where=where).value
    ratio = 10.0 ** min(value, 99.0) if logarithm else value
    if not 1e-6 <= ratio <= 1e12:
        raise BadEntry(
            "A partition ratio lies above zero", repr(text[:40]), "Write 60, or log P 1.78", where=where
        )
    return reading("partition ratio", ratio, "", ASKED)


def portions_in(text: str, where: str) -> Answer:
    """Whole portions of solvent."""
    count = number_in(text, where=where).value
    if count != int(count) or not 1 <= count <= MOST_PORTIONS:
        must = worded("The solvent is divided into 1 to {most} whole portions", most=MOST_PORTIONS)
        raise BadEntry(must, repr(text[:40]), "Write a whole number", where=where)
    return reading("portions", count, "", ASKED)


def _pka_of(kind: str) -> Own[dict[str, Answer]]:
    """Reads the pKa of such a substance, each under the name the equation has for it."""

    def read(text: str, where: str) -> dict[str, Answer]:
        names = GROUPS[kind]
        said = [
            number_in(one, can_be=(-2.0, 16.0), where=where).value for one in text.split(";") if one.strip()
        ]
        if any(not -2.0 <= one <= 16.0 for one in said):
            raise BadEntry(worded("A pKa lies between -2 and 16"), repr(text[:40]), where=where)
        if len(said) > len(names):
            raise BadEntry(
                worded("{kind} has {most} pKa here", kind=kind.capitalize(), most=len(names) or "no"),
                repr(text[:40]), "Say another kind, or leave one out", where=where,
            )  # fmt: skip
        if kind == "both" and len(said) != 2:
            raise BadEntry(
                "A base with an acid group has two pKa, that of the base first", repr(text[:40]),
                'Write both: "8.2; 9.9"', where=where,
            )  # fmt: skip
        ordered = sorted(said, reverse=kind == "base") if kind in ("base", "acid") else said
        return {
            name: reading(_CALLED[name], one, "", ASKED) for name, one in zip(names, ordered, strict=False)
        }

    return Own(read, "figure")


_CALLED = {
    "base_pka": "pKa", "second_base_pka": "second pKa", "acid_pka": "pKa of the acid",
    "second_acid_pka": "second pKa of the acid",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaking(Said):
    """A substance in water, and the solvent it is shaken with."""

    kind: str = taken(
        "base", OneOf(KINDS, must=later("It is a base, an acid, both, neutral or charged at every pH")),
        label=later("What it is"), chosen="base",
        help="What it is: base (when left out), acid, both, neutral, or charged at every pH.",
    )  # fmt: skip
    pka: dict[str, Answer] | None = maybe(
        HangsOn("kind", _pka_of),
        label=later("Its pKa; two with a semicolon between"),
        hint=later("8.5, or 8.52; 4.13; of both, that of the base first"),
        help='"8.5"; two with a semicolon between, "8.52; 4.13"; of both in one, that of the base first.',
    )
    partition_ratio: Answer = needed(
        Own(ratio_in, "figure"),
        label=later("Partition ratio, solvent over water"), hint=later("Of the uncharged form: 60, or log P 1.78"),
        help='Of the uncharged form, solvent over water: "60" or "log P 1.78".',
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

    @property
    def pkas(self) -> dict[str, Answer]:
        """Its pKa, each under the name the equation has for it."""
        return self.pka or {}


# ---- how it is worked out


def work(said: Shaking) -> Shaken:
    """What goes over at the pH as read, at once and in portions; and at the worst pH that reading may mean."""
    _refuse_what_no_ph_moves(said)
    ratio, count = _distributed(said, said.ph), int(said.portions.value)
    at_worst, worst_ph = None, said.ph.value
    if said.ph_by:
        ph = said.ph.value
        kind, _ = read_with(said.ph_by, (ph - PH_MARGIN, ph + PH_MARGIN), ph)
        off = LIMITS_PH[kind]
        tried = [_ph_as_far_off(said, one) for one in (-off, off) if 0.0 <= ph + one <= 14.0]
        low = min(tried, key=lambda one: _distributed(said, one).value)
        worst_ph = low.value
        at_worst = _carried(said, _distributed(said, low), count, f"in portions, at pH {low.value:g}")
    return Shaken(
        ratio, _carried(said, ratio, 1, "all at once"), _carried(said, ratio, count, "in portions"), at_worst, worst_ph,
        _elsewhere(said),
    )  # fmt: skip


def _refuse_what_no_ph_moves(said: Shaking) -> None:
    if said.kind == "charged":
        raise OutsideModel(
            "What is charged at every pH is not shaken out: no acid and no alkali takes its charge",
            "a quaternary base",
            "Crystallise the chloride (excess acid or salt), pair it with a dye ion, use a cation exchanger, or shake "
            "with 1-butanol",
            where="kind",
        )
    if said.kind != "neutral" and not said.pkas:
        raise BadEntry(
            worded("Of {kind} the pKa decides", kind=said.kind), "nothing", 'Write it: "8.5"', where="pka"
        )


def _ph_as_far_off(said: Shaking, off: float) -> Answer:
    error = reading(f"error of the {said.ph_by}", off, "", "at its worst")
    high_or_low = "high" if off < 0 else "low"
    return reckoned(
        f"pH where the {said.ph_by} reads {abs(off):g} too {high_or_low}", shown_ph, unit="",
        inputs={"ph": said.ph, "instrument_error": error},
        says="the reading less how far it may be off",
    )  # fmt: skip


def _distributed(said: Shaking, ph: Answer) -> Answer:
    return reckoned(
        "distribution ratio", distribution_ratio, unit="",
        inputs={"partition_ratio": said.partition_ratio, "ph": ph, **said.pkas},
        says="only the uncharged part goes into the solvent", sources=("harvey-analytical",),
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
        name, in_percent, unit="%", basis="share carried over",
        inputs={"share": share}, says="one less what each portion leaves behind",
    )  # fmt: skip


def _elsewhere(said: Shaking) -> tuple[tuple[float, float, float], ...]:
    if not said.pkas:
        return ()
    shakes = int(said.portions.value)
    at = {name: one.value for name, one in said.pkas.items()}
    told = []
    for whole in range(1, 14):
        ratio: float = distribution_ratio(said.partition_ratio.value, float(whole), **at)
        share: float = share_recovered(ratio, said.water.value, said.solvent.value / shakes, shakes)
        told.append((float(whole), math.log10(ratio), 100.0 * share))
    return tuple(told)


QUESTION = Question(
    name="shake",
    title=later("Shake out"),
    lead=later(
        "The base or acid, the pH of the water, the volumes: what goes over, at once and in portions."
    ),
    button=later("What goes over?"),
    help="What shaking a base or an acid out of water recovers, all at once and in portions.",
    kind="bench sum",
    asks=Way(Shaking, work, tell, teach),
)
