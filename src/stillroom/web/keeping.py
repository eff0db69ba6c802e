"""Keep in the book? An answer is written down, with a name only now; or what it mixes is made, as a lot."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from urllib.parse import parse_qsl

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.house.other_laboratories import begin_beside
from stillroom.actions.keeping_answers import KEPT_ORDER, answer_kept, corrected_since, keep
from stillroom.actions.making_answers import make_answer, recipe_of_answer
from stillroom.actions.questions import KEPT, answered
from stillroom.actions.testing.reagents import scaled_recipe
from stillroom.documents.doors import OPEN, question_address
from stillroom.errors import NotAllowed, StillroomError, UnknownName
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Trouble, Typed, TypedForm, trouble_of
from stillroom.web.making_reagents import making_form, scale_that_takes, ticked_in, weighed_in
from stillroom.web.pages import facts_of_request, go, lab_of, open_lab, send_form, send_page, status_of, today

router = Addresses()
HERE = "Ask"
OWN = frozenset({"request_key", "book", "by", "at", "name", "person", "open", "pin"})
"""Fields of the form itself; the others are the question."""


def _asked(fields: Typed) -> dict[str, str]:
    return {name: value for name, value in fields.fields.items() if name not in OWN and value}


def _form(request: Request, question: str, asked: dict[str, str]) -> Form:
    begins = open_lab(request) is None
    names: tuple[Ask, ...] = (
        (
            Ask(
                "name",
                t("Name of the laboratory"),
                hint=t("Printed on every document"),
            ),
            Ask("person", t("Your name"), hint=t("You sign with its initials")),
        )
        if begins
        else ()
    )
    again = None if begins else _kept_before(lab_of(request), question, asked)
    hidden = tuple(Ask(name, name, "hidden", value=value) for name, value in asked.items())
    return Form(
        title=t("Keep it in the book?"),
        kind="ask",
        lead=t("It begins a book here. What was assumed becomes a list of things to find out.")
        if begins
        else again or t("What was assumed becomes a list of things to find out, on the bench."),
        action=f"/ask/{question}/keep",
        button=t("Begin a book and keep it") if begins else t("Keep it"),
        here=HERE,
        back=f"/ask/{question}",
        rows=(*names, *hidden),
    )


def _kept_before(lab: Laboratory, question: str, asked: dict[str, str]) -> str | None:
    """What to know where the very same was kept before; None where it was not."""
    with lab.look() as look:
        found = [
            one
            for one in look.answers_kept()
            if one.body.question == question
            and {name: text for name, text in one.body.asked.items() if name != KEPT_ORDER} == asked
        ]
    if not found:
        return None
    as_order = t(" as order {order}", order=found[-1].body.order) if found[-1].body.order else ""
    another = t(" Keeping it again makes another order.") if as_order else ""
    return t(
        "It is kept already{as_order}, in entry {entry_no}.{another}",
        as_order=as_order,
        entry_no=found[-1].entry_no,
        another=another,
    )


@router.get("/ask/{question}/keep", needs="maker")
def ask_to_keep(request: Request, question: str) -> Response:
    """Whether to keep it, and who keeps it."""
    _must_be_a_question(question)
    typed = Typed(dict(request.query_params))
    return _send(request, question, typed)


@router.post("/ask/{question}/keep", needs="maker")
def keep_it(request: Request, question: str, typed: TypedForm) -> Response:
    """Keep an answer, beginning the book first where there is none."""
    _must_be_a_question(question)
    asked = _asked(typed)
    try:
        lab = open_lab(request)
        # What has no answer begins no book.
        answered(question, asked, today(request), facts_of_request(request), lab=lab)
        if lab is None:
            lab, by = _begin(request, typed)
            signed = Signed(by=by, at=None, request_key=typed.key)
        else:
            signed = typed.signed(lab)
        done = keep(lab, question, asked, **signed)
    except StillroomError as error:
        names = _form(request, question, asked).fields_shown() | {"by", "at", "pin"}
        return _send(request, question, typed, trouble_of(error, names), status_of(error))
    entry_no = done.entry_no
    return go(
        kept_at(lab, question, entry_no),
        done.says or t("It was kept already."),
        entry_no,
        hand=signed["by"],
    )


def kept_at(lab: Laboratory, question: str, entry_no: int) -> str:
    """Where what was kept is shown: an offer under its number, any other answer under its entry."""
    if question != "offer":
        return f"/ask/kept/{entry_no}"
    with lab.look() as look:
        return next(f"/offers/{one.body.code}" for one in look.offers() if one.entry_no == entry_no)


@router.get("/ask/kept/{entry_no}", needs="reader")
def kept(request: Request, entry_no: int) -> Response:
    """A kept answer, worked out again from what was asked."""
    lab = lab_of(request)
    with lab.look() as look:
        entry = answer_kept(look, entry_no)
        asked = {**entry.body.asked, **corrected_since(look, entry)}
    body = entry.body
    on = date.fromisoformat(entry.done_at[:10])
    page = answered(body.question, asked, on, page_facts(lab)).page
    kept_as = t(
        "Kept as entry {entry_no}, by {by}, on {when}.", entry_no=entry_no, by=entry.by, when=on.isoformat()
    )
    if body.order:
        kept_as += " " + t("Answered without the book; the plan of the order goes by its prices and hours.")
    page = replace(page, lead=page.lead.replace(t("Nothing is written in a book."), kept_as))
    doing = [
        (
            t("Say more"),
            question_address(body.question, asked, **{OPEN: next(iter(asked))}),
            "quiet",
        )
    ]
    if body.order:
        doing = [
            (t("The order and its plan"), f"/orders/{body.order}", ""),
            (t("Calculate the plan again"), f"/orders/{body.order}/plan", "quiet"),
            *doing,
        ]
    return send_page(request, page, here=HERE, doing=tuple(doing))


def _begin(request: Request, typed: Typed) -> tuple[Laboratory, str]:
    home: Path | None = request.app.state.home
    if home is None:
        raise NotAllowed("A book needs a folder", "none", "Start with a folder: serve --in FOLDER")
    lab = begin_beside(home, typed["name"], typed["person"], beside=None)
    request.app.state.lab = lab
    request.app.state.home = lab.folder
    with lab.look() as look:
        return lab, look.people()[0].code


def _send(
    request: Request, question: str, typed: Typed, trouble: Trouble | None = None, status: int = 200
) -> Response:
    form = _form(request, question, _asked(typed))
    begins = open_lab(request) is None
    return send_form(request, form, typed, trouble, status=status, template="keep.html", begins=begins)


def _must_be_a_question(question: str) -> None:
    if question not in KEPT:
        raise UnknownName.among(question, "a question that is kept", KEPT)


# ---- what it mixes becomes a lot


def _make(lab: Laboratory, question: str, asked: str) -> Form:
    recipe = recipe_of_answer(lab, question, dict(parse_qsl(asked)))
    scaled = scaled_recipe(recipe, "", "")
    if scale := scale_that_takes(lab, scaled):
        scaled = scaled_recipe(recipe, "", f"{scale.smallest_step} g")
    keeps = Ask(
        "keeps",
        t("Keeps"),
        "figure",
        "d",
        required=False,
        hint=t("From today; nothing where it does not spoil"),
    )
    return making_form(
        lab,
        scaled,
        back=f"/ask/{question}?{asked}",
        more=(keeps, Ask("asked", "", "hidden", value=asked)),
    )


def _make_it(lab: Laboratory, typed: Typed, sign: Signed, question: str) -> Done:
    asked = dict(parse_qsl(typed["asked"]))
    recipe = recipe_of_answer(lab, question, asked)
    return make_answer(
        lab,
        question,
        asked,
        code=typed["code"],
        weighed=weighed_in(typed, recipe),
        keeps_days=typed.whole("keeps", t("days")) if typed["keeps"] else 0,
        scale=typed["scale"],
        ticks=ticked_in(typed, recipe),
        note=typed["note"],
        **sign,
    )


serve_form(router, "/ask/{question}/make", _make, _make_it, then="/stock/{typed[code]}")
