"""One's own laboratory in the browser: begun, opened, furnished, and asked how the house is.

Beginning and opening change what is served, so they are done at this machine only; a phone is not let in here.
"""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.describing import HOUSE_WORDS, describe_house
from stillroom.actions.furnishing import KINDS, add_instrument, add_person, kind_of_instrument, next_code
from stillroom.actions.house_facts import HOUSE, asked_of, last_condition, note_condition
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.neighbours import begin_beside, neighbours, open_beside, show_others
from stillroom.actions.page_facts import page_facts
from stillroom.actions.pricing import note_price
from stillroom.documents.blocks import Link, Page, Table
from stillroom.errors import NotAllowed, StillroomError
from stillroom.records.laboratory_from_yaml import UNITS
from stillroom.reference.tables import table
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm, comes_from_a_phone, trouble_of
from stillroom.web.pages import go, lab_of, open_lab, send_form, serve_page, status_of, write

router = APIRouter()
HERE = "Laboratory"


def asked_condition(lab: Laboratory, what: str, *, name: str = "", required: bool = True) -> Ask:
    """A field that asks how the house is, with the last value and its age offered and nothing filled in.

    Parameters
    ----------
    lab : Laboratory
    what : str
        One of ``HOUSE``.
    name : str
        Of the field; made from ``what`` when empty.
    required : bool
    """
    asked, last = asked_of(what), last_condition(lab, what)
    hint = (
        f"{last.as_written}, {last.age(lab.clock())}"
        if last
        else t("house_form.such_nothing_filled", example=asked.example)
    )
    return Ask(
        name or what.replace(" ", "-"), what.capitalize(), unit="" if what == "working hours" else asked.unit,
        hint=hint, required=required,
    )  # fmt: skip


def _begin(lab: Laboratory | None) -> Form:
    return Form(
        title=t("house_form.begin_your_own_laboratory"),
        kind="laboratory",
        lead=t("house_form.empty_book_your_own"),
        action="/laboratory/new",
        button=t("house_form.begin_it"),
        here=HERE,
        back="/",
        rows=(
            Ask(
                "name",
                t("house_form.name_of_the_laboratory"),
                hint=t("house_form.printed_every_document_can"),
            ),
            Ask("person", t("house_form.your_name"), hint=t("house_form.printed_certificates_you_may")),
            Ask(
                "code",
                t("house_form.you_sign_as"),
                hint=t("house_form.left_empty_your_initials"),
                required=False,
            ),
        ),
        links=((t("house_form.laboratories_that_lie_here"), "/laboratory/others"),) if lab else (),
    )


def _serve(request: Request, lab: Laboratory) -> None:
    """Serve another laboratory from now on; the one before stays whole and is closed when the program ends."""
    before = open_lab(request)
    if before is not None:
        kept = getattr(request.app.state, "opened_before", ())
        request.app.state.opened_before = (*kept, before)
    request.app.state.lab = lab
    request.app.state.home = lab.folder


def _refuse_elsewhere(request: Request) -> None:
    if comes_from_a_phone(request.scope):
        raise NotAllowed("A laboratory is begun and opened at this machine", "a phone", "Go to the laptop")
    if getattr(request.app.state, "phones", None) is not None:
        raise NotAllowed(
            "Another laboratory is opened with no phone joined", "phones are let in", "Close their door first"
        )


@router.get("/laboratory/new")
def new_laboratory(request: Request) -> Response:
    """An empty beginning."""
    return send_form(request, _begin(open_lab(request)), template="unsigned.html")


@router.post("/laboratory/new")
def begin_new(request: Request, typed: TypedForm) -> Response:
    """Begin a laboratory, and serve it."""
    try:
        _refuse_elsewhere(request)
        made = begin_beside(
            request.app.state.home, typed["name"], typed["person"], typed["code"], beside=open_lab(request)
        )
    except StillroomError as error:
        return _again(request, _begin(open_lab(request)), typed, error)
    _serve(request, made)
    with made.look() as look:
        first = look.people()[0]
    return go(
        "/laboratory",
        t("house_form.begun_signs", typed=typed["name"], first_name=first.name, first_code=first.code),
        1,
        hand=first.code,
    )


