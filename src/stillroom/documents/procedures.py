"""Pages of procedures: the list, and one with its lines, its steps and its settings with their reasons."""

from collections.abc import Sequence

from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Page, Points, Prose, Table
from stillroom.documents.setting_words import setting_words
from stillroom.records.procedures import Line, Procedure, Setting, Step

PURPOSES = {"extraction": "Extractions", "formula": "Formulas", "reagent": "Reagents"}


def procedures_page(
    procedures: Sequence[Procedure], *, practice: bool, laboratory: str, date: str, book: str
) -> Page:
    """Every procedure by what it is for.

    Parameters
    ----------
    procedures : sequence of Procedure
        Each in its newest version.
    """
    blocks: list[Block] = []
    for purpose, title in PURPOSES.items():
        rows: tuple[tuple[Cell, ...], ...] = tuple(
            (
                Link(one.code, f"/make/procedures/{one.code}"),
                one.title,
                one.makes,
                str(one.version),
                str(len(one.steps)),
            )
            for one in procedures
            if one.purpose == purpose
        )
        if rows:
            blocks += [Heading(title), Table(("Code", "Title", "Makes", "Version", "Steps"), rows, (3, 4))]
    if not blocks:
        blocks.append(
            Empty(
                "No procedure is written yet.",
                "Copy a starter that suits your plant, then alter it; a formula says what goes into a bottle. "
                "An order needs one of each.",
                Link("Look at the starters", "/make/starters"),
            )
        )
    lead = (
        "A formula, an extraction and a recipe for a reagent are one thing: lines, and steps that use them."
    )
    return Page(
        "Procedures",
        "procedures",
        "",
        tuple(blocks),
        practice,
        laboratory,
        date,
        book,
        lead=lead,
        href="/make/procedures",
    )


def procedure_page(
    procedure: Procedure,
    remarks: Sequence[str],
    *,
    entry_no: int | None,
    practice: bool,
    laboratory: str,
    date: str,
    book: str,
) -> Page:
    """One procedure, as a person works by it.

    Parameters
    ----------
    procedure : Procedure
    remarks : sequence of str
        What is to be thought of.
    entry_no : int or None
        Entry of the book it stands in.
    """
    facts: list[tuple[str, Cell]] = [
        ("Version", str(procedure.version)),
        ("Purpose", procedure.purpose),
        ("Makes", procedure.makes),
        ("Scaled by", procedure.scaled_by),
        ("Keeps", f"{procedure.keeps_days} days" if procedure.keeps_days else "not stated"),
    ]
    if procedure.markers:
        facts.append(("Markers", ", ".join(procedure.markers)))
    if procedure.product_type:
        facts.append(("Kind of product", procedure.product_type))
    if entry_no:
        facts.append(("Written in", Link(f"entry {entry_no}", f"/entries/{entry_no}")))
    blocks: list[Block] = [Facts(tuple(facts))]
    if procedure.notes:
        blocks.append(Prose(procedure.notes))
    if remarks:
        blocks += [Heading("To be thought of"), Points(tuple(remarks), "missing")]
    blocks += [Heading("What it takes"), _lines(procedure)]
    for number, step in enumerate(procedure.steps, start=1):
        blocks += _step(number, step)
    return Page(
        procedure.title,
        procedure.purpose,
        procedure.code,
        tuple(blocks),
        practice,
        laboratory,
        date,
        book,
        href=f"/make/procedures/{procedure.code}",
    )


def _lines(procedure: Procedure) -> Table:
    if procedure.purpose == "formula":
        head: tuple[str, ...] = ("Line", "Ingredient", "% w/w", "Phase", "On the label")
        rows: list[tuple[Cell, ...]] = [
            (one.name, one.substance, _share(one), one.phase or "–", one.label_name or "–")
            for one in procedure.lines
        ]
        return Table(head, tuple(rows), (2,))
    return Table(("Line", "Substance"), tuple((one.name, one.substance) for one in procedure.lines))


def _share(line: Line) -> str:
    return line.role or f"{line.percent:g}"


def _step(number: int, step: Step) -> list[Block]:
    facts: list[tuple[str, Cell]] = [("Kind", step.kind), ("Takes", ", ".join(step.takes))]
    if step.gives:
        facts.append(("Gives", ", ".join(step.gives)))
    if step.weighs:
        facts.append(("Weighed", ", ".join(step.weighs)))
    minutes = (("Hands", step.hands_min), ("Watching", step.watch_min), ("By itself", step.free_min))
    facts += [(name, in_words(value)) for name, value in minutes if value]
    if step.longest_wait_min is not None:
        facts.append(("May wait", f"{in_words(step.longest_wait_min)} at most"))
    if step.cautions:
        facts.append(("Cautions", ", ".join(one.replace("-", " ") for one in step.cautions)))
    blocks: list[Block] = [Heading(f"{number}. {step.name}"), Prose(step.says), Facts(tuple(facts))]
    if step.ticks:
        blocks.append(Points(step.ticks))
    if step.settings:
        rows = tuple(_setting(one) for one in step.settings)
        blocks.append(Table(("Setting", "Value", "Spread", "Is", "Because"), rows, (1,)))
    return blocks


def _setting(setting: Setting) -> tuple[Cell, ...]:
    return (
        setting_words(setting.name),
        f"{setting.value:g} {setting.unit}".strip(),
        _spread(setting),
        setting.origin,
        setting.because or "–",
    )


def _spread(setting: Setting) -> str:
    if setting.spread == "fixed":
        return "–"
    if setting.spread == "lognormal":
        return f"± {100 * setting.standard_uncertainty:g} % of it"
    return f"± {setting.standard_uncertainty:g} {setting.unit}".strip()


def in_words(minutes: float) -> str:
    """Minutes as a person says them: "45 min", "4 h"."""
    return f"{minutes / 60:g} h" if minutes >= 120 else f"{minutes:g} min"
