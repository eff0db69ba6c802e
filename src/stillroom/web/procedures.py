"""Procedures and formulas in a form, and the same as text: written, looked at, altered into a new version.

One form for all of it, posted whole. Only "Write it" writes; every other button gives the form back with one thing
changed and everything typed kept, so that it works without scripts.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.making.writing_procedures import (
    KindOffered,
    fields_of_text,
    fields_to_alter,
    fields_to_begin,
    kinds_offered,
    procedure_of_text,
    procedure_typed,
    remarks,
    text_of_fields,
    write_text,
    write_typed,
)
from stillroom.documents.blocks import Page
from stillroom.documents.setting_words import setting_words
from stillroom.errors import StillroomError, UnknownName
from stillroom.pages.procedures import show_procedure, show_procedures
from stillroom.products.kinds import KINDS_OF_PRODUCT
from stillroom.quantities.numbers import CAN_BE, number_in
from stillroom.records.formula_starters import BASE_CALLED, BASES
from stillroom.records.procedure_from_fields import MOST_ROWS
from stillroom.records.setting_from_text import printed_unit
from stillroom.substances.ingredients import ingredient_names
from stillroom.texts.catalogue import later, t
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, Signed, Trouble, Typed, TypedForm, trouble_of
from stillroom.web.pages import lab_of, send_form, serve_page, status_of, write

router = Addresses()
HERE = "Make"
TEMPLATE = "procedure.html"
MAKES = {
    "formula": later("formula: what goes into a bottle"),
    "extraction": later("extraction: from the plant to its extract"),
    "reagent": later("reagent: what is used up in tests"),
}
_LINE = re.compile(r"line-([0-9]{1,6})-")
_STEP = re.compile(r"step-([0-9]{1,6})-")
_SET = re.compile(r"step-([0-9]{1,6})-set-([0-9]{1,6})-")
_DO = re.compile(r"(line|step|drop-line|drop-step|step-after|set|look)(?:-([0-9]{1,3}))?")


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step as the form prints it: its number, its kind, the numbers of its settings, and whether it stands open."""

    at: int
    kind: KindOffered | None
    settings: tuple[int, ...]
    is_open: bool


def _form(code: str) -> Form:
    address = f"/make/procedures/{code}/alter" if code else "/make/procedures/new"
    return Form(
        title=t("Alter a procedure") if code else t("Write a procedure"),
        kind=f"next version of {code}" if code else "procedure",
        lead=t("The last version stays in the book; batches begun by it go on by it.")
        if code
        else t("What it takes, then step by step what happens. Text and form are the same thing."),
        action=address,
        button=t("Save"),
        here=HERE,
        back=f"/make/procedures/{code}" if code else "/make/procedures",
        rows=(
            Ask("lines", t("Lines"), kind="hidden"),
            Ask("text", t("Text"), kind="hidden"),
        ),
    )


def _more(typed: Typed, trouble: Trouble | None, opened: str = "") -> dict[str, Any]:
    fields = typed.fields
    kinds = {one.name: one for one in kinds_offered()}
    steps = []
    for at in _numbers(_STEP, fields):
        kind = kinds.get(fields.get(f"step-{at}-kind", ""))
        begins = f"step-{at}-"
        wrong = bool(trouble) and any(name.startswith(begins) for name in (trouble.at if trouble else {}))
        settings = tuple(number for step, number in _pairs(fields) if step == at)
        steps.append(
            ShownStep(at, kind, settings, wrong or opened == str(at) or not fields.get(f"{begins}name"))
        )
    return {
        "as_text": fields.get("view") == "text",
        "line_numbers": _numbers(_LINE, fields),
        "steps": steps,
        "kind_choices": [("", "choose"), *((name, name) for name in kinds)],
        "may_be_told": lambda names: "; ".join(f"{one} ({setting_words(one)})" for one in names),
        "purposes": tuple((one, t(says)) for one, says in MAKES.items()),
        "product_kinds": tuple(KINDS_OF_PRODUCT),
        "ingredients": ingredient_names() if fields.get("purpose") == "formula" else (),
        "is_formula": fields.get("purpose") == "formula",
        "sums": _sums(fields) if fields.get("purpose") == "formula" else "",
        "said_of_it": _remarks(fields) if not trouble else (),
        "looked": "",
        "other_bases": (),
    }


def _remarks(fields: Mapping[str, str]) -> tuple[str, ...]:
    if fields.get("purpose") != "formula" or fields.get("view") == "text":
        return ()
    try:
        return remarks(procedure_typed({**fields, "code": "x", "title": "x", "makes": "x"}))
    except StillroomError:
        return ()


