"""Now, the day and the fortnight, and the forms that lay it out, tap it and say what changed."""

from collections.abc import Mapping
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.day.calendar import day_calendar
from stillroom.actions.day.planning import (
    note_surprise,
    plan_day,
    surprise_subjects,
    take_back,
    tap,
    taps_that_stand,
)
from stillroom.actions.day.to_plan import HORIZON_D
from stillroom.documents.blocks import Page
from stillroom.documents.calendar_entry import MEDIA_TYPE
from stillroom.documents.day_words import job_words
from stillroom.pages.day import show_day, show_fortnight
from stillroom.pages.day_blocks import PLAN
from stillroom.pages.now import next_for_hands, show_now
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed
from stillroom.web.pages import lab_of, serve_page

router = Addresses()
HERE = "Bench"
BEGIN, SURPRISE, BACK = "/bench/now/begin", "/bench/now/surprise", "/bench/now/back"


def _links(lab: Laboratory, page: Page) -> Mapping[str, Any]:
    nexts = next_for_hands(lab)
    doing: list[tuple[str, str, str]] = []
    if page.kind == "now" and nexts:
        first = nexts[0]
        if first.href.startswith("/stock/new?"):
            doing.append((t("Take it in: {job}", job=job_words(first.job)), first.href, ""))
        elif not first.is_begun:
            doing.append(
                (
                    t("Begin: {step}", step=first.step),
                    f"{BEGIN}?what=begun&job={first.job}&step={first.step}",
                    "",
                )
            )
        elif first.href.startswith("/make/"):
            doing.append((t("Write: {step}", step=first.step), first.href, ""))
        else:
            doing.append(
                (
                    t("Done: {step}", step=first.step),
                    f"{BEGIN}?what=done&job={first.job}&step={first.step}",
                    "",
                )
            )
    if page.kind == "now":
        doing.append((t("The day"), "/bench/day", "quiet"))
    else:
        doing.append((t("Now"), "/bench/now", ""))
        if page.kind == "day":
            doing.append((t("The fortnight"), "/bench/fortnight", "quiet"))
        else:
            doing.append((t("The day"), "/bench/day", "quiet"))
    if nexts and page.kind != "now":
        doing.append((t("Into the calendar"), "/bench/now/calendar.ics", "quiet"))
    if nexts:
        doing.append((t("Something changed"), SURPRISE, "quiet"))
    if page.kind == "now" and taps_that_stand(lab, 1):
        doing.append((t("Not so: take back"), BACK, "quiet"))
    if page.kind != "now":
        doing.append((t("Lay out again"), PLAN, "quiet"))
    return {"doing": tuple(doing)}


def _plan(_: Laboratory) -> Form:
    return Form(
        title=t("Lay out the day"),
        kind="day",
        lead=t(
            "Batches, orders, tests, bottles near their end: on this bench, with these people. It takes some seconds."
        ),
        button=t("Lay it out"),
        rows=(Ask("days", t("How many days"), "figure", value=f"{HORIZON_D}"),),
        here=HERE,
        back="/bench/day",
    )


def _otherwise(lab: Laboratory) -> Form:
    subjects = surprise_subjects(lab)
    return Form(
        title=t("Something changed"),
        kind="day",
        lead=t("What has begun stays, and as little as possible moves."),
        button=t("Write it, and move the rest"),
        rows=(
            Ask(
                "what",
                t("What happened"),
                choices=tuple((f"{what} {subject}".strip(), words) for what, subject, words in subjects),
            ),
            Ask(
                "minutes",
                t("For how long"),
                "figure",
                "min",
                hint=t("Left empty where nobody knows"),
                required=False,
            ),
            Ask("why", t("Why"), hint=t("A few words"), required=False),
        ),
        here=HERE,
        back="/bench/now",
    )


def _back(lab: Laboratory) -> Form:
    taps = taps_that_stand(lab)
    return Form(
        title=t("Take a tap or a surprise back"),
        kind="day",
        lead=t("Both stay in the book; the day goes on as if it had not been written."),
        button=t("Take it back"),
        rows=(
            Ask(
                "entry",
                t("What was not so"),
                choices=tuple((str(one.entry_no), f"{one.at} {one.words}") for one in taps),
            ),
        ),
        here=HERE,
        back="/bench/now",
    )


def _begin(_: Laboratory, what: str = "", job: str = "", step: str = "") -> Form:
    what = "done" if what == "done" else "begun"
    title = t("Begin: {step}", step=step) if what == "begun" else t("Done: {step}", step=step)
    hidden = tuple(
        Ask(name, name, "hidden", value=value)
        for name, value in (("what", what), ("job", job), ("step", step))
    )
    return Form(
        title=title,
        kind="day",
        lead=job,
        button=title,
        rows=hidden,
        here=HERE,
        back="/bench/now",
    )


def _lay_out(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Lay out everything that is to be done, and keep it."""
    return plan_day(lab, days=typed.whole("days", t("How many days")), **sign)


serve_form(router, PLAN, _plan, _lay_out, then="/bench/now")


def _write_otherwise(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Write what changed, and move the rest of the day."""
    chosen = next(
        (one for one in surprise_subjects(lab) if f"{one[0]} {one[1]}".strip() == typed["what"]), None
    )
    what, subject = (chosen[0], chosen[1]) if chosen else (typed["what"], "")
    minutes = float(typed.whole("minutes", t("For how long"))) if typed["minutes"] else 0.0
    return note_surprise(lab, what, subject, minutes, why=typed["why"], **sign)  # type: ignore[arg-type]


serve_form(router, SURPRISE, _otherwise, _write_otherwise, then="/bench/now")


def _write_begin(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Write that a step begins, or that a piece of work is done."""
    what = "done" if typed["what"] == "done" else "begun"
    return tap(lab, typed["job"], typed["step"], what, **sign)  # type: ignore[arg-type]


serve_form(router, BEGIN, _begin, _write_begin, then="/bench/now")


def _write_back(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Take a tap or a surprise back."""
    return take_back(lab, typed.whole("entry", t("What was not so")), **sign)


serve_form(router, BACK, _back, _write_back, then="/bench/now")


@router.get("/bench/now/calendar.ics", needs="reader")
def calendar(request: Request) -> Response:
    """The hands and the ends of the schedule, for a calendar."""
    return Response(day_calendar(lab_of(request)), headers={"Content-Type": MEDIA_TYPE})


serve_page(router, "/bench/now", show_now, here=HERE, template="hands.html", extras=_links)
serve_page(router, "/bench/day/{on}", show_day, here=HERE, extras=lambda lab, page, on: _links(lab, page))  # noqa: ARG005
serve_page(router, "/bench/day", show_day, here=HERE, extras=_links)
serve_page(router, "/bench/fortnight", show_fortnight, here=HERE, extras=_links)
