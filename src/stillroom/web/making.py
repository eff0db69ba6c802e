"""Batches: begun, and done step by step with one thing at a time in front of the person at the bench."""

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.deviating import note_deviation
from stillroom.actions.in_hand import (
    LotChoice,
    apparatus,
    lot_choices,
    next_up,
    order_codes,
    procedures,
    released_by,
    scale_for,
    step_names,
    tolerance_g,
)
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.making import LineToWeigh, StepInHand, begin_batch, do_step, step_in_hand
from stillroom.actions.showing import show_batch, show_batches
from stillroom.actions.weighing import Weighed
from stillroom.documents.blocks import Page
from stillroom.errors import StillroomError, UnknownName
from stillroom.quantities.parse import parse
from stillroom.records.people import Apparatus
from stillroom.reference.cautions import caution
from stillroom.web.forms import NOTHING_TYPED, Ask, Form, Signed, Typed, TypedForm, field_name
from stillroom.web.pages import go, lab_of, send, send_form, serve_page, write

router = APIRouter()
HERE = "Make"


@dataclass(frozen=True, slots=True)
class ShownWeighing:
    """One weighing as the bench page prints it: texts, lots to choose from, and where the reading stands."""

    line: str
    slug: str
    direction: str
    substance: str
    target: str
    tolerance: str
    low: str
    high: str
    from_target: float | None
    lots: tuple[LotChoice, ...]
    scale: str
    becomes: str

    @property
    def usable(self) -> int:
        """How many of the lots may be used."""
        return sum(1 for one in self.lots if not one.refused)


def _begin(lab: Laboratory, order: str = "") -> Form:
    known = tuple((one.code, f"{one.title} ({one.code})") for one in procedures(lab))
    orders = (("", "none"), *((code, code) for code in order_codes(lab)))
    return Form(
        title="Begin a batch",
        kind="make",
        lead="The batch gives its code to the lot it will make.",
        action="/make/new",
        button="Begin the batch",
        here=HERE,
        back=f"/orders/{order}" if order else "/make",
        rows=(
            Ask("procedure", "Procedure", choices=known),
            (
                Ask("code", "Code", hint="As it goes on the bottle, such as E2 or T3"),
                Ask("order", "For order", choices=orders, required=False, value=order),
            ),
            Ask("scale", "Scale", hint="The plant of an extraction, the bulk of a formula: 250 g, 5.000 kg"),
        ),
    )


@router.get("/make/new")
def new_batch(request: Request, order: str = "") -> Response:
    """An empty beginning."""
    return send_form(request, _begin(lab_of(request), order))


