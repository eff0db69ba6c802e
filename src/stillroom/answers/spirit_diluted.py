"""Spirit diluted: what to weigh, what it measures, what the tempting way gives, what the alcoholometer should show.

Promises masses that close, and the doubt of the mixture from the doubt of the spirit: what was weighed is held.
The reading to expect has a band: inside it the mixture is left alone, outside it the correction is worked out.
"""

import math
from dataclasses import dataclass

from stillroom.answers.budget import Stated, stated
from stillroom.answers.spirit_percent import (
    add_volumes_at_hand,
    add_volumes_wanted,
    alcoholometer_shows_percent,
    for_volume,
    from_spirit,
    mixture_percent,
    put_right,
    spirit_volume_ml,
)
from stillroom.answers.spirit_strength import BASIS
from stillroom.errors import OutsideModel
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.science.liquids.vessels import mark_for_volume_ml
from stillroom.substances.spirits import SPIRIT_SOURCES

BAND_STEPS = (-2, -1, 1, 2)
"""Readings a correction is worked out for, in widths of the band."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What to add when the alcoholometer shows something else."""

    reads: float
    """[% v/v]"""
    true: Answer
    """Strength behind the reading. [% v/v at 20 °C]"""
    adds: Answer
    """Of water, or of the spirit. [g]"""
    of: str
    """One of "water" or "spirit"."""


@dataclass(frozen=True, slots=True)
class Diluted:
    """A dilution with everything that hangs on it.

    ``want``, ``temperature``: [% v/v at 20 °C, °C]
    ``stock``, ``water``, ``product``: masses. [g]
    ``stock_volume``, ``water_volume``, ``product_volume``: at that temperature. [mL]
    ``stock_mark``, ``product_mark``: marks of a vessel meant for 20 °C. [mL]
    ``naive_stock``, ``naive_water``, ``naive_volume``: what adding volumes says to measure, and what that
    fills. [mL]
    """

    have: Stated
    """[% v/v at 20 °C]"""
    want: Answer
    temperature: Answer
    stock: Answer
    water: Answer
    product: Answer
    stock_volume: Answer
    water_volume: Answer
    product_volume: Answer
    product_volume_20c: Answer
    """[mL]"""
    stock_mark: Answer
    product_mark: Answer
    contraction: Answer
    """[mL]"""
    naive_stock: Answer
    naive_water: Answer
    naive_strength: Answer
    """[% v/v at 20 °C]"""
    naive_volume: Answer
    mixture: Stated
    """What the masses give, with the doubt of the spirit. [% v/v at 20 °C]"""
    reading: Stated | None
    """What an alcoholometer should show; None where its scale ends before. [% v/v]"""
    corrections: tuple[Correction, ...]

    @property
    def answers(self) -> tuple[Answer, ...]:
        """The figures of the recipe in the order they are told."""
        return (
            self.stock, self.water, self.stock_volume, self.water_volume, self.contraction, self.naive_strength,
            self.naive_volume,
        )  # fmt: skip


