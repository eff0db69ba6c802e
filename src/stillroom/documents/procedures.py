"""Pages of procedures: the list, and one with its lines, its steps and its settings with their reasons."""

from collections.abc import Sequence

from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Page, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.setting_words import setting_words
from stillroom.records.procedures import Line, Procedure, Setting, Step
from stillroom.texts.catalogue import t

PURPOSES = ("extraction", "formula", "reagent")


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
    for purpose in PURPOSES:
        title = t(f"purposes.{purpose}")
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
            blocks += [
                Heading(title),
                Table(
                    (
                        t("procedures.code"),
                        t("procedures.title"),
                        t("procedures.makes"),
                        t("procedures.version"),
                        t("procedures.steps"),
                    ),
                    rows,
                    (3, 4),
                ),
            ]
    if not blocks:
        blocks.append(
            Empty(
                t("procedures.no_procedure_written_yet"),
                t("procedures.copy_starter_suits_your"),
                Link(t("procedures.look_at_the_starters"), "/make/starters"),
            )
        )
    lead = t("procedures.formula_extraction_recipe_reagent")
    return Page(
        t("procedures.procedures"),
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
    procedure : Procedure
    remarks : sequence of str
        What is to be thought of.
    entry_no : int or None
        Entry of the book it stands in.
    """
    facts: list[tuple[str, Cell]] = [
        (t("procedures.version"), str(procedure.version)),
        (t("procedures.purpose"), procedure.purpose),
        (t("procedures.makes"), procedure.makes),
        (t("procedures.scaled_by"), procedure.scaled_by),
        (
            t("procedures.keeps"),
            t("procedures.so_many_days", keeps_days=procedure.keeps_days)
            if procedure.keeps_days
            else t("procedures.not_stated"),
        ),
    ]
    if procedure.markers:
        facts.append((t("procedures.markers"), ", ".join(procedure.markers)))
    if procedure.product_type:
        facts.append((t("procedures.kind_of_product"), procedure.product_type))
    if procedure.claims:
        facts.append((t("procedures.claims"), procedure.claims))
    if procedure.label_text:
        facts.append((t("procedures.label_text"), procedure.label_text))
    if entry_no:
        facts.append(
            (
                t("procedures.written_in"),
                Link(t("procedures.entry", entry_no=entry_no), f"/entries/{entry_no}"),
            )
        )
    blocks: list[Block] = [Facts(tuple(facts))]
    if procedure.notes:
        blocks.append(Prose(procedure.notes))
    if remarks:
        blocks += [Heading(t("procedures.to_be_thought_of")), Points(tuple(remarks), "missing")]
    blocks += [Heading(t("procedures.what_it_takes")), _lines(procedure)]
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
            t("procedures.line"),
            t("procedures.ingredient"),
            "% w/w",
            t("procedures.phase"),
            t("procedures.on_the_label"),
        )
        rows: list[tuple[Cell, ...]] = [
            (one.name, _ingredient(one), _share(one), one.phase or "–", one.label_name or "–")
            for one in procedure.lines
        ]
        return Table(head, tuple(rows), (2,))
    return Table(
        (t("procedures.line"), t("procedures.substance")),
        tuple((one.name, one.substance) for one in procedure.lines),
    )


def _ingredient(line: Line) -> str:
    return f"{line.substance}, {t(f'procedure_form.serves_{line.serves}')}" if line.serves else line.substance


def _share(line: Line) -> str:
    return line.role or f"{line.percent:g}"


def _step(number: int, step: Step) -> list[Block]:
    facts: list[tuple[str, Cell]] = [
        (t("procedures.kind"), step.kind),
        (t("procedures.takes"), ", ".join(step.takes)),
    ]
    if step.gives:
        facts.append((t("procedures.gives"), ", ".join(step.gives)))
    if step.weighs:
        facts.append((t("procedures.weighed"), ", ".join(step.weighs)))
    minutes = (
        (t("procedures.hands"), step.hands_min),
        (t("procedures.watching"), step.watch_min),
        (t("procedures.by_itself"), step.free_min),
    )
    facts += [(name, in_words(value)) for name, value in minutes if value]
    if step.longest_wait_min is not None:
        facts.append(
            (
                t("procedures.may_wait"),
                t("procedures.at_most", longest_wait_min=in_words(step.longest_wait_min)),
            )
        )
    if step.cautions:
        facts.append((t("procedures.cautions"), ", ".join(one.replace("-", " ") for one in step.cautions)))
    blocks: list[Block] = [Heading(f"{number}. {step.name}"), Prose(step.says), Facts(tuple(facts))]
    if step.ticks:
        blocks.append(Points(step.ticks))
    if step.settings:
        rows = tuple(_setting(one) for one in step.settings)
        blocks.append(
            Table(
                (
                    t("procedures.setting"),
                    t("procedures.value"),
                    t("procedures.spread"),
                    "Is",
                    t("procedures.because"),
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
        return t("procedures.of_it", standard_uncertainty=100 * setting.standard_uncertainty)
    return f"± {setting.standard_uncertainty:g} {setting.unit}".strip()


def in_words(minutes: float) -> str:
    """Minutes as a person says them: "45 min", "4 h"."""
    return f"{minutes / 60:g} h" if minutes >= 120 else f"{minutes:g} min"
