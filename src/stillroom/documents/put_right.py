"""What was put right in a batch: when the work was done, what an entry said first, what it says now."""

from collections.abc import Collection, Sequence
from typing import Any
from urllib.parse import quote

from stillroom.documents.blocks import Block, Cell, Heading, Link, Table
from stillroom.records.entries import Entry, ReadingTaken, StepDone, Weighing
from stillroom.records.procedures import Step
from stillroom.stream.kinds import kind_does
from stillroom.texts.catalogue import t


def when(iso: str) -> str:
    """A time as it is written on paper: 2026-11-02 08:15."""
    return iso[:16].replace("T", " ")


def first_written(steps: Sequence[Entry[StepDone]], entry: Entry[StepDone]) -> Entry[StepDone]:
    """The entry a step was first written under, whatever was put right in it later.

    Parameters
    ----------
    steps : sequence of Entry of StepDone
        Corrected ones included.
    """
    by_number = {one.entry_no: one for one in steps}
    while entry.corrects in by_number:
        entry = by_number[entry.corrects]
    return entry


def done_when(steps: Sequence[Entry[StepDone]], entry: Entry[StepDone]) -> str:
    """When the work of a step was done (ISO).

    A correction keeps that time, or puts it right. Those of earlier versions bear the time they were written at: then
    the entry they replace tells it.

    Parameters
    ----------
    steps : sequence of Entry of StepDone
        Corrected ones included.
    """
    by_number = {one.entry_no: one for one in steps}
    while entry.corrects in by_number and entry.done_at[:16] == entry.entered_at[:16]:
        entry = by_number[entry.corrects]
    return entry.done_at


def corrections(
    steps: Sequence[Entry[StepDone]],
    readings: Sequence[tuple[Entry[ReadingTaken], Entry[ReadingTaken]]],
) -> list[Block]:
    """What an entry said, what it says now, who put it right and why: both stay to be read."""
    by_number = {entry.entry_no: entry for entry in steps}
    rows: list[tuple[Cell, ...]] = []
    for old in steps:
        new = by_number.get(old.corrected_by or 0)
        if new is None:
            continue
        now = {one.line: one for one in new.body.weighings}
        rows += [
            _put_right(
                t("{line} of {step}", line=one.line, step=old.body.step),
                *_as_they_differ(one, now.get(one.line)),
                old,
                new,
            )
            for one in old.body.weighings
            if _said(one) != _said(now.get(one.line))
        ]
    rows += [
        _put_right(old.body.what, old.body.as_written, new.body.as_written, old, new) for old, new in readings
    ]
    if not rows:
        return []
    return [
        Heading(t("Corrections")),
        Table(
            (
                t("What"),
                t("Said"),
                t("Now says"),
                t("Why"),
                "By",
                t("Entries"),
            ),
            tuple(rows),
        ),
    ]


def _said(one: Weighing | None) -> tuple[str, str, str]:
    """The mass of a weighing, its lot and its scale."""
    return (one.as_written, one.lot, one.apparatus) if one else ("", "", "")


def _as_they_differ(old: Weighing, new: Weighing | None) -> tuple[str, str]:
    """What a weighing said and says now: its mass, with its lot and its scale where they differ."""
    mass, *rest = zip(_said(old), _said(new), strict=True)
    before, after = zip(mass, *(one for one in rest if new and one[0] != one[1]), strict=True)
    return ", ".join(filter(None, before)), ", ".join(filter(None, after))


def _put_right(what: str, said: str, now: str, old: Entry[Any], new: Entry[Any]) -> tuple[Cell, ...]:
    entries = Link(
        t("{entry_no}, now {now}", entry_no=old.entry_no, now=new.entry_no),
        f"/entries/{new.entry_no}",
    )
    return what, said, now, new.why, f"{new.by}, {when(new.entered_at)}", entries


def weighing_put_right_at(
    step: Step, entry: Entry[StepDone], line: str, filled_in: Collection[int] = ()
) -> str:
    """Where a weighing is put right: a filling with its bottles and check weights, anything else at its line.

    Parameters
    ----------
    filled_in : collection of int
        Entries of the fillings of its batch. [entry numbers]
    """
    filled = [one for one in filled_in if one < entry.entry_no] if kind_does(step.kind, "bottles") else []
    return (
        f"/entries/{max(filled)}/correct"
        if filled
        else f"/entries/{entry.entry_no}/correct?line={quote(line)}"
    )
