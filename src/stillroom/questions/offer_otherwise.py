"""What is said of an enquiry that asks for no bottles: the customer's own plant, tests of a sample, a reagent, spirit.

What comes of it is ``offer_worked``.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from stillroom.asking.entries import Assumption, maybe, needed, taken
from stillroom.asking.readers import OneOf, Own, Share
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, Phrase, UnknownName, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.planning.offering.terms import (
    KEPT_PERCENT,
    LARGEST_MARGIN_PERCENT,
    MARGIN_PERCENT,
    VALID_DAYS,
)
from stillroom.quantities.entry import entry
from stillroom.quantities.money import Money
from stillroom.quantities.numbers import in_digits
from stillroom.questions.order import counted_names, known_plants, like, ways
from stillroom.questions.spirit_amounts import wanted_in
from stillroom.records.reagent_recipes import recipe, recipe_names
from stillroom.records.written_values import iso_date, one_line
from stillroom.texts.catalogue import later

TESTS: Mapping[str, str] = {
    "identity": later("identity"),
    "loss on drying": later("loss on drying"),
    "titration": later("titration"),
    "controls": later("colour or precipitate test with controls"),
}
"""Tests that are offered, by their row of the table of usual work."""
MOST_SAMPLES = 50
LONGEST_VALID_DAYS = 366
MARGIN_UNSAID = Assumption(
    later("margin"),
    f"{MARGIN_PERCENT:g} %",
    later("usual; yours to say"),
    later("moves the price alone"),
    0.0,
)
KEPT_UNSAID = Assumption(
    later("how often the date is kept"),
    f"{KEPT_PERCENT:g} %",
    later("usual"),
    later("moves the date promised"),
    0.0,
)
ARRIVES_HINT = later("Such as 2 to 5 days; until what they send is here")
ARRIVES_HELP = 'Until what they send is here: "2 to 5 days".'


# ---- what is asked


def grams_in(text: str, where: str) -> float:
    """A mass above zero [g]."""
    return entry(text, want="mass", where=where).in_unit("g")


def amount_in(text: str, where: str) -> Answer:
    """An amount of a reagent, by volume or mass."""
    found = entry(text, want=("volume", "mass"), where=where)
    unit = "g" if found.dimension == "mass" else "mL"
    return reading("amount wanted", found.in_unit(unit), unit, "as asked")


def days_until(text: str, where: str) -> tuple[float, float]:
    """Between which days something comes: "3 days", "2 to 5 days"."""
    found = [float(one) for one in re.findall(r"\d+(?:\.\d+)?", text.replace(",", "."))]
    low, high = (found * 2)[:2] if len(found) in (1, 2) else (0.0, 0.0)
    if not 0 < low <= high <= 366 or "-" in text[:1]:
        raise BadEntry(
            "What the customer sends comes within some days, the fewer first",
            repr(text[:40]),
            'Write it like "2 to 5 days"',
            where=where,
        )
    return low, high


def tests_in(text: str, where: str) -> tuple[str, ...]:
    """Tests that are wanted, in the order of the table: "loss on drying, titration"."""
    said = [one.strip().casefold() for one in re.split(r"[,;]|\band\b", text) if one.strip()]
    for one in said:
        if one not in TESTS:
            raise UnknownName.among(one, "a test that is offered", TESTS)
    if not said:
        raise BadEntry("A test is named", repr(text), ", ".join(TESTS), where=where)
    return tuple(one for one in TESTS if one in said)


def samples_in(text: str, where: str) -> int:
    """How many samples."""
    figure = in_digits(text.casefold().removesuffix("samples").removesuffix("sample").strip())
    if figure is None or not 1 <= figure <= MOST_SAMPLES:
        raise BadEntry(
            worded("Samples are 1 to {most}", most=MOST_SAMPLES),
            repr(text[:20]),
            "Write it like 3",
            where=where,
        )
    return figure


def reagent_in(text: str, where: str) -> str:
    """Name of a recipe, or code of a procedure of one's own, which only a book knows."""
    return one_line(text, where).casefold()


def recipes() -> Mapping[str, str]:
    """Recipes that are shipped, with their titles."""
    return {one: recipe(one).title for one in recipe_names()}


def price_in(text: str, where: str) -> Money:
    """A price that a person states, above zero."""
    found = Money.typed(text, where=where)
    if found.amount <= 0:
        raise BadEntry("A price that is stated is above zero", repr(text[:20]), "Write 450 EUR", where=where)
    return found


def price_stated(price: Money | None, text: Mapping[str, str]) -> tuple[float | None, str]:
    """A price that a person states and its currency, or nothing; it stands in place of a margin [currency].

    Parameters
    ----------
    text : mapping of str to str
        The enquiry as it was written.

    Raises
    ------
    BadEntry
        A margin was said besides.
    """
    if price is None:
        return None, ""
    if text.get("margin"):
        raise BadEntry(
            "A price is stated or follows from a margin, not both",
            worded("{price} and {margin}", price=repr(text["price"]), margin=repr(text["margin"])),
            "Leave one of them out", where="price",
        )  # fmt: skip
    return float(price.amount), price.currency


def refuse_past(due: str, today: date) -> None:
    """Refuse a date wanted that is over.

    Raises
    ------
    BadEntry
        It lies before today.
    """
    if due and due < today.isoformat():
        raise BadEntry(
            "A date wanted is today or later",
            worded("{due}, and today is {today}", due=due, today=today),
            "Look at the year",
            where="due",
        )


