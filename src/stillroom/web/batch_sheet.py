"""A printed sheet filled by pencil, entered afterwards.

Every step that is left stands in one form, written together or not at all. A step with a time was done; the first
without one ends the sheet.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.bench.form_choices import apparatus, book_id, next_up
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.photographs import photograph_kept
from stillroom.actions.making.paper_sheet_entry import SheetStep, enter_sheet
from stillroom.actions.making.steps_in_hand import StepInHand, steps_in_hand, steps_named
from stillroom.errors import BadEntry, worded
from stillroom.reference.cautions import Caution, caution
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.forms import NOTHING_TYPED, Ask, Form, Signed, Typed, TypedForm, field_name
from stillroom.web.pages import go, lab_of, send_form, write
from stillroom.web.weighings import (
    ShownWeighing,
    names_of,
    scales_offered,
    share_allowed,
    shown_weighings,
    weighed_of,
)

router = Addresses()
HERE = "Make"


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One step of the sheet as the form prints it."""

    in_hand: StepInHand
    slug: str
    weighings: tuple[ShownWeighing, ...]
    cautions: tuple[Caution, ...]


@router.get("/make/{batch}/sheet", needs="maker")
def sheet_page(request: Request, batch: str) -> Response:
    """Room for what stands on the paper."""
    lab = lab_of(request)
    row = steps_in_hand(lab, batch)
    if not row:
        return go(
            next_up(lab, batch).href, t("No step of {batch} can be entered from a sheet now.", batch=batch)
        )
    return send_form(
        request, _sheet(batch, row), template="sheet.html", **_parts(lab, batch, row, NOTHING_TYPED)
    )


@router.post("/make/{batch}/sheet", needs="maker")
def write_sheet(request: Request, batch: str, typed: TypedForm) -> Response:
    """Write what stands on the paper."""
    lab = lab_of(request)
    row = steps_in_hand(lab, batch)

    def was_asked(step: str) -> bool:
        slug = field_name(step)
        return any(name == f"{slug}-at" or name.startswith(f"mass-{slug}-") for name in typed.fields)

    def act(lab: Laboratory, sign: Signed) -> Done:
        steps = _filled(lab, steps_named(lab, batch, was_asked), typed)
        with photograph_kept(lab, typed.photograph) as seal:
            return enter_sheet(lab, batch, steps, photograph=seal, **sign)

    return write(
        request,
        typed,
        lambda: _sheet(batch, row),
        act,
        then=f"/make/{batch}",
        template="sheet.html",
        more=lambda: _parts(lab, batch, row, typed),
    )


def _filled(lab: Laboratory, row: tuple[StepInHand, ...], typed: Typed) -> tuple[SheetStep, ...]:
    """The steps that were done, by their times.

    Raises
    ------
    BadEntry
        A step without a time has figures, or stands before one with a time.
    """
    found: list[SheetStep] = []
    left_out = ""
    for one in row:
        slug = field_name(one.step.name)
        done_at = _time(lab, typed, one)
        weighed = tuple(weighed_of(line, typed, f"{slug}-") for line in one.lines)
        if done_at is None:
            if any(line.mass for line in weighed):
                raise _without_time(one)
            if one.done_by_entry is None:
                left_out = left_out or one.step.name
            continue
        if left_out:
            raise BadEntry(
                "Steps are done in their order",
                worded(
                    "{step_name} with a time, {left_out} before it without",
                    step_name=one.step.name,
                    left_out=left_out,
                ),
                worded("Write when {left_out} was done", left_out=left_out),
                where=f"{left_out} at",
            )
        ticks = tuple(
            tick for at, tick in enumerate(one.step.ticks, start=1) if typed[f"tick-{slug}-{at}"] == "yes"
        )
        found.append(
            SheetStep(
                one.step.name,
                done_at,
                weighed,
                ticks,
                typed.amount(f"{slug}-temperature", "°C"),
                typed[f"{slug}-note"],
            )
        )
    return tuple(found)


def _without_time(one: StepInHand) -> BadEntry:
    return BadEntry(
        "A step has the time it was done",
        worded("masses of {step_name} without a time", step_name=one.step.name),
        "Write the time that stands on the paper",
        where=f"{one.step.name} at",
    )


def _time(lab: Laboratory, typed: Typed, one: StepInHand) -> datetime | None:
    name = f"{field_name(one.step.name)}-at"
    if not typed[name]:
        return None
    try:
        told = datetime.fromisoformat(typed[name])
    except ValueError:
        raise BadEntry(
            "A time is written like 2026-11-05 14:30", repr(typed[name][:40]), where=name
        ) from None
    return told if told.tzinfo else told.replace(tzinfo=lab.clock().tzinfo)


def _sheet(batch: str, row: tuple[StepInHand, ...]) -> Form:
    names = []
    for one in row:
        slug = field_name(one.step.name)
        names += [f"{slug}-at", *names_of(one, f"{slug}-"), f"{slug}-temperature", f"{slug}-note"]
    return Form(
        title=t("Enter a filled sheet"),
        kind=t("batch {code}", code=batch),
        lead=t(
            "Copy what stands on the paper. A step with a time was done; leave the others empty. "
            "All of it is written, or nothing."
        ),
        action=f"/make/{batch}/sheet",
        button=t("Save the sheet"),
        rows=(
            *(Ask(name, name) for name in names),
            Ask("photograph", t("Photograph of the sheet"), "photograph", required=False),
        ),
        here=HERE,
        back=f"/make/{batch}",
    )


def _parts(lab: Laboratory, batch: str, row: tuple[StepInHand, ...], typed: Typed) -> dict[str, Any]:
    tools = apparatus(lab)
    return {
        "batch": batch,
        "book_id": book_id(lab),
        "scales": scales_offered(tools),
        "share": share_allowed(),
        "parts": [
            SheetPart(
                one,
                field_name(one.step.name),
                shown_weighings(lab, one, typed, tools, f"{field_name(one.step.name)}-"),
                tuple(caution(key) for key in one.cautions),
            )
            for one in row
        ],
    }
