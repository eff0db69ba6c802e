"""A strength as it was said or read, as an answer: per cent by volume at 20 °C, with its doubt and its reason.

Promises that the ratio, the scale, the temperature and the doubt that were said are all in the trail. What nobody said
of the doubt is taken from the rule of its way and marked as assumed.
"""

from stillroom.answers.budget import Stated
from stillroom.answers.spirit_old_scales import percent_on_scale
from stillroom.answers.spirit_strength import (
    BASIS,
    OWN_DOUBT,
    Doubts,
    KnownBy,
    assumed_doubt,
    doubt,
    strength_by_label_percent,
    strength_by_mass_percent,
    strength_known,
)
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.strengths import SCALES, USUAL_C, Strength
from stillroom.substances.rules import rule
from stillroom.substances.spirit_strengths import volume_fraction_from_grams
from stillroom.substances.spirits import SPIRIT_SOURCES, spirit_mass_fraction, spirit_volume_fraction_20c

ASKED = "as asked"


def stated_strength(
    strength: Strength,
    thermometer: Answer,
    *,
    temperature: Answer | None = None,
    where: str = ASKED,
    entry_no: int | None = None,
) -> Stated:
    """Per cent by volume at 20 °C behind a strength that was said or read.

    Parameters
    ----------
    strength : Strength
        As stated or read. [record]
    thermometer : Answer
        What the thermometer may be off. [°C]
    temperature : Answer or None
        That of the reading, where it has an answer of its own already; it is shared then. [°C]
    where : str
        Entry of the book, or "as asked". [text]
    entry_no : int or None
        Its number.

    Returns
    -------
    Stated
        With its uncertainty. [% v/v]

    Raises
    ------
    OutsideModel
        No spirit is that strong, or has that density or reading at that temperature.

    References
    ----------
    oiml-r22-1975
    """
    way = way_of(strength)

    if strength.is_stated and way != "mass":
        value, base = _by_volume(strength, where, entry_no)
        return strength_known(way, value, base, Doubts(_own(strength, way, value.value, where), thermometer))
    name, unit = ("density", "g/mL") if strength.unit == "g/mL" else ("strength as stated", "%")
    value = reading(name, strength.value, unit, where, entry_no=entry_no, basis=strength.ratio or "")
    at = temperature
    if at is None or at.value != strength.temperature_c:
        read_at_c = USUAL_C if strength.temperature_c is None else strength.temperature_c
        at = reading("temperature at the reading", read_at_c, "°C", where, entry_no=entry_no)
    own = _own(strength, way, strength.value, where)
    return strength_known("density" if way == "bottle" else way, value, at, Doubts(own, thermometer))


def wanted_strength(strength: Strength) -> Answer:
    """Per cent by volume at 20 °C behind a strength that is wanted: a wish has no doubt.

    Parameters
    ----------
    strength : Strength
        As asked, by volume at a temperature or by mass. [record]

    Returns
    -------
    Answer
        [% v/v]

    Raises
    ------
    OutsideModel
        No spirit is that strong.

    References
    ----------
    oiml-r22-1975
    """
    name = "strength wanted"
    if strength.ratio == "v/v" and strength.temperature_c == USUAL_C:
        return reading(name, strength.value, "%", ASKED, basis=BASIS)
    exact = reading("error of what is wanted", 0.0, "%", "it is a wish")
    if strength.ratio == "w/w":
        percent = reading(name, strength.value, "%", ASKED, basis="w/w")
        return reckoned(
            name, strength_by_mass_percent, unit="%", basis=BASIS, says=strength.words, sources=SPIRIT_SOURCES,
            inputs={"mass_percent": percent, "difference_percent": exact},
        )  # fmt: skip
    volume, base = _by_volume(strength, ASKED, None)
    return reckoned(
        name, strength_by_label_percent, unit="%", basis=BASIS, says=strength.words, sources=SPIRIT_SOURCES,
        inputs={"volume_percent": volume, "base_temperature_c": base, "difference_percent": exact},
    )  # fmt: skip


