"""Doses otherwise: by a fixed share of extract, with the next lot, or with a stock solution.

Promises what each would make of the product. A fixed share of extract ignores the assay, which is how a
ceiling is passed without anybody noticing: the verdict is told before anything is weighed.
"""

import math
from dataclasses import dataclass

from stillroom.answers.budget import Stated, stated
from stillroom.evidence.answer import Answer, reckoned
from stillroom.products.dose_option import worst_of
from stillroom.products.dosing import (
    content_by_rule_percent,
    content_of_bulk_percent,
    dose_mass_g,
    on_the_scale_g,
)
from stillroom.products.limits import Ceiling, Judged, ceiling, judge, refuse_over
from stillroom.products.strength import strength_for
from stillroom.substances.rules import rule

THINNER = (10.0, 100.0)
"""How many times the extract a stock solution may be; a thinner one is another solution of it."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Another lot of extract, and the old weight of it."""

    strength: Answer
    """As is, in the basis of the aim. [% w/w]"""
    mass: Answer
    """That the aim would take. [g]"""
    old_mass_gives: Answer
    """Content if nobody changed the weight. [% w/w]"""


@dataclass(frozen=True, slots=True)
class StockSolution:
    """A solution of the extract that can be weighed finely enough.

    ``extract_g``, ``solution_g``: dissolve so much extract to so much solution. [g]
    """

    extract_g: float
    solution_g: float
    portion_g: float
    """Weigh so much of it into the bulk. [g]"""


def by_mass_rule(
    extract_share: Answer,
    strength: Answer,
    aim: Answer,
    *,
    product_type: str,
    substance: str = "quinine",
    market: str = "EU",
    limit: Ceiling | None = None,
    loss_on_drying: Answer | None = None,
) -> tuple[Stated, Judged]:
    """What a fixed share of extract makes of the product, whatever the extract's strength.

    Parameters
    ----------
    extract_share : Answer
        Extract in the product. [% w/w]
    strength : Answer
        Of the extract, with uncertainty and basis. [% w/w]
    aim : Answer
        Gives the basis of the content. [% w/w]
    product_type, substance, market : str
        Whose ceiling holds. [text]
    limit : Ceiling, optional
        A ceiling looked up before; the table of the law when left out. [% w/w]
    loss_on_drying : Answer, optional
        Of the extract. [% w/w]

    Returns
    -------
    (Stated, Judged)
        The content and the verdict. [% w/w]

    Raises
    ------
    NotAllowed
        The upper bound passes the ceiling.
    BadEntry
        A basis or an uncertainty is missing.
    """
    known = strength_for(strength, aim, loss_on_drying)
    content = stated(
        reckoned(
            "content of the product by a fixed share of extract",
            content_by_rule_percent,
            unit="%",
            basis=aim.basis,
            inputs={"extract_percent": extract_share, "strength_percent": known.answer},
            says="the share of extract times its strength",
        )
    )
    limit = limit or ceiling(substance, product_type, market)
    return content, refuse_over(judge(worst_of(content), limit))


def with_next_lot(
    next_strength: Answer,
    next_loss_on_drying: Answer | None,
    aim: Answer,
    bulk: Answer,
    scale_step: Answer,
    old_mass: Answer,
) -> WhatIf:
    """What another lot of extract would take, and what the old weight of it would give.

    Parameters
    ----------
    next_strength : Answer
        Of the next lot, with its basis. [% w/w]
    next_loss_on_drying : Answer or None
        Of the next lot; needed when its strength is on the dried extract. [% w/w]
    aim, bulk, scale_step : Answer
        As for the dose. [% w/w, g, g]
    old_mass : Answer
        The dose of this lot. [g]

    Returns
    -------
    WhatIf
        Mass and content. [g, % w/w]

    Raises
    ------
    BadEntry
        A basis is missing or the two do not go together.
    """
    other = strength_for(next_strength, aim, next_loss_on_drying, uncertainty_needed=False).answer
    exact = reckoned(
        "extract of the next lot",
        dose_mass_g,
        unit="g",
        basis="of extract, as is",
        inputs={"bulk_mass_g": bulk, "aim_percent": aim, "strength_percent": other},
    )
    mass = reckoned(
        "extract of the next lot, on the scale",
        on_the_scale_g,
        unit="g",
        basis="of extract, as is",
        inputs={"mass_g": exact, "scale_step_g": scale_step},
        fixed={"way": "nearest"},
    )
    old = reckoned(
        "content if the old weight were kept",
        content_of_bulk_percent,
        unit="%",
        basis=aim.basis,
        inputs={"mass_g": old_mass, "strength_percent": other, "bulk_mass_g": bulk},
    )
    return WhatIf(other, mass, old)


def stock_solution(mass_g: float, step_g: float) -> StockSolution | None:
    """A stock solution of the extract, where one step of the scale is too large a part of the dose.

    Parameters
    ----------
    mass_g : float
        The dose before the scale. [g]
    step_g : float
        Smallest step of the scale. [g]

    Returns
    -------
    StockSolution or None
        None where the scale is fine enough, or too coarse for the portion of a hundredfold solution too. [g]

    Notes
    -----
    A portion of ten or a hundred times the dose is weighed out of a solution that holds a tenth or a hundredth of its
    mass in extract: the least of them of which one step of the scale is no more than the same share.
    """
    needed = step_g / (finest_needed_g(mass_g) or math.inf)
    thinner = next((one for one in THINNER if one >= needed), None)
    if needed <= 1.0 or thinner is None:
        return None
    power = 10.0 ** math.floor(math.log10(needed))
    times = next(one * power for one in (1.0, 2.0, 5.0, 10.0) if one * power >= needed * (1.0 - 1e-9))
    extract_g = on_the_scale_g(times * mass_g, step_g, "nearest")
    return StockSolution(extract_g, thinner * extract_g, thinner * extract_g / times)


def finest_needed_g(mass_g: float) -> float:
    """The largest step of a scale that weighs a dose by itself. [g].

    Parameters
    ----------
    mass_g : float
        The dose. [g]
    """
    return rule("scale-step-share").value / 100.0 * mass_g


def fine_scale_mg(mass_g: float) -> float:
    """Steps of a scale fine enough for a dose, as scales are sold: 100, 10, 1 or 0.1 mg. [mg].

    Parameters
    ----------
    mass_g : float
        The dose. [g]
    """
    return 10.0 ** math.floor(math.log10(1000.0 * finest_needed_g(mass_g)))
