"""A plant had once a year: how much to harvest or buy for the orders until the next, and when to test it again.

The calculation is ``planning.season``. Writes nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from stillroom.asking.entries import Assumption, needed, taken
from stillroom.asking.question import Question, Told, Way
from stillroom.asking.readers import ASKED, Own, Share
from stillroom.asking.said import Said
from stillroom.documents.blocks import Facts, Numbers, Prose
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.planning.season import season
from stillroom.quantities.entry import entry
from stillroom.quantities.numbers import number_in
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
    "test_again_days": (later("Days until a new assay tells more"), "d", 0),
}
"""Each figure with its words, unit and decimals; money is in the currency of the prices."""


def kilograms_in(text: str, where: str) -> float:
    """A mass above zero [kg]."""
    return entry(text, want="mass", where=where).in_unit("kg")


def price_in(text: str, where: str) -> float:
    """A price of a kilogram, its currency left out: "40", "40 EUR/kg"."""
    figure = text.strip().partition(" ")[0].removesuffix("/kg")
    value = number_in(figure, where=where).value
    rest = text.strip().partition(" ")[2]
    if value < 0 or (rest and not rest.endswith("/kg")):
        raise BadEntry(
            "A price is of a kilogram, zero or more",
            repr(text[:40]),
            'Write it like "40 EUR/kg"',
            where=where,
        )
    return value


def months_in(text: str, where: str) -> int:
    """So many months: "12", "9 months"."""
    figure = text.casefold().removesuffix("months").removesuffix("month").strip()
    if not figure.isdigit() or not 1 <= int(figure) <= MOST_MONTHS:
        raise BadEntry(
            worded("A season has 1 to {most} whole months", most=MOST_MONTHS),
            repr(text[:20]),
            "Write it like 12",
            where=where,
        )
    return int(figure)


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
    price: float = needed(
        Own(price_in),
        label=later("Price now"),
        hint=later("Such as 40 EUR/kg"),
        must=later("A price is needed"),
        do=worded("Write {example}", example='"40 EUR/kg"'),
        help='Price of the plant in its season: "40 EUR/kg".',
    )
    short: float = needed(
        Own(price_in),
        label=later("Price when it is short"),
        hint=later("Or the margin lost with it, for each kg"),
        must=later("A price is needed"),
        do=worded("Write {example}", example='"90 EUR/kg"'),
        help='What a kilogram costs that is short, or the margin lost with it: "90 EUR/kg".',
    )
    left: float = taken(
        0.0,
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


def work(said: OfSeason) -> SeasonFound:
    """How much to have, and what that means."""

    def leaf(name: str, value: float, unit: str) -> Answer:
        field = {"month_spread_percent": "varies", "loss_month_percent": "loses"}.get(name, name)
        if field in said.text or name in ("month_kg", "price_kg", "short_price_kg"):
            return reading(name, value, unit, ASKED)
        return assumed(name, value, unit, "usual, no source")

    inputs = {
        "month_kg": leaf("month_kg", said.month, "kg"),
        "month_spread_percent": leaf("month_spread_percent", 100.0 * said.varies, "%"),
        "months": leaf("months", float(said.months), ""),
        "price_kg": leaf("price_kg", said.price, ""),
        "short_price_kg": leaf("short_price_kg", said.short, ""),
        "left_price_kg": leaf("left_price_kg", said.left, ""),
        "loss_month_percent": leaf("loss_month_percent", 100.0 * said.loses, "%"),
        "interest_year_percent": leaf("interest_year_percent", 100.0 * said.interest, "%"),
    }
    return SeasonFound(
        {
            key: reckoned(
                t(words),
                season,
                unit=unit,
                inputs=inputs,
                pick=key,
                says=t(
                    "What is short weighed against what is left over; months independent, their sum normal."
                ),
            )
            for key, (words, unit, _) in SHOWN.items()
        }
    )


def tell(it: SeasonFound, said: OfSeason) -> Told:
    """How much to have, when to test it again, and what it ties up."""
    found = it.answers
    days = found["test_again_days"].value
    again = (said.today + timedelta(days=round(days))).isoformat() if days else t("not before it is used")
    return Told(
        t("A plant for {months} months of orders", months=said.months),
        t("Have {buy} kg, and test it again on {again}.", buy=number(found["buy_kg"].value), again=again),
        (
            Numbers(tuple(show(found[key], decimals=decimals) for key, (_, _, decimals) in SHOWN.items())),
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
                t(
                    "Money is in the currency of the prices. A bad harvest, a plant that moulds and a customer who "
                    "leaves are not in it."
                ),
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
