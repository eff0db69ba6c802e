"""A reagent scaled as a formula is: its lines in grams at the step of the scale, millilitres beside them.

Promises that what is summed closes to the mass made, and that what is filled up keeps the grams in 100 mL of its
source. Where volumes are stated and nothing is filled up, they are taken to add: a few
per cent, which is no matter for a colour.
"""

from dataclasses import dataclass

from stillroom.answers.acid_words import bottle_of, named_in
from stillroom.answers.plain_sums import mass_of_ml_g, sum_of, volume_of_g_ml
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.products.dosing import on_the_scale_g
from stillroom.products.formula import Formula, scale
from stillroom.records.procedures import Line, Procedure
from stillroom.records.reagent_recipes import Taken, taken_of
from stillroom.substances.ingredients import Ingredient
from stillroom.substances.reagent_care import density_of_liquid

FEWEST_STEPS = 100
"""Fewer steps of the scale than this are more than 1 % of doubt from the step alone."""


@dataclass(frozen=True, slots=True)
class ReagentLine:
    """One line of a recipe, scaled."""

    line: Line
    mass: Answer | None
    """As the scale shows it; None for what is measured by volume only, or filled up. [g]"""
    volume: Answer | None
    """For a liquid. [mL]"""
    fills: bool
    """Whether it fills up to that volume."""
    too_few_steps: str = ""
    """What to do where the scale is too coarse; "" otherwise."""


@dataclass(frozen=True, slots=True)
class ScaledReagent:
    """A recipe for an amount."""

    procedure: Procedure
    amount: Answer
    """As asked. [mL or g]"""
    lines: tuple[ReagentLine, ...]
    total: Answer | None
    """Mass of everything; None where it is filled up or measured. [g]"""
    nominal: Answer
    """What the recipe is written for: its volume, or its mass where every line is in grams. [mL or g]"""


def scale_reagent(procedure: Procedure, amount: Answer | None, scale_step: Answer) -> ScaledReagent:
    """A recipe for an amount.

    Parameters
    ----------
    procedure : Procedure
        Of a reagent, its lines with amounts. [record]
    amount : Answer or None
        How much is wanted; None for what it is written for. [mL or g]
    scale_step : Answer
        Smallest step of the scale. [g]

    Returns
    -------
    ScaledReagent
        Its lines. [g and mL]

    Raises
    ------
    BadEntry
        The recipe states no amounts or has no q.s. line, the amount is not above zero, grams are asked of what is
        filled up to a volume, or millilitres of what is weighed and of no known density.
    """
    if amount is not None and (amount.unit not in ("mL", "g") or not amount.value > 0):
        raise BadEntry(
            "An amount of reagent lies above zero, in mL or g",
            f"{amount.value:g} {amount.unit}",
            "Write it like 100 mL",
            where="amount",
        )
    if not scale_step.value > 0:
        raise BadEntry(
            "The readability of a scale lies above zero",
            f"{scale_step.value:g} g",
            "Write it like 0.01 g",
            where="step",
        )
    taken = {one.name: taken_of(one) for one in procedure.lines if one.amount}
    filling = [one for one in procedure.lines if one.role == "q.s."]
    if len(taken) != len(procedure.lines) or len(filling) != 1:
        raise BadEntry(
            "A recipe of a reagent states the amount of every line, and marks one q.s.",
            worded(
                "{procedure_code}: {taken} of {lines} amounts, {filling} q.s.",
                procedure_code=procedure.code,
                taken=len(taken),
                lines=len(procedure.lines),
                filling=len(filling),
            ),
            "Write an amount in each line, such as 5 g, 10 mL, to 100 mL",
        )
    where = f"{procedure.code}, version {procedure.version}"
    densities = {
        one.name: density_by_name(one.substance) for one in procedure.lines if taken[one.name].unit == "mL"
    }
    if taken[filling[0].name].fills:
        return _filled(procedure, amount, scale_step, taken, densities, where)
    return _summed(procedure, amount, scale_step, taken, densities, where)


