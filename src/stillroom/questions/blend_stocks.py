"""What is at hand for a blend, line by line: a spirit with its strength, amount and price, or wet plant with its water.

Promises that the errors of two stocks are told apart, and that one label or one instrument is one error.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.answers.plain_sums import price_per_g, water_g
from stillroom.answers.spirit_blended import FRESH, PLANT, RECOVERED, StockAsked
from stillroom.answers.spirit_percent import spirit_mass_g
from stillroom.answers.spirit_strength import BASIS, OWN_DOUBT
from stillroom.asking.entries import maybe, needed, taken
from stillroom.asking.readers import ASKED, OneOf, Own
from stillroom.asking.said import Line
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.quantities.basis import Basis
from stillroom.quantities.entry import entry, nothing_but
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.units import unit
from stillroom.questions.spirit_amounts import Amount, amount_in
from stillroom.questions.spirit_at_hand import (
    AtHand,
    as_written,
    spirit_in_words,
)
from stillroom.texts.catalogue import later

_CAUSES = {
    OWN_DOUBT["alcoholometer"]: OWN_DOUBT["alcoholometer"],
    OWN_DOUBT["density"]: OWN_DOUBT["density"],
    OWN_DOUBT["label"]: OWN_DOUBT["label"] + " of {said}",
    OWN_DOUBT["certificate"]: OWN_DOUBT["certificate"] + " of {said}",
}
"""What the errors of two stocks rest on alike: one instrument, one label."""


@dataclass(frozen=True, slots=True)
class SpiritStock:
    """A spirit at hand, as it was said."""

    number: int
    what: str
    spirit: AtHand
    amount: Amount
    written: str
    price: Quantity | None

    def asked(self, temperature: Answer, thermometer: Answer) -> StockAsked:
        """The stock with its mass and its price of a gram, at that temperature [°C]."""
        name = f"stock {self.number}"
        have = self.spirit.stated(temperature, thermometer).answer
        strong = _named_after(have, name, f"{have.value:.2f} % v/v")
        try:
            mass = self.amount.of(strong, temperature)
        except StillroomError as error:
            raise error.at(f"stock-{self.number}-amount") from error
        price = _price_of_a_gram(self.price, self.number, strong, temperature) if self.price else None
        words = worded("{amount} of {strength}", amount=self.written, strength=self.spirit.words(temperature))
        return StockAsked(name, self.what, _named_after(mass, name), strong, words, price)


@dataclass(frozen=True, slots=True)
class PlantStock:
    """Fresh plant, of which only the water counts [g, %]."""

    number: int
    mass_g: float
    water_percent: float
    written: str

    def asked(self, _: Answer, __: Answer) -> StockAsked:
        """The water it brings."""
        name = f"plant {self.number}"
        share = reading(f"{name}, water in it", self.water_percent, "%", ASKED, basis="w/w")
        plant = reading(f"{name}, by mass", self.mass_g, "g", ASKED)
        mass = reckoned(
            f"water of {name}", water_g, unit="g", inputs={"mass_g": plant, "water_percent": share},
            says="its mass times the water in it",
        )  # fmt: skip
        nothing = reading(f"ethanol in {name}", 0.0, "%", "there is none in fresh plant", basis=BASIS)
        words = worded(
            "{amount} of fresh plant with {water:g} % water", amount=self.written, water=self.water_percent
        )
        return StockAsked(name, PLANT, mass, nothing, words)


# ---- what is asked


def price_in(text: str, where: str) -> Quantity:
    """A price: money for a mass or a volume."""
    figure = any(one.isdigit() for one in text)
    found = entry(text, zero_allowed=True, where=where) if figure else None
    if found is None or not found.dimension.endswith((" per mass", " per volume")):
        raise BadEntry(
            "A price has money and an amount", repr(text[:40]), 'Write "14 EUR/L" or "16 EUR/kg"', where=where
        )
    return found


def is_spirit(name: str, said: Mapping[str, str]) -> bool:
    """Whether a line at hand is a spirit: what a plant holds is water."""
    return said.get(f"{name}-what", "").casefold() != PLANT


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLine(Line):
    """One thing at hand: how strong it is, how much there is, what it is."""

    strength: str = needed(
        Own(as_written), must=later("Of stock {at} both are needed: how strong it is, and how much there is"),
        do=later("Fill it in"), label=later("At hand, {at}: strength in % v/v, amount, what it is"),
        short=later("At hand, {at}, strength"), when="stock", ratio_said=is_spirit,
        hint=later("Such as 96 ± 0.3 and 2 L; fresh plant: its water in %, and g"),
    )  # fmt: skip
    amount: str = needed(
        Own(as_written), must=later("Of stock {at} both are needed: how strong it is, and how much there is"),
        do=later("Fill it in"), label=later("At hand, {at}, amount"), beside=True,
    )  # fmt: skip
    what: str = taken(
        FRESH,
        OneOf(
            {FRESH: later("fresh"), RECOVERED: later("recovered"), PLANT: later("fresh plant")},
            must=worded("A stock is {what}", what=", ".join((FRESH, RECOVERED, PLANT))),
        ),
        label=later("At hand, {at}, what it is"), beside=True, chosen=FRESH, then=RECOVERED,
    )  # fmt: skip
    price: Quantity | None = maybe(
        Own(price_in), label=later("Price of {at}"), folded=True,
        hint=later("Such as 14 {currency}/L; recovered spirit may cost 0 {currency}/L"),
    )  # fmt: skip


def stock_said(said: StockLine) -> SpiritStock | PlantStock:
    """A spirit, or wet plant."""
    where = f"stock-{said.number}"
    if said.what == PLANT:
        return _plant(said, where)
    amount = amount_in(said.amount, f"{where}-amount")
    return SpiritStock(
        said.number, said.what, spirit_in_words(said.strength, where), amount, said.amount, said.price
    )


def _plant(said: StockLine, where: str) -> PlantStock:
    percent = entry(said.strength, "%", by_definition=Basis(ratio="w/w"), zero_allowed=True, where=where)
    nothing_but(percent, ("water",), where=where)
    if percent.basis.ratio != "w/w" or not 0.0 < mass_fraction(percent) < 1.0:
        raise BadEntry(
            "Fresh plant has its water in % of its mass, above 0 and below 100", repr(said.strength[:40]),
            'Write "78 %"', where=where,
        )  # fmt: skip
    mass = entry(said.amount, want="mass", where=f"{where}-amount")
    return PlantStock(said.number, mass.in_unit("g"), 100 * mass_fraction(percent, silent=True), said.amount)


# ---- what it costs, and what its errors are called


def _price_of_a_gram(said: Quantity, number: int, strength: Answer, temperature: Answer) -> Answer:
    money, _, per = said.unit.partition("/")
    amount = unit(per).factor
    price = reading(f"price of stock {number}", said.value, said.unit, ASKED)
    if unit(per).dimension == "mass":
        grams = reading(f"a {per} of stock {number}", amount, "g", "by definition")
    else:
        volume = reading(f"a {per} of stock {number}", amount, "mL", "by definition")
        grams = reckoned(
            f"weight of a {per} of stock {number}", spirit_mass_g, unit="g",
            inputs={"volume_ml": volume, "volume_percent_20c": strength, "temperature_c": temperature},
            says="its volume times its density",
        )  # fmt: skip
    return reckoned(
        f"price of a gram of stock {number}", price_per_g, unit=f"{money}/g",
        inputs={"price": price, "grams": grams}, says="the price over the grams it is for",
    )  # fmt: skip


def _named_after(answer: Answer, stock: str, said: str = "") -> Answer:
    """The same answer with its leaves named after the stock: two labels are two errors, one label or instrument one."""
    if answer.leaf is not None:
        if answer.name.startswith(("temperature", "error of the thermometer", stock)):
            return answer
        cause = _CAUSES.get(answer.name, "").format(said=said)
        return replace(answer, name=f"{stock}: {answer.name}", leaf=replace(answer.leaf, cause=cause))
    inputs = tuple((name, _named_after(one, stock, said)) for name, one in answer.inputs)
    return replace(answer, inputs=inputs)
