"""Spirits blended: what to weigh of each, what comes of it, and what adding volumes would have said.

Promises masses from one linear programme, rerun by its name, and the doubt of the mixture from the doubt of every
stock: what was weighed is held.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from stillroom.answers.budget import Stated, stated
from stillroom.answers.plain_sums import sum_of
from stillroom.answers.spirit_diluted import expected_reading
from stillroom.answers.spirit_percent import spirit_volume_ml
from stillroom.answers.spirit_strength import BASIS
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.liquids.blending import (
    FEWEST,
    FIRST_NAMED,
    Blend,
    Stock,
    blend,
    most_that_can_be_made_g,
)
from stillroom.science.liquids.mixing import Part, mix
from stillroom.substances.spirits import SPIRIT_SOURCES, spirit_mass_fraction, spirit_volume_fraction_20c

MASS, STRENGTH, PRICE, TAKEN, VOLUME = ": at hand", ": strength", ": price", ": taken", ": volume"
WATER = "water"
PRODUCT, WANTED = "mixture wanted", "strength wanted"
FRESH, RECOVERED, PLANT = "fresh", "recovered", "fresh plant"


@dataclass(frozen=True, slots=True)
class StockAsked:
    """One stock as it was said."""

    name: str
    """Such as "stock 1"."""
    what: str
    """One of "fresh", "recovered" or "fresh plant"."""
    mass: Answer
    """At hand; of a plant, the water in it. [g]"""
    strength: Answer
    """Nothing for a plant. [% v/v at 20 °C]"""
    words: str
    """As it was said."""
    price: Answer | None = None
    """[EUR/g, or another money]"""


@dataclass(frozen=True, slots=True)
class Taken:
    """What is taken of a stock, or of water.

    ``mass``, ``volume``: [g, mL at the liquid's temperature]
    """

    name: str
    mass: Answer
    volume: Answer


@dataclass(frozen=True, slots=True)
class Blended:
    """A blend with everything that hangs on it.

    ``product``, ``product_volume``: [g, mL at the liquid's temperature]
    """

    stocks: tuple[StockAsked, ...]
    taken: tuple[Taken, ...]
    """Of each stock, and of water last."""
    product: Answer
    product_volume: Answer
    mixture: Stated
    """[% v/v at 20 °C]"""
    contraction: Answer
    """Volumes in, less the mixture. [mL]"""
    added: Answer
    """Strength that adding volumes would give. [% v/v]"""
    reading: Stated | None
    """What an alcoholometer should show. [% v/v, as read]"""
    cost: Answer | None
    """None where a price is missing. [money]"""


@formula("blend-part", takes_named_inputs=True)
def taken_g(
    inputs: Mapping[str, tuple[float, float]], kinds: str, aim: str, of: str, tie: str = FIRST_NAMED
) -> float:
    """Mass of one stock, or of water, that the blend takes. [g].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Masses, strengths by volume and prices of the stocks, the mixture and its strength. [g, % v/v, money/g]
    kinds : str
        Name and kind of each stock, in order: "stock 1=fresh|stock 2=recovered". [text]
    aim : str
        "least fresh spirit" or "least cost". [text]
    of : str
        Name of a stock, or "water". [text]
    tie : str
        What decides among equals; "first named" in answers that were kept before. [text]
    """
    plain = tuple((name, value) for name, (value, _) in inputs.items())
    made = _blend(plain, kinds, aim, tie)
    names = [one.partition("=")[0] for one in kinds.split("|")]
    return made.water_g if of == WATER else made.taken_g[names.index(of)]


@formula("blend-at-most", takes_named_inputs=True)
def most_g(inputs: Mapping[str, tuple[float, float]], kinds: str) -> float:
    """The most of the wanted strength that the stocks and water make. [g].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``taken_g``. [g, % v/v]
    kinds : str
        As in ``taken_g``. [text]
    """
    values = {name: value for name, (value, _) in inputs.items()}
    return most_that_can_be_made_g(
        _stocks(values, kinds), float(spirit_mass_fraction(values[WANTED] / 100.0))
    )


@formula("blend-strength", takes_named_inputs=True)
def blend_percent(inputs: Mapping[str, tuple[float, float]]) -> float:
    """Strength of what was poured together. [% v/v at 20 °C].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Mass taken of each stock and of water, and the strength of each stock. [g, % v/v]
    """
    parts = [
        Part(mass_g, float(spirit_mass_fraction(_percent(inputs, name) / 100.0)))
        for name, mass_g in _with(inputs, TAKEN)
    ]
    return 100.0 * float(spirit_volume_fraction_20c(mix(parts).ethanol_mass_fraction))


@formula("blend-strength-by-added-volumes", takes_named_inputs=True)
def added_percent(inputs: Mapping[str, tuple[float, float]]) -> float:
    """Strength that adding volumes would give: the tempting way. [% v/v].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Volume taken of each stock and of water, and the strength of each stock. [mL, % v/v]
    """
    volumes = _with(inputs, VOLUME)
    return sum(ml * _percent(inputs, name) for name, ml in volumes) / sum(ml for _, ml in volumes)


@formula("contraction", takes_named_inputs=True)
def sum_less(inputs: Mapping[str, tuple[float, float]], less: str) -> float:
    """The sum of volumes, less one of them. [mL].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        [mL]
    less : str
        Name of the one that is taken away. [text]
    """
    return sum(-value if name == less else value for name, (value, _) in inputs.items())


@formula("blend-cost", takes_named_inputs=True)
def cost_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """What the stocks that are taken cost. [money].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Mass taken and price of each. [g, money/g]
    """
    return sum(mass_g * inputs.get(name + PRICE, (0.0, 0.0))[0] for name, mass_g in _with(inputs, TAKEN))


def most_of(stocks: Sequence[StockAsked], want: Answer) -> Answer:
    """The most of a strength that stocks and water make.

    Parameters
    ----------
    stocks : sequence of StockAsked
        [records]
    want : Answer
        [% v/v at 20 °C]

    Returns
    -------
    Answer
        [g]
    """
    return reckoned(
        "the most that can be made", most_g, unit="g", inputs=_of_stocks(stocks) | {WANTED: want},
        fixed={"kinds": _kinds(stocks)}, says="every stock as far as its ethanol reaches, the rest water",
        sources=SPIRIT_SOURCES,
    )  # fmt: skip


def blended(
    stocks: Sequence[StockAsked],
    want: Answer | None,
    product: Answer | None,
    temperature: Answer,
    *,
    aim: str,
    alcoholometer: Answer,
    thermometer: Answer,
) -> Blended:
    """A blend from its answers; all of everything where no strength is wanted.

    Parameters
    ----------
    stocks : sequence of StockAsked
        [records]
    want : Answer or None
        None: everything is poured together. [% v/v at 20 °C]
    product : Answer or None
        Mixture wanted. [g]
    temperature : Answer
        Of all liquids. [°C]
    aim : str
        "least fresh spirit" or "least cost". [text]
    alcoholometer, thermometer : Answer
        What either may be off. [% v/v, °C]

    Returns
    -------
    Blended
        [record]

    Raises
    ------
    OutsideModel
        More strength is wanted than the strongest stock has.
    NotEnough
        There is too little ethanol at hand, or what must all be taken does not fit.

    References
    ----------
    oiml-r22-1975
    """
    if want is None or product is None:
        masses = {one.name: one.mass for one in stocks}
    else:
        inputs = _of_stocks(stocks) | {PRODUCT: product, WANTED: want}
        fixed = {"kinds": _kinds(stocks), "aim": aim, "tie": FEWEST}
        masses = {
            name: reckoned(
                f"{name} to weigh", taken_g, unit="g", inputs=inputs, fixed={**fixed, "of": name},
                says=f"{aim}, with mass and ethanol held; among equals the {FEWEST}, then the least of them",
                sources=SPIRIT_SOURCES,
            )
            for name in (*(one.name for one in stocks), WATER)
        }  # fmt: skip
    strengths = {one.name: one.strength for one in stocks}
    nothing = next((one.strength for one in stocks if one.what == PLANT), None) or _no_ethanol(stocks[0])
    taken = tuple(
        Taken(name, mass, _volume(name, mass, strengths.get(name, nothing), temperature))
        for name, mass in masses.items()
    )
    poured = {one.name + TAKEN: one.mass for one in taken}
    together = reckoned("together", sum_of, unit="g", inputs=poured, says="the sum")
    said = {name + STRENGTH: one for name, one in strengths.items()}
    held = tuple(one.mass.key for one in taken)
    mixture = stated(
        reckoned(
            "strength of the mixture", blend_percent, unit="%", basis=BASIS, inputs=poured | said,
            says="the ethanol that is weighed in over all that is weighed in; the masses are held",
            sources=SPIRIT_SOURCES,
        ),
        held=held,
    )  # fmt: skip
    volume = _volume("mixture", together, mixture.answer, temperature)
    volumes = {one.name + VOLUME: one.volume for one in taken}
    prices = {one.name + PRICE: one.price for one in stocks if one.price is not None}
    priced = all(one.price is not None or one.what == PLANT for one in stocks)
    unit = next((one.price.unit.partition("/")[0] for one in stocks if one.price is not None), "")
    return Blended(
        tuple(stocks),
        taken,
        together,
        volume,
        mixture,
        reckoned("contraction", sum_less, unit="mL", inputs=volumes | {"mixture": volume}, fixed={"less": "mixture"},
                 says="volumes going in, less the volume of the mixture"),
        reckoned("adding volumes would give", added_percent, unit="%", basis=BASIS, inputs=volumes | said,
                 says="the tempting way: volumes are added, and so are strength times volume"),
        expected_reading(mixture.answer, temperature, alcoholometer, thermometer, held),
        reckoned("cost", cost_of, unit=unit, inputs=poured | prices, says="what is taken of each times its price")
        if priced and prices
        else None,
    )  # fmt: skip


def _no_ethanol(like: StockAsked) -> Answer:
    from stillroom.evidence.answer import reading

    return reading("strength of water", 0.0, like.strength.unit, "there is no ethanol in it", basis=BASIS)


def _volume(name: str, mass: Answer, strength: Answer, temperature: Answer) -> Answer:
    return reckoned(
        f"{name}, by volume at {temperature.value:g} °C", spirit_volume_ml, unit="mL",
        inputs={"mass_g": mass, "volume_percent_20c": strength, "temperature_c": temperature},
        says="its mass over its density at that temperature", sources=SPIRIT_SOURCES,
    )  # fmt: skip


def _of_stocks(stocks: Sequence[StockAsked]) -> dict[str, Answer]:
    found: dict[str, Answer] = {}
    for one in stocks:
        found |= {one.name + MASS: one.mass, one.name + STRENGTH: one.strength}
        if one.price is not None:
            found[one.name + PRICE] = one.price
    return found


def _kinds(stocks: Sequence[StockAsked]) -> str:
    return "|".join(f"{one.name}={one.what}" for one in stocks)


def _with(inputs: Mapping[str, tuple[float, float]], ending: str) -> list[tuple[str, float]]:
    return [
        (name.removesuffix(ending), value) for name, (value, _) in inputs.items() if name.endswith(ending)
    ]


def _percent(inputs: Mapping[str, tuple[float, float]], name: str) -> float:
    return inputs.get(name + STRENGTH, (0.0, 0.0))[0]


def _stocks(values: Mapping[str, float], kinds: str) -> tuple[Stock, ...]:
    made = []
    for one in kinds.split("|"):
        name, _, what = one.partition("=")
        made.append(
            Stock(
                values[name + MASS],
                float(spirit_mass_fraction(values[name + STRENGTH] / 100.0)),
                fresh=what == FRESH,
                price_per_g=values.get(name + PRICE, 0.0),
                all_of_it=what == PLANT,
            )
        )
    return tuple(made)


@lru_cache(maxsize=64)
def _blend(plain: tuple[tuple[str, float], ...], kinds: str, aim: str, tie: str) -> Blend:
    values = dict(plain)
    want = float(spirit_mass_fraction(values[WANTED] / 100.0))
    return blend(_stocks(values, kinds), want, values[PRODUCT], aim, tie)
