"""Dose a product from an extract: any marker, grams the scale can show, the ceiling of the law held against them.

Promises that over the ceiling nothing is dosed, and that a doubt, a drying or a density nobody said stands as assumed.
The calculation is ``products.dose``; what is told and taught of it is ``dose_told``. Writes nothing.
"""

import math
import re
from dataclasses import dataclass

from stillroom.answers.bounds import lower_answer
from stillroom.asking.entries import Assumption, Flag, HangsOn, maybe, needed, taken
from stillroom.asking.question import Question, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own, Share, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.products.counted_words import Counted, counted_in, counted_names, named_like, spoken_name
from stillroom.products.dose import dose
from stillroom.products.dose_asked import (
    KNOWN_HOW,
    as_if_as_is,
    bulk_of_bottles,
    by_share,
    doubt_asked,
    doubt_assumed,
    left_g,
    old_weight,
    strength_asked,
)
from stillroom.products.dose_option import Meets
from stillroom.products.dose_otherwise import with_next_lot
from stillroom.products.dosing import dose_mass_g
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.products.limits import ceiling
from stillroom.quantities.basis import Basis, carrier_kind
from stillroom.quantities.entry import K_OF_A_FIELD, entry, sureness_of
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.uncertainty_words import Sureness
from stillroom.questions.dose_told import Dosed, teach, tell
from stillroom.records.order_from_yaml import bottles
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import later, t

