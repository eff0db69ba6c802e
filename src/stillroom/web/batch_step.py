"""The steps of a batch, one thing at a time in front of the person at the bench.

The page carries the steps that follow too, so that a phone can go on from one to the next while the laptop sleeps.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.bench.form_choices import apparatus, book_id, next_up
from stillroom.actions.bench.timers import batch_timers, minutes_after
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.warmth_read import warm_steps
from stillroom.actions.house.glass_at_hand import IN
from stillroom.actions.making.batches import do_step
from stillroom.actions.making.steps_in_hand import StepInHand, step_in_hand, steps_in_hand
from stillroom.actions.watching.run_watched import watch_in_words, watch_words
from stillroom.actions.watching.warmth_noted import note_warmth, warmth_words
from stillroom.errors import UnknownName, worded
from stillroom.reference.cautions import caution
from stillroom.stream.kinds import kind_does
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.forms import NOTHING_TYPED, Ask, Form, Signed, Typed, TypedForm
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
class ShownChoice:
    """One thing of several: its field, what is asked, what stands there, and what there is."""

    name: str
    asks: str
    chosen: str
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step as the bench page prints it."""

    in_hand: StepInHand
    form: Form
    weighings: tuple[ShownWeighing, ...]
    stands_min: float
    """Minutes that begin when it is written. [min]"""
    waits_min: float | None
    """How long what it gives may wait after that. [min]"""

    @property
    def ran_in(self) -> tuple[ShownChoice, ...]:
        """What it may be noted to run in, with nothing chosen where no plan takes one."""
        return tuple(
            ShownChoice(
                f"in-{one.kind}",
                t(IN[one.kind]),
                one.taken,
                (("", t("not said")), *((there.code, f"{there.code}, {there.name}") for there in one.there)),
            )
            for one in self.in_hand.runs_in
        )


@router.get("/make/{batch}/step", needs="maker")
def step_page(
    request: Request, batch: str, step: str = "", any_lot: Annotated[str, Query(alias="any-lot")] = ""
) -> Response:
    """The next step, or where to go when something else comes first; a step asked for by its name stands alone."""
    lab = lab_of(request)
    if step:
        return _asked_for(request, lab, batch, step, any_lot)
    coming = next_up(lab, batch)
    if coming.does == "done":
        return go(f"/make/{batch}", t("Every step of {batch} is written.", batch=batch))
    if coming.does != "step":
        return RedirectResponse(coming.href, status_code=303)
    row = steps_in_hand(lab, batch)
    return send_form(
        request, _form(row[0]), template="step.html", **_at_the_bench(lab, batch, row, NOTHING_TYPED)
    )


def _asked_for(request: Request, lab: Laboratory, batch: str, step: str, any_lot: str) -> Response:
    row = (step_in_hand(lab, batch, step),)
    if row[0] is None or kind_does(row[0].step.kind, "bottles"):
        return RedirectResponse(f"/make/{batch}/fill", status_code=303)
    typed = Typed({"any-lot": any_lot, "otherwise": "1"})
    return send_form(
        request,
        _form(row[0]),
        typed,
        template="step.html",
        **_at_the_bench(lab, batch, (row[0],), typed),
    )


@router.post("/make/{batch}/step", needs="maker")
def write_step(request: Request, batch: str, typed: TypedForm) -> Response:
    """Write a step."""
    lab = lab_of(request)
    in_hand = step_in_hand(lab, batch, typed["step"])
    if in_hand is None:
        raise UnknownName(worded("Every step of {batch} is written", batch=batch), do="Open its sheet")

    def act(lab: Laboratory, sign: Signed) -> Done:
        step = in_hand.step
        ticks = [tick for at, tick in enumerate(step.ticks, start=1) if typed[f"tick-{at}"] == "yes"]
        return do_step(
            lab,
            batch,
            step.name,
            [weighed_of(line, typed) for line in in_hand.lines],
            ticks=ticks,
            temperature=typed.amount("temperature", "°C"),
            note=typed["note"],
            ran_in=[typed[f"in-{one.kind}"] for one in in_hand.runs_in],
            **sign,
        )

    return write(
        request,
        typed,
        lambda: _form(in_hand),
        act,
        then=f"/make/{batch}/step",
        template="step.html",
        more=lambda: _at_the_bench(lab, batch, (in_hand,), typed),
    )


def _form(in_hand: StepInHand) -> Form:
    return Form(
        title=in_hand.step.name,
        kind=t("batch {code}", code=in_hand.batch),
        action=f"/make/{in_hand.batch}/step",
        button=t("Save: {step} is done", step=in_hand.step.name),
        rows=tuple(Ask(name, name) for name in (*names_of(in_hand), "temperature", "note", "apparatus")),
        here=HERE,
        back=f"/make/{in_hand.batch}",
        cautions=tuple(caution(key) for key in in_hand.cautions),
    )


def _at_the_bench(
    lab: Laboratory, batch: str, row: tuple[StepInHand, ...], typed: Typed
) -> Mapping[str, Any]:
    tools = apparatus(lab)
    with lab.look() as look:
        first = row[0].step.name
        warms = first in warm_steps(look, batch)
        warm = warmth_words(look, batch, first) if warms else ""
    return {
        "warms": note_warmth.address.format(code=batch) if warms else "",
        "warm": warm,
        "batch": batch,
        "book_id": book_id(lab),
        "now": lab.clock().isoformat(timespec="milliseconds"),
        "timers": batch_timers(lab, batch),
        "scales": scales_offered(tools),
        "share": share_allowed(),
        "no_typing": NOTHING_TYPED,
        "watched": watch_in_words(lab, batch),
        "watches": watch_words(lab, batch),
        "steps": [
            ShownStep(
                one,
                _form(one),
                shown_weighings(lab, one, typed if at == 0 else NOTHING_TYPED, tools),
                minutes_after(lab, batch, one.step),
                one.step.longest_wait_min,
            )
            for at, one in enumerate(row)
        ],
    }