def _again(request: Request, form: Form, typed: Typed, error: StillroomError) -> Response:
    trouble = trouble_of(error, {one.name for one in form.asks()})
    return send_form(request, form, typed, trouble, status=status_of(error), template="unsigned.html")


@router.post("/laboratory/open")
def open_another(request: Request, typed: TypedForm) -> Response:
    """Serve the laboratory of a folder beside this one."""
    _refuse_elsewhere(request)
    lab = open_beside(request.app.state.home, typed["folder"], beside=open_lab(request))
    _serve(request, lab)
    return go("/bench", t("house_form.this_is_now", lab=page_facts(lab)["laboratory"]))


def _others(lab: Laboratory, _: Page) -> dict[str, Any]:
    closed = [one for one in neighbours(lab.folder, opened=lab.folder) if not one.is_open and one.name]
    return {"closed": closed, "doing": ((t("house_form.begin_your_own_laboratory"), "/laboratory/new", ""),)}


def show_instruments(lab: Laboratory) -> Page:
    """The kinds of instrument that can be put into use."""
    rows = tuple(
        (
            Link(t("house_form.add_called", called=t(f"instrument.{page}")), f"/laboratory/{page}/new"),
            UNITS[KINDS[page][2]],
        )
        for page in KINDS
    )
    return Page(
        t("house_form.instruments"),
        "laboratory",
        "",
        (Table((t("house_form.kind"), t("house_form.shows")), rows),),
        **page_facts(lab),
        lead=t("house_form.each_says_smallest_step"),
        href="/laboratory/instruments",
    )


def _instrument(lab: Laboratory, page: str) -> Form:
    unit = UNITS[kind_of_instrument(page)[2]]
    return Form(
        title=t("house_form.add_called", called=t(f"instrument.{page}")),
        kind="instrument",
        lead=t("house_form.figure_enough_cannot_show"),
        action=f"/laboratory/{page}/new",
        button=t("house_form.put_it_into_use"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask("smallest-step", t("house_form.smallest_step"), hint=t(f"instrument.{page}_step")),
            (
                Ask("largest", t("house_form.the_most_it_takes"), unit=unit, required=False),
                Ask(
                    "standard-uncertainty",
                    t("house_form.standard_uncertainty_reading"),
                    unit=unit,
                    required=False,
                ),
            ),
            (
                Ask(
                    "code",
                    t("house_form.code"),
                    value=next_code(lab, page),
                    hint=t("house_form.write_instrument"),
                    required=False,
                ),
                Ask("name", t("house_form.what_you_call_it"), required=False),
            ),
            *((_made_of(),) if unit == "mL" else ()),
        ),
    )


def _made_of() -> Ask:
    materials = tuple((one.key, one.key) for one in table("vessel_materials").rows)
    return Ask(
        "material",
        t("house_form.made_of"),
        choices=(("", t("house_form.not_said")), *materials),
        required=False,
    )


@router.get("/laboratory/{page}/new")
def new_of_a_kind(request: Request, page: str, what: str = "") -> Response:
    """An empty form for a person, a price, a condition or an instrument."""
    return send_form(request, _form(lab_of(request), page, what))


