"""A formula: lines that sum to 100, scaled to a bulk at the step of the scale.

Promises that a formula sums to 100 % by mass with one line that fills up (q.s.), and that the scaled
lines sum to the bulk exactly: the filling line takes what rounding and the dosed line leave. Knows names,
not chemistry: whether it stays together and keeps is for the maker's trial and the laboratory.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.products.dosing import on_the_scale_g
from stillroom.records.procedures import Line
from stillroom.substances.ingredients import Ingredient, known_ingredient
from stillroom.substances.written_names import ingredient_as_written

WHOLE_PERCENT = Decimal(100)


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula that was looked through."""

    lines: tuple[Line, ...]
    ingredients: tuple[Ingredient, ...]
    """In the order of the lines."""
    filling_line: str
    """Name of the q.s. line."""
    dosed_lines: tuple[str, ...]
    """Names of the lines worked out from an assay."""
    stated_percent: float
    """Sum of the stated shares. [% w/w]"""


@dataclass(frozen=True, slots=True)
class ScaledLine:
    """One line of a formula in grams."""

    line: Line
    ingredient: Ingredient
    mass: Answer
    """As the scale shows it. [g]"""
    percent: Answer
    """Share of the bulk that this mass is [% w/w]; the volume itself where a volume is filled up to [mL]."""


def check(lines: Sequence[Line]) -> Formula:
    """Look a formula through.

    Parameters
    ----------
    lines : sequence of Line
        With their shares. [% w/w]

    Returns
    -------
    Formula
        The same lines, known and summing. [record]

    Raises
    ------
    BadEntry
        The stated shares leave nothing, a share is impossible, a name stands twice, there is not exactly one
        q.s. line, or a q.s. or dosed line states a share.
    UnknownName
        An ingredient is spelt almost like a known one; the nearest names are offered. A name that nobody knows may
        stand: its limits are then undecided.

    Notes
    -----
    A q.s. line and a dosed line state no share: the dose follows from an assay, and the q.s. line takes what is left.
    What is dosed was made here and need not be listed; a label asks for its name.
    """
    if not lines:
        raise BadEntry("A formula must have lines", "none")
    names = [one.name for one in lines]
    twice = sorted({one for one in names if names.count(one) > 1})
    if twice:
        raise BadEntry("Every line of a formula must have its own name", ", ".join(twice), "Name them apart")
    filling = [one for one in lines if one.role == "q.s."]
    if len(filling) != 1:
        raise BadEntry(
            "A formula must have exactly one line that fills up to 100 (q.s.)",
            ", ".join(one.name for one in filling) or f"none, and lines that sum to {_stated(lines)} %",
            "Mark one line q.s., normally the water",
        )
    total = Decimal(0)
    for one in lines:
        if one.percent is None:
            if one.role == "":
                raise BadEntry(
                    worded("The line {called!r} must state its share", called=one.name),
                    "none",
                    "Only a q.s. line and a dosed line may leave it out",
                )
            continue
        if one.role:
            raise BadEntry(
                worded("A line that is {role} has no percent of its own", role=one.role),
                worded("{percent:g} % for {called!r}", percent=one.percent, called=one.name),
                "Leave one of the two out",
            )
        if not 0.0 < one.percent <= 100.0:
            raise BadEntry(
                worded("The share of {called!r} must lie between 0 and 100 %", called=one.name),
                f"{one.percent:g} %",
            )
        total += Decimal(repr(one.percent))
    _refuse_wrong_sum(total, filling[0])
    return Formula(
        lines=tuple(lines),
        ingredients=tuple(ingredient_of(one) for one in lines),
        filling_line=filling[0].name,
        dosed_lines=tuple(one.name for one in lines if one.role == "dosed"),
        stated_percent=float(total),
    )


def ingredient_of(line: Line) -> Ingredient:
    """The ingredient of a line; what is dosed was made here and need not be listed."""
    known = known_ingredient(line.substance)
    if known is not None:
        return known
    if line.role == "dosed":
        return Ingredient(line.substance, line.label_name, "made here", "", "")
    return ingredient_as_written(line.substance, line.label_name)


