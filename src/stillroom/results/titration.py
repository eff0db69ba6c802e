"""Total alkaloids by titration, back or direct, with the titrant measured by volume or weighed.

Promises four answers, as is and dried, as the mean of two markers and as one compound, each with its
uncertainty from the readings up. Without a blank nothing counts. Assumes one equivalent per alkaloid at the
end point used; does not correct a volume for the temperature of the burette.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import Answer, reckoned
from stillroom.quantities.basis import Basis
from stillroom.reference.cautions import caution
from stillroom.results.budget import Stated, mean, stated
from stillroom.results.repeatability import Repeatability, pooled, range_allowed_relative
from stillroom.results.restating import (
    as_compound_percent,
    content_percent,
    dried_percent,
    mean_molar_mass_g_mol,
)
from stillroom.science.measuring.titration import back_titrated_mass_mg, titrated_mass_mg
from stillroom.substances.markers import molar_mass

Way: TypeAlias = Literal["back", "direct"]
METHOD_SOURCES = ("common-practice",)


@dataclass(frozen=True, slots=True)
class Portion:
    """One weighed portion and its titre.

    Attributes
    ----------
    mass : Answer
        Sample as is. [g]
    titre : Answer
        Titrant used. [mL or g]
    """

    mass: Answer
    titre: Answer


@dataclass(frozen=True, slots=True)
class Spread:
    """How far the portions fall apart.

    Attributes
    ----------
    values_percent : tuple of float
        Content of each portion as is. [% w/w]
    range_percent : float
        Largest less smallest. [% w/w]
    relative_standard_deviation : float
        Of one portion, from these portions. [fraction]
    agrees : bool
        Whether the earlier spread of the method explains the range; True when there is no earlier spread.
    says : str
    """

    values_percent: tuple[float, ...]
    range_percent: float
    relative_standard_deviation: float
    agrees: bool
    says: str


@dataclass(frozen=True, slots=True)
class Assay:
    """An assay with what makes it count.

    Attributes
    ----------
    as_is, dried : Stated or None
        As the mean of the markers; None without a blank, or without a loss on drying. [% w/w]
    as_is_compound, dried_compound : Stated or None
        As the one compound. [% w/w]
    found : tuple of Answer
        Mass found in each portion, as the mean of the markers. [mg]
    spread : Spread or None
        None with a single portion.
    counts, dried_counts : bool
    because : str
    falsely : Answer or None
        What would have come out with the nominal amount in place of the blank. [% w/w]
    caution : str
    """

    as_is: Stated | None
    dried: Stated | None
    as_is_compound: Stated | None
    dried_compound: Stated | None
    found: tuple[Answer, ...]
    spread: Spread | None
    counts: bool
    dried_counts: bool
    because: str
    falsely: Answer | None
    caution: str


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

    Raises
    ------
    BadEntry
        The sample used more titrant than the blank.

    Notes
    -----
    Grams times mol/kg are millimoles, as millilitres times mol/L are.
    """
    return float(back_titrated_mass_mg(blank_g, sample_g, titrant_mol_kg, factor, molar_mass_g_mol))


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

    Raises
    ------
    BadEntry
        The blank used more titrant than the sample.
    """
    return float(titrated_mass_mg(sample_g, blank_g, titrant_mol_kg, factor, molar_mass_g_mol))


def with_repeatability_percent(percent: float, repeatability_ratio: float) -> float:
    """A content with the repeatability of the method brought in as a ratio of 1.

    Parameters
    ----------
    percent : float
        Content. [% w/w]
    repeatability_ratio : float
        1, with the spread of the method as its uncertainty. [ratio]

    Returns
    -------
    float
        Content. [% w/w]
    """
    return percent * repeatability_ratio


def total_alkaloids(
    portions: Sequence[Portion],
    *,
    blank: Answer | None,
    strength: Answer,
    factor: Answer,
    loss_on_drying: Answer | None,
    dried_counts: bool = True,
    markers: tuple[str, str] = ("quinine", "cinchonine"),
    as_compound: str = "quinine",
    way: Way = "back",
    nominal: Answer | None = None,
    repeatability: Repeatability | None = None,
    of: str = "total alkaloids",
    carrier: str = "bark",
) -> Assay:
    """Total alkaloids of one sample.

    Parameters
    ----------
    portions : sequence of Portion
        At least one. [g and mL, or g]
    blank : Answer or None
        Titrant used by the blank; None when it was not done. [mL or g]
    strength : Answer
        Nominal strength of the titrant. [mol/L, or mol/kg when it is weighed]
    factor : Answer
        True strength over nominal, with its uncertainty. [ratio]
    loss_on_drying : Answer or None
        Of the sample as is; None leaves the dried answers out. [% w/w]
    dried_counts : bool
        Whether the loss on drying counts. [yes or no]
    markers : (str, str)
        Whose mean the sum is reckoned as. [keys of ``markers``]
    as_compound : str
        The one compound it is reckoned as too. [key of ``markers``]
    way : "back" or "direct"
    nominal : Answer, optional
        What the blank should have used by reckoning; shows what leaving it out does. [mL or g]
    repeatability : Repeatability, optional
        From earlier portions. [fraction]
    of, carrier : str
        What is counted, of what. [text]

    Returns
    -------
    Assay
        The four answers, or why there are none. [% w/w]

    Raises
    ------
    BadEntry
        No portion; units that do not go together; a titre on the wrong side of the blank.
    OutsideModel
        A titre that the readings cannot tell from the blank.

    References
    ----------
    jcgm-100
    """
    _refuse_mixed_units(portions, blank, nominal, strength, factor)
    mean_mass = reckoned(
        f"molar mass, mean of {markers[0]} and {markers[1]}",
        mean_molar_mass_g_mol,
        unit="g/mol",
        inputs={
            "first_molar_mass_g_mol": molar_mass(markers[0]),
            "second_molar_mass_g_mol": molar_mass(markers[1]),
        },
        says="an assay of the sum counts moles, so it needs a molar mass for the mixture",
    )
    compound_mass = molar_mass(as_compound)
    basis = Basis(
        ratio="w/w",
        of=of,
        reckoned_as=f"mean of {markers[0]} and {markers[1]}",
        carrier=carrier,
        matter="as is",
    )
    aliquots = caution("assay-aliquots").full
    if blank is None:
        falsely = (
            _content(portions, _instead(nominal, way), strength, factor, mean_mass, way, basis)[1]
            if _instead(nominal, way)
            else None
        )
        shown = _dried(falsely, loss_on_drying, basis) if falsely and loss_on_drying else falsely
        told = (
            f" Taken without one it would have said {shown.value:.3f} %, which nobody may use."
            if shown
            else ""
        )
        return Assay(
            None, None, None, None, (), None, False, False,
            f"There was no blank, so nothing can be reckoned: titrate one.{told}", shown, aliquots,
        )  # fmt: skip
    found, as_is, contents = _content(portions, blank, strength, factor, mean_mass, way, basis)
    spread = _spread(contents, repeatability)
    own = None
    if repeatability is None and len(contents) > 1:
        own = pooled([[one.value for one in contents]], f"these {len(contents)} portions")
    known = repeatability or own
    if known is not None:
        as_is = reckoned(
            as_is.name,
            with_repeatability_percent,
            unit="%",
            basis=as_is.basis,
            inputs={"percent": as_is, "repeatability_ratio": known.ratio(len(contents))},
            says=f"with the repeatability seen in {known.where}",
        )
    dried = _dried(as_is, loss_on_drying, basis) if loss_on_drying is not None else None
    false_value = None
    if nominal is not None:
        false_as_is = _content(portions, nominal, strength, factor, mean_mass, way, basis)[1]
        false_value = (
            _dried(false_as_is, loss_on_drying, basis) if loss_on_drying is not None else false_as_is
        )
    counts = spread is None or spread.agrees
    return Assay(
        as_is=stated(as_is),
        dried=stated(dried) if dried is not None else None,
        as_is_compound=stated(_as_compound(as_is, mean_mass, compound_mass, as_compound, basis)),
        dried_compound=(
            stated(_as_compound(dried, mean_mass, compound_mass, as_compound, basis.with_(matter="dried")))
            if dried is not None
            else None
        ),
        found=found,
        spread=spread,
        counts=counts,
        dried_counts=counts and dried is not None and dried_counts,
        because=_because(spread, known, loss_on_drying, dried_counts, false_value, dried or as_is),
        falsely=false_value,
        caution=aliquots,
    )


def _content(
    portions: Sequence[Portion],
    blank: Answer | None,
    strength: Answer,
    factor: Answer,
    mean_mass: Answer,
    way: Way,
    basis: Basis,
) -> tuple[tuple[Answer, ...], Answer, tuple[Answer, ...]]:
    if blank is None:
        raise BadEntry("A titration needs a blank", "none", "Titrate one beside the samples")
    weighed = blank.unit == "g"
    found: list[Answer] = []
    contents: list[Answer] = []
    for at, portion in enumerate(portions, 1):
        _refuse_wrong_side(portion.titre, blank, way)
        amounts = (
            {"blank_g": blank, "sample_g": portion.titre, "titrant_mol_kg": strength}
            if weighed
            else {"blank_ml": blank, "sample_ml": portion.titre, "concentration_mol_l": strength}
        )
        ways: dict[tuple[str, bool], Callable[..., object]] = {
            ("back", False): back_titrated_mass_mg,
            ("direct", False): titrated_mass_mg,
            ("back", True): back_titrated_by_weight_mg,
            ("direct", True): titrated_by_weight_mg,
        }
        taken = "the blank less the sample" if way == "back" else "the sample less the blank"
        mass = reckoned(
            f"{basis.of} found in portion {at}",
            ways[way, weighed],
            unit="mg",
            basis=Basis(of=basis.of, reckoned_as=basis.reckoned_as).in_words(),
            inputs={**amounts, "factor": factor, "molar_mass_g_mol": mean_mass},
            says=f"{taken}, times strength and factor, times the molar mass, one equivalent each",
            sources=METHOD_SOURCES,
        )
        found.append(mass)
        contents.append(
            reckoned(
                f"{basis.of}, portion {at}",
                content_percent,
                unit="%",
                basis=basis.in_words(),
                inputs={"found_mass_mg": mass, "sample_mass_g": portion.mass},
                says="what was found, as a share of the portion as is",
            )
        )
    if len(contents) == 1:
        return tuple(found), contents[0], tuple(contents)
    return tuple(found), mean(f"{basis.of}, mean of {len(contents)} portions", contents), tuple(contents)


def _dried(as_is: Answer, loss_on_drying: Answer, basis: Basis) -> Answer:
    return reckoned(
        f"{as_is.name}, dried",
        dried_percent,
        unit="%",
        basis=basis.with_(matter="dried").in_words(),
        inputs={"as_is_percent": as_is, "loss_on_drying_percent": loss_on_drying},
        says="the same alkaloids in what is left after drying",
    )


def _as_compound(
    percent: Answer, mean_mass: Answer, compound_mass: Answer, compound: str, basis: Basis
) -> Answer:
    return reckoned(
        f"{percent.name}, as {compound}",
        as_compound_percent,
        unit="%",
        basis=basis.with_(reckoned_as=compound).in_words(),
        inputs={
            "percent": percent,
            "molar_mass_g_mol": mean_mass,
            "compound_molar_mass_g_mol": compound_mass,
        },
        says=f"the same moles, each taken as {compound}",
    )


def _spread(contents: Sequence[Answer], repeatability: Repeatability | None) -> Spread | None:
    if len(contents) < 2:
        return None
    values = tuple(one.value for one in contents)
    middle = sum(values) / len(values)
    width = max(values) - min(values)
    own = pooled([values], "these portions").relative_standard_deviation
    words = (
        f"{len(values)} portions from {min(values):.3f} to {max(values):.3f} %, "
        f"relative standard deviation {100.0 * own:.2f} %"
    )
    if repeatability is None:
        return Spread(values, width, own, True, f"{words}; no earlier portions to compare with.")
    allowed = range_allowed_relative(repeatability, len(values)) * middle
    if width <= allowed:
        return Spread(values, width, own, True, f"{words}; the method explains up to {allowed:.3f} %.")
    return Spread(
        values,
        width,
        own,
        False,
        f"{words}; the method explains up to {allowed:.3f} %: titrate another portion and find the cause.",
    )


def _because(
    spread: Spread | None,
    known: Repeatability | None,
    loss_on_drying: Answer | None,
    dried_counts: bool,
    falsely: Answer | None,
    shown: Answer,
) -> str:
    said = [
        "It counts: a blank was titrated beside it."
        if spread is None or spread.agrees
        else "It does not count."
    ]
    if spread is not None:
        said.append(spread.says)
    if known is None:
        said.append(
            "One portion and no earlier ones: the repeatability of the method is not in the uncertainty."
        )
    if loss_on_drying is None:
        said.append("No loss on drying, so nothing is said of the dried matter.")
    elif not dried_counts:
        said.append("The loss on drying does not count, so the dried figures do not either.")
    if falsely is not None:
        said.append(
            f"With the nominal amount in place of the blank it would have said {falsely.value:.3f} % "
            f"for {shown.value:.3f} %."
        )
    return " ".join(said)


def _instead(nominal: Answer | None, way: Way) -> Answer | None:
    if nominal is not None or way == "back":
        return nominal
    return None


def _refuse_mixed_units(
    portions: Sequence[Portion],
    blank: Answer | None,
    nominal: Answer | None,
    strength: Answer,
    factor: Answer,
) -> None:
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
            f"A titre in {titre_unit} needs a strength in {pairs[titre_unit]}",
            f"{strength.value:g} {strength.unit}",
            "A weighed titrant is reckoned in mol/kg; a density would be needed to go from one to the other",
        )
    for one in portions:
        if one.mass.unit != "g" or not one.mass.value > 0:
            raise BadEntry(
                "A portion must have a mass above zero in grams", f"{one.mass.value:g} {one.mass.unit}"
            )
    if not 0.5 < factor.value < 2.0:
        raise BadEntry(
            "The factor of a titrant lies near 1",
            f"{factor.value:g}",
            "It is the true strength over the nominal one",
        )


def _refuse_wrong_side(titre: Answer, blank: Answer, way: Way) -> None:
    if titre.value < 0 or blank.value < 0:
        raise BadEntry("A titre cannot be negative", f"{min(titre.value, blank.value):g} {titre.unit}")
    if way == "back" and titre.value > blank.value:
        raise BadEntry(
            "In a back titration the sample uses less titrant than the blank",
            f"{titre.value:g} {titre.unit} for the sample, {blank.value:g} for the blank",
            "Were they swapped, or was it a direct titration?",
        )
    if way == "direct" and titre.value < blank.value:
        raise BadEntry(
            "In a direct titration the sample uses more titrant than the blank",
            f"{titre.value:g} {titre.unit} for the sample, {blank.value:g} for the blank",
            "Were they swapped, or was it a back titration?",
        )
    blur = math.hypot(titre.standard_uncertainty or 0.0, blank.standard_uncertainty or 0.0)
    if abs(blank.value - titre.value) <= blur:
        raise OutsideModel(
            "The titre of a sample must differ from the blank by more than the readings can blur",
            f"{titre.value:g} {titre.unit} against {blank.value:g} {blank.unit}",
            "There is less in it than this titration can see: take a larger portion",
        )
