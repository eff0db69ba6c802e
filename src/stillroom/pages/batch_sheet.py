"""The batch sheet: every step with planned and actual, who and when, deviations and corrections in plain sight."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    Link,
    Numbers,
    Page,
    PageFacts,
    PenLines,
    Points,
    Prose,
    Reasons,
    ScanCode,
    Shown,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.expected import Expected, expected_blocks
from stillroom.documents.how_it_runs import how_blocks
from stillroom.documents.numbers_shown import number
from stillroom.documents.put_right import corrections, done_when, first_written, weighing_put_right_at, when
from stillroom.documents.stream_diagram import as_expected, river
from stillroom.planning.outcome import Bend, HowItRuns
from stillroom.records.batch_entries import GIVEN_UP
from stillroom.records.entries import BatchBegun, BatchGivenUp, DeviationNoted, Entry, ReadingTaken, StepDone
from stillroom.records.procedures import Procedure
from stillroom.reference.cautions import caution
from stillroom.stream.cautions import cautions_of
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True)
class BatchFacts:
    """What the sheet of a batch is made from.

    ``mass_in_g``, ``mass_out_g``: account of the batch. [g]
    """

    begun: Entry[BatchBegun]
    procedure: Procedure
    planned_g: dict[tuple[str, str], float]
    steps: tuple[Entry[StepDone], ...]
    """Corrected ones included; ``corrected_by`` tells them apart."""
    deviations: tuple[Entry[DeviationNoted], ...]
    mass_in_g: float
    mass_out_g: float
    standing_g: float = 0.0
    """Weighed, and still in the batch. [g]"""
    begun_by: str = ""
    """Who began it, whoever corrected its entry since."""
    dose: Numbers | None = None
    filling: tuple[tuple[str, str], ...] = ()
    """Facts of the filling, as words."""
    filled_in: tuple[int, ...] = ()
    """Numbers of the entries of its fillings."""
    reasons: Reasons | None = None
    """Trail of the dose."""
    expected: tuple[Expected, ...] = ()
    """What an extraction is expected to give, narrowed by what was weighed."""
    bends: tuple[Bend, ...] = ()
    """The active through it, for the river."""
    dose_notes: tuple[str, ...] = ()
    readings_put_right: tuple[tuple[Entry[ReadingTaken], Entry[ReadingTaken]], ...] = ()
    """Readings of the batch that were corrected, each with what replaced it."""
    cuts: tuple[tuple[str, str, str, str], ...] = ()
    """Water or power that was off meanwhile: step, what, what is known of its end, by whom."""
    does_not_fit: tuple[str, ...] = ()
    """What was weighed and does not fit the model, and where the model reaches no further."""
    given_up: Entry[BatchGivenUp] | None = None
    """The entry that ended it before its steps were done."""
    mass_closes: bool = True
    """Whether the account closes within what may be lost or misread."""
    taken_with: tuple[str, ...] = ()
    gave: tuple[Block, ...] = ()
    """What a finished extraction gave."""
    runs: Mapping[str, HowItRuns] = field(default_factory=dict)
    """How the steps run that tell it, by their names."""
    gave_names: Mapping[str, str] = field(default_factory=dict)
    """What a program finds these figures by, by the key of each answer."""


def batch_page(facts: BatchFacts, **page_facts: Unpack[PageFacts]) -> Page:
    """The sheet of a batch, before, during and after."""
    begun = facts.begun.body
    standing = [entry for entry in facts.steps if entry.corrected_by is None]
    done = {entry.body.step for entry in standing}
    blocks: list[Block] = [
        Facts(
            (
                (
                    t("Procedure"),
                    t(
                        "{title} ({procedure_code}, version {version})",
                        title=facts.procedure.title,
                        procedure_code=facts.procedure.code,
                        version=facts.procedure.version,
                    ),
                ),
                (
                    t("Batch size"),
                    t(
                        "{scale_g} g of {scaled_by}",
                        scale_g=number(begun.scale_g),
                        scaled_by=facts.procedure.scaled_by,
                    ),
                ),
                (
                    t("For order"),
                    Link(begun.order, f"/orders/{begun.order}") if begun.order else "none",
                ),
                (
                    t("Begun"),
                    t(
                        "{done_at} by {by}",
                        done_at=when(facts.begun.done_at),
                        by=facts.begun_by or facts.begun.by,
                    ),
                ),
                (
                    t("Steps done"),
                    t("{done} of {steps}", done=len(done), steps=len(facts.procedure.steps)),
                ),
                *((t("Planned with"), one) for one in facts.taken_with),
            )
        )
    ]
    if facts.given_up is not None:
        ended = facts.given_up
        said = t(
            "Given up {when} by {by}: {why}. What it used stays used.",
            when=when(ended.done_at),
            by=ended.by,
            why=ended.body.why,
        )
        blocks.append(Points((said,), "missing"))
    blocks += facts.gave
    if facts.does_not_fit:
        blocks.append(
            Points(tuple(t("This does not fit: {what}", what=one) for one in facts.does_not_fit), "missing")
        )
    if facts.bends:
        blocks += [
            river(facts.bends, ends=t("in the extract"), opens=t("What is expected")),
            as_expected(),
        ]
    if facts.dose is not None:
        blocks += [Heading(t("The dose")), facts.dose, Points(facts.dose_notes)]
    told_at: dict[str, int] = {}
    coming = next((one.name for one in facts.procedure.steps if one.name not in done), "")
    for at, step in enumerate(facts.procedure.steps, start=1):
        blocks += _step_head(at, facts, step.name, told_at, folded=step.name != coming)
        written = [entry for entry in standing if entry.body.step == step.name]
        for entry in written or (None,):
            blocks += _step_blocks(facts, step.name, entry)
        if step.name in facts.runs and step.name != coming:
            blocks += how_blocks(step.name, facts.runs[step.name], folded=True)
    if facts.filling:
        blocks += [Heading(t("Filling")), Facts(facts.filling)]
    blocks += _account(facts)
    blocks += expected_blocks(facts.expected)
    blocks += corrections(facts.steps, facts.readings_put_right)
    otherwise = (
        *(
            (
                one.body.step,
                one.body.what,
                one.body.done_about_it or "open",
                f"{one.by}, {when(one.done_at)}",
            )
            for one in facts.deviations
        ),
        *facts.cuts,
    )
    if otherwise:
        blocks += [
            Heading(t("Deviations")),
            Table(
                (t("Step"), t("What"), t("Done about it"), "By"),
                otherwise,
            ),
        ]
    if facts.reasons is not None:
        blocks += [Heading(t("Reasons of the dose"), folded=True), facts.reasons]
    blocks += [
        ScanCode(begun.code, t("the code of this batch")),
        PenLines((t("Checked by"), "On")),
    ]
    return Page(
        title=t("{title}: batch {begun_code}", title=facts.procedure.title, begun_code=begun.code),
        kind="batch sheet",
        code=begun.code,
        blocks=tuple(blocks),
        **page_facts,
        status=GIVEN_UP
        if facts.given_up
        else "done"
        if len(done) == len(facts.procedure.steps)
        else "running",
        lead=t(
            "{scale_g} g of {scaled_by}.",
            scale_g=number(begun.scale_g),
            scaled_by=facts.procedure.scaled_by,
        ),
        href=f"/make/{begun.code}",
        names=facts.gave_names,
    )


def _step_head(
    at: int, facts: BatchFacts, name: str, told_at: dict[str, int], *, folded: bool
) -> list[Block]:
    """What a step asks, open where it comes next; a caution in full where it first matters, then by its name."""
    step = facts.procedure.step(name)
    cautions = cautions_of(step, (line.substance for line in facts.procedure.lines))
    blocks: list[Block] = [Heading(f"{at}. {step.name}", 3, folded), Prose(step.says)]
    if name in facts.runs and not folded:
        blocks += how_blocks(name, facts.runs[name])
    blocks += [caution_block(key) for key in cautions if key not in told_at]
    again = [
        t("{hazard} (step {told_at})", hazard=caution(key).hazard, told_at=told_at[key])
        for key in cautions
        if key in told_at
    ]
    if again:
        blocks.append(Prose(t("▲ Caution again: {again}.", again="; ".join(again))))
    told_at.update({key: at for key in cautions if key not in told_at})
    return blocks


def _step_blocks(facts: BatchFacts, name: str, entry: Entry[StepDone] | None) -> list[Block]:
    """A step as it was done, once for each time; room for ink where it was not."""
    step = facts.procedure.step(name)
    blocks: list[Block] = []
    weighed = {one.line: one for one in entry.body.weighings} if entry else {}
    rows = []
    for line in step.weighs:
        wanted = facts.planned_g.get((name, line))
        one = weighed.get(line)
        if entry is not None and one is None:
            continue
        rows.append(
            (
                f"{line}{' out' if line in step.gives else ''}",
                f"{wanted:.2f}" if wanted is not None and line not in step.gives else "",
                Shown(
                    line,
                    f"{one.actual_g:.2f}",
                    how=t(
                        "Written {as_written!r} in entry {entry_no}.",
                        as_written=one.as_written,
                        entry_no=entry.entry_no,
                    ),
                    put_right=weighing_put_right_at(step, entry, line, facts.filled_in),
                )
                if one and entry
                else "",
                _off(one.actual_g, wanted) if one and wanted and line not in step.gives else "",
                one.lot if one else "",
                one.apparatus if one else "",
            )
        )
    if rows:
        head = (
            t("Weighed"), t("Planned, g"), t("Actual, g"), t("Off by"), t("Lot"), t("Scale"),
        )  # fmt: skip
        blocks.append(Table(head, tuple(rows), (1, 2), pen=() if entry else (2, 3, 4, 5)))
    if entry is None:
        blocks += [Points(step.ticks, "missing")] if step.ticks else []
        blocks.append(PenLines((t("Done by"), "At")))
    else:
        first = first_written(facts.steps, entry)
        done_at = done_when(facts.steps, entry)
        told = [t("Done {done_at} by {by}", done_at=when(done_at), by=first.by)]
        if first.entered_at[:16] != done_at[:16]:
            told.append(t("entered {entered_at}", entered_at=when(first.entered_at)))
        if entry.body.temperature_c is not None:
            told.append(t("at {temperature_c:g} °C", temperature_c=entry.body.temperature_c))
        if entry.body.ran_in:
            told.append(t("in {codes}", codes=", ".join(entry.body.ran_in)))
        if entry.corrects:
            told.append(
                t(
                    "corrected {done_at} by {by}: {why}",
                    done_at=when(entry.entered_at),
                    by=entry.by,
                    why=entry.why,
                )
            )
        if entry.body.not_done:
            told.insert(0, t("Not done"))
        open_ticks = tuple(one for one in step.ticks if one not in entry.body.ticks)
        blocks += [Points(entry.body.ticks, "done")] if entry.body.ticks else []
        blocks += [Points(open_ticks, "missing")] if open_ticks and not entry.body.not_done else []
        blocks.append(
            Prose("; ".join(told) + "." + (f" {entry.body.note}" if entry.body.note else ""), quiet=True)
        )
    return blocks


def _off(actual_g: float, wanted_g: float) -> str:
    share = round(100 * (actual_g / wanted_g - 1), 1)
    return f"{share:+.1f} %" if share else "0.0 %"


def _account(facts: BatchFacts) -> list[Block]:
    if not facts.mass_in_g:
        return []
    unexplained = facts.mass_in_g - facts.mass_out_g - facts.standing_g
    standing = ((t("Stands weighed in the batch"), f"{facts.standing_g:.2f} g"),) if facts.standing_g else ()
    return [
        Heading(t("Where the mass went")),
        Facts(
            (
                (t("Went in"), f"{facts.mass_in_g:.2f} g"),
                (t("Came out, weighed"), f"{facts.mass_out_g:.2f} g"),
                *standing,
                (
                    t("Not weighed, or lost"),
                    t(
                        "{unexplained:.2f} g ({mass_in_g:.2f} % of what went in)",
                        unexplained=unexplained,
                        mass_in_g=100 * unexplained / facts.mass_in_g,
                    ),
                ),
                *(
                    ()
                    if facts.mass_closes
                    else ((t("Account"), t("does not close: look for a weighing that is wrong")),)
                ),
            )
        ),
    ]
