"""What a dose asked without a book is made from: a strength with its doubt, a bulk from bottles, a tempting way.

Promises that a doubt nobody stated, a density nobody weighed and a next lot nobody has are marked as assumed.
"""

from dataclasses import dataclass

from stillroom.answers.budget import Stated, stated
from stillroom.evidence.answer import Answer, Shape, assumed, reading, reckoned
from stillroom.evidence.formulas import formula
from stillroom.products.dose_option import worst_of
from stillroom.products.dosing import content_by_rule_percent, content_of_bulk_percent, on_the_scale_g
from stillroom.products.formula import share_of_bulk_g
from stillroom.products.limits import Ceiling, Judged, judge
from stillroom.substances.rules import rule

KNOWN_HOW: dict[str, tuple[str, str, str]] = {
    "outside certificate": (
        "outside-assay-limits",
        "outside certificate",
        "a certificate that states no ± of its own",
    ),
    "titrated here": ("own-assay-limits", "titrated here", "a titration on a small bench"),
    "not known": ("unknown-assay-limits", "not known", "nobody told where the figure comes from"),
}
"""How the strength was measured: the rule that stands in for its doubt, in words, and why."""
DOUBT = "error of the strength"


@dataclass(frozen=True, slots=True)
class Tempting:
    """A way that looks right, and what it makes of the product."""

    says: str
    """The way, in one sentence."""
    mass: Answer
    """What it weighs. [g]"""
    content: Stated
    """What the product then holds. [% w/w]"""
    judged: Judged


@formula("doubted-content")
def doubted_percent(percent: float, error_percent: float) -> float:
    """A content with what it may be off.

    Parameters
    ----------
    percent : float
        As stated. [% w/w]
    error_percent : float
        True content less the stated one. [% w/w]

    Returns
    -------
    float
        Content. [% w/w]
    """
    return percent + error_percent


@formula("bulk-of-bottles")
def bulk_mass_g(units: float, volume_ml: float, density_g_ml: float, density_error_g_ml: float) -> float:
    """Mass of a bulk for so many bottles.

    Parameters
    ----------
    units : float
        Bottles. [pieces]
    volume_ml : float
        In each. [mL]
    density_g_ml : float
        Of the bulk. [g/mL]
    density_error_g_ml : float
        True density less that. [g/mL]

    Returns
    -------
    float
        Mass. [g]
    """
    return units * volume_ml * (density_g_ml + density_error_g_ml)


@formula("extract-left")
def left_g(available_mass_g: float, dose_mass_g: float) -> float:
    """What is left of the extract once the dose is taken.

    Parameters
    ----------
    available_mass_g : float
        On the shelf. [g]
    dose_mass_g : float
        Taken. [g]

    Returns
    -------
    float
        Left. [g]
    """
    return available_mass_g - dose_mass_g


def strength_asked(percent: float, basis: str, plus_minus: Answer) -> Answer:
    """The strength of an extract with its doubt.

    Parameters
    ----------
    percent : float
        As stated. [% w/w]
    basis : str
        Of what, as what, as is or dried. [text]
    plus_minus : Answer
        What it may be off. [% w/w]

    Returns
    -------
    Answer
        The strength. [% w/w]
    """
    return reckoned(
        "strength of the extract",
        doubted_percent,
        unit="%",
        basis=basis,
        inputs={
            "percent": reading("strength as stated", percent, "%", "as asked", basis=basis),
            "error_percent": plus_minus,
        },
        says="as stated, with what it may be off",
    )


def doubt_asked(half_width: float, k: float, *, within_limits: bool = False) -> Answer:
    """The doubt of a strength as somebody stated it.

    Parameters
    ----------
    half_width : float
        Of the interval. [% w/w]
    k : float
        Its coverage factor. [1]
    within_limits : bool
        Whether it was said as a tolerance. [yes or no]

    Returns
    -------
    Answer
        Zero with its standard uncertainty. [% w/w]
    """
    shape: Shape = "rectangular" if within_limits else ""
    return reading(DOUBT, 0.0, "%", "as asked", standard_uncertainty=half_width / k, shape=shape)


def doubt_assumed(known_how: str, percent: float) -> Answer:
    """The doubt of a strength by how it was measured.

    Parameters
    ----------
    known_how : str
        A key of ``KNOWN_HOW``. [text]
    percent : float
        The strength. [% w/w]

    Returns
    -------
    Answer
        Zero with its standard uncertainty. [% w/w]
    """
    key, _, because = KNOWN_HOW[known_how]
    half_width = percent * rule(key).value / 100.0
    return assumed(DOUBT, 0.0, "%", because, standard_uncertainty=half_width / 2.0)


