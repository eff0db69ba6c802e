"""The watch at the bench: one big button a siphoning, the verdict above it, what may be looked at below."""

from dataclasses import replace
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.siphonings_tapped import HEAT
from stillroom.actions.watching.after_the_run import check_marc, enter_log, log_of
from stillroom.actions.watching.bed_noted import OF_A_TAP, drips, look_in
from stillroom.actions.watching.run_watched import run_watched, watch_timer, watches_bed
from stillroom.actions.watching.siphonings_noted import look_at, measure_extractor, take_back, tap
from stillroom.documents.blocks import Page
from stillroom.pages.watch import show_watch
from stillroom.texts.catalogue import t
from stillroom.web.acts import act_form
from stillroom.web.duties import Addresses
from stillroom.web.forms import NOTHING_TYPED, Ask
from stillroom.web.left_open import new_key
from stillroom.web.pages import lab_of, serve_page, signers

router = Addresses()
HERE = "Make"


def _first(row: Ask | tuple[Ask, ...]) -> str:
    return (row[0] if isinstance(row, tuple) else row).name


def _bed(lab: Laboratory, page: Page, code: str) -> dict[str, Any]:
    form = act_form(lab, look_in, code)
    with lab.look() as look:
        if not drips(look, code):
            form = replace(form, rows=tuple(one for one in form.rows if _first(one) not in OF_A_TAP))
    return {
        "bed": True,
        "above": replace(page, blocks=page.blocks[:1]),
        "below": replace(page, blocks=page.blocks[1:]),
        "people": signers(lab),
        "look": look_in.address.format(code=code),
        "form": form,
        "typed": NOTHING_TYPED,
        "trouble": None,
        "key": new_key(),
        "besides": (
            (t("Check the marc"), check_marc.address.format(code=code)), (t("The whole sheet"), f"/make/{code}"),
        ),
    }  # fmt: skip


def _bench(lab: Laboratory, page: Page, code: str) -> dict[str, Any]:
    with lab.look() as look:
        if watches_bed(look, code):
            return _bed(lab, page, code)
        run = run_watched(look, code)
        timer = watch_timer(look, code)
    return {
        "run": run,
        "above": replace(page, blocks=page.blocks[:1]),
        "below": replace(page, blocks=page.blocks[1:]),
        "people": signers(lab),
        "timer": timer,
        "now": lab.clock().isoformat(timespec="milliseconds"),
        "tap": tap.address.format(code=code),
        "look": look_at.address.format(code=code),
        "form": act_form(lab, look_at, code),
        "heat": HEAT,
        "typed": NOTHING_TYPED,
        "trouble": None,
        "key": new_key(),
        "finish": f"/make/{code}/step" if run.running and run.found else "",
        "besides": (
            (t("Tap a siphoning of an earlier time"), tap.address.format(code=code)),
            *(((t("Take the last tap back"), take_back.address.format(code=code)),) if run.rows else ()),
            (t("Measure crest and heel with water"), measure_extractor.address.format(code=code)),
            (t("Check the marc"), check_marc.address.format(code=code)),
            (t("The log as a table"), f"/make/{code}/watch.csv"),
            (t("Enter a log"), enter_log.address.format(code=code)),
            (t("The whole sheet"), f"/make/{code}"),
        ),
    }


@router.get("/make/{code}/watch.csv", needs="reader")
def log(request: Request, code: str) -> Response:
    """The log of a watched run, one row a siphoning."""
    with lab_of(request).look() as look:
        return Response(log_of(look, code), media_type="text/csv; charset=utf-8")


serve_page(router, "/make/{code}/watch", show_watch, here=HERE, template="watch.html", extras=_bench)