def days_in(text: str, where: str) -> int:
    """So many whole days: "14", "14 days"."""
    figure = in_digits(text.casefold().removesuffix("days").removesuffix("day").removesuffix("d").strip())
    if figure is None or not 1 <= figure <= LONGEST_VALID_DAYS:
        raise BadEntry(
            worded("An offer is valid for 1 to {most} whole days", most=LONGEST_VALID_DAYS),
            repr(text[:20]),
            'Write it like "14 days"',
            where=where,
        )
    return figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise(Said):
    """Who asks, for when, and on what terms, where no bottles are asked for."""

    customer: str = taken("not named yet", Own(one_line), label=later("Customer"), help="Who asks.")
    due: str = taken(
        "", Own(iso_date, "date"), label=later("Wanted by"), help="Day it is wanted: 2027-01-31."
    )
    margin: float = taken(
        MARGIN_PERCENT / 100.0, Share(0.0, LARGEST_MARGIN_PERCENT / 100.0), unsaid=MARGIN_UNSAID, folded=True,
        label=later("Margin, of the price"), hint=later("Such as 30 %"), help="What is left of the price: 30 %.",
    )  # fmt: skip
    kept: float = taken(
        KEPT_PERCENT / 100.0, Share(0.5, 0.99), unsaid=KEPT_UNSAID, folded=True,
        label=later("Date kept, of such orders"), hint=later("Such as 80 %"),
        help="How often the date is to be kept: 80 %.",
    )  # fmt: skip
    valid: int = taken(
        VALID_DAYS, Own(days_in), label=later("Valid for"), folded=True, hint=later("Such as 14 days"),
        help="How long the offer stands: 14 days.",
    )  # fmt: skip
    price: Money | None = maybe(
        Own(price_in), label=later("Price, where you state it"), folded=True, hint=later("Such as 450 {currency}"),
        help='A price of your own in place of the margin, without tax: "450 EUR".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPlant(Otherwise):
    """The customer's own plant, to be extracted."""

    own_plant: float = needed(
        Own(grams_in), label=later("Their plant, how much"), hint=later("Such as 5 kg"), unasked=True,
        must=worded("{what} is needed here", what=Phrase("How much plant they bring")), do=like("5 kg"),
        help='Extract their own plant: how much of it they bring, "5 kg" (with --plant, --way, --of).',
    )  # fmt: skip
    plant: str = needed(
        Own(one_line, "list", named=known_plants),
        must=worded("{what} is needed here", what=Phrase("A plant and its part")), do=like("rosemary leaf"),
        label=later("Plant and part"), help="Plant and part.",
    )  # fmt: skip
    way: str = needed(
        OneOf(ways, later("a way of extracting")), label=later("Way of extracting"),
        help="Way of extracting: maceration, percolation, soxhlet, infusion, ...",
    )  # fmt: skip
    of: str = needed(
        Own(one_line, "list", named=counted_names), label=later("What it is for"),
        must=worded("{what} is needed here", what=Phrase("What the strength counts")), do=like("rosmarinic acid"),
        help="What it counts, where --strength does not say it.",
    )  # fmt: skip
    at_least: float | None = maybe(
        Own(grams_in), label=later("At least of it"), hint=later("Such as 20 g; where they ask for it"), folded=True,
        help='What they ask to get at least of it, "20 g".',
    )  # fmt: skip
    arrives: tuple[float, float] | None = maybe(
        Own(days_until), label=later("Until it is here"), hint=ARRIVES_HINT, folded=True, help=ARRIVES_HELP
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested(Otherwise):
    """A sample of the customer, to be tested."""

    tests: tuple[str, ...] = needed(
        Own(tests_in, "list", named=lambda: TESTS), label=later("Tests"), unasked=True,
        hint=later("Such as loss on drying, titration"),
        must=worded("{what} is needed here", what=Phrase("A test")), do=like("loss on drying, titration"),
        help='Test their sample: "identity, loss on drying, titration, controls" (with --sample).',
    )  # fmt: skip
    sample: str = needed(
        Own(one_line, "list", named=known_plants), label=later("Of what"),
        must=worded("{what} is needed here", what=Phrase("What the sample is")), do=like("rosemary leaf"),
        help="What the sample is of: rosemary leaf.",
    )  # fmt: skip
    samples: int = taken(
        1, Own(samples_in, "figure"), label=later("How many samples"), help="How many samples: 3."
    )
    arrives: tuple[float, float] | None = maybe(
        Own(days_until), label=later("Until it is here"), hint=ARRIVES_HINT, folded=True, help=ARRIVES_HELP
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Made(Otherwise):
    """A reagent, to be made."""

    reagent: str = needed(
        Own(reagent_in, "list", named=recipes), label=later("Reagent"), unasked=True,
        must=worded("{what} is needed here", what=Phrase("A reagent")), do=like("ferric-chloride"),
        help="Make a reagent: its recipe, ferric-chloride (with --reagent-amount).",
    )  # fmt: skip
    reagent_amount: Answer = needed(
        Own(amount_in), label=later("How much"), hint=later("Such as 1 L"),
        must=later("An amount is needed"), do=worded("Write {example}", example='"1 L"'),
        help='How much of the reagent: "1 L".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Diluted(Otherwise):
    """Spirit of a strength, to be diluted."""

    dilution: Answer = needed(
        Own(wanted_in, "figure", "% v/v"), label=later("Spirit, how strong"), unasked=True, ratio_said=True,
        must=worded("{what} is needed here", what=Phrase("The strength wanted")), do=like("70 % v/v"),
        help='Dilute spirit: the strength they ask for, "70 % v/v" (with --dilution-amount).',
    )  # fmt: skip
    dilution_amount: Answer = needed(
        Own(amount_in), label=later("How much"), hint=later("Such as 5 L, as it measures at 20 °C; or 4 kg"),
        must=later("An amount is needed"), do=worded("Write {example}", example='"5 L"'),
        help='How much of the spirit, at 20 °C: "5 L", "4 kg".',
    )  # fmt: skip
