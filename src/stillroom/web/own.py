"""Markers, plants and ingredients of one's own: one page, and a form for each, filled with what stands."""

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.own_things import fields_of_own, show_own, state_fields
from stillroom.records.own_from_yaml import CHOSEN, FIGURES, KEYS, NEEDED, SEVERAL, UNITS, Kind
from stillroom.texts.catalogue import names, t, word
from stillroom.web.forms import Ask, AskKind, Choices, Form, Signed, TypedForm, field_name
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Laboratory"


def _kind(of: str) -> Kind:
    for kind in KEYS:
        if of == kind:
            return kind
    raise HTTPException(404)


def _ask(kind: Kind, key: str, value: str) -> Ask:
    name = key.replace(" ", "_")
    hint = t(f"own_form.{name}_hint") if f"{name}_hint" in names("own_form") else ""
    choices: Choices | None = None
    if key in CHOSEN:
        choices = tuple((one, word("own_form", one)) for one in CHOSEN[key])
        value = value or CHOSEN[key][0]
    shape: AskKind = "long" if key in SEVERAL else "figure" if key in FIGURES else "text"
    unit = UNITS.get(key, "")
    return Ask(
        field_name(key),
        t(f"own_form.{name}"),
        shape,
        unit,
        hint,
        value.removesuffix(f" {unit}").replace("; ", "\n") if unit else value.replace("; ", "\n"),
        required=key in NEEDED[kind] or choices is not None,
        choices=choices,
    )


def _form(lab: Laboratory, kind: Kind, name: str = "") -> Form:
    stands = fields_of_own(lab, kind, name)
    return Form(
        title=t(f"own.add_{kind}"),
        kind="laboratory",
        lead=t("own.lead"),
        action=f"/laboratory/own/{kind}",
        button=t("own_form.save"),
        here=HERE,
        back="/laboratory/own",
        rows=tuple(_ask(kind, key, stands.get(key, "")) for key in KEYS[kind]),
    )


@router.get("/laboratory/own/{of}")
def own_form(request: Request, of: str, name: str = "") -> Response:
    """The form of a marker, a plant or an ingredient; filled with what stands of that name."""
    return send_form(request, _form(lab_of(request), _kind(of), name))


@router.post("/laboratory/own/{of}")
def write_own(request: Request, of: str, typed: TypedForm) -> Response:
    """Write it into the book."""
    kind = _kind(of)

    def act(lab: Laboratory, sign: Signed) -> Done:
        fields = {key: typed.amount(field_name(key), UNITS.get(key, "")) for key in KEYS[kind]}
        return state_fields(lab, kind, fields, **sign)

    return write(request, typed, lambda: _form(lab_of(request), kind), act, then="/laboratory/own")


serve_page(
    router,
    "/laboratory/own",
    show_own,
    here=HERE,
    extras=lambda *_: {
        "doing": tuple((t(f"own.add_{kind}"), f"/laboratory/own/{kind}", "") for kind in KEYS)
    },
)
