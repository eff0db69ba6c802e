"""What is said of a bottle of acid or alkali, as per cent by mass, and whether two statements fit each other.

Promises that a statement on another basis is changed by the printed densities or refused, and that two which disagree
beyond their doubts are asked about, never one taken in silence.
"""

import numpy as np

from stillroom.answers.acid_strength import (
    density_of_solution_g_ml,
    mass_percent_from_moles,
    mass_percent_of,
)
from stillroom.errors import BadEntry, OutsideModel, StillroomError, worded
from stillroom.evidence.answer import Answer
from stillroom.quantities.fractions import grams_per_ml, mass_fraction
from stillroom.quantities.parse import parse
from stillroom.substances.acids import acid_or_alkali, bottle, name_and_rest

WARM_ROOM_G_ML = 0.003
"""What a bottle's density moves between 15 and 25 °C, where its label says no temperature: round, common practice."""


def mass_percent_in_words(text: str, substance: str, *, where: str = "") -> float:
    """Per cent by mass behind what a label says. [% w/w].

    Parameters
    ----------
    text : str
        "37 % w/w", "12.0 mol/L", "10 % w/v". [text]
    substance : str
        "hydrochloric acid 10 %". [text]
    where : str
        Lot or field, for the error. [text]

    Raises
    ------
    BadEntry
        It says no basis, or one by volume that no table changes.
    OutsideModel
        The printed densities do not reach it.

    References
    ----------
    crc-102
    """
    try:
        found = parse(text, want=("ratio", "concentration"), zero_allowed=False, where=where)
        if found.basis.ratio == "w/w":
            return 100.0 * mass_fraction(found, where=where)
        _refuse_other_temperature(found.basis.reference_temperature_c, text)
        solute, _ = name_and_rest(substance)
        if found.dimension == "concentration":
            molar_mass = acid_or_alkali(solute).molar_mass.value
            return mass_percent_from_moles(found.in_unit("mol/L"), molar_mass, solute=solute)
        return mass_percent_of(grams_per_ml(found, where=where), solute=solute)
    except StillroomError as error:
        raise error.at(error.where or where) from None


def refuse_disagreeing(
    solute: str, label: Answer | None, titrated: Answer | None, density: Answer | None
) -> None:
    """Refuse a bottle whose label, titre and density cannot all be true.

    Parameters
    ----------
    solute : str
        Key of ``acid_solutes``. [text]
    label, titrated : Answer or None
        Strengths with their doubts, where they were said. [% w/w]
    density : Answer or None
        With its doubt, where it was said. [g/mL]

    Raises
    ------
    BadEntry
        Two of them disagree beyond their doubts (k = 2); names both.
    """
    if label is not None and titrated is not None:
        allowed = 2.0 * float(np.hypot(_u(label), _u(titrated)))
        if abs(label.value - titrated.value) > allowed:
            raise BadEntry(
                "The label and the titration of a bottle must agree within their doubts",
                worded(
                    "{label:.4g} % on the label, {titrated:.4g} % by titration, ± {allowed:.2g} together",
                    label=label.value, titrated=titrated.value, allowed=allowed,
                ),
                "Leave the label's figure out if the bottle has lost strength, or titrate again",
                where="titrated",
            )  # fmt: skip
    strength = titrated or label
    if strength is None or density is None:
        return
    span = _densities(solute, strength)
    if span is None:
        return
    reach = 2.0 * _u(density) + WARM_ROOM_G_ML
    if span[0] - reach <= density.value <= span[1] + reach:
        return
    is_of = _strength_of(solute, density.value)
    raise BadEntry(
        "The strength and the density of a bottle must agree",
        worded(
            "{strength:.4g} %, which weighs {low:.3f} to {high:.3f} g/mL at 20 °C, and {density:.4g} g/mL{told}",
            strength=strength.value, low=span[0], high=span[1], density=density.value,
            told=worded(", which is {is_of:.0f} %", is_of=is_of) if is_of is not None else "",
        ),
        "Read both again; leave out the one that was guessed",
        where="density",
    )  # fmt: skip


def _refuse_other_temperature(said_c: float | None, text: str) -> None:
    if said_c is not None and abs(said_c - 20.0) > 0.01:
        raise BadEntry(
            "The densities of acids are printed at 20 °C", text, "Say it at 20 °C, or by mass", where=""
        )


def _densities(solute: str, strength: Answer) -> tuple[float, float] | None:
    """The densities a strength may have within its doubt; None where nothing is printed. [g/mL]."""
    reach = 2.0 * _u(strength)
    tried = [
        one
        for percent in np.linspace(strength.value - reach, strength.value + reach, 9)
        if (one := printed_density(solute, float(percent))) is not None
    ]
    if tried:
        return min(tried), max(tried)
    row = bottle(solute, strength.value)
    if row is None or row["density_g_ml"] is None:
        return None
    middle, limits = row.number("density_g_ml"), row.number("density_limits_g_ml")
    return middle - limits, middle + limits


def _strength_of(solute: str, density_g_ml: float) -> float | None:
    """The strength whose printed density is nearest, within a hundredth. [% w/w]."""
    printed = [(percent, printed_density(solute, float(percent))) for percent in np.arange(0.0, 100.1, 0.5)]
    apart = [(abs(one - density_g_ml), float(percent)) for percent, one in printed if one is not None]
    nearest = min(apart, default=(1.0, 0.0))
    return nearest[1] if nearest[0] < 0.01 else None


def printed_density(solute: str, percent: float) -> float | None:
    """Density of that solution at 20 °C; None where none is printed. [g/mL]."""
    try:
        return density_of_solution_g_ml(percent, solute=solute)
    except OutsideModel:
        return None


def _u(answer: Answer) -> float:
    return answer.standard_uncertainty or 0.0
