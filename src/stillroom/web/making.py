"""Batches: begun, looked at, and what went otherwise in them. Their steps are written in ``batch_step``."""

from typing import Any

from stillroom.actions.bench.form_choices import (
    is_a_lot,
    is_left_to_fill,
    lacks_density,
    next_up,
    order_codes,
    procedures,
    released_by,
)
from stillroom.actions.bench.next_of_order import planned_size, procedures_of_order
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.glass_at_hand import set_up_steps
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.deviations import note_deviation
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.actions.watching.run_watched import has_watch, watch_words
from stillroom.documents.blocks import Page
from stillroom.pages.batches import show_batch, show_batches
from stillroom.pages.procedures import not_written_yet
from stillroom.pages.set_up import show_set_up
from stillroom.texts.catalogue import t
from stillroom.web.acts import link_of, serve_act
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Make"


def _begin(lab: Laboratory, order: str = "", procedure: str = "") -> Form:
    """For an order one of its procedures, the next when none is named, in the size of its plan; else any procedure."""
    of_order = procedures_of_order(lab, order, procedure)
    listed = of_order[:1] or procedures(lab)
    known = tuple((one.code, f"{one.title} ({one.code})") for one in listed)
    orders = (
        ((order, order),) if of_order else (("", t("none")), *((code, code) for code in order_codes(lab)))
    )
    size = planned_size(lab, order, of_order[0].code) if of_order else None
    return Form(
        title=t("Begin a batch"),
        kind="make",
        lead=t("The batch gives its code to the lot it will make."),
        button=t("Begin the batch"),
        here=HERE,
        back=f"/orders/{order}" if order else "/make",
        rows=(
            Ask("procedure", t("Procedure"), choices=known, value=procedure),
            (
                Ask("code", t("Code"), hint=t("As it goes on the bottle, such as E2 or T3")),
                Ask("order", t("For order"), choices=orders, required=False, value=order),
            ),
            Ask(
                "scale",
                t("Batch size"),
                hint=t(
                    "By the plan of entry {entry_no}; change it where you make more or less",
                    entry_no=size.entry_no,
                )
                if size and size.entry_no
                else t("As {order} asks; change it where you make more or less", order=order)
                if size
                else t("The plant of an extraction, the bulk of a formula: 250 g, 5.000 kg"),
                value=size.scale if size else "",
            ),
        ),
        links=tuple(
            (t("Begin {title} instead", title=one.title), f"/make/new?order={order}&procedure={one.code}")
            for one in of_order[1:]
        )
        + (((t("Another procedure, or another order"), "/make/new"),) if of_order else ()),
        page=None if known else not_written_yet(lab, "extraction"),
    )


def _write_begun(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Begin a batch."""
    return begin_batch(lab, typed["code"], typed["procedure"], typed["scale"], order=typed["order"], **sign)


serve_form(router, "/make/new", _begin, _write_begun, then="/make/{typed[code]}")


serve_act(router, note_deviation)


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    coming = next_up(lab, code)
    doing = (
        []
        if coming.does == "done"
        else [(t("Next: {coming_words}", coming_words=coming.words), coming.href, "")]
    )
    if coming.does == "done" and not coming.given_up and not is_a_lot(lab, code):
        doing.append((t("Next: write the step that puts it on the shelf"), f"/make/{code}/other-step", ""))
    elif coming.does == "done" and not coming.given_up:
        gone = bool(released_by(lab, code))
        doing.append((t("Release"), f"/products/{code}/release", "quiet" if gone else ""))
        doing += [(t("Certificate"), f"/products/{code}/certificate", "")] if gone else []
        if lacks_density(lab, code):
            doing.append((t("Weigh the density"), f"/make/{code}/density", "quiet"))
        if is_left_to_fill(lab, code):
            doing.append((t("Fill what is left over"), f"/make/{code}/fill", "quiet"))
    if not coming.given_up:
        doing.append((t("Another step, or one that was not done"), f"/make/{code}/other-step", "quiet"))
        if coming.does != "done":
            doing.append((t("Give it up"), f"/make/{code}/give-up", "quiet"))
    if watched := watch_words(lab, code):
        doing.insert(0, (watched, f"/make/{code}/watch", ""))
    elif has_watch(lab, code):
        doing.append((t("The watch of the Soxhlet"), f"/make/{code}/watch", "quiet"))
    if coming.purpose == "formula" and coming.does in {"density", "fill"}:
        doing += [link_of(one, t(one.on_batch), code) for one in kinds_of_test() if one.on_batch]
    if coming.step in set_up_steps(lab, code):
        doing.insert(0, (t("Set-up sheet, before heat"), f"/make/{code}/set-up", "quiet"))
    doing += [
        (t("Report a deviation"), f"/make/{code}/deviation", "quiet"),
        (t("Trace"), f"/trace/{code}", "quiet"),
    ]
    return {"doing": tuple(doing)}


serve_page(
    router,
    "/make",
    show_batches,
    here=HERE,
    extras=lambda *_: {
        "doing": (
            (t("Begin a batch"), "/make/new", ""),
            (t("Procedures and formulas"), "/make/procedures", "quiet"),
            (t("Ways of extracting"), "/make/starters", "quiet"),
        )
    },
)
serve_page(router, "/make/{code}/set-up", show_set_up, here=HERE)
serve_page(router, "/make/{code}", show_batch, here=HERE, extras=_doing)