def _sums(fields: Mapping[str, str]) -> str:
    total, fills = 0.0, ""
    for at in _numbers(_LINE, fields):
        if fields.get(f"line-{at}-role") == "q.s.":
            fills = fields.get(f"line-{at}-name", "")
        try:
            said = fields.get(f"line-{at}-percent", "").removesuffix("%").strip()
            total += number_in(said or "0", can_be=CAN_BE["%"]).value
        except StillroomError:
            return t("A share cannot be read; it says which.")
    if total > 100:
        return t(
            "The stated shares sum to {total:.4g} %: {over:.4g} % too much.", total=total, over=total - 100
        )
    rest = (
        t("{fills} fills up the other {total:.4g} %", fills=fills, total=100 - total)
        if fills
        else t("no line fills up the rest yet")
    )
    return t("The stated shares sum to {total:.4g} %; {rest}.", total=total, rest=rest)


def _numbers(pattern: re.Pattern[str], fields: Mapping[str, str]) -> list[int]:
    return sorted({int(found[1]) for name in fields if (found := pattern.match(name))})[:MOST_ROWS]


def _pairs(fields: Mapping[str, str]) -> list[tuple[int, int]]:
    return sorted({(int(found[1]), int(found[2])) for name in fields if (found := _SET.match(name))})


def _with_rows(fields: Mapping[str, str]) -> dict[str, str]:
    """Room for one line more, one step at least, and every setting a chosen kind asks for."""
    found = dict(fields)
    if not _numbers(_LINE, found):
        found["line-1-name"] = ""
    if not _numbers(_STEP, found):
        found["step-1-name"] = ""
    kinds = {one.name: one for one in kinds_offered()}
    for at in _numbers(_STEP, found):
        kind = kinds.get(found.get(f"step-{at}-kind", ""))
        if kind is None:
            continue
        numbers = [number for step, number in _pairs(found) if step == at]
        named = {found.get(f"step-{at}-set-{number}-name", "") for number in numbers}
        free = max(numbers, default=0)
        for name in (one for one in kind.settings if one not in named):
            free += 1
            begins = f"step-{at}-set-{free}-"
            found |= {f"{begins}name": name, f"{begins}unit": printed_unit(name), f"{begins}origin": "chosen"}
    return found


def _changed(fields: Mapping[str, str], do: str) -> dict[str, str]:
    """The fields after a button that writes nothing."""
    asked = _DO.fullmatch(do)
    found = dict(fields)
    if asked is None:
        return found
    what, at = asked[1], int(asked[2] or 0)
    if what == "line":
        found[f"line-{max(_numbers(_LINE, found), default=0) + 1}-name"] = ""
    elif what == "set":
        free = max((number for step, number in _pairs(found) if step == at), default=0) + 1
        found[f"step-{at}-set-{free}-name"] = ""
    elif what in ("drop-line", "drop-step"):
        begins = f"{what.removeprefix('drop-')}-{at}-"
        found = {name: value for name, value in found.items() if not name.startswith(begins)}
    elif what in ("step", "step-after"):
        after = at if what == "step-after" else max(_numbers(_STEP, found), default=0)
        found = _moved_down(found, after)
        found[f"step-{after + 1}-name"] = ""
    return found


def _moved_down(fields: Mapping[str, str], after: int) -> dict[str, str]:
    """Every step after one counted on by one, to make room."""

    def on(name: str) -> str:
        found = _STEP.match(name)
        if found is None or int(found[1]) <= after:
            return name
        return f"step-{int(found[1]) + 1}-{name[found.end() :]}"

    return {on(name): value for name, value in fields.items()}


def _answer(
    request: Request,
    code: str,
    typed: Typed,
    begin: Callable[[], Mapping[str, str]] | None = None,
    other_bases: tuple[tuple[str, str], ...] = (),
) -> Response:
    """The form with one thing changed, or what was typed written."""
    do = typed["do"] or "write"
    form = _form(code)
    if begin is not None:
        typed = Typed(_with_rows(begin()))
        more = _more(typed, None) | {"other_bases": other_bases}
        return send_form(request, form, typed, template=TEMPLATE, **more)
    if do == "write":
        return _write(request, code, typed)
    trouble, opened, fields = None, "", dict(typed.fields)
    try:
        if do == "as-text":
            fields = {"view": "text", "text": text_of_fields(fields)}
        elif do == "as-form":
            fields = fields_of_text(typed["text"])
        elif do == "look":
            procedure_of_text(typed["text"]) if fields.get("view") == "text" else procedure_typed(fields)
        else:
            fields = _changed(fields, do)
            opened = do.rpartition("-")[2]
    except StillroomError as error:
        trouble = trouble_of(error, {"lines", "text", *fields})
    fields |= {name: typed[name] for name in ("by", "at", "request_key") if typed[name]}
    if fields.get("view") != "text":
        fields = _with_rows(fields)
    shown = Typed(fields)
    more = _more(shown, trouble, opened)
    if do == "look" and trouble is None:
        more["looked"] = _looked(more["said_of_it"])
    return send_form(
        request,
        form,
        shown,
        trouble,
        status=422 if trouble else 200,
        template=TEMPLATE,
        **more,
    )