def scale(
    formula: Formula,
    bulk: Answer,
    scale_steps: Mapping[str, Answer],
    doses: Mapping[str, Answer] | None = None,
    *,
    where: str = "formula",
    entry_no: int | None = None,
) -> tuple[ScaledLine, ...]:
    """A formula in grams.

    Parameters
    ----------
    formula : Formula
        From ``check``. [% w/w]
    bulk : Answer
        Finished bulk [g]; or the volume a reagent is filled up to [mL], where a share is grams in 100 mL and the q.s.
        line is the filling up itself.
    scale_steps : mapping of str to Answer
        Smallest step of the scale each line is weighed on; ``""`` serves every line not named. [g]
    doses : mapping of str to Answer, optional
        Mass of each dosed line, from ``dose``. [g]
    where : str
        Where the shares stand (procedure and version). [text]
    entry_no : int, optional
        Entry of the procedure. [1]

    Returns
    -------
    tuple of ScaledLine
        In the order of the lines; the masses sum to the bulk. [g]

    Raises
    ------
    BadEntry
        A dose or a step is missing, or nothing is left to fill up with.
    """
    doses = doses or {}
    filled = bulk.unit == "mL"
    if bulk.unit not in ("g", "mL") or not bulk.value > 0:
        raise BadEntry(
            "A bulk must be above zero in grams, or a volume to fill up to in mL",
            f"{bulk.value:g} {bulk.unit}".strip(),
        )
    masses: dict[str, Answer] = {}
    for line in formula.lines:
        if line.name == formula.filling_line:
            continue
        step = scale_steps.get(line.name, scale_steps.get(""))
        if step is None:
            raise BadEntry(
                worded("The line {line_name!r} must be weighed on a scale", line_name=line.name),
                "none named",
                "Name the scale",
            )
        if line.role == "dosed":
            if line.name not in doses:
                raise BadEntry(
                    worded("The dosed line {line_name!r} needs its mass", line_name=line.name),
                    "none",
                    "Work it out from the assay of the lot",
                )
            masses[line.name] = doses[line.name]
            continue
        share = reading(
            f"share of {line.name}",
            float(line.percent or 0.0),
            "%",
            where,
            entry_no=entry_no,
            basis="w/v of the solution" if filled else "w/w of product",
        )
        exact = reckoned(
            f"{line.name}, exact",
            share_of_volume_g if filled else share_of_bulk_g,
            unit="g",
            inputs={"volume_ml" if filled else "bulk_mass_g": bulk, "share_percent": share},
            says="its share of the bulk",
        )
        masses[line.name] = reckoned(
            line.name,
            on_the_scale_g,
            unit="g",
            inputs={"mass_g": exact, "scale_step_g": step},
            fixed={"way": "nearest"},
            says="rounded to the step of the scale",
        )
    if filled:
        return tuple(
            ScaledLine(line, known, masses.get(line.name, bulk), bulk)
            for line, known in zip(formula.lines, formula.ingredients, strict=True)
        )
    masses[formula.filling_line] = reckoned(
        formula.filling_line,
        filling_up_g,
        unit="g",
        inputs={"bulk": bulk, **{f"line {name}": one for name, one in masses.items()}},
        says="what the other lines leave of the bulk",
    )
    if masses[formula.filling_line].value < 0:
        raise BadEntry(
            worded(
                "The other lines must leave something for {filling_line!r}", filling_line=formula.filling_line
            ),
            worded("{value:.4g} g too much", value=-masses[formula.filling_line].value),
            "Take less of a line, or make more bulk",
        )
    return tuple(
        ScaledLine(
            line,
            known,
            masses[line.name],
            reckoned(
                f"share of {line.name} weighed",
                share_percent,
                unit="%",
                basis="w/w of product",
                inputs={"mass_g": masses[line.name], "bulk_mass_g": bulk},
            ),
        )
        for line, known in zip(formula.lines, formula.ingredients, strict=True)
    )


@formula("share-of-bulk")
def share_of_bulk_g(bulk_mass_g: float, share_percent: float) -> float:
    """Mass of one line.

    Parameters
    ----------
    bulk_mass_g : float
        Finished bulk. [g]
    share_percent : float
        Share of the line. [% w/w]

    Returns
    -------
    float
        Mass. [g]
    """
    return bulk_mass_g * share_percent / 100.0


@formula("share-of-volume")
def share_of_volume_g(volume_ml: float, share_percent: float) -> float:
    """Mass of one line of what is filled up to a volume.

    Parameters
    ----------
    volume_ml : float
        What is filled up to. [mL]
    share_percent : float
        Grams in 100 mL. [% w/v]

    Returns
    -------
    float
        Mass. [g]
    """
    return volume_ml * share_percent / 100.0


@formula("share-weighed")
def share_percent(mass_g: float, bulk_mass_g: float) -> float:
    """Share of the bulk that a mass is.

    Parameters
    ----------
    mass_g : float
        Mass of one line. [g]
    bulk_mass_g : float
        Finished bulk. [g]

    Returns
    -------
    float
        Share. [% w/w]
    """
    return 100.0 * mass_g / bulk_mass_g


@formula("filling-up", takes_named_inputs=True)
def filling_up_g(inputs: Mapping[str, tuple[float, float]]) -> float:
    """What the other lines leave of the bulk.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        ``bulk`` and every other line with its uncertainty. [g]

    Returns
    -------
    float
        Mass of the line that fills up. [g]
    """
    others = sum((Decimal(repr(value)) for name, (value, _) in inputs.items() if name != "bulk"), Decimal(0))
    return float(Decimal(repr(inputs["bulk"][0])) - others)


def _refuse_wrong_sum(total: Decimal, filling: Line) -> None:
    if total >= WHOLE_PERCENT:
        raise BadEntry(
            worded("The stated lines must leave something for {filling_name!r}", filling_name=filling.name),
            f"{total.normalize():f} %",
            "They must sum to less than 100 %",
        )


def _stated(lines: Sequence[Line]) -> str:
    total = sum((Decimal(repr(one.percent)) for one in lines if one.percent is not None), Decimal(0))
    return f"{total.normalize():f}"
