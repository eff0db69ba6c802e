"""A formula looked over while it is written: label names, limits, and the flash point of the mixture.

Promises remarks, never a decision: nothing here allows a sale. No rule found is never permission, and the strength of
the dosed line is not known before its assay.
"""

from decimal import Decimal

from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer, reading
from stillroom.products.flammable import ethanol, flash_point
from stillroom.products.formula import Formula, check, scale
from stillroom.products.limits import ceiling
from stillroom.records.procedures import Line, Procedure
from stillroom.substances.spirit_strengths import strength_in_name, volume_percent_20c_of

MARKET = "EU"
SPIRIT = "spirit"


def remarks_about(procedure: Procedure, market: str = MARKET) -> tuple[str, ...]:
    """What is to be thought of in a formula.

    Parameters
    ----------
    procedure : Procedure
        A formula. [% w/w]
    market : str
        Where it is sold. [text]

    Returns
    -------
    tuple of str
        One sentence each. [text]
    """
    try:
        formula = check(procedure.lines)
    except StillroomError:
        return ()
    found: list[str] = []
    for line, known in zip(formula.lines, formula.ingredients, strict=True):
        found += _about_label(line, known.label_name)
        if procedure.product_type:
            found += _about_limit(line, procedure.product_type, market)
    found += _about_fire(formula)
    return tuple(dict.fromkeys(found))


def filled_percent(lines: tuple[Line, ...]) -> Decimal:
    """What the stated shares leave for the line that fills up.

    Parameters
    ----------
    lines : tuple of Line
        With their shares. [% w/w]

    Returns
    -------
    Decimal
        The rest to 100. [% w/w]
    """
    return Decimal(100) - sum((Decimal(repr(one.percent)) for one in lines if one.percent), Decimal(0))


def _about_label(line: Line, listed: str) -> list[str]:
    if not line.label_name and not listed:
        return [f"{line.name}: a label asks for its name in the list of ingredients; none is written."]
    if not line.label_name:
        return [f"{line.name}: the label will list it as {listed}."]
    if listed and line.label_name.casefold() != listed.casefold():
        return [f"{line.name}: written for the label as {line.label_name}; it is known here as {listed}."]
    return []


def _about_limit(line: Line, product_type: str, market: str) -> list[str]:
    rule = ceiling(line.substance, product_type, market)
    if rule.verdict == "no rule found":
        return []
    if rule.verdict is not None:
        return [f"{line.name}: {rule.says}"]
    if rule.limit is None or line.percent is None:
        return [f"{line.name}: {rule.says}"]
    if line.percent > rule.limit.value:
        return [
            f"{line.name}: {line.percent:g} % is over the limit of {rule.limit.value:g} % {rule.basis}. {rule.says}"
        ]
    return [f"{line.name}: {line.percent:g} %, at most {rule.limit.value:g} % {rule.basis}. {rule.says}"]


def _about_fire(formula: Formula) -> list[str]:
    strengths: dict[str, Answer] = {}
    for line, known in zip(formula.lines, formula.ingredients, strict=True):
        if known.what_for != SPIRIT:
            continue
        told = strength_in_name(line.substance)
        if told is None:
            return [f"{line.name}: its strength is not in its name, so the flash point is not calculated."]
        percent = volume_percent_20c_of(told)
        strengths[line.name] = reading(f"strength of {line.name}", percent, "%", "name of the line")
    if not strengths:
        return []
    bulk = reading("bulk", 1000.0, "g", "a kilogram")
    step = {"": reading("step", 0.01, "g", "a hundredth")}
    nothing = {name: reading(name, 0.0, "g", "not dosed yet") for name in formula.dosed_lines}
    try:
        found = ethanol(scale(formula, bulk, step, nothing), bulk, strengths)
        flash = flash_point(found.volume_percent)
    except StillroomError as trouble:
        return [trouble.sentence]
    return [f"About {found.volume_percent.value:.0f} % v/v of ethanol at 20 °C. {flash.says}"]