def diluted(
    have: Stated,
    want: Answer,
    amount: Answer,
    temperature: Answer,
    *,
    at_hand: bool,
    vessel_expansion: Answer,
    alcoholometer: Answer,
    thermometer: Answer,
) -> Diluted:
    """A dilution from its answers.

    Parameters
    ----------
    have : Stated
        Strength of the spirit. [% v/v at 20 °C]
    want : Answer
        Strength wanted. [% v/v at 20 °C]
    amount : Answer
        Volume wanted at that temperature, or with ``at_hand`` the mass of the spirit. [mL or g]
    temperature : Answer
        Of spirit, water and mixture. [°C]
    at_hand : bool
        Whether all of the spirit is to be diluted. [yes or no]
    vessel_expansion : Answer
        Of the measuring vessel. [1/K]
    alcoholometer, thermometer : Answer
        What either may be off. [% v/v, °C]

    Returns
    -------
    Diluted
        Everything that hangs on it. [record]

    Raises
    ------
    OutsideModel
        A figure lies outside the density table, or more strength is wanted than there is.

    References
    ----------
    oiml-r22-1975, iso-4787
    """
    strength = have.answer
    inputs = {
        "have_percent": strength,
        "want_percent": want,
        ("stock_mass_g" if at_hand else "volume_ml"): amount,
        "temperature_c": temperature,
    }

    def told(name: str, pick: str, unit: str, says: str) -> Answer:
        way = from_spirit if at_hand else for_volume
        return reckoned(name, way, unit=unit, inputs=inputs, pick=pick, says=says, sources=SPIRIT_SOURCES)

    at = f"at {temperature.value:g} °C"
    stock = told(
        "spirit to weigh", "stock_mass_g", "g", "ethanol in the mixture over ethanol in a gram of the spirit"
    )
    water = told("water to weigh", "water_mass_g", "g", "what the mixture weighs, less the spirit")
    product = told(
        "mixture", "product_mass_g", "g", "its volume times its density, or the ethanol over its strength"
    )
    stock_ml = told(
        f"spirit by volume {at}", "stock_volume_ml", "mL", "its mass over its density at that temperature"
    )
    product_ml = told(f"mixture by volume {at}", "product_volume_ml", "mL", "its mass over its density")
    tempting = {
        "have_percent": strength,
        "want_percent": want,
        ("stock_volume_ml" if at_hand else "volume_ml"): stock_ml if at_hand else amount,
        "temperature_c": temperature,
    }

    def added(name: str, pick: str) -> Answer:
        percent = pick == "volume_percent_20c"
        return reckoned(
            name,
            add_volumes_at_hand if at_hand else add_volumes_wanted,
            unit="%" if percent else "mL",
            basis=BASIS if percent else "",
            inputs=tempting,
            pick=pick,
            says="the tempting way: strength times volume is held, the rest is taken to be water",
            sources=SPIRIT_SOURCES,
        )

    mixture = stated(
        reckoned(
            "strength of the mixture",
            mixture_percent,
            unit="%",
            basis=BASIS,
            inputs={"stock_mass_g": stock, "water_mass_g": water, "have_percent": strength},
            says="the ethanol that was weighed in over all that was weighed in; the masses are held",
            sources=SPIRIT_SOURCES,
        ),
        held=(stock.key, water.key),
    )
    shows = expected_reading(mixture.answer, temperature, alcoholometer, thermometer, (stock.key, water.key))
    return Diluted(
        have=have,
        want=want,
        temperature=temperature,
        stock=stock,
        water=water,
        product=product,
        stock_volume=stock_ml,
        water_volume=told(f"water by volume {at}", "water_volume_ml", "mL", "its mass over its density"),
        product_volume=product_ml,
        product_volume_20c=_at_20c(product, want),
        stock_mark=_mark("mark for the spirit", stock_ml, temperature, vessel_expansion),
        product_mark=_mark("mark to fill to", product_ml, temperature, vessel_expansion),
        contraction=told(
            "contraction", "contraction_ml", "mL", "volumes going in, less the volume of the mixture"
        ),
        naive_stock=added("spirit by adding volumes", "stock_volume_ml"),
        naive_water=added("water by adding volumes", "water_volume_ml"),
        naive_strength=added("adding volumes would give", "volume_percent_20c"),
        naive_volume=added("adding volumes would fill", "volume_ml"),
        mixture=mixture,
        reading=shows,
        corrections=_corrections(shows, product, temperature, want, strength) if shows else (),
    )


def _at_20c(product: Answer, want: Answer) -> Answer:
    return reckoned(
        "the same mixture at 20 °C",
        spirit_volume_ml,
        unit="mL",
        inputs={"mass_g": product, "volume_percent_20c": want},
        fixed={"temperature_c": 20.0},
        says="the same mass over its density at 20 °C",
        sources=SPIRIT_SOURCES,
    )


