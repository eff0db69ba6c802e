"""Blend what is at hand with nothing set up: stocks, a strength wanted and how much, how warm; or pour all together.

Reads text as a person writes it and writes nothing. The temperature is asked, never filled in.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.actions.blend_entries import field_of, rows_said, stocks_in
from stillroom.actions.dilute_entries import (
    alcoholometer_in,
    amount_in,
    refuse_outside,
    temperature_in,
    thermometer_in,
    want_in,
    want_words,
)
from stillroom.actions.dilute_unsaid import TWO, contribution, unsaid_of_the_reading
from stillroom.actions.entries_missing import refuse_missing
from stillroom.answers.spirit_blended import PLANT, Blended, StockAsked, blended, most_of
from stillroom.answers.spirit_percent import spirit_mass_g
from stillroom.answers.spirit_strength import OWN_DOUBT
from stillroom.documents.blending import BlendWords
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.records.entries import LeftUnsaid
from stillroom.science.liquids.blending import AIMS, LEAST_COST, LEAST_FRESH
from stillroom.substances.spirits import SPIRIT_SOURCES

NEEDED = {"temperature": ("The temperature is asked, never filled in", "Hold the thermometer in the spirit")}


@dataclass(frozen=True, slots=True)
class BlendedAsAsked:
    """A blend with the words it was asked in.

    Attributes
    ----------
    found : Blended
    words : BlendWords
    unsaid : tuple of (LeftUnsaid, float)
        What nobody said, with the share of the answer it moves.
    """

    found: Blended
    words: BlendWords
    unsaid: tuple[tuple[LeftUnsaid, float], ...]


def work_out_blend(fields: Mapping[str, str]) -> BlendedAsAsked:
    """Work a blend out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        Rows "stock-1" (with its ± where that is known: "96 ± 0.3"), "stock-1-amount", "stock-1-what",
        "stock-1-price" up to six; "want" and "amount", or neither to pour all together; "temperature", "aim",
        "division", "thermometer".

    Raises
    ------
    BadEntry
        An entry is missing, or cannot be read.
    OutsideModel
        More strength is wanted than the strongest stock has, or a figure lies outside the density table.
    NotEnough
        There is too little at hand, or the plant brings too much water.
    """
    refuse_missing(fields, NEEDED)
    temperature = temperature_in(fields, "temperature")
    refuse_outside(temperature)
    thermometer = thermometer_in(fields)
    stocks = stocks_in(fields, temperature, thermometer)
    aim = _aim(fields, stocks)
    want, product, amount_words = _wanted(fields, stocks, temperature)
    try:
        found = blended(
            stocks, want, product, temperature, aim=aim, alcoholometer=alcoholometer_in(fields),
            thermometer=thermometer,
        )  # fmt: skip
    except StillroomError as error:
        raise (error if error.where else error.at("want")) from error
    words = BlendWords(
        amount_words,
        "" if want is None else want_words(want),
        f"{temperature.value:g} °C",
        aim,
    )
    return BlendedAsAsked(found, words, _unsaid(found, fields, aim))


def _unsaid(found: Blended, fields: Mapping[str, str], aim: str) -> tuple[tuple[LeftUnsaid, float], ...]:
    made: list[tuple[LeftUnsaid, float]] = []
    if not fields.get("aim") and fields.get("want") and len(found.stocks) > 1:
        effect = "decides which stock is spared; mass and strength stay the same"
        made.append(
            (LeftUnsaid("what the blend is chosen for", aim, "fresh spirit is dear", effect, "aim"), 0.0)
        )
    made += [
        _sureness(found, stock, row)
        for row, stock in zip(rows_said(fields), found.stocks, strict=True)
        if stock.what != PLANT and _own_doubt(stock).rests_on_an_assumption
    ]
    if found.reading is not None:
        made += unsaid_of_the_reading(found.reading, fields, found.mixture.answer.value)
    return tuple(sorted(made, key=lambda one: -one[1]))


def _own_doubt(stock: StockAsked) -> Answer:
    own = {f"{stock.name}: {name}" for name in OWN_DOUBT.values()}
    return next(one for _, one in stock.strength.inputs if one.name in own)


def _sureness(found: Blended, stock: StockAsked, row: int) -> tuple[LeftUnsaid, float]:
    """How sure the strength of a stock is taken to be, and what that does to the blend."""
    leaf = _own_doubt(stock)
    shared = leaf.leaf.cause if leaf.leaf else ""
    moves = TWO * (contribution(found.mixture, leaf.name) or contribution(found.mixture, shared or leaf.name))
    unit = (
        "g/mL"
        if leaf.unit == "g/mL"
        else "% w/w"
        if "mass_percent" in dict(stock.strength.inputs)
        else "% v/v"
    )
    return (
        LeftUnsaid(
            f"how sure the strength of {stock.name} is",
            f"± {(leaf.standard_uncertainty or 0.0) * 3.0**0.5:.2g} {unit}",
            leaf.leaf.where if leaf.leaf else "",
            f"moves the mixture by ± {moves:.2f} % v/v",
            field_of(row),
        ),
        moves / found.mixture.answer.value,
    )


def _wanted(
    fields: Mapping[str, str], stocks: tuple[StockAsked, ...], temperature: Answer
) -> tuple[Answer | None, Answer | None, str]:
    """Strength and mass wanted, and the amount in words; neither where all is poured together."""
    if not fields.get("want"):
        if fields.get("amount"):
            raise BadEntry(
                "An amount is of some strength", worded("{fields} and no strength", fields=fields['amount']),
                "Say the strength wanted, or leave both out to pour all together", where="want",
            )  # fmt: skip
        return None, None, ""
    want = want_in(fields)
    strongest = max(one.strength.value for one in stocks)
    if not 0.0 < want.value <= strongest:
        raise BadEntry(
            worded(
                "The strength wanted must lie above 0 and up to the {strongest:.1f} % v/v of the strongest stock",
                strongest=strongest,
            ),
            f"{want.value:.4g} % v/v",
            "Want less, or add stronger spirit",
            where="want",
        )
    if not fields.get("amount"):
        if any(one.what == PLANT for one in stocks):
            raise BadEntry(
                "With plant in it the amount is asked", "nothing", "Say how much is wanted", where="amount"
            )
        return want, most_of(stocks, want), "All that can be made"
    volume, _, words = amount_in({**fields, "amount-as": "wanted"}, want, want, temperature)
    mass = reckoned(
        "mixture wanted, by mass", spirit_mass_g, unit="g",
        inputs={"volume_ml": volume, "volume_percent_20c": want, "temperature_c": temperature},
        says="its volume times its density", sources=SPIRIT_SOURCES,
    )  # fmt: skip
    return want, mass, words


def _aim(fields: Mapping[str, str], stocks: tuple[StockAsked, ...]) -> str:
    said = fields.get("aim", "") or LEAST_FRESH
    if said not in AIMS:
        raise BadEntry(
            worded("A blend aims at {aims}", aims=" or ".join(AIMS)),
            repr(said[:40]),
            "Choose one",
            where="aim",
        )
    if said == LEAST_COST:
        for at, one in enumerate(stocks, start=1):
            if one.price is None and one.what != PLANT:
                row = int(one.name.rpartition(" ")[2]) if one.name[-1].isdigit() else at
                raise BadEntry(
                    "The least cost needs the price of every stock", worded("none of {called}", called=one.name),
                    'Write "14 EUR/L"; recovered spirit may cost 0 EUR/L', where=field_of(row, "price"),
                )  # fmt: skip
        monies = {one.price.unit for one in stocks if one.price is not None}
        if len(monies) > 1:
            raise BadEntry("Prices are in one money", ", ".join(sorted(monies)), "Use one", where="aim")
    return said
