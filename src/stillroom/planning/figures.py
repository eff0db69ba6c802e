"""Every figure a plan prints, by key, and the one function that gives it.

``figure`` is what the answers of a plan name as their reason: the same named inputs, skeletons and seed
give the printed value again, to the last digit.
"""

from collections.abc import Mapping

import numpy as np

from stillroom.errors import UnknownName
from stillroom.evidence.formulas import formula
from stillroom.planning import amounts
from stillroom.planning.figure import Figure, Stage
from stillroom.planning.figures_of_charge import OF_CHARGE
from stillroom.planning.figures_of_extraction import OF_EXTRACTION
from stillroom.planning.figures_of_product import OF_PRODUCT
from stillroom.planning.route import LINE, Chain, lines_to_buy
from stillroom.planning.stages import Asked, content, filling, supply
from stillroom.planning.totals import totals
from stillroom.quantities.draws import Draws

GROUPS = (
    "bottles",
    "bulk",
    "active",
    "extraction",
    "plant",
    "spirit",
    "reagents",
    "packaging",
    "water",
    "hours",
    "money",
    "content",
    "charge",
)
"""In the order they are printed: back from the bottles; a charge by itself last."""

FIGURES: dict[str, Figure] = {
    one.key: one
    for one in sorted((*OF_PRODUCT, *OF_EXTRACTION, *OF_CHARGE), key=lambda one: GROUPS.index(one.group))
}


@formula("plan-figure", takes_named_inputs=True)
def figure(
    *,
    inputs: Mapping[str, tuple[float, float]],
    key: str,
    at: str,
    lines: str,
    extraction: str,
    formula: str,
    seed: int,
    draws: int,
) -> float:
    """One printed figure of a plan, from its inputs.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Role, and the value with its standard uncertainty. [the input's unit]
    key : str
        Key of ``FIGURES``, or "formula/<line>", "line/<line>" for grams of a line of the formula or the extraction.
    at : str
        "plan" for what the plan says to have, else "median", "5 %" or "95 %".
    lines : str
        Role, spread and global name of each input that varies, as JSON.
    extraction, formula : str
        The procedures without their numbers, as JSON.
    seed, draws : int
        Seed and number of draws. [1]

    Returns
    -------
    float
        The figure. [its unit]
    """
    frozen = tuple((role, value, doubt) for role, (value, doubt) in inputs.items())
    one = figure_of(key)
    asked = Asked(frozen, lines, extraction, formula, seed, draws).only(one.stage)
    values = one.takes(asked)
    if at == "plan":
        at = one.at
    if at == "upper limit":
        return (filling(asked).bulk if key == "bulk_g" else supply(asked).plant_limit).value
    if at == "mean":
        return float(np.mean(values))
    return float(np.percentile(values, {"median": 50.0, "5 %": 5.0, "95 %": 95.0}[at]))


def keys_of(chain: Chain) -> tuple[str, ...]:
    """The figures a chain has, in the order they are printed."""
    known = [key for key, one in FIGURES.items() if one.applies(chain)]
    lines = [key for key in lines_to_buy(chain.extraction) if key.startswith(LINE)]
    in_formula = [f"formula/{one.name}" for one in chain.formula.lines if one.role != "dosed"]
    return (*known, *lines, *in_formula)


def figure_of(key: str) -> Figure:
    """The figure of that key.

    Raises
    ------
    UnknownName
        There is none; the nearest keys are offered.
    """
    if key.startswith("formula/"):
        line = key.removeprefix("formula/")
        return Figure(
            key,
            "formula",
            f"{line.capitalize()} in the product",
            "g",
            "supply",
            lambda a: amounts.formula_line(a, line),
            "The formula's share of the bulk; water fills it up.",
        )
    if key.startswith(LINE):
        line = key.removeprefix(LINE)
        return Figure(
            key,
            "reagents",
            line.capitalize(),
            "g",
            "supply",
            lambda a: amounts.shelf_g(a, line),
            "In proportion to the plant.",
        )
    if key not in FIGURES:
        raise UnknownName.among(key, "a figure of a plan", FIGURES)
    return FIGURES[key]


def draws_of(stage: Stage, asked: Asked) -> Draws | None:
    """The draws a stage was reckoned from, to share out the spread; None where nothing varies.

    Parameters
    ----------
    asked : Asked
        With the inputs of that stage only.
    """
    if stage == "filling":
        return filling(asked).drawn.draws
    if stage == "packaging":
        return None
    if stage == "supply":
        return supply(asked).drawn.draws
    if stage == "content":
        return content(asked).drawn.draws
    return totals(asked).draws