def _mark(name: str, volume: Answer, temperature: Answer, expansion: Answer) -> Answer:
    return reckoned(
        name,
        mark_for_volume_ml,
        unit="mL",
        basis="of a vessel marked at 20 °C",
        inputs={"volume_ml": volume, "temperature_c": temperature, "vessel_expansion_per_k": expansion},
        says="the vessel itself is wider when it is warm",
        sources=("iso-4787",),
    )


def expected_reading(
    mixture: Answer, temperature: Answer, alcoholometer: Answer, thermometer: Answer, held: tuple[str, ...]
) -> Stated | None:
    """What an alcoholometer should show in a mixture; None where its scale ends before.

    Parameters
    ----------
    mixture : Answer
        Its strength. [% v/v at 20 °C]
    temperature : Answer
        Of the mixture when it is read. [°C]
    alcoholometer, thermometer : Answer
        What either may be off. [% v/v, °C]
    held : tuple of str
        Keys of the masses that were weighed and are not doubted. [text]

    Returns
    -------
    Stated or None
        [% v/v, as read]

    References
    ----------
    oiml-r22-1975
    """
    try:
        return stated(
            reckoned(
                f"an alcoholometer marked at 20 °C shows at {temperature.value:g} °C",
                alcoholometer_shows_percent,
                unit="%",
                basis="v/v, as read",
                inputs={
                    "volume_percent_20c": mixture,
                    "temperature_c": temperature,
                    "difference_percent": alcoholometer,
                    "thermometer_difference_c": thermometer,
                },
                says="the density of the warm or cold mixture, read on a scale meant for 20 °C; soda-lime glass",
                sources=SPIRIT_SOURCES,
            ),
            held=held,
        )
    except OutsideModel:
        return None


def _corrections(
    shows: Stated, product: Answer, temperature: Answer, want: Answer, have: Answer
) -> tuple[Correction, ...]:
    """Readings beyond the band, each with what to add; readings no spirit could give are left out."""
    width = max(0.5, math.ceil(2.0 * shows.expanded_uncertainty) / 2.0)
    made = []
    for steps in BAND_STEPS:
        reads = round(shows.answer.value + steps * width, 1)
        of = "spirit" if steps < 0 else "water"
        if not 0.0 < reads <= 100.0 or (of == "spirit" and have.value - want.value < width):
            continue
        leaf = reading("reading", reads, "%", "one that may be seen", basis="v/v, as read")
        try:
            made.append(correction(leaf, product, temperature, want, have, of))
        except OutsideModel:
            continue
    return tuple(made)


def correction(
    reads: Answer, product: Answer, temperature: Answer, want: Answer, have: Answer, of: str
) -> Correction:
    """What to add to a mixture that reads otherwise than it should.

    Parameters
    ----------
    reads : Answer
        Reading of an alcoholometer marked at 20 °C. [% v/v]
    product : Answer
        The mixture. [g]
    temperature : Answer
        Of the mixture when it was read. [°C]
    want, have : Answer
        Strengths wanted and of the spirit. [% v/v at 20 °C]
    of : str
        What is added: "water" or "spirit". [text]

    Returns
    -------
    Correction
        The strength behind the reading, and what to add. [g]

    Raises
    ------
    OutsideModel
        No spirit gives that reading at that temperature.

    References
    ----------
    oiml-r22-1975
    """
    inputs = {
        "product_mass_g": product,
        "reading_percent": reads,
        "temperature_c": temperature,
        "want_percent": want,
        "have_percent": have,
    }
    true, adds = (
        reckoned(name, put_right, unit=unit, inputs=inputs, pick=pick, sources=SPIRIT_SOURCES)
        for name, pick, unit in (
            ("strength behind the reading", "volume_percent_20c", "%"),
            (f"{of} to add", f"{of}_mass_g", "g"),
        )
    )
    return Correction(reads.value, true, adds, of)
