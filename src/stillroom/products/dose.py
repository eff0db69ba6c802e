"""How many grams of this extract go into this bulk, on this scale, and what that makes of the product.

Promises the dose by assay, both readings of "meets it", the chance of each, and the upper bound against the
legal ceiling in the ceiling's basis: above it nothing is dosed. What was weighed is held: the content then
follows the assay, not the plan. Says nothing about losses of the active after dosing.
"""

import math
from dataclasses import dataclass

from stillroom.answers.bounds import lower_answer
from stillroom.answers.budget import Stated
from stillroom.answers.restating import basis_of
from stillroom.errors import BadEntry, NotEnough, worded
from stillroom.evidence.answer import Answer
from stillroom.products.dose_option import Meets, Option, for_bulk, option_for
from stillroom.products.dose_otherwise import (
    StockSolution,
    WhatIf,
    fine_scale_mg,
    finest_needed_g,
    stock_solution,
    with_next_lot,
)
from stillroom.products.limits import Ceiling, Judged, ceiling, refuse_over
from stillroom.products.strength import Strength, strength_for
from stillroom.substances.rules import rule


@dataclass(frozen=True, slots=True)
class Dose:
    """A dose with everything that hangs on it."""

    chosen: Option
    """What goes into the bulk."""
    options: tuple[Option, ...]
    """The aim on average, the aim at least, the declared strength at least."""
    strength: Strength
    """Of the extract, as is, in the basis of the aim."""
    what_if: WhatIf | None
    stock_solution: StockSolution | None
    """Where the scale is too coarse for the dose."""
    notes: tuple[str, ...]

    @property
    def mass(self) -> Answer:
        """What to weigh. [g]."""
        return self.chosen.mass

    @property
    def content(self) -> Stated:
        """What the product then holds. [% w/w]."""
        return self.chosen.content

    @property
    def judged(self) -> Judged:
        """The verdict on the ceiling."""
        return self.chosen.judged

    def option(self, meets: Meets) -> Option:
        """The dose of one reading of "meets it".

        Parameters
        ----------
        meets : Meets
            Which reading. [text]

        Returns
        -------
        Option
            Its dose. [record]

        Raises
        ------
        BadEntry
            No declared strength was given.
        """
        for one in self.options:
            if one.meets == meets:
                return one
        raise BadEntry(
            "A declared strength is needed for this reading", repr(meets), "Give the declared strength"
        )


def dose(
    strength: Answer,
    bulk: Answer,
    aim: Answer,
    *,
    scale_step: Answer,
    product_type: str,
    substance: str = "quinine",
    market: str = "EU",
    limit: Ceiling | None = None,
    declared: Answer | None = None,
    loss_on_drying: Answer | None = None,
    next_strength: Answer | None = None,
    next_loss_on_drying: Answer | None = None,
    available: Answer | None = None,
    units: int = 0,
    meets: Meets = "aim on average",
    how_sure_percent: float = 95.0,
) -> Dose:
    """Grams of this extract for this bulk.

    Parameters
    ----------
    strength : Answer
        Of the extract, with uncertainty and a basis that says "as is" or "dried" and as which compound. [%
        w/w]
    bulk : Answer
        Finished bulk. [g]
    aim : Answer
        What the batch is dosed for, with its compound in the basis. [% w/w of product]
    scale_step : Answer
        Smallest step of the scale used. [g]
    product_type, substance, market : str
        Whose ceiling holds. [text]
    limit : Ceiling, optional
        A ceiling looked up before; the table of the law when left out. [% w/w]
    declared : Answer, optional
        What the label declares at least. [% w/w of product]
    loss_on_drying : Answer, optional
        Of the extract; needed when its strength is on the dried extract. [% w/w]
    next_strength, next_loss_on_drying : Answer, optional
        Of the next lot of extract, for the what-if. [% w/w]
    available : Answer, optional
        Extract on the shelf. [g]
    units : int
        Bottles the bulk is for; tells how many fewer when the extract does not reach. [pieces]
    meets : Meets
        Which reading of "meets it" is dosed. [text]
    how_sure_percent : float
        For the two readings that say "at least". [%]

    Returns
    -------
    Dose
        What to weigh, what comes out, and what else was possible. [g]

    Raises
    ------
    BadEntry
        A basis or an uncertainty is missing, or bases do not go together.
    NotAllowed
        The upper bound passes the ceiling.
    NotEnough
        The extract on the shelf does not reach.

    References
    ----------
    jcgm-100, jcgm-106, cosing-2015
    """
    _refuse_bad_numbers(bulk, aim, declared, scale_step, how_sure_percent)
    known = strength_for(strength, aim, loss_on_drying)
    limit = limit or ceiling(substance, product_type, market)
    coverage = how_sure_percent / 100.0
    low = lower_answer(for_bulk(known, bulk), coverage=coverage)
    wanted: list[tuple[Meets, Answer, Answer, str]] = [
        ("aim on average", aim, known.stated.answer, "nearest"),
        ("aim at least", aim, low, "up"),
    ]
    if declared is not None:
        wanted.append(("declared at least", declared, low, "up"))
    options = tuple(
        option_for(
            which, target, reckon_with, way, known, bulk, aim, declared, scale_step, limit, how_sure_percent
        )
        for which, target, reckon_with, way in wanted
    )
    chosen = next((one for one in options if one.meets == meets), None)
    if chosen is None:
        raise BadEntry(
            "A declared strength is needed for this reading", repr(meets), "Give the declared strength"
        )
    stock = stock_solution(chosen.exact.value, scale_step.value)
    if chosen.mass.value <= 0.0:
        raise BadEntry(
            worded("The scale must show the dose of {exact:.3g} g", exact=chosen.exact.value),
            worded("steps of {scale_step:g} g", scale_step=scale_step.value),
            worded(
                "Make a stock solution of {extract_g:g} g of extract in {solution_g:g} g and weigh "
                "{portion_g:.4g} g of it",
                extract_g=stock.extract_g,
                solution_g=stock.solution_g,
                portion_g=stock.portion_g,
            )
            if stock
            else worded(
                "Take a scale that shows steps of {fine:g} mg, or make more",
                fine=fine_scale_mg(chosen.exact.value),
            ),
        )
    refuse_over(chosen.judged)
    if available is not None:
        _refuse_short(available, chosen, units)
    what_if = None
    if next_strength is not None:
        what_if = with_next_lot(next_strength, next_loss_on_drying, aim, bulk, scale_step, chosen.mass)
    return Dose(
        chosen, options, known, what_if, stock, _notes(chosen, options, known, limit, stock, scale_step)
    )