def way_of(strength: Strength) -> KnownBy:
    """How it is known, as the rules for doubts tell ways apart: a statement by mass is one of its own.

    Parameters
    ----------
    strength : Strength
        As stated or read. [record]
    """
    return "mass" if strength.ratio == "w/w" else strength.known_by


def doubt_called(strength: Strength) -> str:
    """What its doubt is called where nobody said it: that of the label, by volume or by mass, or of its way."""
    return OWN_DOUBT["label" if strength.known_by == "label" else way_of(strength)]


def usual_thermometer() -> Answer:
    """What a thermometer may be off, where nobody said. [°C]."""
    limits = rule("thermometer-limits").value
    return doubt("error of the thermometer", limits, "°C", "a plain thermometer", said=False)


@formula("strength-by-grams")
def volume_percent_from_grams(grams_per_100ml: float, base_temperature_c: float) -> float:
    """Strength by volume behind grams of ethanol in 100 mL. [% v/v].

    Parameters
    ----------
    grams_per_100ml : float
        [% w/v]
    base_temperature_c : float
        At which the 100 mL are meant. [°C]

    References
    ----------
    oiml-r22-1975
    """
    return 100.0 * volume_fraction_from_grams(grams_per_100ml, base_temperature_c)


def _by_volume(strength: Strength, where: str, entry_no: int | None) -> tuple[Answer, Answer]:
    """A label or certificate by volume, and the temperature it means. [% v/v, °C]."""

    def said(name: str, value: float, unit: str, basis: str) -> Answer:
        return reading(name, value, unit, where, entry_no=entry_no, basis=basis)

    at_c = USUAL_C if strength.temperature_c is None else strength.temperature_c
    scale = SCALES.get(strength.scale)
    because = scale.because if scale else where if strength.temperature_said else "usual"
    base = reading("temperature the label means", at_c, "°C", because, entry_no=entry_no)
    if scale is not None and strength.is_proof:
        degrees = said("proof as stated", strength.value, "°", strength.scale)
        return percent_on_scale(scale, degrees), base
    if strength.ratio != "w/v":
        return said("strength as stated", strength.value, "%", "v/v"), base
    grams = said("grams in 100 mL, as stated", strength.value, "%", f"w/v at {at_c:.4g} °C")
    volume = reckoned(
        "strength as stated, by volume", volume_percent_from_grams, unit="%", basis=f"v/v at {at_c:.4g} °C",
        inputs={"grams_per_100ml": grams, "base_temperature_c": base},
        says="the grams over those of pure ethanol at that temperature", sources=SPIRIT_SOURCES,
    )  # fmt: skip
    return volume, base


def _label_by_mass(percent: float) -> Answer:
    """The doubt of a label by mass: that of the same label by volume. [% w/w]."""
    volume = 100.0 * float(spirit_volume_fraction_20c(percent / 100.0))
    by_volume = assumed_doubt("label", percent=volume)
    half = 3.0**0.5 * (by_volume.standard_uncertainty or 0.0)
    low, high = (
        100.0 * float(spirit_mass_fraction(min(max(one, 0.0), 100.0) / 100.0))
        for one in (volume - half, volume + half)
    )
    because = by_volume.leaf.where if by_volume.leaf else ""
    return doubt(OWN_DOUBT["label"], (high - low) / 2.0, "%", because, said=False)


def _own(strength: Strength, way: KnownBy, value: float, where: str) -> Answer:
    """Its own doubt: as said, brought to the unit of the value; assumed otherwise."""
    key: KnownBy = "density" if way == "bottle" else way
    if strength.standard_uncertainty is None:
        on_label = way == "mass" and strength.known_by == "label"
        return _label_by_mass(value) if on_label else assumed_doubt(key, percent=value)
    unit = "g/mL" if strength.unit == "g/mL" else "%"
    k = None if strength.within_limits else 2.0
    half = (k or 3.0**0.5) * strength.standard_uncertainty * value / strength.value
    return doubt(OWN_DOUBT[key], half, unit, where, said=True, k=k)
