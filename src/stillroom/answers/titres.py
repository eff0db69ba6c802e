"""What a titre says: the mass found in a portion, by volume or by weight, back or direct.

Promises one equivalent per molecule at the end point used. A titre on the wrong side of the blank gives less than
nothing: whether that counts is told where the portions are looked at.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.restating import content_percent
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.basis import Basis
from stillroom.science.measuring.titration import back_titrated_mass_mg, titrated_mass_mg
from stillroom.substances.normality import protons_of

Way: TypeAlias = Literal["back", "direct"]
METHOD_SOURCES = ("common-practice",)


@dataclass(frozen=True, slots=True)
class Portion:
    """One weighed portion and its titre."""

    mass: Answer
    """Sample as is. [g]"""
    titre: Answer
    """Titrant used. [mL or g]"""


@dataclass(frozen=True, slots=True)
class Titrant:
    """What was titrated with, and the blank."""

    blank: Answer
    """Titrant used by the blank. [mL or g]"""
    strength: Answer
    """Nominal strength. [mol/L, or mol/kg when it is weighed]"""
    factor: Answer
    """True strength over nominal. [ratio]"""
    way: Way


@formula("moles-of-titrant")
def moles_of_titrant(protons: float, equivalents: float = 1.0) -> float:
    """Moles of a titrant that one mole of a substance takes up. [mol/mol].

    Parameters
    ----------
    protons : float
        That a mole of the titrant gives or takes. [1]
    equivalents : float
        Protons that a mole of the substance takes or gives. [1]
    """
    return equivalents / protons


def titrant_for(name: str, equivalents: Answer | None, titrant: str) -> Answer | None:
    """Moles of a titrant that one mole of a substance takes up; ``equivalents`` where the titrant has one proton.

    Parameters
    ----------
    name : str
        The substance. [text]
    equivalents : Answer or None
        Protons that a mole of it takes or gives; None for one. [1]
    titrant : str
        By a name that is listed, or none. [text]
    """
    protons = protons_of(titrant)
    if protons is None or protons.value == 1.0:
        return equivalents
    return reckoned(
        f"moles of titrant for one of {name}", moles_of_titrant, unit="mol/mol",
        inputs={"protons": protons, **({"equivalents": equivalents} if equivalents else {})},
        says=f"each mole of the titrant has {protons.value:g} protons",
    )  # fmt: skip


@formula("back-titrated-by-weight")
def back_titrated_by_weight_mg(
    blank_g: float, sample_g: float, titrant_mol_kg: float, factor: float, molar_mass_g_mol: float
) -> float:
    """Mass of a monobasic compound found by back titration with a weighed titrant.

    Parameters
    ----------
    blank_g, sample_g : float
        Titrant used by the blank and by the sample. [g]
    titrant_mol_kg : float
        Nominal amount of titrant in its mass. [mol/kg]
    factor : float
        True strength over nominal. [ratio]
    molar_mass_g_mol : float
        Of what is found. [g/mol]

    Returns
    -------
    float
        Mass found. [mg]

    Notes
    -----
    Grams times mol/kg are millimoles, as millilitres times mol/L are.
    """
    return float(back_titrated_mass_mg(blank_g, sample_g, titrant_mol_kg, factor, molar_mass_g_mol))


@formula("titrated-by-weight")
def titrated_by_weight_mg(
    sample_g: float, blank_g: float, titrant_mol_kg: float, factor: float, molar_mass_g_mol: float
) -> float:
    """Mass of a monobasic compound found by direct titration with a weighed titrant.

    Parameters
    ----------
    sample_g, blank_g : float
        Titrant used by the sample and by the blank. [g]
    titrant_mol_kg : float
        Nominal amount of titrant in its mass. [mol/kg]
    factor : float
        True strength over nominal. [ratio]
    molar_mass_g_mol : float
        Of what is found. [g/mol]

    Returns
    -------
    float
        Mass found. [mg]
    """
    return float(titrated_mass_mg(sample_g, blank_g, titrant_mol_kg, factor, molar_mass_g_mol))


def content_of_portion(
    at: int, portion: Portion, titrant: Titrant, molar_mass: Answer, basis: Basis
) -> tuple[Answer, Answer]:
    """Mass found in a portion, and the content that makes of it.

    Parameters
    ----------
    at : int
        Number of the portion. [1]
    portion : Portion
        Mass and titre. [g and mL, or g]
    titrant : Titrant
        With its blank. [mL or g]
    molar_mass : Answer
        Of what is counted. [g/mol]
    basis : Basis
        Of the content. [basis]

    Returns
    -------
    (Answer, Answer)
        Found and content. [mg, % w/w]
    """
    weighed = titrant.blank.unit == "g"
    amounts = (
        {"blank_g": titrant.blank, "sample_g": portion.titre, "titrant_mol_kg": titrant.strength}
        if weighed
        else {"blank_ml": titrant.blank, "sample_ml": portion.titre, "concentration_mol_l": titrant.strength}
    )
    ways: dict[tuple[str, bool], Callable[..., object]] = {
        ("back", False): back_titrated_mass_mg,
        ("direct", False): titrated_mass_mg,
        ("back", True): back_titrated_by_weight_mg,
        ("direct", True): titrated_by_weight_mg,
    }
    taken = "the blank less the sample" if titrant.way == "back" else "the sample less the blank"
    found = reckoned(
        f"{basis.of} found in portion {at}",
        ways[titrant.way, weighed],
        unit="mg",
        basis=Basis(of=basis.of, reckoned_as=basis.reckoned_as).in_words(),
        inputs={**amounts, "factor": titrant.factor, "molar_mass_g_mol": molar_mass},
        says=f"{taken}, times strength and factor, times the molar mass, one equivalent each",
        sources=METHOD_SOURCES,
    )
    content = reckoned(
        f"{basis.of}, portion {at}",
        content_percent,
        unit="%",
        basis=basis.in_words(),
        inputs={"found_mass_mg": found, "sample_mass_g": portion.mass},
        says="what was found, as a share of the portion as is",
    )
    return found, content


def refuse_mixed_units(
    portions: Sequence[Portion],
    blank: Answer | None,
    nominal: Answer | None,
    strength: Answer,
    factor: Answer,
) -> None:
    """Refuse readings whose units do not go together.

    Parameters
    ----------
    portions : sequence of Portion
        [g and mL, or g]
    blank, nominal : Answer or None
        [mL or g]
    strength : Answer
        [mol/L or mol/kg]
    factor : Answer
        [ratio]

    Raises
    ------
    BadEntry
        Says which two do not go together.
    OutsideModel
        A portion weighed nothing, so there is no share of it.
    """
    if not portions:
        raise BadEntry("An assay needs at least one portion", "none", "Weigh one and titrate it")
    titres = [one.titre for one in portions] + [one for one in (blank, nominal) if one is not None]
    units = {one.unit for one in titres}
    pairs = {"mL": "mol/L", "g": "mol/kg"}
    if len(units) != 1 or next(iter(units)) not in pairs:
        raise BadEntry(
            "Blank and titres must be all in mL or all in g",
            ", ".join(sorted(units)),
            "Enter them in one unit",
        )
    titre_unit = next(iter(units))
    if strength.unit != pairs[titre_unit]:
        raise BadEntry(
            worded(
                "A titre in {titre_unit} needs a strength in {pairs}",
                titre_unit=titre_unit,
                pairs=pairs[titre_unit],
            ),
            f"{strength.value:g} {strength.unit}",
            "A weighed titrant is counted in mol/kg; a density would be needed to go from one to the other",
        )
    masses = [one.mass for one in portions]
    for mass in masses:
        if mass.unit != "g":
            raise BadEntry("A portion is weighed in grams", f"{mass.value:g} {mass.unit}")
    if min(mass.value for mass in masses) <= 0:
        raise OutsideModel(
            "A portion must have a mass above zero",
            f"{min(mass.value for mass in masses):g} g",
            "Weigh one and titrate it; or enter this one again with the right figures",
        )
    if not 0.5 < factor.value < 2.0:
        raise BadEntry(
            "The factor of a titrant lies near 1",
            f"{factor.value:g}",
            "It is the true strength over the nominal one",
        )
