"""How strong a spirit is, by how it is known: label, certificate, density, alcoholometer, bottle and scale.

Promises the strength by volume at 20 °C with its doubt and where the doubt comes from. A doubt nobody stated is
taken from a rule of the laboratory and marked as assumed. Ethanol and water only: methanol, sugar and extract
deceive every one of these ways.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.budget import Stated, stated
from stillroom.answers.density_by_bottle import density
from stillroom.errors import OutsideModel
from stillroom.evidence.answer import Answer, assumed, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.substances.rules import rule
from stillroom.substances.spirits import (
    SPIRIT_SOURCES,
    spirit_from_alcoholometer,
    spirit_mass_fraction_at,
    spirit_mass_fraction_from_density,
    spirit_volume_fraction_20c,
)

KnownBy: TypeAlias = Literal["label", "certificate", "mass", "density", "alcoholometer", "bottle"]
RULES: dict[str, tuple[str, str]] = {
    "label": ("spirit-label-limits", "the law of labels allows that much"),
    "certificate": ("spirit-certificate-limits", "a certificate is rounded to its last figure"),
    "mass": ("spirit-mass-certificate-limits", "a certificate is rounded to its last figure"),
    "density": ("density-reading-limits", "a hand hydrometer is read to half a division"),
    "alcoholometer": ("alcoholometer-division", "it is read to half of one of its divisions"),
}
"""Which rule stands in for a doubt nobody stated, and why."""
BASIS = "v/v at 20 °C"
LABEL_96_PERCENT = 96.0


@dataclass(frozen=True, slots=True)
class Doubts:
    """What may be off in a strength: each a difference of zero with its spread."""

    own: Answer
    """Of the label, the certificate or the instrument, in the unit it is read in."""
    thermometer: Answer
    """[°C]"""


@formula("strength-by-label")
def strength_by_label_percent(
    volume_percent: float, base_temperature_c: float, difference_percent: float
) -> float:
    """Strength at 20 °C of spirit known by volume at the temperature its label means.

    Parameters
    ----------
    volume_percent : float
        As stated. [% v/v]
    base_temperature_c : float
        Temperature it is meant at. [°C]
    difference_percent : float
        True strength less the stated one. [% v/v]

    Returns
    -------
    float
        Strength at 20 °C. [% v/v]
    """
    share = _share(volume_percent, difference_percent)
    return 100.0 * float(
        spirit_volume_fraction_20c(float(spirit_mass_fraction_at(share, base_temperature_c)))
    )


@formula("strength-by-mass")
def strength_by_mass_percent(mass_percent: float, difference_percent: float) -> float:
    """Strength at 20 °C of spirit known by mass.

    Parameters
    ----------
    mass_percent : float
        As stated. [% w/w]
    difference_percent : float
        True strength less the stated one. [% w/w]

    Returns
    -------
    float
        Strength at 20 °C. [% v/v]
    """
    return 100.0 * float(spirit_volume_fraction_20c(_share(mass_percent, difference_percent)))


@formula("strength-by-density")
def strength_by_density_percent(
    density_g_ml: float, temperature_c: float, difference_g_ml: float, thermometer_difference_c: float
) -> float:
    """Strength at 20 °C of spirit whose density is known at a temperature.

    Parameters
    ----------
    density_g_ml : float
        As read. [g/mL]
    temperature_c : float
        When it was read. [°C]
    difference_g_ml : float
        True density less the reading. [g/mL]
    thermometer_difference_c : float
        True temperature less the reading. [°C]

    Returns
    -------
    float
        Strength at 20 °C. [% v/v]
    """

    def strength(difference: float, thermometer: float) -> float:
        heavy = 1000.0 * (density_g_ml + difference)
        mass = float(spirit_mass_fraction_from_density(heavy, temperature_c + thermometer))
        return 100.0 * float(spirit_volume_fraction_20c(mass))

    return _kept_within(strength, difference_g_ml, thermometer_difference_c)


@formula("strength-by-alcoholometer")
def strength_by_alcoholometer_percent(
    reading_percent: float, temperature_c: float, difference_percent: float, thermometer_difference_c: float
) -> float:
    """Strength at 20 °C behind the reading of an alcoholometer marked at 20 °C.

    Parameters
    ----------
    reading_percent : float
        Reading. [% v/v]
    temperature_c : float
        When it was read. [°C]
    difference_percent : float
        True mark less the reading. [% v/v]
    thermometer_difference_c : float
        True temperature less the reading. [°C]

    Returns
    -------
    float
        Strength at 20 °C. [% v/v]
    """

    def strength(difference: float, thermometer: float) -> float:
        mark = (reading_percent + difference) / 100.0
        return 100.0 * float(spirit_from_alcoholometer(mark, temperature_c + thermometer))

    return _kept_within(strength, difference_percent, thermometer_difference_c)


@formula("temperature-by-thermometer")
def temperature_off_c(temperature_c: float, thermometer_difference_c: float) -> float:
    """A temperature with what its thermometer is off. [°C].

    Parameters
    ----------
    temperature_c, thermometer_difference_c : float
        [°C]
    """
    return temperature_c + thermometer_difference_c


def doubt(name: str, limits: float, unit: str, because: str, *, said: bool, k: float | None = None) -> Answer:
    """A difference of zero that may be off by so much either way.

    Parameters
    ----------
    name : str
        What may be off. [text]
    limits : float
        Half width. [unit]
    unit : str
        Of the half width. [text]
    because : str
        Why that much. [text]
    said : bool
        Whether somebody stated it; an assumption otherwise. [yes or no]
    k : float or None
        Coverage factor of the half width; None for limits in which every value is as likely. [1]

    Returns
    -------
    Answer
        Zero with its standard uncertainty. [unit]

    References
    ----------
    jcgm-100
    """
    u = limits / (k or math.sqrt(3.0))
    leaf = reading if said else assumed
    return leaf(name, 0.0, unit, because, standard_uncertainty=u, shape="" if k else "rectangular")


def assumed_doubt(known_by: KnownBy, *, name: str = "", percent: float | None = None) -> Answer:
    """The doubt of a way of knowing, where nobody stated it.

    Parameters
    ----------
    known_by : KnownBy
        Any way but the bottle, whose doubt is that of its scale. [text]
    name : str
        What it is called; that of the way when empty. [text]
    percent : float or None
        What a label says: one near 96 % v/v is that of the pharmacopoeia. [% v/v]

    Returns
    -------
    Answer
        Zero with its standard uncertainty. [unit of the reading]
    """
    key, because = RULES[known_by]
    if known_by == "label" and percent is not None:
        wide = rule("spirit-label-96-limits")
        if abs(percent - LABEL_96_PERCENT) <= wide.value:
            key, because = "spirit-label-96-limits", "ethanol 96 per cent may hold 95.1 to 96.9 % v/v"
    figure = rule(key)
    limits = figure.value / 2.0 if known_by == "alcoholometer" else figure.value
    unit = "g/mL" if figure.unit == "g/mL" else "%"
    return doubt(name or OWN_DOUBT[known_by], limits, unit, because, said=False)


OWN_DOUBT: dict[str, str] = {
    "label": "error of the label",
    "certificate": "error of the certificate",
    "mass": "error of the certificate",
    "density": "error of the density",
    "alcoholometer": "error of the alcoholometer",
}
"""What the doubt of each way is called."""
READING_DOUBT = "reading of the alcoholometer"
"""The mixture is read anew: another error than that of a spirit known by alcoholometer."""


def strength_known(known_by: KnownBy, value: Answer, temperature: Answer, doubts: Doubts) -> Stated:
    """The strength of a spirit, by how it is known.

    Parameters
    ----------
    known_by : KnownBy
        Any way but the bottle. [text]
    value : Answer
        What was stated or read. [its unit]
    temperature : Answer
        Of the reading; of a label, the temperature it is meant at. [°C]
    doubts : Doubts
        What may be off. [units of the readings]

    Returns
    -------
    Stated
        Strength at 20 °C with its uncertainty. [% v/v]

    Raises
    ------
    OutsideModel
        No spirit can give that reading at that temperature.

    References
    ----------
    oiml-r22-1975
    """
    name = "strength of the spirit at hand"
    if known_by in ("label", "certificate"):
        answer = reckoned(
            name,
            strength_by_label_percent,
            unit="%",
            basis=BASIS,
            inputs={
                "volume_percent": value,
                "base_temperature_c": temperature,
                "difference_percent": doubts.own,
            },
            says="by volume, as stated",
            sources=SPIRIT_SOURCES,
        )
    elif known_by == "mass":
        answer = reckoned(
            name,
            strength_by_mass_percent,
            unit="%",
            basis=BASIS,
            inputs={"mass_percent": value, "difference_percent": doubts.own},
            says="from the strength by mass, by the density of spirit at 20 °C",
            sources=SPIRIT_SOURCES,
        )
    elif known_by == "density":
        answer = reckoned(
            name,
            strength_by_density_percent,
            unit="%",
            basis=BASIS,
            inputs={
                "density_g_ml": value,
                "temperature_c": temperature,
                "difference_g_ml": doubts.own,
                "thermometer_difference_c": doubts.thermometer,
            },
            says="the only strength with that density at that temperature",
            sources=SPIRIT_SOURCES,
        )
    else:
        answer = reckoned(
            name,
            strength_by_alcoholometer_percent,
            unit="%",
            basis=BASIS,
            inputs={
                "reading_percent": value,
                "temperature_c": temperature,
                "difference_percent": doubts.own,
                "thermometer_difference_c": doubts.thermometer,
            },
            says="the reading brought from its temperature to 20 °C, glass included",
            sources=SPIRIT_SOURCES,
        )
    return stated(answer)


def strength_by_bottle(
    empty: Answer, water: Answer, spirit: Answer, temperature: Answer, thermometer: Answer
) -> Stated:
    """The strength of a spirit by a bottle weighed three times at one temperature.

    Parameters
    ----------
    empty, water, spirit : Answer
        The bottle empty, full of water, full of the spirit, with the doubt of the scale. [g]
    temperature : Answer
        Of all three. [°C]
    thermometer : Answer
        What the thermometer may be off. [°C]

    Returns
    -------
    Stated
        Strength at 20 °C with its uncertainty. [% v/v]

    Raises
    ------
    BadEntry
        A full bottle does not weigh more than the empty one.
    OutsideModel
        No spirit has that density.

    References
    ----------
    oiml-r22-1975
    """
    in_truth = reckoned(
        "temperature of the bottle",
        temperature_off_c,
        unit="°C",
        inputs={"temperature_c": temperature, "thermometer_difference_c": thermometer},
        says="as read, with what the thermometer may be off",
    )
    found = density(empty, water, spirit, in_truth).answer
    none_beside = reading("error beside the scale's", 0.0, "g/mL", "the bottle is filled to one mark")
    no_more = reading("error beside the thermometer's", 0.0, "°C", "it stands in the temperature")
    return strength_known("density", found, in_truth, Doubts(none_beside, no_more))


def _share(percent: float, difference_percent: float) -> float:
    """A share with its error; an error never makes more of it than all, or less than nothing."""
    off = percent + difference_percent
    return (min(max(off, 0.0), 100.0) if 0.0 <= percent <= 100.0 else percent) / 100.0


def _kept_within(strength: Callable[[float, float], float], difference: float, thermometer: float) -> float:
    """The strength with both errors; near pure ethanol or pure water an error ends there."""
    try:
        return strength(difference, thermometer)
    except OutsideModel:
        middle = strength(0.0, 0.0)
        return 100.0 if middle > 50.0 else 0.0
