"""Total alkaloids by titration, back or direct, with the titrant measured by volume or weighed.

Promises four answers, as is and dried, as the mean of two markers and as one compound, each with its
uncertainty from the readings up. Without a blank nothing counts, nor does what lies on the wrong side of it. Assumes
one equivalent per alkaloid at the end point used. A volume is brought to 20 °C where the temperature of the burette was
said, as that of a factor is.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.answers.budget import Stated, mean, stated
from stillroom.answers.portions_agree import (
    DRIED_NEITHER,
    DRIED_OVER,
    Spread,
    is_more_than_all,
    portions_told,
    told_apart,
    why_not,
    with_repeatability_percent,
)
from stillroom.answers.repeatability import Repeatability
from stillroom.answers.restating import as_compound_percent, dried_percent, mean_molar_mass_g_mol
from stillroom.answers.titrant_factor import titre_at_20c
from stillroom.answers.titres import (
    Portion,
    Titrant,
    Way,
    content_of_portion,
    refuse_mixed_units,
    titrant_for,
)
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.basis import Basis
from stillroom.reference.cautions import caution_as_kept
from stillroom.substances.markers import equivalents_of, molar_mass

__all__ = ["Assay", "Portion", "Spread", "total_alkaloids", "with_repeatability_percent"]


@dataclass(frozen=True, slots=True)
class Assay:
    """An assay with what makes it count.

    ``as_is``, ``dried``: as the mean of the markers; None without a blank, or without a loss on drying. [%
    w/w]
    ``as_is_compound``, ``dried_compound``: as the one compound. [% w/w]
    """

    as_is: Stated | None
    dried: Stated | None
    as_is_compound: Stated | None
    dried_compound: Stated | None
    found: tuple[Answer, ...]
    """Mass found in each portion, as the mean of the markers. [mg]"""
    spread: Spread | None
    """None with a single portion."""
    counts: bool
    dried_counts: bool
    because: str
    falsely: Answer | None
    """What would have come out with the nominal amount in place of the blank. [% w/w]"""
    caution: str


@formula("mass-per-equivalent")
def mass_per_equivalent_g_mol(molar_mass_g_mol: float, equivalents: float) -> float:
    """Mass of a compound that takes up one mole of titrant.

    Parameters
    ----------
    molar_mass_g_mol : float
        Of the compound. [g/mol]
    equivalents : float
        Moles of titrant that one mole takes up. [mol/mol]

    Returns
    -------
    float
        Mass. [g/mol]
    """
    return molar_mass_g_mol / equivalents


def mass_of_equivalent(name: str, titrant: str = "") -> Answer:
    """What a mole of titrant stands for of a marker: its molar mass, or a share of it where it takes up more than one.

    Parameters
    ----------
    name : str
        By any name in use. [text]
    titrant : str
        By its name; one that is not listed has one proton. [text]

    Returns
    -------
    Answer
        Mass. [g/mol]

    Raises
    ------
    UnknownName, BadEntry
        No molar mass is known.
    """
    mass, taken_up = molar_mass(name), titrant_for(name, equivalents_of(name), titrant)
    if taken_up is None:
        return mass
    return reckoned(
        f"mass of {name} for one mole of titrant",
        mass_per_equivalent_g_mol,
        unit="g/mol",
        inputs={"molar_mass_g_mol": mass, "equivalents": taken_up},
        says="one mole of it takes up another number of moles of titrant",
    )


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
    temperature: Answer | None = None,
    titrant: str = "",
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
    nominal : Answer, optional
        What the blank should have used by reckoning; shows what leaving it out does. [mL or g]
    repeatability : Repeatability, optional
        From earlier portions. [fraction]
    of, carrier : str
        What is counted, of what. [text]
    temperature : Answer, optional
        Of the burette; volumes are taken as read without it. [°C]
    titrant : str
        By its name; one that is not listed has one proton. [text]

    Returns
    -------
    Assay
        The four answers, or why there are none. [% w/w]

    Raises
    ------
    BadEntry
        No portion; units that do not go together.
    OutsideModel
        A portion weighed nothing.

    References
    ----------
    jcgm-100
    """
    refuse_mixed_units(portions, blank, nominal, strength, factor)
    if temperature is not None and strength.unit == "mol/L":
        portions = [Portion(one.mass, titre_at_20c(one.titre, temperature)) for one in portions]
        blank = titre_at_20c(blank, temperature) if blank is not None else None
    mean_mass = reckoned(
        f"molar mass, mean of {markers[0]} and {markers[1]}",
        mean_molar_mass_g_mol,
        unit="g/mol",
        inputs={
            "first_molar_mass_g_mol": mass_of_equivalent(markers[0], titrant),
            "second_molar_mass_g_mol": mass_of_equivalent(markers[1], titrant),
        },
        says="an assay of the sum counts moles, so it needs a molar mass for the mixture",
    )
    compound_mass = mass_of_equivalent(as_compound, titrant)
    basis = Basis(
        ratio="w/w",
        of=of,
        reckoned_as=f"mean of {markers[0]} and {markers[1]}",
        carrier=carrier,
        matter="as is",
    )
    aliquots = caution_as_kept("assay-aliquots").wording
    if blank is None:
        falsely = None
        if nominal is not None:
            falsely = _content(portions, Titrant(nominal, strength, factor, way), mean_mass, basis)[1]
        shown = _dried(falsely, loss_on_drying, basis) if falsely and loss_on_drying else falsely
        told = (
            f" Taken without one it would have said {shown.value:.3f} %, which nobody may use."
            if shown
            else ""
        )
        return Assay(
            None, None, None, None, (), None, False, False,
            f"There was no blank, so nothing can be calculated: titrate one.{told}", shown, aliquots,
        )  # fmt: skip
    found, as_is, contents = _content(portions, Titrant(blank, strength, factor, way), mean_mass, basis)
    spread, known = told_apart(contents, repeatability)
    as_is = reckoned(
        as_is.name,
        with_repeatability_percent,
        unit="%",
        basis=as_is.basis,
        inputs={"percent": as_is, "repeatability_ratio": known.ratio(len(contents))},
        says=f"with the repeatability seen in {known.where}"
        if repeatability
        else f"with the repeatability of {known.where}",
    )
    dried = _dried(as_is, loss_on_drying, basis) if loss_on_drying is not None else None
    false_value = None
    if nominal is not None:
        false_as_is = _content(portions, Titrant(nominal, strength, factor, way), mean_mass, basis)[1]
        false_value = (
            _dried(false_as_is, loss_on_drying, basis) if loss_on_drying is not None else false_as_is
        )
    stated_as_is = stated(as_is)
    not_counted = why_not(stated_as_is, contents, spread)
    stated_dried = stated(dried) if dried is not None else None
    over = stated_dried is not None and not not_counted and is_more_than_all(stated_dried)
    return Assay(
        as_is=stated_as_is,
        dried=stated_dried,
        as_is_compound=stated(_as_compound(as_is, mean_mass, compound_mass, as_compound, basis)),
        dried_compound=(
            stated(_as_compound(dried, mean_mass, compound_mass, as_compound, basis.with_(matter="dried")))
            if dried is not None
            else None
        ),
        found=found,
        spread=spread,
        counts=not not_counted,
        dried_counts=not not_counted and dried is not None and dried_counts and not over,
        because=_because(
            portions_told(spread, known, not_counted),
            loss_on_drying,
            dried_counts,
            false_value,
            dried or as_is,
            over=over,
            unsaid_temperature=temperature is None and strength.unit == "mol/L",
        ),
        falsely=false_value,
        caution=aliquots,
    )


