"""The factor of a titrant from a weighed primary standard: by volume or by weight, with its spread and its drift.

Promises that a factor is released only when enough replicates agree; a volume is brought to 20 °C where the temperature
was said, and left as it was read where it was not, with that told. How long it serves in a warm room is a rule of
thumb until the laboratory's own log of factors replaces it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.budget import Stated, mean, spread_leaf, stated
from stillroom.answers.titres import titrant_for
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, published, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.rounding import shown
from stillroom.reference.tables import row
from stillroom.science.liquids.density import density_kg_m3
from stillroom.science.solutions.titrants import (
    Drift,
    drift_of,
    life_at_d,
    relative_spread,
    standard_amount_mmol,
    titrant_strength,
    volume_at_20c_ml,
)
from stillroom.substances.acids import STANDARDS
from stillroom.substances.remembering import remember
from stillroom.substances.rules import rule
from stillroom.substances.spirits import oiml_r22
from stillroom.substances.titrants import MOST_TITRANTS, TitrantLife

STATED_AT_C = 25.0
SIGNIFICANT_T = 2.0
"""A drift of twice its standard uncertainty is told as one: common practice, no source."""
BURETTE = "borosilicate glass"
Which: TypeAlias = Literal["life", "factor"]


@dataclass(frozen=True, slots=True)
class Replicate:
    """One weighing of the standard and its titre."""

    mass: Answer
    """[g]"""
    titre: Answer
    """[mL or g]"""


@dataclass(frozen=True, slots=True)
class Factored:
    """A factor with what makes it count."""

    factor: Stated
    """True over nominal. [1]"""
    strength: Stated
    """Factor times nominal. [mol/L or mol/kg]"""
    each: tuple[Answer, ...]
    """Strength by each replicate. [mol/L or mol/kg]"""
    spread: float | None
    """Relative standard deviation of the replicates; None with one. [1]"""
    released: bool
    because: str


@formula("burette-volume-at-20")
def burette_volume_at_20c_ml(titre_ml: float, temperature_c: float, cubic_expansion_per_k: float) -> float:
    """A titre at 20 °C, the solution growing as water does. [mL].

    Parameters
    ----------
    titre_ml : float
        [mL]
    temperature_c : float
        [°C]
    cubic_expansion_per_k : float
        Of the burette. [1/K]
    """
    warm, cool = (float(density_kg_m3(0.0, at, oiml_r22())) / 1000.0 for at in (temperature_c, 20.0))
    return float(volume_at_20c_ml(titre_ml, temperature_c, warm, cool, cubic_expansion_per_k))


@formula("titrant-factor")
def true_over_nominal(strength: float, nominal: float, repeatability_ratio: float) -> float:
    """Factor of a titrant. [1].

    Parameters
    ----------
    strength, nominal : float
        [mol/L or mol/kg]
    repeatability_ratio : float
        1, with the spread of the mean as its uncertainty. [1]
    """
    return strength / nominal * repeatability_ratio


@formula("titrant-true-strength")
def times_nominal(factor: float, nominal: float) -> float:
    """True strength of a titrant. [mol/L or mol/kg].

    Parameters
    ----------
    factor, nominal : float
        [1, mol/L or mol/kg]
    """
    return factor * nominal


def factor_of(
    standard: str,
    replicates: Sequence[Replicate],
    *,
    nominal: Answer,
    content: Answer,
    blank: Answer,
    temperature: Answer | None = None,
    titrant: str = "",
) -> Factored:
    """The factor of a titrant.

    Parameters
    ----------
    standard : str
        Key of ``primary_standards``. [text]
    replicates : sequence of Replicate
        [g, and mL or g]
    nominal : Answer
        [mol/L for titres in mL, mol/kg for titres in g]
    content : Answer
        Of the standard, by its certificate. [1]
    blank : Answer
        [mL or g]
    temperature : Answer or None
        Of the burette. [°C]
    titrant : str
        By its name; one that is not listed has one proton. [text]

    Returns
    -------
    Factored
        The factor, and whether it may be used. [1]

    Raises
    ------
    BadEntry
        No replicate, units that do not go together, or a factor far from 1.
    UnknownName
        No such standard.

    References
    ----------
    ph-eur-primary-standards, jcgm-100
    """
    found = row(STANDARDS, standard)
    _refuse_mixed(replicates, nominal, blank)
    weighed = nominal.unit == "mol/kg"
    equivalents = _figure(standard, "equivalents", "equivalents", "")
    constants = {
        "molar_mass_g_mol": _figure(standard, "molar_mass_g_mol", "molar mass", "g/mol"),
        "equivalents": titrant_for(standard, equivalents, titrant) or equivalents,
    }
    at_20 = not weighed and temperature is not None
    empty = titre_at_20c(blank, temperature) if at_20 and temperature is not None else blank
    strengths = []
    for at, one in enumerate(replicates, 1):
        if one.mass.value <= 0:
            raise OutsideModel(
                "A standard is weighed", f"{one.mass.value:g} g", "Weigh another and titrate it"
            )
        if one.titre.value <= blank.value:
            raise OutsideModel(
                "A standard uses more titrant than the blank",
                worded("{titre:g} {unit} for the standard, {blank:g} for the blank", titre=one.titre.value,
                       unit=blank.unit, blank=blank.value),
                "Were they exchanged, or was one misread?",
            )  # fmt: skip
        amount = reckoned(
            f"amount of standard {at}", standard_amount_mmol, unit="mmol",
            inputs={"standard_mass_g": one.mass, "content_fraction": content, **constants},
            says="mass times content, times equivalents, over the molar mass", sources=("ph-eur-primary-standards",),
        )  # fmt: skip
        titre = titre_at_20c(one.titre, temperature) if at_20 and temperature is not None else one.titre
        strengths.append(
            reckoned(
                f"strength {at}", titrant_strength, unit=nominal.unit,
                inputs={"amount_mmol": amount, "titre": titre, "blank": empty},
                says="the amount of standard over the titre less the blank",
            )
        )  # fmt: skip
    strength = mean("strength of the titrant", strengths)
    spread = relative_spread([one.value for one in strengths]) if len(strengths) > 1 else None
    count = len(strengths)
    repeatability = spread_leaf(
        "spread of the mean", 1.0, "", f"{count} replicates",
        standard_uncertainty=(spread or 0.0) / math.sqrt(count), degrees_of_freedom=max(count - 1, 1),
    )  # fmt: skip
    factor = reckoned(
        "factor", true_over_nominal, unit="",
        inputs={"strength": strength, "nominal": nominal, "repeatability_ratio": repeatability},
        says="true strength over nominal", sources=("ph-eur-primary-standards",),
    )  # fmt: skip
    if not 0.5 < factor.value < 2.0:
        raise OutsideModel(
            "The factor of a titrant lies near 1", f"{factor.value:.4g}",
            worded("Look at the unit of the masses, and whether {key} is the standard that was weighed", key=found.key),
        )  # fmt: skip
    released, because = _release(count, spread, factor.value)
    if not weighed and temperature is None:
        because += " The temperature of the burette was not said: volumes are taken as read."
    in_use = reckoned(
        "strength in use", times_nominal, unit=nominal.unit, inputs={"factor": factor, "nominal": nominal},
        says="factor times nominal strength",
    )  # fmt: skip
    return Factored(stated(factor), stated(in_use), tuple(strengths), spread, released, because)


def _release(count: int, spread: float | None, factor: float) -> tuple[bool, str]:
    fewest, widest = rule("titrant-fewest-replicates").value, rule("titrant-spread-limit").value
    off = rule("titrant-nominal-limit").value
    reasons = []
    if count < fewest:
        reasons.append(f"{count} of at least {fewest:g} replicates")
    if spread is not None and 100.0 * spread > widest:
        reasons.append(f"replicates spread by {100 * spread:.2f} %, at most {widest:g} % is allowed")
    if 100.0 * abs(factor - 1.0) > off:
        reasons.append(
            f"it is {100 * abs(factor - 1.0):.0f} % off its nominal strength, at most {off:g} % is allowed"
        )
    if reasons:
        return False, "Not released: " + "; ".join(reasons) + "."
    return (
        True,
        f"Released: {count} replicates spread by {100 * (spread or 0.0):.2f} %, at most {widest:g} %.",
    )


def drift_told(days: Sequence[float], factors: Sequence[float]) -> tuple[Drift | None, str]:
    """How a factor moved, in a sentence; None with fewer than two days.

    Parameters
    ----------
    days : sequence of float
        [d]
    factors : sequence of float
        [1]
    """
    if len(set(days)) < 2:
        return None, "No drift can be told from one day."
    found = drift_of(days, factors)
    per_week = 700.0 * found.slope_per_d
    if found.degrees_of_freedom < 1:
        return (
            found,
            f"It moved by {per_week:+.2f} % a week between two days; a third tells whether that is a drift.",
        )
    u_week = 700.0 * found.standard_uncertainty_per_d
    if abs(per_week) > SIGNIFICANT_T * u_week:
        both = shown(per_week, SIGNIFICANT_T * u_week) if u_week > 0.0 else None
        told = f"{both.value} ± {both.uncertainty}" if both else f"{per_week:+.2f}"
        return found, f"It drifts by {told} % a week: shorten the time between factors."
    return found, f"No drift beyond its scatter ({per_week:+.2f} ± {SIGNIFICANT_T * u_week:.2f} % a week)."


@formula("times-faster-spoilt")
def times_faster(life_d: float, life_at_35c_d: float) -> float:
    """How many times faster a titrant spoils ten kelvin warmer, by what was measured at 35 °C. [1].

    Parameters
    ----------
    life_d, life_at_35c_d : float
        [d]
    """
    return life_d / life_at_35c_d


@remember(MOST_TITRANTS)
def days_it_serves(room: Answer, of: TitrantLife, which: Which) -> Answer:
    """How long a titrant, or its factor, serves in a room.

    Parameters
    ----------
    room : Answer
        Temperature of the room. [°C]
    of : TitrantLife
        Its rule. [record]
    which : "life" or "factor"
        [text]

    Returns
    -------
    Answer
        [d]
    """
    stated_at = published(
        "temperature that is stated for",
        STATED_AT_C,
        "°C",
        "laboratory_rules",
        sources=("solution-lifetimes",),
    )
    if of.life_at_35c is None:
        faster = rule("titrant-warm-factor")
        says = "the stated life, halved for each ten kelvin the room is warmer than 25 °C; your own log replaces it"
    else:
        faster = reckoned(
            "times faster ten kelvin warmer", times_faster, unit="1",
            inputs={"life_d": of.life, "life_at_35c_d": of.life_at_35c},
            says="the days it keeps at 25 °C over those measured at 35 °C", sources=of.life_at_35c.sources,
        )  # fmt: skip
        says = "the stated life, shorter in a room above 25 °C as measured at 35 °C; your own log replaces it"
    return reckoned(
        "days it serves" if which == "life" else "days its factor serves", life_at_d, unit="d",
        inputs={"life_d": of.life if which == "life" else of.factor_life, "stated_at_c": stated_at,
                "temperature_c": room, "factor_per_10k": faster},
        says=says, sources=("solution-lifetimes", "common-practice"),
    )  # fmt: skip


def titre_at_20c(titre: Answer, temperature: Answer) -> Answer:
    """A titre read from a burette, at 20 °C.

    Parameters
    ----------
    titre, temperature : Answer
        As read, and of the burette. [mL, °C]

    Returns
    -------
    Answer
        [mL at 20 °C]

    References
    ----------
    oiml-r22-1975, iso-4787
    """
    glass = row("vessel_materials", BURETTE)
    return reckoned(
        f"{titre.name}, at 20 °C", burette_volume_at_20c_ml, unit="mL", basis="at 20 °C",
        inputs={
            "titre_ml": titre,
            "temperature_c": temperature,
            "cubic_expansion_per_k": published(
                f"expansion of {BURETTE}", glass.number("cubic_expansion_per_k"), "1/K",
                f"vessel_materials, {BURETTE}", sources=(glass.words("source"),),
            ),
        },
        says="the volume it would have at 20 °C, the solution growing as water does, the glass as glass",
        sources=("oiml-r22-1975", "iso-4787"),
    )  # fmt: skip


def _figure(standard: str, column: str, what: str, unit: str) -> Answer:
    found = row(STANDARDS, standard)
    return published(
        f"{what} of {standard}", found.number(column), unit, f"{STANDARDS}, {standard}",
        sources=(found.words("source"),),
    )  # fmt: skip


def _refuse_mixed(replicates: Sequence[Replicate], nominal: Answer, blank: Answer) -> None:
    if not replicates:
        raise BadEntry("A factor needs at least one replicate", "none", "Weigh the standard and titrate it")
    pairs = {"mol/L": "mL", "mol/kg": "g"}
    units = {one.titre.unit for one in replicates} | {blank.unit}
    if units != {pairs.get(nominal.unit, "")}:
        raise BadEntry(
            "Titres in mL go with a strength in mol/L, titres in g with one in mol/kg",
            worded("{units} with {unit}", units=", ".join(sorted(units)), unit=nominal.unit),
            "Enter all in one way",
        )