def density_by_name(substance: str) -> Answer | None:
    """Density of a liquid of a recipe; of an acid or alkali by the strength in its name, whatever that is.

    Parameters
    ----------
    substance : str
        "spirit 96 %", "hydrochloric acid 10 %", "methanol". [text]

    Returns
    -------
    Answer or None
        At 20 °C; None where no table here knows it. [g/mL]
    """
    try:
        known = density_of_liquid(substance)
        if known is not None or "%" not in substance:
            return known
        return bottle_of(named_in(substance, "of")).density
    except StillroomError:
        return None


def _filled(
    procedure: Procedure,
    amount: Answer | None,
    step: Answer,
    taken: dict[str, Taken],
    densities: dict[str, Answer | None],
    where: str,
) -> ScaledReagent:
    nominal = _stated(
        procedure, "volume of the recipe", next(one.value for one in taken.values() if one.fills), "mL", where
    )
    amount = amount or nominal
    if amount.unit != "mL":
        raise BadEntry(
            worded("{title} is filled up to a volume", title=procedure.title),
            f"{amount.value:g} g",
            "Ask in mL",
            where="amount",
        )
    weighed, shares = [], {}
    for line in procedure.lines:
        one, density = taken[line.name], densities.get(line.name)
        if one.unit == "g" or (density is not None and not one.fills):
            grams = one.value * (density.value if one.unit == "mL" and density else 1.0)
            weighed.append(_with_share(line, 100.0 * grams / nominal.value))
        elif one.fills:
            weighed.append(line)
        else:
            shares[line.name] = one.value
    scaled = {one.line.name: one.mass for one in scale(_formula(weighed), amount, {"": step}, where=where)}
    lines = []
    for line in procedure.lines:
        one = taken[line.name]
        volume = (
            amount
            if one.fills
            else _volume(procedure, line, one, amount, nominal, where)
            if one.unit == "mL"
            else None
        )
        mass = None if one.fills else scaled.get(line.name)
        lines.append(ReagentLine(line, mass, volume, one.fills, _coarse(mass, step, amount)))
    return ScaledReagent(procedure, amount, tuple(lines), None, nominal)


def _summed(
    procedure: Procedure,
    amount: Answer | None,
    step: Answer,
    taken: dict[str, Taken],
    densities: dict[str, Answer | None],
    where: str,
) -> ScaledReagent:
    masses = {}
    for line in procedure.lines:
        one, density = taken[line.name], densities.get(line.name)
        if one.unit == "mL" and density is None:
            raise BadEntry(
                worded("The density of {substance} must be known to weigh it", substance=line.substance),
                "no table of it here",
                worded("Write {line_name} in g, or fill up to a volume", line_name=line.name),
                where=line.name,
            )
        stated = _stated(procedure, line.name, one.value, one.unit, where)
        masses[line.name] = (
            stated
            if density is None
            else reckoned(
                f"{line.name} in the recipe",
                mass_of_ml_g,
                unit="g",
                inputs={"volume_ml": stated, "density_g_ml": density},
                says="its volume times its density",
            )
        )
    whole = reckoned("mass of the recipe", sum_of, unit="g", inputs=masses, says="everything that goes in")
    liquids = {
        name: _stated(procedure, name, one.value, "mL", where)
        for name, one in taken.items()
        if one.unit == "mL"
    }
    nominal = (
        reckoned(
            "volume of the recipe",
            sum_of,
            unit="mL",
            inputs=liquids,
            says="the volumes of its liquids, taken to add",
        )
        if liquids
        else whole
    )
    amount = amount or nominal
    wanted = amount if amount.unit == "g" else _mass_wanted(procedure, amount, whole, nominal)
    bulk = reckoned(
        "mass made",
        on_the_scale_g,
        unit="g",
        inputs={"mass_g": wanted, "scale_step_g": step},
        fixed={"way": "nearest"},
        says="rounded to the step of the scale",
    )
    lines = [
        line if line.role == "q.s." else _with_share(line, 100.0 * masses[line.name].value / whole.value)
        for line in procedure.lines
    ]
    found = []
    for each in scale(_formula(lines), bulk, {"": step}, where=where):
        density = densities.get(each.line.name)
        volume = (
            None
            if density is None
            else reckoned(
                f"{each.line.name} by volume",
                volume_of_g_ml,
                unit="mL",
                basis="at 20 °C",
                inputs={"mass_g": each.mass, "density_g_ml": density},
                says="its mass over its density",
            )
        )
        found.append(ReagentLine(each.line, each.mass, volume, False, _coarse(each.mass, step, amount)))
    return ScaledReagent(procedure, amount, tuple(found), bulk, nominal)