def _content(
    portions: Sequence[Portion], titrant: Titrant, mean_mass: Answer, basis: Basis
) -> tuple[tuple[Answer, ...], Answer, tuple[Answer, ...]]:
    pairs = [content_of_portion(at, one, titrant, mean_mass, basis) for at, one in enumerate(portions, 1)]
    found = tuple(one for one, _ in pairs)
    contents = tuple(one for _, one in pairs)
    if len(contents) == 1:
        return found, contents[0], contents
    return found, mean(f"{basis.of}, mean of {len(contents)} portions", contents), contents


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


def _because(
    of_the_portions: str,
    loss_on_drying: Answer | None,
    dried_counts: bool,
    falsely: Answer | None,
    shown: Answer,
    *,
    over: bool,
    unsaid_temperature: bool,
) -> str:
    said = [of_the_portions]
    if unsaid_temperature:
        said.append("The temperature of the burette was not said: volumes are taken as read.")
    if loss_on_drying is None:
        said.append("No loss on drying, so nothing is said of the dried matter.")
    elif not dried_counts:
        said.append(DRIED_NEITHER)
    elif over:
        said.append(DRIED_OVER)
    if falsely is not None:
        said.append(
            f"With the nominal amount in place of the blank it would have said {falsely.value:.3f} % "
            f"for {shown.value:.3f} %."
        )
    return " ".join(said)