def _notes(
    chosen: Option,
    options: tuple[Option, ...],
    known: Strength,
    limit: Ceiling,
    stock: StockSolution | None,
    scale_step: Answer,
) -> tuple[str, ...]:
    said = [chosen.says[0].title() + chosen.says[1:] + "."]
    rounding = chosen.mass.value - chosen.exact.value
    said.append(
        f"The scale shows steps of {scale_step.value:g} g, so {chosen.exact.value:.5g} g becomes "
        f"{chosen.mass.value:g} g ({rounding:+.1g} g)."
    )
    said.extend(
        f"The dose that {one.says} would be {one.mass.value:g} g"
        + (f", but {one.judged.says[0].lower()}{one.judged.says[1:]}" if one.judged.blocks else ".")
        for one in options
        if one is not chosen
    )
    if known.basis.of == "total alkaloids" and limit.limit is not None:
        said.append(
            f"All alkaloids are taken as {limit.substance} against its ceiling: the safe side, "
            "for only a part of them is."
        )
    if chosen.judged.verdict != "within":
        said.append(chosen.judged.says)
    said.extend(known.notes)
    if scale_step.value > finest_needed_g(chosen.exact.value):
        said.append(
            f"One step of the scale is more than {rule('scale-step-share').value:g} % of the dose: "
            + (
                f"make a stock solution of {stock.extract_g:g} g of extract in {stock.solution_g:g} g "
                f"and weigh {stock.portion_g:g} g of it."
                if stock
                else f"take a scale that shows steps of {fine_scale_mg(chosen.exact.value):g} mg."
            )
        )
    if known.answer.rests_on_an_assumption:
        said.append("The strength rests on an assumption: this may serve a plan, never a bottle.")
    return tuple(said)


def _refuse_short(available: Answer, chosen: Option, units: int) -> None:
    gap = chosen.mass.value - available.value
    if gap <= 0:
        return
    fewer = math.ceil(units * gap / chosen.mass.value) if units else 0
    raise NotEnough(
        worded("The extract on the shelf must reach {mass:g} g", mass=chosen.mass.value),
        f"{available.value:g} g",
        worded(
            "{gap:.4g} g more{which}",
            gap=gap,
            which=f", or {fewer} bottles fewer" if fewer else ", or a smaller bulk",
        ),
    )


def _refuse_bad_numbers(
    bulk: Answer, aim: Answer, declared: Answer | None, scale_step: Answer, how_sure_percent: float
) -> None:
    for one, unit in ((bulk, "g"), (aim, "%"), (scale_step, "g"), *([(declared, "%")] if declared else [])):
        if one.unit != unit or not one.value > 0:
            raise BadEntry(
                worded("{called!r} must be above zero in {unit}", called=one.name, unit=unit),
                f"{one.value:g} {one.unit}".strip(),
            )
    if not 50.0 <= how_sure_percent < 100.0:
        raise BadEntry("How sure must lie from 50 to below 100 %", f"{how_sure_percent:g} %")
    if declared is not None and declared.value > aim.value:
        raise BadEntry(
            "The declared strength must not be above the aim",
            worded("declared {declared:g} %, aim {aim:g} %", declared=declared.value, aim=aim.value),
            "Look whether the two were swapped",
        )
    if declared is not None:
        apart = basis_of(declared.basis).differences(basis_of(aim.basis))
        if apart:
            raise BadEntry(
                "The declared strength must stand on the basis of the aim",
                "; ".join(apart),
                "Restate one of them",
            )