def _mass_wanted(procedure: Procedure, amount: Answer, whole: Answer, nominal: Answer) -> Answer:
    """The mass of a volume that is wanted: in proportion to that of the recipe, else by its density. [g]."""
    if nominal.unit == "mL":
        return reckoned(
            "mass wanted",
            in_proportion,
            unit="g",
            inputs={"whole": whole, "part": amount, "of": nominal},
            says="the mass of the recipe in proportion to its volume",
        )
    density = density_by_name(procedure.makes)
    if density is None:
        raise BadEntry(
            worded("{title} is weighed, and its density is not known", title=procedure.title),
            f"{amount.value:g} mL",
            "Ask in g",
            where="amount",
        )
    return reckoned(
        "mass wanted",
        mass_of_ml_g,
        unit="g",
        inputs={"volume_ml": amount, "density_g_ml": density},
        says="its volume times its density",
    )


def _volume(
    procedure: Procedure, line: Line, taken: Taken, amount: Answer, nominal: Answer, where: str
) -> Answer:
    stated = _stated(procedure, line.name, taken.value, "mL", where)
    return reckoned(
        f"{line.name} by volume",
        in_proportion,
        unit="mL",
        inputs={"whole": stated, "part": amount, "of": nominal},
        says="in proportion to the volume made",
    )


def _stated(procedure: Procedure, name: str, value: float, unit: str, where: str) -> Answer:
    return reading(f"{name} of {procedure.title}", value, unit, where)


def _with_share(line: Line, percent: float) -> Line:
    return Line(line.name, line.substance, percent)


def _formula(lines: list[Line]) -> Formula:
    filling = next(one.name for one in lines if one.role == "q.s.")
    known = tuple(Ingredient(one.substance, "", "reagent", "", "") for one in lines)
    return Formula(tuple(lines), known, filling, (), sum(one.percent or 0.0 for one in lines))


def _coarse(mass: Answer | None, step: Answer, amount: Answer) -> str:
    if mass is None or mass.value >= FEWEST_STEPS * step.value * (1.0 - 1e-9):
        return ""
    if not mass.value > 0:
        return f"less than one step of {step.value:g} g: make more, or take it from a stronger stock"
    enough = amount.value * FEWEST_STEPS * step.value / mass.value
    return (
        f"only {mass.value / step.value:.0f} steps of {step.value:g} g: make {_up(enough)} {amount.unit} or more, "
        "or take it from a stronger stock"
    )


def _up(value: float) -> str:
    """Upwards to two digits."""
    from math import ceil, floor, log10

    size = 10.0 ** (floor(log10(value)) - 1)
    return f"{ceil(value / size - 1e-9) * size:g}"


@formula("in-proportion")
def in_proportion(whole: float, part: float, of: float) -> float:
    """What goes with a part of something.

    Parameters
    ----------
    whole : float
        What goes with all of it. [g or mL]
    part, of : float
        The part, and all of it. [mL]

    Returns
    -------
    float
        What goes with the part. [g or mL]
    """
    return whole * part / of
