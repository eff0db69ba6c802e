"""A formula looked over while it is written: the lines a release repeats, label names, the flash point.

Promises remarks, never a decision: nothing here allows a sale. No rule found is never permission, and the strength of
the dosed line is not known before its assay.
"""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer, reading
from stillroom.products.check_lines import CheckLine
from stillroom.products.flammable import ethanol, flash_point
from stillroom.products.formula import Formula, check, scale
from stillroom.products.formula_facts import Carried, FormulaFacts, Purpose, Share
from stillroom.products.formula_lines import formula_lines, names_for_label
from stillroom.records.procedures import Line, Procedure
from stillroom.substances.spirit_strengths import strength_in_name, volume_percent_20c_of
from stillroom.texts.catalogue import later, t

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
    facts = facts_of_procedure(procedure, market)
    found: list[str] = [spoken(one) for one in formula_lines(facts)]
    for line, known in zip(formula.lines, formula.ingredients, strict=True):
        found += _about_label(line, known.label_name)
    also = names_for_label(facts)
    if also:
        found.append(t("The label will also name these allergens: {names}.", names=", ".join(also)))
    found += _about_fire(formula)
    return tuple(dict.fromkeys(found))


def lines_about(procedure: Procedure, market: str = MARKET) -> tuple[CheckLine, ...]:
    """The lines that a release of the formula will repeat, as far as a formula alone tells them.

    Parameters
    ----------
    procedure : Procedure
        A formula. [% w/w]
    market : str
        Where it is sold. [text]

    Returns
    -------
    tuple of CheckLine
        What stops first; none where the formula does not sum. [records]
    """
    try:
        check(procedure.lines)
    except StillroomError:
        return ()
    return formula_lines(facts_of_procedure(procedure, market))


def facts_of_procedure(procedure: Procedure, market: str = MARKET) -> FormulaFacts:
    """A formula before anything is weighed: the share of what is dosed is not known, no pH is read.

    Parameters
    ----------
    procedure : Procedure
        A formula. [% w/w]
    market : str
        Where it is sold. [text]

    Returns
    -------
    FormulaFacts
        With the names that the label will hold, allergens too. [record]
    """
    filled = float(filled_percent(procedure.lines))
    shares = tuple(
        Share(
            one.substance,
            filled if one.role == "q.s." else one.percent,
            one.label_name,
            (Carried(one.substance, 0.0, 0.0, "dosed"),) if one.role == "dosed" else (),
        )
        for one in procedure.lines
    )
    names = dict.fromkeys((procedure.title, procedure.makes))
    facts = FormulaFacts(
        shares,
        procedure.product_type,
        market,
        words=dict(zip(("name", "what it makes"), names, strict=False)) | label_words(procedure),
        on_label=tuple(one.label_name for one in procedure.lines if one.label_name),
        purposes=purposes_in(procedure.lines),
    )
    return replace(facts, on_label=(*facts.on_label, *names_for_label(facts)))


def label_words(procedure: Procedure) -> dict[str, str]:
    """What a formula has printed on its label beside name and ingredients, by where it stands.

    Parameters
    ----------
    procedure : Procedure
        A formula. [record]

    Returns
    -------
    dict of str to str
        "claims" and "label"; only what is written. [text]
    """
    written = {"claims": procedure.claims, "label": procedure.label_text}
    return {where: text for where, text in written.items() if text.strip()}


def purposes_in(lines: Iterable[Line]) -> dict[str, Purpose]:
    """What the lines of a formula are in it for, by substance, where somebody said it.

    Parameters
    ----------
    lines : iterable of Line
        Of a formula. [records]
    """
    return {one.substance: one.serves for one in lines if one.serves}


_STANDING: dict[str, str] = {
    "over": later("Over"),
    "undecided": later("Undecided"),
    "cannot be seen here": later("Cannot be seen here"),
    "within": later("Within"),
}


def spoken(line: CheckLine) -> str:
    """A line of the list as one remark: how it stands, why, what to do."""
    standing = t(_STANDING[line.standing])
    return " ".join(one for one in (f"{standing}:", line.says, f"{line.close}." if line.close else "") if one)


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
