"""Reagents: what to detect, safest first; recipes scaled, ticked, made; bottles opened, tried, labelled and sold.

The list, the recipes, their sheets and labels open without a laboratory; whatever is written needs one.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeAlias
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import JSONResponse, PlainTextResponse, Response

from stillroom.actions.bench.form_choices import procedures
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.testing.reagents import allow_reagent, copy_recipe, make_reagent
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.errors import NotAllowed, StillroomError
from stillroom.pages.reagents import (
    recipe_facts,
    show_making_sheet,
    show_reagents,
    show_recipe,
    show_recipe_label,
)
from stillroom.records.reagent_recipes import recipe_names, recipe_row
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm, trouble_of
from stillroom.web.making_reagents import making_form, ticked_in, weighed_in
from stillroom.web.pages import facts_of_request, lab_of, open_lab, send_form, send_page, status_of, write
from stillroom.web.preferences import send_sheet

router = Addresses()
AT = "/reagents"
SCALING = ("amount", "step")
Build: TypeAlias = Callable[..., Page]
PAPERS: dict[str, Build] = {"": show_recipe, "sheet": show_making_sheet, "label": show_recipe_label}


def _here(request: Request) -> str:
    return "Test" if open_lab(request) else "Ask"


def _asked(request: Request) -> dict[str, str]:
    return {
        one: request.query_params[one].strip() for one in SCALING if request.query_params.get(one, "").strip()
    }


def add_twins(
    to: Addresses,
    path: str,
    build: Callable[[Request, dict[str, Any]], Page],
    html: Callable[..., Response],
    name: str,
) -> None:
    """Register a page with its twins; the parts of its address come from the request."""

    def data(request: Request) -> Response:
        return JSONResponse(page_json(build(request, request.path_params)))

    def text(request: Request) -> Response:
        return PlainTextResponse(page_text(build(request, request.path_params)))

    def sheet(request: Request) -> Response:
        page = build(request, request.path_params)
        return send_sheet(request, page, f"{name}-{page.code}".strip("-"))

    for suffix, view in ((".json", data), (".txt", text), (".pdf", sheet), ("", html)):
        to.serve(path + suffix, view, needs="reader")


def _list(request: Request, _: dict[str, Any]) -> Page:
    return show_reagents(open_lab(request), facts_of_request(request))


def _list_html(request: Request) -> Response:
    return send_page(request, _list(request, {}), here=_here(request))


def _paper(request: Request, parts: dict[str, Any], paper: str) -> Page:
    return PAPERS[paper](open_lab(request), parts["name"], _asked(request), facts_of_request(request))


def _paper_of(paper: str) -> Callable[[Request, dict[str, Any]], Page]:
    return lambda request, parts: _paper(request, parts, paper)


def _recipe_html(request: Request) -> Response:
    name, asked, trouble, status = request.path_params["name"], _asked(request), None, 200
    lab = open_lab(request)
    try:
        page = _paper(request, {"name": name}, "")
    except StillroomError as error:
        if not asked:
            raise
        page = show_recipe(lab, name, {}, facts_of_request(request))
        trouble, status = trouble_of(error, set(SCALING)), status_of(error)
    found = recipe_facts(lab, name, {})
    query = f"?{urlencode(asked)}" if asked and trouble is None else ""
    doing: list[tuple[str, str, str]] = []
    if found.scaled is not None:
        if lab:
            doing.append((t("Make it"), f"{AT}/{name}/make{query}", ""))
        doing += [
            (t("Making sheet"), f"{AT}/{name}/sheet{query}", "quiet"),
            (t("Label"), f"{AT}/{name}/label{query}", "quiet"),
        ]
    if lab and found.care and found.care.tick:
        words = t("Tick it, as the responsible person") if found.needs_tick else t("Take the tick back")
        doing.append((words, f"{AT}/{found.care.reagent}/tick", "" if found.needs_tick else "quiet"))
    if lab and found.scaled is not None:
        own = name in {one.code for one in procedures(lab)}
        if own:
            doing.append((t("Alter the recipe"), f"/make/procedures/{name}/alter", "quiet"))
        elif name in recipe_names():
            doing.append((t("Copy it into the book"), f"{AT}/{name}/copy", "quiet"))
    doing.append((t("All reagents"), AT, "quiet"))
    prints = _prints(f"{AT}/{name}", query)
    return send_page(
        request,
        page,
        here=_here(request),
        template="reagent.html",
        status=status,
        doing=tuple(doing),
        prints=prints,
        twin=f"{AT}/{name}.json{query}",
        typed=dict(request.query_params),
        trouble=trouble,
        scales=found.scaled is not None,
    )


def _prints(address: str, query: str) -> tuple[dict[str, str], ...]:
    return (
        {"text": t("Print on paper"), "href": f"{address}.pdf{query}"},
        {"text": t("As plain text"), "href": f"{address}.txt{query}"},
    )


def _paper_html(paper: str) -> Callable[[Request], Response]:
    def html(request: Request) -> Response:
        name, asked = request.path_params["name"], _asked(request)
        query = f"?{urlencode(asked)}" if asked else ""
        page = _paper(request, {"name": name}, paper)
        at = f"{AT}/{name}/{paper}"
        return send_page(
            request,
            page,
            here=_here(request),
            prints=_prints(at, query),
            twin=f"{at}.json{query}",
            doing=((t("The recipe"), f"{AT}/{name}{query}", "quiet"),),
        )

    return html


def _tick(lab: Laboratory, name: str) -> Form:
    found = recipe_facts(lab, name, {})
    if found.care is None or not found.care.tick:
        raise NotAllowed("Only a dangerous reagent is ticked", name, "Make it: nothing stands in the way")
    return Form(
        title=t("Tick a dangerous reagent") if found.needs_tick else t("Take the tick back"),
        kind="reagent",
        lead=t(
            "{tick}. A test of lower hazard: {safer}. Waste: {waste}.",
            tick=found.care.tick.capitalize(),
            safer=found.care.safer,
            waste=found.care.waste,
        ),
        button=t("Allow it here") if found.needs_tick else t("Close it again"),
        here="Test",
        back=f"{AT}/{name}",
        rows=(
            Ask(
                "why",
                t("Why"),
                "long",
                hint=t("Why no test of lower hazard serves, and where the waste goes"),
            ),
            Ask("allowed", "", "hidden", value="yes" if found.needs_tick else "no"),
        ),
        cautions=(caution("mercury-and-picric"), caution("waste")),
        stops=found.needs_tick,
    )


def _make(request: Request, name: str, asked: dict[str, str]) -> Form:
    lab = lab_of(request)
    found = recipe_facts(lab, name, asked)
    page = show_making_sheet(lab, name, asked, facts_of_request(request))
    if found.scaled is None:
        raise NotAllowed("Nothing is mixed beforehand for this test", name)
    form = making_form(lab, found.scaled, action=f"{AT}/{name}/make", back=f"{AT}/{name}")
    return form.with_page(replace(page, blocks=()))


def _make_it(lab: Laboratory, name: str, typed: Typed, sign: Signed) -> Done:
    procedure = recipe_facts(lab, name, {}).procedure
    if procedure is None:
        raise NotAllowed("Nothing is mixed beforehand for this test", name)
    return make_reagent(
        lab,
        name,
        code=typed["code"],
        amount=typed["amount"],
        weighed=weighed_in(typed, procedure),
        scale=typed["scale"],
        ticks=ticked_in(typed, procedure),
        note=typed["note"],
        **sign,
    )


add_twins(router, AT, _list, _list_html, "reagents")
for _name in ("sheet", "label"):
    add_twins(router, f"{AT}/{{name}}/{_name}", _paper_of(_name), _paper_html(_name), _name)


def _copy(_: Laboratory, name: str) -> Form:
    return Form(
        title=t("Copy {key} into the book", key=recipe_row(name).key),
        kind="reagent",
        lead=t("It becomes a procedure of yours, to be altered; what is made from then on follows yours."),
        button=t("Copy it"),
        rows=(),
        here="Test",
        back=f"{AT}/{name}",
    )


serve_form(
    router,
    "/reagents/{name}/copy",
    _copy,
    lambda lab, _, sign, name: copy_recipe(lab, name, **sign),
    then="/make/procedures/{name}/alter",
)


def _write_tick(lab: Laboratory, typed: Typed, sign: Signed, name: str) -> Done:
    """Write the tick, or take it back."""
    return allow_reagent(lab, name, allowed=typed["allowed"] == "yes", why=typed["why"], **sign)


serve_form(router, "/reagents/{name}/tick", _tick, _write_tick, then="/reagents/{name}")


@router.get("/reagents/{name}/make", needs="maker")
def make_form(request: Request, name: str) -> Response:
    """Room for what was weighed."""
    return send_form(request, _make(request, name, _asked(request)))


@router.post("/reagents/{name}/make", needs="maker")
def make(request: Request, name: str, typed: TypedForm) -> Response:
    """Write what was made."""
    return write(
        request,
        typed,
        lambda: _make(request, name, {"amount": typed["amount"]}),
        lambda lab, sign: _make_it(lab, name, typed, sign),
        then=f"/stock/{typed['code']}",
    )


add_twins(router, "/reagents/{name}", _paper_of(""), _recipe_html, "reagent")
