"""Pages of procedures: the list, and one with its lines, its steps and its settings with their reasons."""

from collections.abc import Iterator, Sequence

from stillroom.actions.bench.form_choices import procedures
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of, page_facts
from stillroom.actions.making.writing_procedures import (
    remarks,
)
from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Page, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.setting_words import setting_words
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.records.procedures import Line, Procedure, Setting, Step
from stillroom.texts.catalogue import later, t

PURPOSES = {
    "extraction": later("Extractions"),
    "formula": later("Formulas"),
    "reagent": later("Reagents"),
}
SERVES = {
    "preservative": later("as preservative"),
    "other": later("for something else"),
}


def show_procedures(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Every procedure in its newest version by what it is for, the last written first, a page at a time."""
    with lab.look() as look:
        found = look.standing("procedure", kinds=wanted.kinds, words=wanted.words, first=wanted.first)
        blocks: list[Block] = [
            *finder(
                wanted, "/make/procedures", len(found.rows), found.count, kinds=tuple(PURPOSES),
                spellings=found.spellings,
            ),
            *_by_purpose(look.procedures_of(found.codes)),
        ]  # fmt: skip
        if not found.rows and not wanted.asks:
            blocks.append(
                Empty(
                    t("No procedure is written yet."),
                    t(
                        "Copy a starter that suits your plant, then alter it; a formula says what goes into "
                        "a bottle. An order needs one of each."
                    ),
                    Link(t("Look at the starters"), "/make/starters"),
                )
            )
        return Page(
            t("Procedures"),
            "procedures",
            "",
            tuple(blocks),
            **facts_of(look),
            lead=t(
                "A formula, an extraction and a recipe for a reagent are one thing: lines, and steps that use them."
            ),
            href=wanted.address("/make/procedures"),
        )


def _by_purpose(procedures: Sequence[Procedure]) -> Iterator[Block]:
    head = (t("Code"), t("Title"), t("Makes"), t("Version"), t("Steps"))
    for purpose, called in PURPOSES.items():
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
            yield Heading(t(called))
            yield Table(head, rows, (3, 4))


OF_A_FORMULA = ("allergen", "preservation", "restricted-active", "claims")
"""What can hurt somebody is decided where a formula is written."""


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
    remarks : sequence of str
        What is to be thought of.
    entry_no : int or None
        Entry of the book it stands in.
    """
    facts: list[tuple[str, Cell]] = [
        (t("Version"), str(procedure.version)),
        (t("Purpose"), procedure.purpose),
        (t("Makes"), procedure.makes),
        (t("Scaled by"), procedure.scaled_by),
        (
            t("Keeps"),
            t("{keeps_days} days", keeps_days=procedure.keeps_days)
            if procedure.keeps_days
            else t("not stated"),
        ),
    ]
    if procedure.markers:
        facts.append((t("Markers"), ", ".join(procedure.markers)))
    if procedure.product_type:
        facts.append((t("Kind of product"), procedure.product_type))
    if procedure.claims:
        facts.append((t("What the label says it does"), procedure.claims))
    if procedure.label_text:
        facts.append((t("Directions and warnings of the label"), procedure.label_text))
    if entry_no:
        facts.append(
            (
                t("Written in"),
                Link(t("entry {entry_no}", entry_no=entry_no), f"/entries/{entry_no}"),
            )
        )
    blocks: list[Block] = [Facts(tuple(facts))]
    if procedure.notes:
        blocks.append(Prose(procedure.notes))
    if remarks:
        blocks += [Heading(t("To be thought of")), Points(tuple(remarks), "missing")]
    blocks += [Heading(t("What it takes")), _lines(procedure)]
    if procedure.purpose == "formula":
        blocks += [caution_block(key) for key in OF_A_FORMULA]
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
        head: tuple[str, ...] = (
            t("Line"),
            t("Ingredient"),
            "% w/w",
            t("Phase"),
            t("On the label"),
        )
        rows: list[tuple[Cell, ...]] = [
            (one.name, _ingredient(one), _share(one), one.phase or "–", one.label_name or "–")
            for one in procedure.lines
        ]
        return Table(head, tuple(rows), (2,))
    return Table(
        (t("Line"), t("Substance")),
        tuple((one.name, one.substance) for one in procedure.lines),
    )


def _ingredient(line: Line) -> str:
    return f"{line.substance}, {t(SERVES[line.serves])}" if line.serves else line.substance


def _share(line: Line) -> str:
    return line.role or f"{line.percent:g}"


def _step(number: int, step: Step) -> list[Block]:
    facts: list[tuple[str, Cell]] = [
        (t("Kind"), step.kind),
        (t("Takes"), ", ".join(step.takes)),
    ]
    if step.gives:
        facts.append((t("Gives"), ", ".join(step.gives)))
    if step.weighs:
        facts.append((t("Weighed"), ", ".join(step.weighs)))
    minutes = (
        (t("Hands"), step.hands_min),
        (t("Watching"), step.watch_min),
        (t("By itself"), step.free_min),
    )
    facts += [(name, in_words(value)) for name, value in minutes if value]
    if step.longest_wait_min is not None:
        facts.append(
            (
                t("May wait"),
                t("{longest_wait_min} at most", longest_wait_min=in_words(step.longest_wait_min)),
            )
        )
    if step.cautions:
        facts.append((t("Cautions"), ", ".join(one.replace("-", " ") for one in step.cautions)))
    blocks: list[Block] = [
        Heading(f"{number}. {step.name}", folded=True),
        Prose(step.says),
        Facts(tuple(facts)),
    ]
    if step.ticks:
        blocks.append(Points(step.ticks))
    if step.settings:
        rows = tuple(_setting(one) for one in step.settings)
        blocks.append(
            Table(
                (
                    t("Setting"),
                    t("Value"),
                    t("Spread"),
                    "Is",
                    t("Because"),
                ),
                rows,
                (1,),
            )
        )
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
        return t(
            "± {standard_uncertainty:g} % of it", standard_uncertainty=100 * setting.standard_uncertainty
        )
    return f"± {setting.standard_uncertainty:g} {setting.unit}".strip()


def in_words(minutes: float) -> str:
    """Minutes as a person says them: "45 min", "4 h"."""
    return f"{minutes / 60:g} h" if minutes >= 120 else f"{minutes:g} min"


def show_procedure(lab: Laboratory, code: str) -> Page:
    """One procedure: what it takes, its steps, its settings with their reasons."""
    with lab.look() as look:
        found = look.procedure(code)
        entry = look.latest("procedure written", code)
        return procedure_page(
            found, remarks(found), entry_no=entry.entry_no if entry else None, **facts_of(look)
        )


def not_written_yet(lab: Laboratory, *purposes: str) -> Page | None:
    """What to write first, above a form that can offer no procedure of some purpose; None where all are there."""
    there = {one.purpose for one in procedures(lab)}
    missing = [one for one in purposes if one not in there]
    if not missing:
        return None
    if "extraction" in missing:
        block = Empty(
            t("No way of extracting is written yet."),
            t("Copy a starter for your plant first; it is a procedure of your own from then on."),
            Link(t("Look at the starters"), "/make/starters"),
        )
    else:
        block = Empty(
            t("No formula is written yet."),
            t(
                "It says what goes into a bottle beside the extract. A plain base is offered to begin "
                "from: of water, with spirit, or of oil without water."
            ),
            Link(t("Write a formula"), "/make/procedures/new?purpose=formula"),
        )
    return Page("", "", "", (block,), **page_facts(lab))