@router.post("/laboratory/{page}/new")
def write_of_a_kind(request: Request, page: str, typed: TypedForm) -> Response:
    """Write a person, a price, a condition or an instrument."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        match page:
            case "address":
                return describe_house(lab, {one: typed[one.replace(" ", "-")] for one in HOUSE_WORDS}, **sign)
            case "people":
                return add_person(
                    lab, typed["name"], typed["code"], may_release=typed["release"] == "yes", **sign
                )
            case "prices":
                return note_price(lab, typed["of"], typed["price"], **sign)
            case "conditions":
                what = typed["what"]
                unit = "" if what == "working hours" else asked_of(what).unit
                text = typed.amount("value", unit) if unit else typed["value"]
                return _told_at("value", lambda: note_condition(lab, what, text, **sign))
        unit = UNITS[kind_of_instrument(page)[2]]
        return add_instrument(
            lab,
            page,
            typed.amount("smallest-step", unit),
            code=typed["code"],
            name=typed["name"],
            largest=typed.amount("largest", unit),
            uncertainty=typed.amount("standard-uncertainty", unit),
            material=typed["material"],
            **sign,
        )

    return write(request, typed, lambda: _form(lab_of(request), page, typed["what"]), act, then="/laboratory")


def _told_at(field: str, act: Any) -> Done:
    try:
        done: Done = act()
    except StillroomError as error:
        raise error.at(field) from None
    return done


def _form(lab: Laboratory, page: str, what: str) -> Form:
    if page == "address":
        return _address(lab)
    if page == "people":
        return _person()
    if page == "prices":
        return _price()
    if page == "conditions":
        return _condition(lab, what)
    return _instrument(lab, page)


def _address(lab: Laboratory) -> Form:
    with lab.look() as look:
        house = look.house()
    return Form(
        title=t("house_described.title"),
        kind="laboratory",
        lead=t("house_described.lead"),
        action="/laboratory/address/new",
        button=t("house_described.save"),
        here=HERE,
        back="/laboratory",
        rows=tuple(
            Ask(
                one.replace(" ", "-"),
                t(f"house_described.{one.replace(' ', '_')}"),
                value=getattr(house, one.replace(" ", "_")),
                required=False,
            )
            for one in HOUSE_WORDS
        ),
    )


def _person() -> Form:
    return Form(
        title=t("house_form.add_a_person"),
        kind="people",
        lead=t("house_form.whoever_does_something_signs"),
        action="/laboratory/people/new",
        button=t("house_form.write_it"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask("name", t("house_form.name"), hint=t("house_form.as_printed_on_certificates")),
            (
                Ask(
                    "code",
                    t("house_form.signs_as"),
                    hint=t("house_form.left_empty_the_initials"),
                    required=False,
                ),
                Ask(
                    "release",
                    t("house_form.release"),
                    choices=(("no", t("house_form.may_not_release")), ("yes", t("house_form.may_release"))),
                    hint=t("house_form.only_may_release_can"),
                ),
            ),
        ),
    )


def _price() -> Form:
    return Form(
        title=t("house_form.note_a_price"),
        kind="prices",
        lead=t("house_form.you_pay_takes_place"),
        action="/laboratory/prices/new",
        button=t("house_form.note_it"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask(
                "of",
                t("house_form.of_what"),
                hint=t("house_form.shelf_rosemary_leaf_stock"),
            ),
            Ask(
                "price",
                t("house_form.price"),
                hint=t("house_form.currency_unit_eur_eur"),
            ),
        ),
    )


def _condition(lab: Laboratory, what: str) -> Form:
    chosen = what if what in HOUSE else next(iter(HOUSE))
    asked = asked_condition(lab, chosen, name="value")
    return Form(
        title=t("house_form.note_how_house"),
        kind="the house",
        lead=t("house_form.last_noted_stands_until"),
        action="/laboratory/conditions/new",
        button=t("house_form.note_it"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask("what", t("house_form.what"), choices=tuple((one, one) for one in HOUSE), value=chosen)
            if what not in HOUSE
            else Ask("what", t("house_form.what"), "hidden", value=chosen),
            asked
            if what in HOUSE
            else Ask("value", t("house_form.as_read_off"), hint=t("house_form.unit_m_h_day")),
        ),
    )


serve_page(router, "/laboratory/others", show_others, here=HERE, template="others.html", extras=_others)
serve_page(router, "/laboratory/instruments", show_instruments, here=HERE)
