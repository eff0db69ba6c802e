"""One dose and what it makes of the product: grams, content with its bounds, verdict, chances.

Promises that the content follows what is weighed: the mass is held once it is decided, and the reading of
the scale is in the uncertainty. The larger of the one-sided bound and the upper end of the stated interval
stands against the ceiling.
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.answers.bounds import chance_above, top_answer, upper_answer
from stillroom.answers.budget import Stated, stated
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.products.dosing import content_of_bulk_percent, dose_mass_g, on_the_scale_g
from stillroom.products.limits import Ceiling, Judged, judge
from stillroom.products.strength import Strength

Meets: TypeAlias = Literal["aim on average", "aim at least", "declared at least"]


@dataclass(frozen=True, slots=True)
class Option:
    """One dose and what it makes of the product.

    ``chance_of_aim``, ``chance_of_declared``: that the content is at least that much. [%]
    """

    meets: Meets
    exact: Answer
    """Before the scale. [g]"""
    mass: Answer
    """As the scale shows it. [g]"""
    content: Stated
    """Of the product. [% w/w]"""
    upper: Answer
    """One-sided upper bound of the content. [% w/w]"""
    top: Answer
    """Upper end of the stated interval. [% w/w]"""
    judged: Judged
    """The larger of the two against the ceiling."""
    chance_of_aim: Answer
    chance_of_declared: Answer | None
    says: str


def option_for(
    meets: Meets,
    target: Answer,
    reckon_with: Answer,
    way: str,
    known: Strength,
    bulk: Answer,
    aim: Answer,
    declared: Answer | None,
    scale_step: Answer,
    limit: Ceiling,
    how_sure_percent: float,
) -> Option:
    """The dose of one reading of "meets it".

    Parameters
    ----------
    meets : Meets
        Which reading. [text]
    target : Answer
        Content to reach. [% w/w]
    reckon_with : Answer
        Strength it is reckoned with: the middle, or a lower bound. [% w/w]
    way : str
        "nearest" or "up" on the scale. [text]
    known : Strength
        Of the extract. [% w/w]
    bulk, aim, declared, scale_step : Answer
        As for the dose. [g, % w/w, % w/w, g]
    limit : Ceiling
        Of the product. [% w/w]
    how_sure_percent : float
        For the sentence. [%]

    Returns
    -------
    Option
        Mass, content and verdict. [record]
    """
    exact = reckoned(
        f"extract for {meets}",
        dose_mass_g,
        unit="g",
        basis="of extract, as is",
        inputs={"bulk_mass_g": bulk, "aim_percent": target, "strength_percent": reckon_with},
        says="bulk times content, over the strength of the extract as is",
    )
    mass = reckoned(
        f"extract for {meets}, on the scale",
        on_the_scale_g,
        unit="g",
        basis="of extract, as is",
        inputs={"mass_g": exact, "scale_step_g": scale_step},
        fixed={"way": way},
        says=f"rounded {'to the nearest step' if way == 'nearest' else way} of the scale",
    )
    content = _content(mass, known, bulk, aim, scale_step)
    upper = upper_answer(content.answer)
    top = top_answer(content.answer, content.k)
    of_aim = chance_above(content.answer, aim)
    of_declared = chance_above(content.answer, declared) if declared is not None else None
    words = {
        "aim on average": (
            f"meets the aim on average: {of_aim.value:.0f} of 100 such batches hold at least the aim"
        ),
        "aim at least": f"meets the aim in {how_sure_percent:g} of 100 such batches",
        "declared at least": f"meets the declared strength in {how_sure_percent:g} of 100 such batches",
    }[meets]
    return Option(
        meets, exact, mass, content, upper, top, judge(worst_of(content), limit), of_aim, of_declared, words
    )


@formula("strength-for-this-bulk")
def strength_for_bulk_percent(strength_percent: float, bulk_mass_g: float, bulk_taken_g: float) -> float:
    """Strength of an extract as a bulk that is not what it is taken to be lets it count. [% w/w].

    Parameters
    ----------
    strength_percent : float
        [% w/w]
    bulk_mass_g, bulk_taken_g : float
        As it may be, and as the dose is reckoned with. [g]
    """
    return strength_percent * bulk_taken_g / bulk_mass_g


def for_bulk(known: Strength, bulk: Answer) -> Answer:
    """The strength with the doubt of the bulk in it: what "at least" must hold against.

    Parameters
    ----------
    known : Strength
        [% w/w]
    bulk : Answer
        [g]

    Returns
    -------
    Answer
        The same strength, less sure. [% w/w]
    """
    counted = reckoned(
        f"{known.answer.name}, in this bulk", strength_for_bulk_percent, unit="%", basis=known.answer.basis,
        inputs={"strength_percent": known.answer, "bulk_mass_g": bulk}, fixed={"bulk_taken_g": bulk.value},
        says="the strength, as far as the bulk is what it is taken to be",
    )  # fmt: skip
    sure = stated(counted).answer
    return sure if sure.standard_uncertainty != known.answer.standard_uncertainty else known.answer


def _content(mass: Answer, known: Strength, bulk: Answer, aim: Answer, scale_step: Answer) -> Stated:
    where = scale_step.leaf.where if scale_step.leaf is not None else "the scale used"
    reading_of_scale = reading(
        "one reading of the scale",
        0.0,
        "g",
        f"half a step either way: {where}",
        standard_uncertainty=scale_step.value / math.sqrt(12.0),
        entry_no=scale_step.leaf.entry_no if scale_step.leaf else None,
        shape="rectangular",
    )
    content = reckoned(
        "content of the product",
        content_of_bulk_percent,
        unit="%",
        basis=aim.basis,
        inputs={
            "mass_g": mass,
            "strength_percent": known.answer,
            "bulk_mass_g": bulk,
            "weighing_difference_g": reading_of_scale,
        },
        says="what was weighed, times its strength, over the bulk",
    )
    return stated(content, held=(mass.key,))


def worst_of(content: Stated) -> Answer:
    """The bound that stands against a ceiling.

    Parameters
    ----------
    content : Stated
        Content of a product. [% w/w]

    Returns
    -------
    Answer
        The larger of the one-sided upper bound and the upper end of the stated interval. [% w/w]

    Raises
    ------
    BadEntry
        The content has no uncertainty.
    """
    bounds = (upper_answer(content.answer), top_answer(content.answer, content.k))
    return max(bounds, key=lambda one: one.value)
