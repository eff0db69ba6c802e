"""Batches: begun, looked at, and what went otherwise in them. Their steps are written in ``stepping``."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.deviating import note_deviation
from stillroom.actions.in_hand import is_a_lot, next_up, order_codes, procedures, released_by, step_names
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.making import begin_batch
from stillroom.actions.showing import show_batch, show_batches
from stillroom.documents.blocks import Page
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Form, Signed, TypedForm
from stillroom.web.pages import lab_of, send_form, serve_page, write
from stillroom.web.procedures import not_written_yet

router = APIRouter()
HERE = "Make"


def _begin(lab: Laboratory, order: str = "") -> Form:
    known = tuple((one.code, f"{one.title} ({one.code})") for one in procedures(lab))
    orders = (("", t("making.no_order")), *((code, code) for code in order_codes(lab)))
    return Form(
        title=t("making.begin"),
        kind="make",
        lead=t("making.gives_its_code"),
        action="/make/new",
        button=t("making.begin_it"),
        here=HERE,
        back=f"/orders/{order}" if order else "/make",
        rows=(
            Ask("procedure", t("making.procedure"), choices=known),
            (
                Ask("code", t("making.code"), hint=t("making.on_the_bottle")),
                Ask("order", t("making.for_order"), choices=orders, required=False, value=order),
            ),
            Ask("scale", t("making.scale"), hint=t("making.scale_hint")),
        ),
        page=None if known else not_written_yet(lab, "extraction"),
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


def _deviation(lab: Laboratory, batch: str) -> Form:
    steps = tuple((name, name) for name in step_names(lab, batch))
    return Form(
        title=t("making.went_otherwise"),
        kind=t("step.batch", code=batch),
        lead=t("making.beside_the_step"),
        action=f"/make/{batch}/deviation",
        button=t("making.write"),
        here=HERE,
        back=f"/make/{batch}",
        rows=(
            Ask("step", t("making.at_which_step"), choices=steps, value=next_up(lab, batch).step),
            Ask("what", t("making.what_differed"), "long"),
            Ask("done", t("making.what_was_done"), "long", required=False, hint=t("making.stays_open")),
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
    doing = (
        []
        if coming.does == "done"
        else [(t("bench_form.next_coming_words", coming_words=coming.words), coming.href, "")]
    )
    if coming.does == "done" and not coming.given_up and not is_a_lot(lab, code):
        doing.append((t("making.no_lot_yet"), f"/make/{code}/other-step", ""))
    elif coming.does == "done" and not coming.given_up:
        gone = bool(released_by(lab, code))
        doing.append((t("bench_form.release"), f"/products/{code}/release", "quiet" if gone else ""))
        doing += [(t("bench_form.certificate"), f"/products/{code}/certificate", "")] if gone else []
    if not coming.given_up:
        doing.append((t("making.other_step"), f"/make/{code}/other-step", "quiet"))
        doing.append((t("making.give_up_short"), f"/make/{code}/give-up", "quiet"))
    doing += [
        (t("making.went_otherwise"), f"/make/{code}/deviation", "quiet"),
        (t("bench_form.trace"), f"/trace/{code}", "quiet"),
    ]
    return {"doing": tuple(doing)}


serve_page(
    router,
    "/make",
    show_batches,
    here=HERE,
    extras=lambda *_: {
        "doing": (
            (t("bench_form.begin_a_batch"), "/make/new", ""),
            (t("bench_form.procedures_and_formulas"), "/make/procedures", "quiet"),
            (t("bench_form.ways_of_extracting"), "/make/starters", "quiet"),
        )
    },
)
serve_page(router, "/make/{code}", show_batch, here=HERE, extras=_doing)