@router.post("/make/new")
def begin(request: Request, typed: TypedForm) -> Response:
    """Begin a batch."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return begin_batch(
            lab, typed["code"], typed["procedure"], typed["scale"], order=typed["order"], **sign
        )

    return write(request, typed, lambda: _begin(lab_of(request)), act, then=f"/make/{typed['code']}")


@router.get("/make/{batch}/step")
def step_page(request: Request, batch: str) -> Response:
    """The next step, or where to go when something else comes first."""
    lab = lab_of(request)
    coming = next_up(lab, batch)
    if coming.does == "done":
        return go(f"/make/{batch}", f"Every step of {batch} is written.")
    if coming.does != "step":
        return RedirectResponse(coming.href, status_code=303)
    in_hand = _in_hand(lab, batch)
    return send_form(
        request, _step(in_hand), template="step.html", **_at_the_bench(lab, in_hand, NOTHING_TYPED)
    )


@router.get("/make/{batch}/beam/{slug}")
def beam(request: Request, batch: str, slug: str) -> Response:
    """Where the pointer of one weighing stands, asked for while the mass is typed."""
    lab, typed = lab_of(request), Typed({name: value.strip() for name, value in request.query_params.items()})
    in_hand = _in_hand(lab, batch)
    line = next((one for one in in_hand.lines if field_name(one.line) == slug), None)
    if line is None:
        raise UnknownName.among(slug, f"weighed at {in_hand.step.name}", (one.line for one in in_hand.lines))
    shown = _shown(lab, line, in_hand, typed, apparatus(lab))
    return send(request, "beam.html", here=HERE, w=shown)


@router.post("/make/{batch}/step")
def write_step(request: Request, batch: str, typed: TypedForm) -> Response:
    """Write a step."""
    lab = lab_of(request)
    in_hand = _in_hand(lab, batch, typed["step"])

    def act(lab: Laboratory, sign: Signed) -> Done:
        ticks = [tick for at, tick in enumerate(in_hand.step.ticks, start=1) if typed[f"tick-{at}"] == "yes"]
        weighed = [_weighed(line, typed) for line in in_hand.lines]
        temperature = typed.amount("temperature", "°C")
        return do_step(
            lab,
            batch,
            in_hand.step.name,
            weighed,
            ticks=ticks,
            temperature=temperature,
            note=typed["note"],
            **sign,
        )

    return write(
        request,
        typed,
        lambda: _step(in_hand),
        act,
        then=f"/make/{batch}/step",
        template="step.html",
        more=lambda: _at_the_bench(lab, in_hand, typed),
    )


def _in_hand(lab: Laboratory, batch: str, step: str = "") -> StepInHand:
    found = step_in_hand(lab, batch, step)
    if found is None:
        raise UnknownName(f"Every step of {batch} is written", do="Open its sheet")
    return found


def _step(in_hand: StepInHand) -> Form:
    names = [f"mass-{field_name(line.line)}" for line in in_hand.lines]
    return Form(
        title=in_hand.step.name,
        kind=f"batch {in_hand.batch}",
        action=f"/make/{in_hand.batch}/step",
        button=f"Write: {in_hand.step.name} is done",
        rows=tuple(Ask(name, name) for name in (*names, "temperature", "note")),
        here=HERE,
        back=f"/make/{in_hand.batch}",
        cautions=tuple(caution(key) for key in in_hand.step.cautions),
    )


def _at_the_bench(lab: Laboratory, in_hand: StepInHand, typed: Typed) -> dict[str, Any]:
    tools = apparatus(lab)
    scales = tuple((one.code, f"{one.code}, to {one.smallest_step:g} {one.unit}") for one in tools)
    return {
        "step": in_hand,
        "weighings": [_shown(lab, line, in_hand, typed, tools) for line in in_hand.lines],
        "scales": scales,
    }


def _shown(
    lab: Laboratory, line: LineToWeigh, in_hand: StepInHand, typed: Typed, tools: tuple[Apparatus, ...]
) -> ShownWeighing:
    slug = field_name(line.line)
    chosen = next((one for one in tools if one.code == typed[f"scale-{slug}"]), None) or scale_for(
        tools, line.planned_g
    )
    decimals = _decimals(chosen)
    planned, allowed = line.planned_g, tolerance_g(line, chosen)
    texts = [
        "" if one is None else f"{one:.{decimals}f}"
        for one in (
            planned,
            allowed,
            planned - allowed if planned is not None and allowed else None,
            planned + allowed if planned is not None and allowed else None,
        )
    ]
    return ShownWeighing(
        line=line.line,
        slug=slug,
        direction=line.direction,
        substance=line.substance,
        target=texts[0],
        tolerance=texts[1],
        low=texts[2],
        high=texts[3],
        from_target=_from_target(typed.amount(f"mass-{slug}", "g"), planned, allowed),
        lots=lot_choices(lab, substance=line.substance) if line.direction == "in" else (),
        scale=chosen.code if chosen else "",
        becomes=in_hand.batch if _is_what_is_made(in_hand, line) else "",
    )


def _is_what_is_made(in_hand: StepInHand, line: LineToWeigh) -> bool:
    return in_hand.number == in_hand.of and line.direction == "out" and line.line == in_hand.step.gives[0]


def _decimals(scale: Apparatus | None) -> int:
    step = scale.smallest_step if scale else 0.01
    return max(0, len(f"{step:.6f}".rstrip("0").partition(".")[2]))


def _from_target(text: str, planned: float | None, allowed: float | None) -> float | None:
    if not text or planned is None or not allowed:
        return None
    try:
        return (parse(text, want="mass").in_unit("g") - planned) / allowed
    except StillroomError:
        return None


def _weighed(line: LineToWeigh, typed: Typed) -> Weighed:
    slug = field_name(line.line)
    return Weighed(line.line, typed.amount(f"mass-{slug}", "g"), typed[f"lot-{slug}"], typed[f"scale-{slug}"])


def _deviation(lab: Laboratory, batch: str) -> Form:
    steps = tuple((name, name) for name in step_names(lab, batch))
    return Form(
        title="Something went otherwise",
        kind=f"batch {batch}",
        lead="Written beside the step. Left open, it is closed before release.",
        action=f"/make/{batch}/deviation",
        button="Write it",
        here=HERE,
        back=f"/make/{batch}",
        rows=(
            Ask("step", "At which step", choices=steps, value=next_up(lab, batch).step),
            Ask("what", "What was different", "long"),
            Ask("done", "What was done about it", "long", required=False, hint="Left empty, it stays open"),
        ),
    )


@router.get("/make/{batch}/deviation")
def deviation(request: Request, batch: str) -> Response:
    """Room for what went otherwise."""
    return send_form(request, _deviation(lab_of(request), batch))


@router.post("/make/{batch}/deviation")
def write_deviation(request: Request, batch: str, typed: TypedForm) -> Response:
    """Write what went otherwise."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return note_deviation(lab, batch, typed["step"], typed["what"], typed["done"], **sign)

    return write(request, typed, lambda: _deviation(lab_of(request), batch), act, then=f"/make/{batch}")


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    coming = next_up(lab, code)
    doing = [] if coming.does == "done" else [(f"Next: {coming.words}", coming.href, "")]
    if coming.does == "done":
        gone = bool(released_by(lab, code))
        doing.append(("Release", f"/products/{code}/release", "quiet" if gone else ""))
        doing += [("Certificate", f"/products/{code}/certificate", "")] if gone else []
    doing += [
        ("Something went otherwise", f"/make/{code}/deviation", "quiet"),
        ("Trace", f"/trace/{code}", "quiet"),
    ]
    return {"doing": tuple(doing)}


serve_page(
    router,
    "/make",
    show_batches,
    here=HERE,
    extras=lambda *_: {"doing": (("Begin a batch", "/make/new", ""),)},
)
serve_page(router, "/make/{code}", show_batch, here=HERE, extras=_doing)
