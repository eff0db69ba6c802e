"""One fact in many wordings: another unit, a decimal comma, another spacing, capitals, another basis."""

import random
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction


@dataclass(frozen=True)
class Wording:
    """One way to say a fact.

    ``alike`` is False where the same fact is known on another basis, so that only the grams must agree; ``may_refuse``
    where the field is allowed not to take it, with a reason.
    """

    text: str
    alike: bool = True
    may_refuse: bool = False


FULL_WIDTH = {48 + digit: 0xFF10 + digit for digit in range(10)} | {ord("."): 0xFF0E, ord("%"): 0xFF05}
Fact = Callable[[random.Random], list[Wording]]


def figure(rng: random.Random, low: float, high: float, decimals: int) -> Decimal:
    """A figure a person could have written, between two ends."""
    step = 10**decimals
    return Decimal(rng.randint(round(low * step), round(high * step))).scaleb(-decimals)


def plain(value: Decimal) -> str:
    return f"{value:f}"


def written(value: Decimal, *units: str) -> list[str]:
    """A figure with its unit, spaced and with a comma where it has one reading."""
    point = plain(value)
    comma = point.replace(".", ",")
    numbers = [point] if comma == point or re.fullmatch(r"[1-9]\d{0,2},\d{3}", comma) else [point, comma]
    return [f"{number}{gap}{unit}" for unit in units for number in numbers for gap in (" ", "")]


def in_units(
    low: float, high: float, decimals: int, units: dict[str, int], *, bare: bool = False, sign: bool = False
) -> Fact:
    """A figure in units that are powers of ten apart; the first is the one the range is in."""

    def fact(rng: random.Random) -> list[Wording]:
        value = figure(rng, low, high, decimals)
        made = [text for unit, power in units.items() for text in written(value.scaleb(power), unit)]
        if bare:
            made += [text.strip() for text in written(value, "")[::2]]
        if sign:
            made += [f"± {made[0]}", f"+/- {made[0]}"]
        return [*(Wording(text) for text in made), Wording(made[0].translate(FULL_WIDTH), may_refuse=True)]

    return fact


MASS = {"g": 0, "kg": -3, "mg": 3, "grams": 0, "Kg": -3}
VOLUME = {"mL": 0, "L": -3, "ml": 0, "dm³": -3, "cm³": 0, "litres": -3}


def mass(low: float, high: float, decimals: int = 2, *, bare: bool = False, sign: bool = False) -> Fact:
    return in_units(low, high, decimals, MASS, bare=bare, sign=sign)


def volume(low: float, high: float, decimals: int = 1) -> Fact:
    return in_units(low, high, decimals, VOLUME)


def temperature(low: float, high: float) -> Fact:
    """A temperature on three thermometers."""

    def fact(rng: random.Random) -> list[Wording]:
        celsius = figure(rng, low, high, 1)
        fahrenheit, kelvin = celsius * Decimal("1.8") + 32, celsius + Decimal("273.15")
        made = (
            written(celsius, "°C", "C", "℃", "deg C") + written(fahrenheit, "°F", "F") + written(kelvin, "K")
        )
        bare = (
            plain(celsius),
            plain(celsius).replace(".", ","),
            f"{plain(celsius)}°",
            f"{plain(celsius)} degrees",
        )
        return [
            *(Wording(text) for text in (*made, *bare)),
            Wording(made[0].translate(FULL_WIDTH), may_refuse=True),
        ]

    return fact


def difference(low: float, high: float) -> Fact:
    """A difference of temperature: nine fifths as many degrees Fahrenheit."""

    def fact(rng: random.Random) -> list[Wording]:
        kelvin = figure(rng, low, high, 1)
        made = written(kelvin, "K", "°C") + written(kelvin * Decimal("1.8"), "°F")
        return [Wording(text) for text in (*made, plain(kelvin), f"± {plain(kelvin)}")]

    return fact


def share(low: float, high: float, decimals: int = 1) -> Fact:
    """A part of a whole: per cent, per mille, and bare, where it is asked back up to 1."""

    def fact(rng: random.Random) -> list[Wording]:
        value = figure(rng, low, high, decimals)
        made = written(value, "%", "per cent") + written(value * 10, "‰")
        return [
            *(Wording(text) for text in made),
            Wording(plain(value), may_refuse=value <= 1),
            Wording(plain(value / 100), may_refuse=True),
            Wording(f"{plain(value)} % v/v", may_refuse=True),
        ]

    return fact


def content(low: float, high: float, decimals: int = 2) -> Fact:
    """A content by mass."""

    def fact(rng: random.Random) -> list[Wording]:
        value = figure(rng, low, high, decimals)
        made = written(value, "% w/w", "% W/W", "% m/m", "% by mass", "%", "per cent w/w", "g/100 g")
        made += written(value * 10, "mg/g", "g/kg", "‰ w/w")
        return [
            *(Wording(text) for text in made),
            Wording(plain(value)),
            *(
                Wording(f"{plain(value)} {other}", may_refuse=True)
                for other in ("% v/v", "% w/v", "g/L", "g")
            ),
        ]

    return fact


def by_volume(low: float, high: float, *, prefix: str = "", doubted: bool = False) -> Fact:
    """A strength by volume at 20 °C; by mass it is the same spirit on another basis, refused beside a ± by volume."""

    def fact(rng: random.Random) -> list[Wording]:
        value = figure(rng, low, high, 1)
        made = written(value, "% v/v", "% V/V", "% vol", "% by volume", "per cent v/v", "mL/100 mL", "% ABV")
        made += written(value * 10, "mL/L")
        made += [f"{plain(value)} % v/v at {at}" for at in ("20 °C", "68 °F", "293.15 K", "20,0 C")]
        by_mass = float(spirit_mass_fraction(float(value) / 100.0))
        density = float(spirit_density_kg_m3(by_mass, 20.0))
        return [
            *(Wording(prefix + text) for text in made),
            Wording(f"{prefix}{100.0 * by_mass!r} % w/w", alike=False, may_refuse=doubted),
            Wording(f"{prefix}{1000.0 * by_mass!r} mg/g", alike=False, may_refuse=doubted),
            Wording(f"{prefix}{density!r} kg/m³ at 20 °C", alike=False, may_refuse=True),
            *(Wording(prefix + text, may_refuse=True) for text in (plain(value), f"{plain(value)} %")),
            Wording(f"{prefix}{plain(value)} % v/v 5 L", may_refuse=True),
        ]

    return fact


def plus_minus(half: str, *units: str, tenfold: str = "", ratio: str = "") -> Fact:
    """How sure a figure is, k = 2: in its own unit, another, and as one standard deviation."""

    def fact(rng: random.Random) -> list[Wording]:
        value = Decimal(half)
        made = [text for unit in units for text in written(value, unit)]
        if tenfold:
            made += written(value * 10, tenfold)
        made += [f"± {made[0]}", f"+/- {made[0]}", f"{made[0]} (k = 2)"]
        first = units[0]
        made += [f"{plain(value / 2)} {first} (k = 1)", f"u = {plain(value / 2)} {first}"]
        return [
            *(Wording(text) for text in made),
            Wording(half),
            *((Wording(f"{half} %", may_refuse=True),) if ratio else ()),
        ]

    return fact


def said(*ways: str) -> Fact:
    """A fact with its wordings written out."""
    return lambda _: [Wording(one) for one in ways]


def one_of_these(*ways: str, else_refused: tuple[str, ...] = ()) -> Fact:
    """The same, and some that a field may refuse."""
    return lambda _: [
        *(Wording(one) for one in ways),
        *(Wording(one, may_refuse=True) for one in else_refused),
    ]