MEETS: dict[str, Meets] = {"about": "aim on average", "at least": "aim at least"}
HOW_SURE, LESS_SURE = 0.95, 0.90
DRYING = "loss on drying of the extract"
_BOTTLES = re.compile(r"[^a-z]+(?:bottles?\s+of|of|[x×*])\s*.+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Bulk:
    """A bulk by its mass, or as so many bottles of a content; 0 bottles where it is one volume."""

    mass_g: float | None
    units: int = 0
    each_ml: float = 0.0


# ---- what is asked


def content_in(text: str, where: str) -> Quantity:
    """A strength by mass as it was written, with its ± where it has one.

    Raises
    ------
    BadEntry
        It is by volume, or cannot be read.
    """
    written = entry(
        text, "%", by_definition=Basis(ratio="w/w"), zero_allowed=where == "loss-on-drying",
        sure_allowed=where == "strength", where=where,
    )  # fmt: skip
    if written.basis.ratio != "w/w":
        raise BadEntry(
            "A content is w/w here: grams in 100 g", repr(text[:40]), "Write it as w/w", where=where
        )
    return written


def percent_in(text: str, where: str) -> float:
    """A content [% w/w]."""
    return 100.0 * mass_fraction(content_in(text, where), where=where)


def half_width_of(strength: Quantity) -> Own[Sureness]:
    """How the ± of a strength is read: in its unit, or as a part of it."""
    return Own(lambda text, where: sureness_of(strength, text, "%", where=where), "figure")


def bulk_in(text: str, where: str) -> Bulk:
    """A bulk: "5 kg", "5 L", or "50 × 100 mL"."""
    if _BOTTLES.fullmatch(text):
        units, each = bottles(text, where)
        return Bulk(units * each.amount) if each.by_mass else Bulk(None, units, each.amount)
    written = entry(text, want=("mass", "volume"), where=where)
    by_volume = written.dimension == "volume"
    return Bulk(None, 0, written.in_unit("mL")) if by_volume else Bulk(written.in_unit("g"))


def usual_share_in(text: str, where: str) -> Answer:
    """The share of extract somebody always takes [% w/w]."""
    return reading("usual share of extract", percent_in(text, where), "%", ASKED)


def drying_in(text: str, where: str) -> Answer:
    """The loss on drying of the extract [%]."""
    return reading(DRYING, percent_in(text, where), "%", ASKED)


def moved_by(it: Dosed, leaf: Answer) -> float:
    """Twice what a leaf brings to the content, as a share of it [1]."""
    parts = [
        one.contribution for one in it.found.content.budget.contributions if one.name.startswith(leaf.name)
    ]
    return 2.0 * math.hypot(*parts) / it.found.content.answer.value


def moves(it: Dosed, leaf: Answer) -> str:
    """The same in words."""
    return t("moves the content by ± {percent:.1f} % of it", percent=100 * moved_by(it, leaf))


def is_assumed(leaf: Answer | None) -> bool:
    """Whether nobody said it."""
    return leaf is not None and leaf.leaf is not None and leaf.leaf.kind == "assumed"


def because_of(leaf: Answer | None) -> str:
    """Why it was taken."""
    return leaf.leaf.where if leaf and leaf.leaf else ""


def doubt_taken(it: Dosed, said: "ToDose") -> str:
    """The doubt taken for a strength measured like that."""
    words = KNOWN_HOW[said.measured_by][1]
    return f"± {2.0 * (it.doubt.standard_uncertainty or 0.0):.2g} % w/w (k = 2): {words}"


def saved(it: Dosed) -> float:
    """How much smaller the dose would be were it meant less surely [g]."""
    strength = lower_answer(it.found.strength.answer, coverage=LESS_SURE).value
    return it.found.chosen.exact.value - dose_mass_g(it.bulk.value, it.aim.value, strength)


def saved_words(it: Dosed, _: Said) -> str:
    """The same in words."""
    return t(
        "with {sure:g} of 100 the dose would be {saved:.3g} g smaller", sure=100 * LESS_SURE, saved=saved(it)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ToDose(Said):
    """An extract, what the product is to hold, how much of it, where it is sold, and the scale."""

    strength: Quantity = needed(
        Own(content_in, "figure", "%"),
        must=later("The strength of the extract is needed"), do=later("Read its certificate, or have it assayed"),
        label=later("Strength of the extract, of what"), short=later("Strength of the extract"), when="strength",
        help='Of the extract: "38.4 %".',
    )  # fmt: skip
    matter: str = taken(
        "as is", OneOf(lambda: ("as is", "dried"), later("a matter of the extract")),
        label=later("Of the extract"), beside=True, help="Of which extract: as is, or dried.",
    )  # fmt: skip
    of: Counted = needed(
        Own(counted_in, "list", named=counted_names),
        must=later("A strength is of something"), do=later('Write "rosmarinic acid", or "total alkaloids as quinine"'),
        label=later("Of what"), beside=True, help='What the strength is of: "rosmarinic acid".',
    )  # fmt: skip
    plus_minus: Sureness | None = maybe(
        HangsOn("strength", half_width_of),
        label=later("Its ±, or how it was measured"), short=later("± in the unit of the strength (k = 2)"),
        help='Its ±, in its unit: "1.2 (k = 2)", or "3 % of it".',
        unsaid=Assumption(
            what=later("how sure the strength is"), taken=doubt_taken,
            because=lambda _, said: KNOWN_HOW[said.measured_by][2],
            effect=lambda it, _: moves(it, it.doubt), share=lambda it, _: moved_by(it, it.doubt),
            counts=lambda it, _: is_assumed(it.doubt),
        ),
    )  # fmt: skip
    measured_by: str = taken(
        "not known",
        OneOf({key: words for key, (_, words, _) in KNOWN_HOW.items()}, later("a way of measuring")),
        label=later("How it was measured"), beside=True, chosen="not known",
        help="How it was measured, where its ± is not known: outside certificate, titrated here.",
    )  # fmt: skip
    meets: str = taken(
        "about", OneOf(lambda: tuple(MEETS), later("a way to meet it")),
        label=later("The product is to hold"), short=later("Which way"), chosen="about", when="wanted",
        flags={"at-least": Flag("at least", "It is to hold at least that much, not about.")},
    )  # fmt: skip
    wanted: float = needed(
        Own(percent_in, "figure", "%"),
        must=later("What the product is to hold is needed"), do=later("Write it in % w/w"),
        label=later("Content wanted"), beside=True, option="want",
        help='What the product is to hold, "0.10 %".',
    )  # fmt: skip
    amount: Bulk = needed(
        Own(bulk_in), must=later("The bulk is needed"), do=later('Write "5 kg", or "50 x 100 mL"'),
        label=later("Bulk, or bottles × mL"), option="bulk", help='"5.000 kg", or "50 x 100 mL".',
    )  # fmt: skip
    kind: str = needed(
        Words(lambda: KINDS_OF_PRODUCT, choice=True),
        must=later("The kind of product is needed"), do=later("The law has limits by kind"),
        label=later("Kind of product, market"), short=later("Kind of product"), when="kind",
        help='Kind of product: "hair leave-on".',
    )  # fmt: skip
    market: str = taken(
        "EU", Words(lambda: ("EU", "another"), choice=True),
        label=later("Market"), beside=True, chosen="EU", help="Where it is sold; EU when left out.",
    )  # fmt: skip
    step: Answer = needed(
        Figure(of="readability of the scale", symbol="g", unit="g"),
        must=later("The readability of the scale is needed"), do=later("It is the smallest step it shows: 0.01 g"),
        label=later("Readability of the scale (its smallest step)"),
        help='Readability of the scale, its smallest step: "0.01 g".',
    )  # fmt: skip
    loss_on_drying: Answer | None = maybe(
        Own(drying_in, "figure", "%"),
        label=later("Loss on drying of the extract"), short=later("Loss on drying"), folded=True,
        hint=later("When the strength is of the dried extract"),
        help="Of the extract, when its strength is of the dried one.",
        unsaid=Assumption(
            what=later("loss on drying of the extract"), taken=lambda it, _: f"{it.drying.value:g} %",
            because=lambda it, _: because_of(it.drying),
            effect=lambda it, _: moves(it, it.drying), share=lambda it, _: moved_by(it, it.drying),
            counts=lambda it, _: is_assumed(it.drying),
        ),
    )  # fmt: skip
    density: Answer | None = maybe(
        Figure(
            of="density of the bulk", symbol="g/mL", unit="g/mL", low=0.5, high=2.0,
            must=later("A bulk weighs from 0.5 to 2 g/mL"), do=later("Look at the point"),
        ),
        label=later("Density of the bulk"), short=later("Density"), folded=True, hint=later("When bottles are counted"),
        help='Of the bulk, when bottles are counted: "0.95 g/mL".',
        unsaid=Assumption(
            what=later("density of the bulk"), taken=lambda it, _: f"{it.density[0].value:.2f} g/mL",
            because=lambda it, _: because_of(it.density[0]),
            effect=lambda it, _: moves(it, it.density[1]), share=lambda it, _: moved_by(it, it.density[1]),
            counts=lambda it, _: bool(it.density),
        ),
    )  # fmt: skip
    at_hand: Answer | None = maybe(
        Figure(of="extract at hand", symbol="g", unit="g"),
        label=later("Extract at hand"), folded=True, hint=later("Tells what is left"),
        help='Extract at hand: "39 g".',
    )  # fmt: skip
    next_strength: float | None = maybe(
        Own(percent_in, "figure", "%"),
        label=later("Strength of the next lot, as is"), short=later("Next lot"), folded=True,
        help='What another lot would take: "29.7 %".',
        unsaid=Assumption(
            what=later("strength of the next lot"), taken=lambda it, _: f"{it.next_lot.strength.value:.3g} %",
            because=later("lots of one plant differ by more"),
            effect=later("nothing here: an example of the next dose"), share=0.0,
        ),
    )  # fmt: skip
    usual_share: Answer | None = maybe(
        Own(usual_share_in, "figure", "%"),
        label=later("Your usual share of extract"), short=later("Usual share"), folded=True, option="share",
        hint=later("Tells what a fixed share would make"),
        help='What a fixed share of the extract would make instead: "0.6 %".',
    )  # fmt: skip
    how_sure: float = taken(
        HOW_SURE, Share(unit=later("of 100")),
        label=later("How sure “at least” is meant"), short=later("How sure"), folded=True,
        help='What "at least" means: "95" of 100 batches.',
        unsaid=Assumption(
            what=later("how sure “at least” is meant"), taken=later("95 of 100 such batches"),
            because=later("usual; by the doubt of the strength alone"), effect=saved_words,
            share=lambda it, _: saved(it) / it.found.chosen.exact.value,
            counts=lambda _, said: said.meets == "at least",
        ),
    )  # fmt: skip


# ---- how it is worked out


def work(said: ToDose) -> Dosed:
    """Weigh the extract by its strength, and see what a tempting way and the next lot would make."""
    matter = said.matter if "matter" in said.text else said.strength.basis.matter or said.matter
    _refuse_two_strengths(said, matter)
    dried, counted, percent = matter == "dried", said.of, 100.0 * mass_fraction(said.strength)
    sure = said.plus_minus or sureness_of(said.strength, "", "%", where="plus-minus")
    doubt = doubt_assumed(said.measured_by, percent)
    if sure.half_width:
        doubt = doubt_asked(sure.half_width, K_OF_A_FIELD, within_limits=sure.within_limits)
    of_extract = Basis("w/w", counted.of, counted.compound, "dried" if dried else "as is", "extract")
    strength = strength_asked(percent, of_extract.in_words(), doubt)
    of_product = Basis("w/w", counted.of, counted.compound, "as is", "product")
    aim = reading("aim", said.wanted, "%", ASKED, basis=of_product.in_words())
    bulk = _bulk(said)
    limit = ceiling(counted.words, said.kind, said.market)
    drying = (said.loss_on_drying or _usual_drying()) if dried else None
    try:
        found = dose(
            strength, bulk, aim, scale_step=said.step, product_type=said.kind, substance=counted.compound,
            market=said.market, limit=limit, loss_on_drying=drying, available=said.at_hand, units=said.amount.units,
            meets=MEETS[said.meets], how_sure_percent=100.0 * said.how_sure,
        )  # fmt: skip
    except BadEntry as error:
        raise (error if error.where else error.at("wanted")) from error
    as_is = found.strength.answer
    other = _next_strength(said, as_is, aim)
    tempting = [as_if_as_is(strength, as_is, aim, bulk, said.step, limit)] if dried else []
    if said.usual_share:
        tempting.append(by_share(said.usual_share, as_is, bulk, aim.basis, limit))
    tempting.append(old_weight(found.mass, other, aim, bulk, limit))
    left = said.at_hand and reckoned(
        "extract left", left_g, unit="g", inputs={"available_mass_g": said.at_hand, "dose_mass_g": found.mass},
        says="what is at hand, less the dose",
    )  # fmt: skip
    parts = dict(bulk.inputs)
    of_bottles = said.density is None and "density_g_ml" in parts
    return Dosed(
        found=found,
        aim=aim,
        bulk=bulk,
        of=counted.words,
        doubt=doubt,
        drying=drying,
        density=(parts["density_g_ml"], parts["density_error_g_ml"]) if of_bottles else (),
        left=left,
        next_lot=with_next_lot(other, None, aim, bulk, said.step, found.mass),
        like=named_like(counted.compound),
        tempting=tuple(tempting),
    )


def _refuse_two_strengths(said: ToDose, matter: str) -> None:
    """What a strength says of itself must not contradict what stands beside it."""
    basis = said.strength.basis
    for where, here, there in (
        ("of", basis.of, said.of.of),
        ("of", basis.reckoned_as, said.of.compound),
        ("matter", basis.matter, matter),
        ("strength", carrier_kind(basis.carrier), "extract"),
    ):
        if here is not None and spoken_name(here).casefold() != there.casefold():
            raise BadEntry(
                "A strength is of one thing, on one basis",
                worded(
                    "{here} in {text!r}, and {there} beside it",
                    here=here, text=said.text["strength"][:60], there=there,
                ),
                "Say it once",
                where=where,
            )  # fmt: skip


def _bulk(said: ToDose) -> Answer:
    bulk = said.amount
    if bulk.mass_g is not None:
        return reading("bulk", bulk.mass_g, "g", ASKED)
    return bulk_of_bottles(bulk.units or 1, bulk.each_ml, said.density.value if said.density else None)


def _usual_drying() -> Answer:
    usual, limits = rule("extract-loss-on-drying").value, rule("extract-loss-on-drying-limits").value
    because = "usual for a dry extract; nobody dried this one"
    return assumed(
        DRYING, usual, "%", because, standard_uncertainty=limits / math.sqrt(3.0), shape="rectangular"
    )


def _next_strength(said: ToDose, as_is: Answer, aim: Answer) -> Answer:
    """The next lot's strength: as said, else a quarter weaker, or a quarter stronger where weaker could not do."""
    u, name = as_is.standard_uncertainty, "strength of the next lot"
    if said.next_strength is not None:
        if said.next_strength < aim.value:
            raise BadEntry(
                "A product cannot be stronger than its extract",
                worded("aim {aim:g} %, next lot {said:g} %", aim=aim.value, said=said.next_strength),
                "Leave the next lot out, or look at its strength",
                where="next-strength",
            )
        return reading(name, said.next_strength, "%", ASKED, basis=as_is.basis, standard_uncertainty=u)
    share = rule("next-lot-share").value / 100.0
    weaker = as_is.value * share > aim.value
    because = f"an example, a quarter {'weaker' if weaker else 'stronger'}: lots of one plant differ by more"
    strength = as_is.value * (share if weaker else 2.0 - share)
    return assumed(name, strength, "%", because, basis=as_is.basis, standard_uncertainty=u)


QUESTION = Question(
    name="dose",
    title=later("Dose from an extract"),
    lead="",
    button=later("Calculate"),
    help="Grams of an extract for a bulk, and its upper bound against the ceiling of the law.",
    kind="a dose",
    asks=Way(ToDose, work, tell, teach),
)