def _looked(remarks_found: tuple[str, ...]) -> str:
    """What a look came to, where nothing is wrong."""
    fits = t("Looked through: every line and step fits. Nothing is written yet.")
    return f"{fits} {t('What to keep in mind stands below the lines.')}" if remarks_found else fits


def _write(request: Request, code: str, typed: Typed) -> Response:
    def act(lab: Laboratory, sign: Signed) -> Done:
        if code and typed["view"] != "text" and typed["code"] != code:
            raise UnknownName.among(typed["code"], "the procedure of this page", (code,)).at("code")
        if typed["view"] == "text":
            return write_text(lab, typed["text"], code=code, **sign)
        return write_typed(lab, typed.fields, **sign)

    typed_whole = typed if typed["view"] == "text" else Typed(_with_rows(typed.fields))
    written = code or typed["code"]
    try:
        if typed["view"] == "text" and not code:
            written = procedure_of_text(typed["text"]).code
        elif typed["view"] != "text":
            procedure_typed(typed.fields)
    except StillroomError as error:
        trouble = trouble_of(error, {"lines", "text", *typed_whole.fields})
        return send_form(
            request,
            _form(code),
            typed_whole,
            trouble,
            status=status_of(error),
            template=TEMPLATE,
            **_more(typed_whole, trouble),
        )
    return write(
        request,
        typed_whole,
        lambda: _form(code),
        act,
        then=f"/make/procedures/{written}",
        template=TEMPLATE,
        more=lambda: _more(typed_whole, Trouble({}, "")),
    )


@router.get("/make/procedures/new", needs="maker")
def new_procedure(request: Request, purpose: str = "formula", base: str = "water") -> Response:
    """An empty procedure; a formula begins as a plain base, of those that are offered beside it."""
    known = purpose if purpose in MAKES else "formula"
    begun = base if base in BASES else BASES[0]
    others = tuple(
        (t(BASE_CALLED[one]), f"/make/procedures/new?purpose=formula&base={one}")
        for one in BASES
        if known == "formula" and one != begun
    )
    return _answer(request, "", Typed(), lambda: fields_to_begin(known, begun), others)


@router.post("/make/procedures/new", needs="maker")
def write_new(request: Request, typed: TypedForm) -> Response:
    """Write a procedure, or change its form."""
    return _answer(request, "", typed)


@router.get("/make/procedures/{code}/alter", needs="maker")
def alter_procedure(request: Request, code: str) -> Response:
    """The next version, filled with the last one."""
    return _answer(request, code, Typed(), lambda: fields_to_alter(lab_of(request), code))


@router.post("/make/procedures/{code}/alter", needs="maker")
def write_altered(request: Request, code: str, typed: TypedForm) -> Response:
    """Write the next version, or change its form."""
    return _answer(request, code, typed)


def _list_doing(_: Laboratory, __: Page) -> dict[str, Any]:
    return {
        "doing": (
            (t("Write a formula"), "/make/procedures/new?purpose=formula", ""),
            (t("Write an extraction"), "/make/procedures/new?purpose=extraction", "quiet"),
            (t("Write a reagent"), "/make/procedures/new?purpose=reagent", "quiet"),
            (t("Copy a starter"), "/make/starters", "quiet"),
        )
    }


def _doing(_: Laboratory, __: Page, code: str) -> dict[str, Any]:
    return {
        "doing": (
            (t("Alter it"), f"/make/procedures/{code}/alter", ""),
            (t("Begin a batch"), "/make/new", "quiet"),
            (t("All procedures"), "/make/procedures", "quiet"),
        )
    }


serve_page(router, "/make/procedures", show_procedures, here=HERE, extras=_list_doing)
serve_page(router, "/make/procedures/{code}", show_procedure, here=HERE, extras=_doing)
