"""Blend extract lots to a strength: which of them, how much of each, and how sure the strength of the blend is.

Kinds of extract, from memory of the general monograph on extracts of the European Pharmacopoeia: a standardised one may
be adjusted with inert carrier or by blending, a quantified one by blending alone, any other is defined by how it is
made and is not adjusted. Writes nothing.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.answers.extracts_blended import HELD, STRENGTH, Blended, LotAtHand, blended
from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own, Words
from stillroom.asking.said import Said
from stillroom.documents.blocks import Heading, Numbers, Points
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import BadEntry, NotAllowed, StillroomError, worded
from stillroom.evidence.answer import Answer, Shape, assumed, reading
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry
from stillroom.quantities.fractions import mass_fraction
from stillroom.texts.catalogue import later, t

MOST_LOTS = 12
DOUBT_SHARE = 0.03
"""Standard uncertainty of a strength that says none, as a share of it (assumed: a titration). [1]"""
ONE_METHOD = "assay-of-extracts"
"""What strengths that say no doubt are off by together: one titrant and one burette found them all."""
CARRIER = "carrier"
STANDARDISED, QUANTIFIED, OTHER = "standardised", "quantified", "other"
KINDS = {
    STANDARDISED: later("standardised: known activity, a fixed content"),
    QUANTIFIED: later("quantified: content within a range, blending alone"),
    OTHER: later("other: defined by how it is made"),
}
MAY = {
    STANDARDISED: later("A standardised extract may be adjusted with inert carrier, or by blending batches."),
    QUANTIFIED: later("A quantified extract may be adjusted by blending batches alone, never with carrier."),
}
CAUTIONS = ("dust", "own-numbers")
_ROW = re.compile(
    r"(?P<code>\S+?)[,:]?\s+(?P<strength>.+?)[,]?\s+(?P<mass>[\d.,]+\s*(?:kg|g|mg))", re.IGNORECASE
)
BY_MASS = Basis(ratio="w/w")


# ---- what is asked


def lots_in(text: str, where: str) -> tuple[LotAtHand, ...]:
    """Lots in the order they are to be used: "E1 36.2 ± 0.8 % 120 g; E2 41.0 % 60 g", or a line each."""
    rows = [one.strip() for one in re.split(r"[;\n]", text) if one.strip()]
    if not 1 <= len(rows) <= MOST_LOTS:
        must = worded("One to {most} extracts are blended", most=MOST_LOTS)
        raise BadEntry(must, str(len(rows)), "Write each as E1 36.2 % 120 g", where=where)
    found = tuple(_lot(one, where) for one in rows)
    if len({one.code for one in found}) < len(found):
        raise BadEntry("Each extract is named once", text[:40], "Add up what is at hand of it", where=where)
    return found


def _lot(row: str, where: str) -> LotAtHand:
    parts = _ROW.fullmatch(row)
    if parts is None:
        raise BadEntry(
            "An extract is its name, its strength and how much there is of it", repr(row[:40]),
            "Write it as E1 36.2 ± 0.8 % 120 g", where=where,
        )  # fmt: skip
    code = parts["code"]
    strength = entry(
        parts["strength"], "%", by_definition=BY_MASS, zero_allowed=True, sure_allowed=True, where=where
    )
    percent = 100.0 * mass_fraction(strength, where=where)
    doubt = (strength.standard_uncertainty or 0.0) * (percent / strength.value if strength.value else 1.0)
    mass = entry(parts["mass"], "g", where=where).in_unit("g")
    called = f"{STRENGTH}{code}"
    if doubt or not percent:
        shape: Shape = "rectangular" if strength.within_limits else ""
        told = reading(
            called, percent, "%", ASKED, basis="w/w", standard_uncertainty=doubt or None, shape=shape
        )
    else:
        told = assumed(
            called, percent, "%", "as asked; its doubt was not said: 3 % of it", basis="w/w",
            standard_uncertainty=DOUBT_SHARE * percent, cause=ONE_METHOD,
        )  # fmt: skip
    return LotAtHand(code, told, reading(f"{HELD}{code}", mass, "g", ASKED))


def _ratio(text: str, where: str) -> Answer:
    """A drug–extract ratio as the trade writes it: "5.2", "5.2:1"."""
    body = re.sub(r"\s*:\s*1$", "", text.strip())
    return Figure(of="native ratio", symbol="", low=0.1, high=1000.0).read(body, where)


def _wanted(text: str, where: str) -> Answer:
    said = entry(text, "%", by_definition=BY_MASS, where=where)
    return reading("wanted", 100.0 * mass_fraction(said, where=where), "%", ASKED, basis="w/w")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf(Said):
    """Extracts at hand, and what is wanted of them."""

    lots: tuple[LotAtHand, ...] = needed(
        Own(lots_in, "long"), label=later("Extracts, a row each: name, strength, how much"),
        hint=later("E1 36.2 ± 0.8 % 120 g; those to be used first, first"), argument=True, joined="; ",
        must=later("Extracts are blended"), do=later("Write each as E1 36.2 % 120 g"),
    )  # fmt: skip
    want: Answer = needed(
        Own(_wanted, "figure", "%"), label=later("Strength wanted, w/w"), must=later("The strength wanted is needed"),
        do=later('Write "38.0 %"'), help='Of the blend: "38.0 %".',
    )  # fmt: skip
    amount: Answer | None = maybe(
        Figure(of="amount", symbol="g", unit="g"), label=later("How much"), beside=True,
        hint=later("As much as they make where you leave it out"), help='Of the blend: "100 g".',
    )  # fmt: skip
    kind: str = taken(
        QUANTIFIED, OneOf(KINDS, later("a kind of extract")), label=later("The extract is"), chosen=QUANTIFIED,
        help="standardised, quantified or other.",
        unsaid=Assumption(
            what=later("which kind of extract it is"), taken=KINDS[QUANTIFIED],
            because=later("blending is allowed in it, carrier is not"),
            effect=later("a standardised one may take carrier too"), share=0.1,
        ),
    )  # fmt: skip
    carrier: Answer | None = maybe(
        Figure(of="carrier", symbol="g", unit="g"), label=later("Inert carrier at hand"),
        hint=later("Only for a standardised extract"), help='Of inert carrier: "200 g".',
    )  # fmt: skip
    native: Answer | None = maybe(
        Own(_ratio, "figure"), label=later("Drug–extract ratio, native"), beside=True,
        help='Dry plant over native extract: "5.2", "5.2:1".',
    )  # fmt: skip
    of: str = taken("", Words(), label=later("Of what"), hint=later("Such as rosmarinic acid"),
                    help='What the strength is of: "rosmarinic acid".')  # fmt: skip


# ---- how it is worked out


def work(said: Shelf) -> Blended:
    """Choose the masses."""
    _refuse_what_its_kind_forbids(said)
    lots = said.lots
    if said.carrier is not None:
        nothing = reading(f"{STRENGTH}{CARRIER}", 0.0, "%", "an inert carrier holds none", basis="w/w")
        lots = (*lots, LotAtHand(CARRIER, nothing, said.carrier))
    try:
        return blended(lots, said.want, said.amount, CARRIER, said.native)
    except StillroomError as error:
        raise (error if error.where else error.at("want")) from error


def _refuse_what_its_kind_forbids(said: Shelf) -> None:
    if said.kind == OTHER:
        raise NotAllowed(
            "An extract that is defined by how it is made is not adjusted to a content",
            "a blend to a strength",
            "State its content as found, or make it a quantified or standardised one with its limits",
            where="kind",
        )
    if said.kind == QUANTIFIED and said.carrier is not None:
        raise NotAllowed(
            "A quantified extract is adjusted by blending batches alone",
            "inert carrier",
            "Blend it with a weaker batch, or call it standardised if its activity is known",
            where="carrier",
        )


# ---- what is told


def tell(found: Blended, said: Shelf) -> Told:
    """What to weigh, and how strong it will be."""
    whole = sum(one.value for one in found.weigh)
    marker = said.of or t("marker")
    figures = tuple(
        show(one, label=t("Weigh of {code}", code=code), decimals=2)
        for code, one in zip(found.lots, found.weigh, strict=True)
    )
    strength = show(found.strength, label=t("Strength of the blend, {marker}", marker=marker))
    ratio = (show(found.ratio, label=t("Drug–extract ratio, total"), decimals=2),) if found.ratio else ()
    return Told(
        t("A blend of {mass} g at {percent} %", mass=number(whole), percent=number(said.want.value)),
        t("Of {marker}, w/w. Nothing is written in a book.", marker=marker),
        (Numbers((*figures, strength, *ratio)), Heading(t("Before it is mixed")), Points(tuple(_points(found, said)))),
        tuple(caution_block(key) for key in CAUTIONS),
    )  # fmt: skip


def _points(found: Blended, said: Shelf) -> Iterator[str]:
    yield t(MAY[said.kind])
    yield t(
        "Lots of one plant, one liquid and one way only, each released; the blend is a lot of its own, assayed "
        "and released by itself."
    )
    yield t(
        "Mix the smallest part first with as much of the next, then double, and sieve: spoonfuls do not mix."
    )
    unsaid = [one.code for one in said.lots if one.strength.leaf and one.strength.leaf.cause == ONE_METHOD]
    if unsaid:
        yield t(
            "How sure the strength of {lots} is was not said: {share} % of it (k = 1) is taken, off together as one "
            "method would be. Write it as 36.2 ± 0.8 %.",
            lots=", ".join(unsaid), share=number(100.0 * DOUBT_SHARE, 0),
        )  # fmt: skip
    if found.carrier_share > 0.0:
        yield t(
            "{share} % of it is carrier: name it on the certificate, and the native extract beside it.",
            share=number(100.0 * found.carrier_share, 1),
        )
    if found.ratio is None:
        yield t("The drug–extract ratio is stated native and total; carrier moves the total one only.")
    yield t(
        "Terms after the general monograph on extracts of the European Pharmacopoeia, recalled from memory: read the "
        "text in force before a label says so."
    )


QUESTION = Question(
    name="strengthen",
    title=later("Blend extracts to a strength"),
    lead=later(
        "Lots with their strength and what is left of each: how much of which, and how sure the blend is."
    ),
    button=later("Weigh what?"),
    help='Blend extract LOTS to a strength, each as "E1 36.2 ± 0.8 % 120 g", those to be used first, first.',
    kind="bench sum",
    asks=Way(Shelf, work, tell),
)
