"""Blend spirits: what is at hand, the strength wanted and how much, how warm; or all of it poured together.

Promises what to weigh of each, the least fresh spirit or the least cost. Wet plant is at hand too: its grams, and the
water in them. The calculation is ``answers.spirit_blended``; what is told and taught of it is ``blend_told``. Writes
nothing.
"""

import re
from dataclasses import dataclass

from stillroom.answers.spirit_blended import FRESH, PLANT, Blended, StockAsked, blended, most_of
from stillroom.answers.spirit_percent import spirit_mass_g
from stillroom.answers.spirit_strength import OWN_DOUBT
from stillroom.asking.entries import Assumption, maybe, taken
from stillroom.asking.question import Question, Sentence, Way
from stillroom.asking.readers import OneOf, Own
from stillroom.asking.said import Said, lines
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.quantities.strength_words import refuse_silent
from stillroom.questions.blend_stocks import PlantStock, SpiritStock, StockLine, stock_said
from stillroom.questions.blend_told import Blending, recipe, teach, tell
from stillroom.questions.spirit_amounts import Amount, amount_in, want_words, wanted_in
from stillroom.questions.spirit_at_hand import (
    plain_thermometer,
    temperature_now,
    thermometer_said,
)
from stillroom.questions.spirit_unsaid import (
    PLAIN_THERMOMETER,
    TWO,
    contribution,
    division_said,
    plain_alcoholometer,
    sureness,
)
from stillroom.science.liquids.blending import AIMS, LEAST_COST, LEAST_FRESH
from stillroom.substances.spirits import SPIRIT_SOURCES
from stillroom.texts.catalogue import later

MOST_STOCKS, SHOWN_STOCKS = 6, 2
# ---- what is asked


def wanted_amount_in(text: str, where: str) -> Amount:
    """How much is wanted."""
    return amount_in(text, where, how="wanted")


def may_be_chosen(it: Blending, said: Said) -> bool:
    """Whether the blend could have been another."""
    return "want" in said.text and len(it.found.stocks) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBlend(Said):
    """Spirits and wet plant at hand, and what is wanted of them."""

    stocks: tuple[SpiritStock | PlantStock, ...] = lines(
        StockLine, stock_said, most=MOST_STOCKS, shown=SHOWN_STOCKS, called="stock",
        must=later("A blend is made of something"), do=later("Fill in a row"),
    )  # fmt: skip
    want: Answer | None = maybe(
        Own(wanted_in, "figure", "% v/v"), label=later("Want, and how much"), short=later("Strength wanted"),
        hint=later("Such as 5 L. No amount: all that can be made. Neither: all is poured together"), ratio_said=True,
        help='Strength wanted: "70 % v/v". Left out: all is poured together.',
    )  # fmt: skip
    amount: Amount | None = maybe(
        Own(wanted_amount_in), label=later("Amount wanted"), beside=True, argument=True
    )
    temperature: Answer = temperature_now()
    aim: str = taken(
        LEAST_FRESH,
        OneOf(
            {LEAST_FRESH: later("least fresh spirit"), LEAST_COST: later("least cost")},
            must=worded("A blend aims at {aims}", aims=" or ".join(AIMS)),
        ),
        label=later("Chosen for"), folded=True, chosen=LEAST_FRESH,
        help="What it is chosen for: least fresh spirit, or least cost.",
        unsaid=Assumption(
            what=later("what the blend is chosen for"), taken=later("least fresh spirit"),
            because=later("fresh spirit is dear"), counts=may_be_chosen, share=0.0,
            effect=later("decides which stock is spared; mass and strength stay the same"),
        ),
    )  # fmt: skip
    division: Answer | None = division_said()
    thermometer: Answer | None = thermometer_said(PLAIN_THERMOMETER)


# ---- how a command says it


def stock_in_words(text: str, again: int) -> dict[str, str]:
    """The entries of a stock, from "3 L of 83 % v/v, recovered, 0 EUR/L"."""
    told, *besides = (one.strip() for one in re.split(r",\s+|(?<!\d),|,(?!\d)", text))
    amount, of, strength = told.partition(" of ")
    if not of or len(besides) > 2:
        raise BadEntry(
            "A stock is an amount of a strength, then what it is and its price", repr(text[:60]),
            'Write "3 L of 83 % v/v, recovered, 0 EUR/L"', where="--stock",
        )  # fmt: skip
    refuse_silent(strength, where="--stock")
    price = next((one for one in besides if "/" in one), "")
    what = next((one for one in besides if one != price), FRESH)
    return _line(again, strength.strip(), amount.strip(), what, price)


def plant_in_words(text: str, again: int) -> dict[str, str]:
    """The entries of wet plant, from "800 g with 78 % water"."""
    hit = re.fullmatch(r"(.+?) with (.+?) (?:of )?water", " ".join(text.split()))
    if hit is None:
        raise BadEntry(
            "Fresh plant has a mass and its water", repr(text[:60]), 'Write "800 g with 78 % water"', where="--plant"
        )  # fmt: skip
    return _line(again, hit[2], hit[1], PLANT, "")


def _line(again: int, strength: str, amount: str, what: str, price: str) -> dict[str, str]:
    if again >= MOST_STOCKS:
        raise BadEntry(
            worded("A blend has {most_rows} stocks at most", most_rows=MOST_STOCKS), str(again + 1),
            "Pour like to like first", where="--stock",
        )  # fmt: skip
    name = f"stock-{again + 1}"
    return {name: strength, f"{name}-amount": amount, f"{name}-what": what, f"{name}-price": price}


