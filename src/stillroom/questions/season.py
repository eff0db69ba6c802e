"""A plant had once a year: how much to harvest or buy for the orders until the next, and when to test it again.

The calculation is ``planning.season``. Writes nothing.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from math import inf

from stillroom.asking.entries import Assumption, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import ASKED, Own, Share
from stillroom.asking.said import Said
from stillroom.documents.blocks import Facts, Numbers, Prose
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.planning.season import MONTHS_A_YEAR, season
from stillroom.quantities.entry import entry
from stillroom.quantities.money import Money
from stillroom.quantities.numbers import in_digits, number_in
from stillroom.quantities.parse import parse
from stillroom.texts.catalogue import later, t

MOST_MONTHS = 24
USUAL_LOSS, USUAL_SPREAD, USUAL_INTEREST = 0.02, 0.40, 0.05
SHOWN = {
    "buy_kg": (later("Plant to have"), "kg", 2),
    "critical_percent": (later("Enough in so many of 100 seasons"), "%", 0),
    "tied_up": (later("Money tied up, on average"), "", 0),
    "cost": (later("Cost of the season"), "", 0),
    "short_kg": (later("Short, to expect"), "kg", 2),
    "left_kg": (later("Left over, to expect"), "kg", 2),
    "lost_percent": (later("Active lost by the end"), "%", 0),
    "test_again_days": (later("Days until a new assay says more"), "d", 0),
}
"""Each figure with its words, unit and decimals."""
MONEY = ("tied_up", "cost")
"""Figures in the currency of the prices."""
SAID_AS = {
    "month_kg": "month", "month_spread_percent": "varies", "months": "months", "price_kg": "price",
    "short_price_kg": "short", "left_price_kg": "left", "loss_month_percent": "loses",
    "interest_year_percent": "interest",
}  # fmt: skip
"""By which entry each input is said."""


def kilograms_in(text: str, where: str) -> float:
    """A mass above zero [kg]."""
    return entry(text, want="mass", where=where).in_unit("kg")


@dataclass(frozen=True, slots=True)
class PerKg:
    """A price of a kilogram, in its currency or in one that nobody said ("")."""

    amount: float
    currency: str = ""


def price_in(text: str, where: str) -> PerKg:
    """A price of a kilogram: "40 EUR/kg", "4 EUR/100 g", or "40" in the currency of the other prices."""
    body, slash, per = (one.strip() for one in text.partition("/"))
    try:
        of_kg = parse(per if per[:1].isdigit() else f"1 {per}", want="mass").in_unit("kg") if slash else 1.0
    except StillroomError:
        of_kg = 0.0
    if re.search(r"[^\d.,\s+-]", body) is None:
        found = PerKg(number_in(body, where=where).value)
    else:
        money = Money.typed(body, where=where)
        found = PerKg(float(money.amount), money.currency)
    if found.amount < 0 or of_kg <= 0.0 or (found.currency and not slash):
        raise BadEntry(
            "A price is of a kilogram, zero or more",
            repr(text[:40]),
            'Write it like "40 EUR/kg"',
            where=where,
        )
    return replace(found, amount=found.amount / of_kg)


def months_in(text: str, where: str) -> int:
    """So many months: "12", "9 months"."""
    figure = in_digits(text.casefold().removesuffix("months").removesuffix("month").strip())
    if figure is None or not 1 <= figure <= MOST_MONTHS:
        raise BadEntry(
            worded("A season has 1 to {most} whole months", most=MOST_MONTHS),
            repr(text[:20]),
            "Write it like 12",
            where=where,
        )
    return figure


@dataclass(frozen=True, slots=True, kw_only=True)
class OfSeason(Said):
    """What the orders of a month take, how that varies, and what the plant costs now, short and left over."""

    month: float = needed(
        Own(kilograms_in),
        label=later("The orders of a month take"),
        hint=later("Such as 3 kg of plant"),
        must=later("What a month takes is needed"),
        do=worded("Write {example}", example='"3 kg"'),
        help='Plant that the orders of a month take: "3 kg".',
    )
    price: PerKg = needed(
        Own(price_in),
        label=later("Price now"),
        hint=later("Such as 40 {currency}/kg"),
        must=later("A price is needed"),
        do=worded("Write {example}", example='"40 EUR/kg"'),
        help='Price of the plant in its season: "40 EUR/kg".',
    )
    short: PerKg = needed(
        Own(price_in),
        label=later("Price when it is short"),
        hint=later("Or the margin lost with it, for each kg"),
        must=later("A price is needed"),
        do=worded("Write {example}", example='"90 EUR/kg"'),
        help='What a kilogram costs that is short, or the margin lost with it: "90 EUR/kg".',
    )
    left: PerKg = taken(
        PerKg(0.0),
        Own(price_in),
        label=later("What is left over is worth"),
        folded=True,
        help='Of a kilogram: "5 EUR/kg".',
        unsaid=Assumption(
            later("what is left over"),
            later("worth nothing"),
            later("nobody said"),
            later("more is worth having"),
            0.1,
        ),
    )
    varies: float = taken(
        USUAL_SPREAD,
        Share(0.0, 2.0),
        label=later("A month varies by"),
        hint=later("Standard deviation, such as 40 %"),
        help='How much a month varies, as a standard deviation: "40 %".',
        unsaid=Assumption(
            later("how a month varies"),
            f"{100 * USUAL_SPREAD:g} %",
            later("usual, no source"),
            later("moves what to have beyond the mean"),
            0.3,
        ),
    )
    loses: float = taken(
        USUAL_LOSS,
        Share(0.0, 0.5),
        label=later("It loses in a month"),
        hint=later("Of its active, such as 2 %"),
        help='Of its active, in a month of store: "2 %".',
        unsaid=Assumption(
            later("what it loses in store"),
            later("2 % of its active in a month"),
            later("usual of dried leaf, no source"),
            later("moves what to have, and the day to test again"),
            0.2,
        ),
    )
    months: int = taken(
        12,
        Own(months_in, "figure"),
        label=later("Months until the next"),
        folded=True,
        help="Months until the next harvest: 12.",
    )
    interest: float = taken(
        USUAL_INTEREST,
        Share(0.0, 1.0),
        label=later("Interest of a year"),
        folded=True,
        help='On money laid out: "5 %".',
        unsaid=Assumption(
            later("interest"),
            f"{100 * USUAL_INTEREST:g} %",
            later("usual, no source"),
            later("moves the cost a little"),
            0.01,
        ),
    )


@dataclass(frozen=True, slots=True)
class SeasonFound:
    """The season, each figure with its reason."""

    answers: Mapping[str, Answer]

    @property
    def figures(self) -> Mapping[str, Answer]:
        """By name."""
        return self.answers


def one_currency(said: OfSeason) -> str:
    """The currency of the prices; "" where nobody said one.

    Raises
    ------
    BadEntry
        Two are said.
    """
    said_in = sorted({one.currency for one in (said.price, said.short, said.left) if one.currency})
    if len(said_in) > 1:
        raise BadEntry(
            "The prices of a season are in one currency",
            ", ".join(said_in),
            "Say all of them in one",
            where="short",
        )
    return said_in[0] if said_in else ""


def work(said: OfSeason) -> SeasonFound:
    """How much to have, and what that means."""
    currency = one_currency(said)

    def leaf(name: str, value: float, unit: str) -> Answer:
        if said.text.get(SAID_AS[name]):
            return reading(name, value, unit, ASKED)
        return assumed(name, value, unit, "usual, no source")

    per_kg = f"{currency}/kg" if currency else ""
    inputs = {
        "month_kg": leaf("month_kg", said.month, "kg"),
        "month_spread_percent": leaf("month_spread_percent", 100.0 * said.varies, "%"),
        "months": leaf("months", float(said.months), ""),
        "price_kg": leaf("price_kg", said.price.amount, per_kg),
        "short_price_kg": leaf("short_price_kg", said.short.amount, per_kg),
        "left_price_kg": leaf("left_price_kg", said.left.amount, per_kg),
        "loss_month_percent": leaf("loss_month_percent", 100.0 * said.loses, "%"),
        "interest_year_percent": leaf("interest_year_percent", 100.0 * said.interest, "%"),
    }
    return SeasonFound(
        {
            key: reckoned(
                t(words),
                season,
                unit=currency if key in MONEY else unit,
                inputs=inputs,
                fixed={"bought_fresh": 1.0},
                pick=key,
                says=t(
                    "What is short, bought fresh, weighed against what is left over; months independent, their sum "
                    "normal."
                ),
            )
            for key, (words, unit, _) in SHOWN.items()
            if key != "test_again_days" or said.loses
        }
    )


def tell(it: SeasonFound, said: OfSeason) -> Told:
    """How much to have, when to test it again, and what it ties up."""
    found = it.answers
    days = found["test_again_days"].value if "test_again_days" in found else inf
    in_time = days < said.months * 365.25 / MONTHS_A_YEAR
    again = (said.today + timedelta(days=round(days))).isoformat() if in_time else t("not before it is used")
    return Told(
        t("A plant for {months} months of orders", months=said.months),
        t("Have {buy} kg, and test it again on {again}.", buy=number(found["buy_kg"].value), again=again)
        if in_time
        else t("Have {buy} kg.", buy=number(found["buy_kg"].value)),
        (
            Numbers(tuple(show(one, decimals=SHOWN[key][2]) for key, one in found.items())),
            Facts(
                (
                    (t("Test again"), again),
                    (
                        t("Short in"),
                        t("{share:.0f} of 100 seasons", share=100.0 - found["critical_percent"].value),
                    ),
                )
            ),
            Prose(
                t("A bad harvest, a plant that moulds and a customer who leaves are not in it."),
                quiet=True,
            ),
        ),
    )


QUESTION = Question(
    name="season",
    title=later("A plant for the year"),
    lead="",
    button=later("How much?"),
    help="How much of a plant to harvest or buy once for the orders of a season, what it loses and ties up.",
    kind="a season",
    asks=Way(OfSeason, work, tell),
)
