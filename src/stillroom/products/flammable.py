"""Ethanol in a formula and the flash point that goes with it, for a caution and never for a classification.

Promises the ethanol by mass from the spirits weighed in, the strength by volume as if all else were water,
and a flash point read between published rows. Other ingredients move it by some degrees: near a limit a
competent laboratory tests it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, published, reckoned
from stillroom.evidence.formulas import formula
from stillroom.reference.cautions import caution_as_kept
from stillroom.reference.tables import Row, table
from stillroom.substances.spirits import SPIRIT_SOURCES, spirit_mass_fraction, spirit_volume_fraction_20c

if TYPE_CHECKING:
    from stillroom.products.formula import ScaledLine

TABLE = "flash_ethanol_water"


@dataclass(frozen=True, slots=True)
class Ethanol:
    """Ethanol in a product."""

    mass_percent: Answer
    """[% w/w]"""
    volume_percent: Answer
    """At 20 °C, as if all else were water. [% v/v]"""


@dataclass(frozen=True, slots=True)
class Flash:
    """A flash point with its caution."""

    answer: Answer | None
    """None where there is too little ethanol for a published figure. [°C]"""
    caution: str
    says: str


def ethanol(scaled: Sequence["ScaledLine"], bulk: Answer, strengths: Mapping[str, Answer]) -> Ethanol:
    """Ethanol of a scaled formula.

    Parameters
    ----------
    scaled : sequence of ScaledLine
        From ``formula.scale``. [g]
    bulk : Answer
        Finished bulk. [g]
    strengths : mapping of str to Answer
        Strength of the spirit in each line that is one, at 20 °C. [% v/v]

    Returns
    -------
    Ethanol
        By mass and by volume. [%]

    Raises
    ------
    BadEntry
        A spirit has no strength, or a strength belongs to no line.
    """
    lines = {one.line.name: one for one in scaled}
    for name in strengths:
        if name not in lines:
            raise BadEntry(
                "A strength must belong to a line of the formula",
                repr(name),
                worded("Lines: {lines}", lines=", ".join(lines)),
            )
    inputs: dict[str, Answer] = {"bulk": bulk}
    for name, one in lines.items():
        if one.ingredient.what_for != "spirit" and name not in strengths:
            continue
        if name not in strengths:
            raise BadEntry(
                worded("The spirit {called!r} needs its strength", called=name),
                "none",
                'Give it as measured, such as "96.0 % v/v at 20 °C"',
            )
        inputs[f"mass of {name}"] = one.mass
        inputs[f"strength of {name}"] = strengths[name]
    by_mass = reckoned(
        "ethanol in the product",
        ethanol_mass_percent,
        unit="%",
        basis="w/w ethanol, of product",
        inputs=inputs,
        says="the ethanol of each spirit weighed in, over the bulk",
        sources=SPIRIT_SOURCES,
    )
    by_volume = reckoned(
        "strength of the product",
        volume_percent_20c,
        unit="%",
        basis="v/v ethanol, of product, at 20 °C",
        inputs={"ethanol_mass_percent": by_mass},
        says="by the density of ethanol and water, as if all else were water",
        sources=SPIRIT_SOURCES,
    )
    return Ethanol(by_mass, by_volume)


def flash_point(volume_percent: Answer) -> Flash:
    """The flash point of a spirit of that strength, with the caution that goes with it.

    Parameters
    ----------
    volume_percent : Answer
        Strength at 20 °C. [% v/v]

    Returns
    -------
    Flash
        Figure and caution. [°C]

    Raises
    ------
    OutsideModel
        The strength is above 100 %.

    References
    ----------
    flash-ethanol-water-web
    """
    rows = table(TABLE).rows
    strength = volume_percent.value
    lowest, highest = rows[0].number("ethanol_volume_percent"), rows[-1].number("ethanol_volume_percent")
    if strength > highest:
        raise OutsideModel(
            worded("A strength lies at or below {highest:g} % v/v", highest=highest), f"{strength:g} %"
        )
    if strength < lowest:
        return Flash(
            None,
            "",
            f"Below {lowest:g} % v/v no flash point is published here; that never means it cannot burn.",
        )
    above = next(at for at in range(1, len(rows)) if rows[at].number("ethanol_volume_percent") >= strength)
    low, high = rows[above - 1], rows[above]
    answer = reckoned(
        "flash point",
        between_c,
        unit="°C",
        inputs={
            "ethanol_volume_percent": volume_percent,
            "lower_volume_percent": _cell(low, "ethanol_volume_percent", "%"),
            "lower_flash_c": _cell(low, "flash_point_c", "°C"),
            "upper_volume_percent": _cell(high, "ethanol_volume_percent", "%"),
            "upper_flash_c": _cell(high, "flash_point_c", "°C"),
        },
        says="read between two published strengths; about 3 °C either way",
        sources=("flash-ethanol-water-web",),
    )
    return Flash(
        answer,
        caution_as_kept("flammable-vapour").wording,
        f"Flash point near {answer.value:.0f} °C (about 3 °C either way): flammable; store, label and send "
        "it as such. A classification needs a test by a competent laboratory.",
    )


@formula("ethanol-by-mass", takes_named_inputs=True)
def ethanol_mass_percent(inputs: Mapping[str, tuple[float, float]]) -> float:
    """Ethanol by mass from the spirits weighed in.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        ``bulk`` [g]; for each spirit ``mass of <line>`` [g] and ``strength of <line>`` [% v/v], with
        uncertainties.

    Returns
    -------
    float
        Ethanol. [% w/w]

    References
    ----------
    oiml-r22-1975
    """
    ethanol_g = sum(
        value * float(spirit_mass_fraction(inputs[f"strength of {name[8:]}"][0] / 100.0))
        for name, (value, _) in inputs.items()
        if name.startswith("mass of ")
    )
    return 100.0 * ethanol_g / inputs["bulk"][0]


@formula("ethanol-by-volume")
def volume_percent_20c(ethanol_mass_percent: float) -> float:
    """Strength by volume of ethanol and water.

    Parameters
    ----------
    ethanol_mass_percent : float
        Ethanol. [% w/w]

    Returns
    -------
    float
        Strength at 20 °C. [% v/v]

    References
    ----------
    oiml-r22-1975
    """
    return 100.0 * float(spirit_volume_fraction_20c(ethanol_mass_percent / 100.0))


@formula("flash-point")
def between_c(
    ethanol_volume_percent: float,
    lower_volume_percent: float,
    lower_flash_c: float,
    upper_volume_percent: float,
    upper_flash_c: float,
) -> float:
    """Flash point on the straight line between two published strengths.

    Parameters
    ----------
    ethanol_volume_percent, lower_volume_percent, upper_volume_percent : float
        Strengths. [% v/v]
    lower_flash_c, upper_flash_c : float
        Flash points. [°C]

    Returns
    -------
    float
        Flash point. [°C]
    """
    share = (ethanol_volume_percent - lower_volume_percent) / (upper_volume_percent - lower_volume_percent)
    return lower_flash_c + share * (upper_flash_c - lower_flash_c)


def _cell(one: Row, column: str, unit: str) -> Answer:
    return published(
        f"{column.replace('_', ' ')}, row {one.key}",
        one.number(column),
        unit,
        f"{TABLE}, {one.key}",
        sources=(one.words("source"),),
    )