# ---- how it is worked out


def work(said: ToBlend) -> Blending:
    """Take of each what makes the strength, spare the rest."""
    if all(isinstance(one, PlantStock) for one in said.stocks):
        raise BadEntry("A blend holds some spirit", "plant only", "Fill in the spirit", where="stock-1")
    thermometer = said.thermometer or plain_thermometer()
    stocks = tuple(one.asked(said.temperature, thermometer) for one in said.stocks)
    if said.aim == LEAST_COST:
        _refuse_without_prices(said, stocks)
    product = _product(said, stocks)
    try:
        found = blended(
            stocks, said.want, product, said.temperature, aim=said.aim, thermometer=thermometer,
            alcoholometer=said.division or plain_alcoholometer(),
        )  # fmt: skip
    except StillroomError as error:
        raise (error if error.where else error.at("want")) from error
    return Blending(
        found, said.temperature, said.aim, "" if said.want is None else want_words(said.want),
        said.amount.words if said.amount else "",
    )  # fmt: skip


def _product(said: ToBlend, stocks: tuple[StockAsked, ...]) -> Answer | None:
    """The mass wanted; None where all is poured together [g]."""
    want = said.want
    if want is None:
        if said.amount:
            raise BadEntry(
                "An amount is of some strength", worded("{fields} and no strength", fields=said.text["amount"]),
                "Say the strength wanted, or leave both out to pour all together", where="want",
            )  # fmt: skip
        return None
    strongest = max(one.strength.value for one in stocks)
    if not 0.0 < want.value <= strongest:
        raise BadEntry(
            worded(
                "The strength wanted must lie above 0 and up to the {strongest:.1f} % v/v of the strongest stock",
                strongest=strongest,
            ),
            f"{want.value:.4g} % v/v", "Want less, or add stronger spirit", where="want",
        )  # fmt: skip
    if said.amount is None:
        if any(one.what == PLANT for one in stocks):
            raise BadEntry(
                "With plant in it the amount is asked", "nothing", "Say how much is wanted", where="amount"
            )
        return most_of(stocks, want)
    volume = said.amount.of(want, said.temperature)
    return reckoned(
        "mixture wanted, by mass", spirit_mass_g, unit="g",
        inputs={"volume_ml": volume, "volume_percent_20c": want, "temperature_c": said.temperature},
        says="its volume times its density", sources=SPIRIT_SOURCES,
    )  # fmt: skip


def _refuse_without_prices(said: ToBlend, stocks: tuple[StockAsked, ...]) -> None:
    for line, one in zip(said.stocks, stocks, strict=True):
        if one.price is None and one.what != PLANT:
            raise BadEntry(
                "The least cost needs the price of every stock", worded("none of {called}", called=one.name),
                'Write "14 EUR/L"; recovered spirit may cost 0 EUR/L', where=f"stock-{line.number}-price",
            )  # fmt: skip
    monies = {one.price.unit for one in stocks if one.price is not None}
    if len(monies) > 1:
        raise BadEntry("Prices are in one money", ", ".join(sorted(monies)), "Use one", where="aim")


def assume(it: Blending, said: ToBlend) -> tuple[Assumption, ...]:
    """How sure each strength is, where nobody said it."""
    return tuple(
        _sureness(it.found, stock, line.number)
        for line, stock in zip(said.stocks, it.found.stocks, strict=True)
        if stock.what != PLANT and _own_doubt(stock).rests_on_an_assumption
    )


def _own_doubt(stock: StockAsked) -> Answer:
    own = {f"{stock.name}: {name}" for name in OWN_DOUBT.values()}
    return next(one for _, one in stock.strength.inputs if one.name in own)


def _sureness(found: Blended, stock: StockAsked, number: int) -> Assumption:
    leaf = _own_doubt(stock)
    shared = leaf.leaf.cause if leaf.leaf else ""
    moves = TWO * (contribution(found.mixture, leaf.name) or contribution(found.mixture, shared or leaf.name))
    by_mass = "mass_percent" in dict(stock.strength.inputs)
    of = leaf.unit if leaf.unit == "g/mL" else "% w/w" if by_mass else "% v/v"
    what = worded("how sure the strength of {stock} is", stock=stock.name)
    return sureness(what, leaf, of, moves, found.mixture.answer.value, f"stock-{number}")


STOCKS = tuple(one.name for one in ToBlend.entries() if one.name.startswith("stock-"))
QUESTION = Question(
    name="blend",
    title=later("Blend spirits"),
    lead=later("What is at hand, what you want of it, how warm it is now."),
    button=later("Calculate"),
    help='Make AMOUNT ("5 L") of a strength from spirits at hand; left out, all that can be made.',
    kind="spirit blended",
    asks=Way(ToBlend, work, tell, teach, assume, makes=recipe),
    sentences=(
        Sentence(
            "stock", says=STOCKS, reads=stock_in_words, many=True,
            help='At hand, once for each: "2 L of 96 ± 0.3 % v/v, 14 EUR/L", '
            '"3 L of 83 % v/v by alcoholometer, recovered".',
        ),
        Sentence(
            "plant", says=STOCKS, reads=plant_in_words, many=True,
            help='Fresh plant, for its water: "800 g with 78 % water". All of it goes in.',
        ),
    ),
)  # fmt: skip
