"""Filling by mass: what a bottle must weigh, how many a bulk gives, whether the filling was right.

Promises masses from the nominal volume at 20 °C and the density at 20 °C, or from a nominal mass alone.
Buoyancy of the air is left out
(0.1 %, to the customer's side when the density is the true one). Small lots are checked bottle by bottle;
the official sampling plans start at 100.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import stdev
from typing import Literal, TypeAlias

from stillroom.answers.budget import Stated, mean, spread_leaf, stated
from stillroom.answers.plain_sums import sum_of, volume_of_g_ml
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, published, reckoned
from stillroom.products.fills import (
    fill_mass_g,
    fill_of_mass_g,
    fill_yield_percent,
    possible_bottles,
    share_rounded_up,
)
from stillroom.reference.tables import table
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import t

TABLE = "tolerable_errors"
FillVerdict: TypeAlias = Literal["right", "wrong"]


@dataclass(frozen=True, slots=True)
class Bottles:
    """How many bottles a bulk gives."""

    possible: Answer
    """Bulk over fill. [pieces]"""
    whole: int
    """[pieces]"""
    left_over_g: float
    """[g]"""


@dataclass(frozen=True, slots=True)
class FillCheck:
    """A filling held against its nominal content."""

    mean: Answer
    """Mean content. [mL or g]"""
    contents: tuple[float, ...]
    """Of each bottle weighed. [mL or g]"""
    tolerable_error: Answer
    """[mL or g]"""
    short: int
    """Bottles below nominal less the tolerable error. [pieces]"""
    far_short: int
    """Bottles below nominal less twice the tolerable error. [pieces]"""
    verdict: FillVerdict
    because: str
    sure: Stated
    """The mean content of all bottles, with scale, density and the scatter of those weighed in its ±. [mL or g]"""


def fill_mass(nominal: Answer, density: Answer | None, overfill: Answer | None = None) -> Answer:
    """What the content of one bottle must weigh.

    Parameters
    ----------
    nominal : Answer
        Nominal content: a volume at 20 °C, or a mass. [mL or g]
    density : Answer or None
        Of the product at 20 °C; none is needed where the content is a mass. [g/mL]
    overfill : Answer, optional
        How much more is filled, chosen by the maker. [%]

    Returns
    -------
    Answer
        Target mass. [g]

    Raises
    ------
    BadEntry
        Something is in another unit or not above zero.
    """
    inputs = _content_and_density(nominal, density)
    if overfill is not None:
        if not 0.0 <= overfill.value < 20.0:
            raise BadEntry("An overfill lies between 0 and 20 %", f"{overfill.value:g} %")
        inputs["overfill_percent"] = overfill
    by_mass = "nominal_g" in inputs
    return reckoned(
        "content of one bottle by mass",
        fill_of_mass_g if by_mass else fill_mass_g,
        unit="g",
        inputs=inputs,
        says="nominal mass" if by_mass else "nominal volume at 20 °C times density at 20 °C",
    )


def _content_and_density(nominal: Answer, density: Answer | None) -> dict[str, Answer]:
    """A nominal content as inputs of a fill: a mass alone, or a volume beside its density."""
    if nominal.unit == "g" and nominal.value > 0:
        return {"nominal_g": nominal}
    if (
        density is None
        or nominal.unit != "mL"
        or density.unit != "g/mL"
        or not min(nominal.value, density.value) > 0
    ):
        raise BadEntry(
            "A fill needs a nominal content in g, or one in mL and a density in g/mL, all above zero",
            ", ".join(f"{one.value:g} {one.unit}" for one in (nominal, density) if one is not None),
        )
    return {"nominal_ml": nominal, "density_g_ml": density}


def bottles(bulk: Answer, fill: Answer) -> Bottles:
    """How many bottles a bulk gives.

    Parameters
    ----------
    bulk : Answer
        [g]
    fill : Answer
        Content of one bottle. [g]

    Returns
    -------
    Bottles
        Possible, whole, and what is left over. [pieces]

    Raises
    ------
    BadEntry
        A mass is not above zero in grams.
    """
    for one in (bulk, fill):
        if one.unit != "g" or not one.value > 0:
            raise BadEntry(
                worded("{called!r} must be above zero in grams", called=one.name),
                f"{one.value:g} {one.unit}".strip(),
            )
    possible = reckoned(
        "bottles the bulk could give",
        possible_bottles,
        unit="pieces",
        inputs={"bulk_mass_g": bulk, "fill_mass_g": fill},
        says="bulk over the content of one bottle",
    )
    whole = math.floor(possible.value + 1e-9)
    return Bottles(possible, whole, bulk.value - whole * fill.value)


def fill_yield(units: Answer, bulk: Answer, fill: Answer) -> Answer:
    """Bottles filled over bottles possible.

    Parameters
    ----------
    units : Answer
        Bottles filled. [pieces]
    bulk : Answer
        [g]
    fill : Answer
        Content of one bottle. [g]

    Returns
    -------
    Answer
        Yield of the filling. [%]

    Raises
    ------
    BadEntry
        More was filled than the bulk could give, beyond one bottle.
    """
    could = bottles(bulk, fill)
    if units.value > could.possible.value + 1.0:
        raise BadEntry(
            worded("A bulk of {bulk:g} g gives at most {whole} bottles", bulk=bulk.value, whole=could.whole),
            worded("{units:g} bottles filled", units=units.value),
            "Weigh the bulk again, or count the bottles",
        )
    return reckoned(
        "yield of the filling",
        fill_yield_percent,
        unit="%",
        inputs={"units": units, "possible_units": could.possible},
        says="bottles filled over bottles the bulk could give",
    )


def tolerable_error(nominal: Answer) -> Answer:
    """How far one bottle may lie below its nominal content.

    Parameters
    ----------
    nominal : Answer
        Nominal content. [mL or g]

    Returns
    -------
    Answer
        Tolerable negative error. [mL or g]

    Raises
    ------
    OutsideModel
        The table does not reach this content.

    References
    ----------
    directive-76-211
    """
    rows = table(TABLE).rows
    lowest, highest = rows[0].number("above"), rows[-1].number("up_to")
    if not lowest <= nominal.value <= highest:
        raise OutsideModel(
            worded(
                "The tolerable error is printed from {lowest:g} to {highest:g} mL or g (directive-76-211)",
                lowest=lowest,
                highest=highest,
            ),
            f"{nominal.value:g} {nominal.unit}",
        )
    row = next(one for one in rows if nominal.value <= one.number("up_to"))
    if isinstance(row["error_absolute"], float):
        return published(
            "tolerable negative error",
            row.number("error_absolute"),
            nominal.unit,
            f"{TABLE}, {row.key}",
            sources=(row.words("source"),),
        )
    share = published(
        "tolerable negative error, share of the nominal content",
        row.number("error_percent"),
        "%",
        f"{TABLE}, {row.key}",
        sources=(row.words("source"),),
    )
    return reckoned(
        "tolerable negative error",
        share_rounded_up,
        unit=nominal.unit,
        inputs={"nominal": nominal, "error_percent": share},
        says="rounded up to the next tenth",
        sources=(row.words("source"),),
    )


def check_fill(
    contents_g: Sequence[Answer], nominal: Answer, density: Answer | None, filled: int = 0
) -> FillCheck:
    """Whether a filling holds what the label says, on average and bottle by bottle.

    Parameters
    ----------
    contents_g : sequence of Answer
        Net content of each bottle weighed. [g]
    nominal : Answer
        Nominal content: a volume at 20 °C, or a mass. [mL or g]
    density : Answer or None
        Of the product at 20 °C; none is needed where the content is a mass. [g/mL]
    filled : int
        Bottles filled, of which these were weighed; these alone when 0. [pieces]

    Returns
    -------
    FillCheck
        The verdict with its counts. [mL or g]

    Raises
    ------
    BadEntry
        No bottle was weighed, or a mass is not above zero.
    OutsideModel
        The tolerable error is not printed for this content.

    Notes
    -----
    The mean must not lie below nominal; few bottles may lie below nominal less the tolerable error, none
    below nominal less twice that. Below 100 bottles all are weighed (common practice, no source).

    References
    ----------
    directive-76-211
    """
    if not contents_g:
        raise BadEntry("A fill check needs weighed bottles", "none")
    by_volume = {} if nominal.unit == "g" else _content_and_density(nominal, density)
    held = []
    for one in contents_g:
        if one.unit != "g" or not one.value > 0:
            raise BadEntry(
                worded("{called!r} must be above zero in grams", called=one.name),
                f"{one.value:g} {one.unit}".strip(),
            )
        held.append(
            reckoned(
                f"{one.name}, as volume",
                volume_of_g_ml,
                unit="mL",
                inputs={"mass_g": one, "density_g_ml": by_volume["density_g_ml"]},
            )
            if by_volume
            else one
        )
    middle, unit = mean("mean content", held), nominal.unit
    error = tolerable_error(nominal)
    values = tuple(one.value for one in held)
    edge = 1e-9 * nominal.value
    short = sum(value < nominal.value - error.value - edge for value in values)
    far_short = sum(value < nominal.value - 2.0 * error.value - edge for value in values)
    allowed = math.floor(rule("share-below-tolerable-error").value / 100.0 * len(values) + 1e-9)
    sure = _sure_of_all(middle, values, filled or len(values))
    spread = f" ± {sure.expanded_uncertainty:.2f}" if sure.expanded_uncertainty else ""
    by_mass = unit == "g"
    mean_words = t(
        "Mean {mean} {unit} of {count} weighed, nominal {nominal:g} {unit}"
        if by_mass
        else "Mean {mean} {unit} of {count} bottles, nominal {nominal:g} {unit}",
        unit=unit,
        mean=f"{middle.value:.2f}{spread}",
        count=len(values),
        nominal=nominal.value,
    )
    faults = []
    if middle.value < nominal.value - edge:
        faults.append(
            t("the mean is {short:.2f} {unit} below nominal", short=nominal.value - middle.value, unit=unit)
        )
    if short > allowed:
        faults.append(
            t(
                "{short} of {weighed} short by more than {error:g} {unit}, where {allowed} may be"
                if by_mass
                else "{short} of {weighed} bottles short by more than {error:g} {unit}, where {allowed} may be",
                unit=unit,
                short=short,
                weighed=len(values),
                error=error.value,
                allowed=allowed,
            )
        )
    if far_short:
        faults.append(
            t(
                "{far_short} of them short by more than {error:g} {unit}, where none may be",
                unit=unit,
                far_short=far_short,
                error=2.0 * error.value,
            )
        )
    if faults:
        because = t("{mean}: {faults}. Top up or refill them.", mean=mean_words, faults="; ".join(faults))
        return FillCheck(middle, values, error, short, far_short, "wrong", because, sure)
    because = t(
        "{mean}; {short} short by more than {error:g} {unit}.",
        mean=mean_words,
        short=short,
        error=error.value,
        unit=unit,
    )
    return FillCheck(middle, values, error, short, far_short, "right", because, sure)


def _sure_of_all(middle: Answer, contents: tuple[float, ...], filled: int) -> Stated:
    """The mean content of every bottle filled, as far as those that were weighed tell it [mL or g]."""
    count = len(contents)
    if count < 2 or count >= filled:
        return stated(middle)
    unseen = (1.0 - count / filled) / count  # sampling without putting back
    scatter = spread_leaf(
        "bottles that were not weighed",
        0.0,
        middle.unit,
        f"scatter of {count} of {filled} bottles",
        standard_uncertainty=stdev(contents) * math.sqrt(unseen),
        degrees_of_freedom=count - 1.0,
    )
    inputs = {"weighed": middle, "not_weighed": scatter}
    return stated(reckoned("mean content of all bottles", sum_of, unit=middle.unit, inputs=inputs))