def bulk_of_bottles(units: int, volume_ml: float, density_g_ml: float | None) -> Answer:
    """The bulk for so many bottles; its density is assumed where nobody weighed it.

    Parameters
    ----------
    units : int
        Bottles. [pieces]
    volume_ml : float
        In each. [mL]
    density_g_ml : float or None
        Of the bulk. [g/mL]

    Returns
    -------
    Answer
        Bulk. [g]
    """
    usual, limits = rule("bulk-density").value, rule("bulk-density-limits").value
    because = "most creams and lotions; a spirit tonic is lighter"
    density = (
        assumed("density of the bulk", usual, "g/mL", because)
        if density_g_ml is None
        else reading("density of the bulk", density_g_ml, "g/mL", "as asked")
    )
    error = (
        assumed("error of the density", 0.0, "g/mL", because, standard_uncertainty=limits / 3.0**0.5)
        if density_g_ml is None
        else reading("error of the density", 0.0, "g/mL", "taken as weighed")
    )
    return reckoned(
        "bulk",
        bulk_mass_g,
        unit="g",
        inputs={
            "units": reading("bottles", float(units), "pieces", "as asked"),
            "volume_ml": reading("in each", volume_ml, "mL", "as asked"),
            "density_g_ml": density,
            "density_error_g_ml": error,
        },
        says="bottles times what each holds, times the density of the bulk",
    )


def by_share(share: Answer, strength: Answer, bulk: Answer, basis: str, limit: Ceiling) -> Tempting:
    """The tempting way of a fixed share of extract.

    Parameters
    ----------
    share : Answer
        Of extract in the product. [% w/w]
    strength : Answer
        Of the extract as is. [% w/w]
    bulk : Answer
        [g]
    basis : str
        Of the content. [text]
    limit : Ceiling
        Of the product. [% w/w]

    Returns
    -------
    Tempting
        What it makes. [record]
    """
    mass = reckoned(
        "extract by a fixed share",
        share_of_bulk_g,
        unit="g",
        inputs={"bulk_mass_g": bulk, "share_percent": share},
    )
    content = stated(
        reckoned(
            "content by a fixed share of extract",
            content_by_rule_percent,
            unit="%",
            basis=basis,
            inputs={"extract_percent": share, "strength_percent": strength},
            says="the share of extract times its strength",
        )
    )
    says = f"Always {share.value:g} % of extract, whatever its assay."
    return Tempting(says, mass, content, judge(worst_of(content), limit))


def as_if_as_is(
    dried: Answer, as_is: Answer, aim: Answer, bulk: Answer, scale_step: Answer, limit: Ceiling
) -> Tempting:
    """The tempting way of weighing by the strength of the dried extract.

    Parameters
    ----------
    dried, as_is : Answer
        Strength of the extract on either basis. [% w/w]
    aim : Answer
        [% w/w]
    bulk, scale_step : Answer
        [g]
    limit : Ceiling
        Of the product. [% w/w]

    Returns
    -------
    Tempting
        What it makes. [record]
    """
    from stillroom.products.dosing import dose_mass_g

    exact = reckoned(
        "extract by its dried strength",
        dose_mass_g,
        unit="g",
        inputs={"bulk_mass_g": bulk, "aim_percent": aim, "strength_percent": dried},
    )
    return _old_weight(
        "Weigh by the strength of the dried extract, as if it were that of the jar.",
        _on_scale(exact, scale_step),
        as_is,
        aim,
        bulk,
        limit,
    )


def old_weight(mass: Answer, next_strength: Answer, aim: Answer, bulk: Answer, limit: Ceiling) -> Tempting:
    """The tempting way of keeping the weight of this lot for the next.

    Parameters
    ----------
    mass : Answer
        Dose of this lot. [g]
    next_strength : Answer
        Of the next lot, as is. [% w/w]
    aim : Answer
        [% w/w]
    bulk : Answer
        [g]
    limit : Ceiling
        Of the product. [% w/w]

    Returns
    -------
    Tempting
        What it makes. [record]
    """
    return _old_weight(
        "Keep the weight of this lot when the next one comes.", mass, next_strength, aim, bulk, limit
    )


def _old_weight(
    says: str, mass: Answer, strength: Answer, aim: Answer, bulk: Answer, limit: Ceiling
) -> Tempting:
    content = stated(
        reckoned(
            "content by the tempting way",
            content_of_bulk_percent,
            unit="%",
            basis=aim.basis,
            inputs={"mass_g": mass, "strength_percent": strength, "bulk_mass_g": bulk},
            says="what was weighed, times the strength as is, over the bulk",
        ),
        held=(mass.key,),
    )
    return Tempting(says, mass, content, judge(worst_of(content), limit))


def _on_scale(exact: Answer, scale_step: Answer) -> Answer:
    return reckoned(
        f"{exact.name}, on the scale",
        on_the_scale_g,
        unit="g",
        inputs={"mass_g": exact, "scale_step_g": scale_step},
        fixed={"way": "nearest"},
    )
