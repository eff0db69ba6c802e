"""The batch sheet: every step with planned and actual, who and when, deviations and corrections in plain sight."""

from dataclasses import dataclass

from stillroom.documents.blocks import (
    Block,
    Caution,
    Facts,
    Heading,
    Link,
    Numbers,
    Page,
    PenLines,
    Points,
    Prose,
    Reasons,
    ScanCode,
    Shown,
    Table,
)
from stillroom.documents.showing import number
from stillroom.records.entries import BatchBegun, DeviationNoted, Entry, StepDone
from stillroom.records.procedures import Procedure
from stillroom.reference.cautions import caution


@dataclass(frozen=True, slots=True)
class BatchFacts:
    """What the sheet of a batch is made from.

    Attributes
    ----------
    begun : Entry of BatchBegun
    procedure : Procedure
    planned_g : dict of (step, line) to float
    steps : tuple of Entry of StepDone
        Corrected ones included; ``corrected_by`` tells them apart.
    deviations : tuple of Entry of DeviationNoted
    mass_in_g, mass_out_g : float
        Account of the batch. [g]
    dose : Numbers or None
    filling : tuple of (str, str)
        Facts of the filling, as words.
    reasons : Reasons or None
        Trail of the dose.
    """

    begun: Entry[BatchBegun]
    procedure: Procedure
    planned_g: dict[tuple[str, str], float]
    steps: tuple[Entry[StepDone], ...]
    deviations: tuple[Entry[DeviationNoted], ...]
    mass_in_g: float
    mass_out_g: float
    dose: Numbers | None = None
    filling: tuple[tuple[str, str], ...] = ()
    reasons: Reasons | None = None
    dose_notes: tuple[str, ...] = ()


def batch_page(facts: BatchFacts, *, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """The sheet of a batch, before, during and after."""
    begun = facts.begun.body
    done = {entry.body.step: entry for entry in facts.steps if entry.corrected_by is None}
    blocks: list[Block] = [
        Facts(
            (
                (
                    "Procedure",
                    f"{facts.procedure.title} ({facts.procedure.code}, version {facts.procedure.version})",
                ),
                ("Scale", f"{number(begun.scale_g)} g of {facts.procedure.scaled_by}"),
                ("For order", Link(begun.order, f"/orders/{begun.order}") if begun.order else "none"),
                ("Begun", f"{when(facts.begun.done_at)} by {facts.begun.by}"),
                ("Steps done", f"{len(done)} of {len(facts.procedure.steps)}"),
            )
        )
    ]
    if facts.dose is not None:
        blocks += [Heading("The dose"), facts.dose, Points(facts.dose_notes)]
    for at, step in enumerate(facts.procedure.steps, start=1):
        blocks += _step_blocks(at, facts, step.name, done.get(step.name))
    if facts.filling:
        blocks += [Heading("Filling"), Facts(facts.filling)]
    blocks += _account(facts)
    corrected = [entry for entry in facts.steps if entry.corrected_by is not None]
    if corrected:
        blocks += [Heading("Corrections"), Table(
            ("Entry", "Step", "It said", "By", "Put right by entry"),
            tuple(
                (Link(str(one.entry_no), f"/entries/{one.entry_no}"), one.body.step,
                 "; ".join(f"{w.line} {w.as_written}" for w in one.body.weighings), one.by,
                 Link(str(one.corrected_by), f"/entries/{one.corrected_by}"))
                for one in corrected
            ),
        )]  # fmt: skip
    if facts.deviations:
        blocks += [
            Heading("What went otherwise"),
            Table(
                ("Step", "What", "Done about it", "By"),
                tuple(
                    (
                        one.body.step,
                        one.body.what,
                        one.body.done_about_it or "open",
                        f"{one.by}, {when(one.done_at)}",
                    )
                    for one in facts.deviations
                ),
            ),
        ]
    if facts.reasons is not None:
        blocks += [Heading("Reasons of the dose"), facts.reasons]
    blocks += [ScanCode(begun.code, "the code of this batch"), PenLines(("Checked by", "On"))]
    return Page(
        title=f"{facts.procedure.title}: batch {begun.code}",
        kind="batch sheet",
        code=begun.code,
        blocks=tuple(blocks),
        practice=practice,
        laboratory=laboratory,
        date=date,
        book=book,
        status="done" if len(done) == len(facts.procedure.steps) else "running",
        lead=f"{number(begun.scale_g)} g of {facts.procedure.scaled_by}.",
        href=f"/make/{begun.code}",
    )


def when(iso: str) -> str:
    """A time as it is written on paper: 2026-11-02 08:15."""
    return iso[:16].replace("T", " ")


def _step_blocks(at: int, facts: BatchFacts, name: str, entry: Entry[StepDone] | None) -> list[Block]:
    step = facts.procedure.step(name)
    blocks: list[Block] = [Heading(f"{at}. {step.name}", 3), Prose(step.says)]
    for key in step.cautions:
        found = caution(key)
        blocks.append(Caution(found.hazard, found.moment, found.wording, found.defers))
    weighed = {one.line: one for one in entry.body.weighings} if entry else {}
    rows = []
    for line in step.weighs:
        wanted = facts.planned_g.get((name, line))
        one = weighed.get(line)
        rows.append(
            (
                f"{line}{' out' if line in step.gives else ''}",
                f"{wanted:.2f}" if wanted is not None and line not in step.gives else "",
                Shown(
                    line, f"{one.actual_g:.2f}", how=f"Written {one.as_written!r} in entry {entry.entry_no}."
                )
                if one and entry
                else "",
                f"{100 * (one.actual_g / wanted - 1):+.1f} %"
                if one and wanted and line not in step.gives
                else "",
                one.lot if one else "",
                one.apparatus if one else "",
            )
        )
    if rows:
        blocks.append(
            Table(("Weighed", "Planned, g", "Actual, g", "Off by", "Lot", "Scale"), tuple(rows), (1, 2))
        )
    if entry is None:
        blocks += [Points(step.ticks, "missing")] if step.ticks else []
        blocks.append(PenLines(("Done by", "At")))
    else:
        told = [f"Done {when(entry.done_at)} by {entry.by}"]
        if entry.entered_at[:16] != entry.done_at[:16]:
            told.append(f"entered {when(entry.entered_at)}")
        if entry.body.temperature_c is not None:
            told.append(f"at {entry.body.temperature_c:g} °C")
        if entry.corrects:
            told.append(f"corrects entry {entry.corrects}: {entry.why}")
        blocks += [Points(entry.body.ticks, "done")] if entry.body.ticks else []
        blocks.append(
            Prose("; ".join(told) + "." + (f" {entry.body.note}" if entry.body.note else ""), quiet=True)
        )
    return blocks


def _account(facts: BatchFacts) -> list[Block]:
    if not facts.mass_in_g:
        return []
    unexplained = facts.mass_in_g - facts.mass_out_g
    return [
        Heading("Where the mass went"),
        Facts(
            (
                ("Went in", f"{facts.mass_in_g:.2f} g"),
                ("Came out, weighed", f"{facts.mass_out_g:.2f} g"),
                (
                    "Not weighed, or lost",
                    f"{unexplained:.2f} g ({100 * unexplained / facts.mass_in_g:.2f} % of what went in)",
                ),
            )
        ),
    ]
