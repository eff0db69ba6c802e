"""Markers, plants and ingredients of one's own: one page, and a form for each, filled with what stands."""

from starlette.exceptions import HTTPException

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.own_things import fields_of_own, state_fields
from stillroom.pages.own_things import ADD, show_own
from stillroom.records.own_from_yaml import CHOSEN, FIGURES, KEYS, NEEDED, SEVERAL, UNITS, Kind
from stillroom.texts.catalogue import later, t, word
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, AskKind, Choices, Form, Signed, Typed, field_name
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Laboratory"


LABELS = {
    "marker": (later("Marker"), later("As orders and results call it: scopoletin")),
    "plant": (later("Plant and its part"), later("As its lots are called: nettle root")),
    "ingredient": (later("Ingredient"), later("As formulas call it")),
    "part": (later("Part"), later("root, flower, bark")),
    "latin name": (later("Latin name"), later("Urtica dioica. Rules are looked up by it too")),
    "also called": (later("Also called"), later("other names, each on a line of its own")),
    "molar mass": (later("Molar mass"), ""),
    "charge": (
        later("In water it is"),
        later("a base is titrated with acid, an acid with alkali, a permanent charge by neither"),
    ),
    "equivalents": (later("Moles of titrant for one mole"), later("1 where left empty")),
    "pka": (later("pKa"), later("each on a line of its own")),
    "solubility": (later("Solubility, in words"), ""),
    "cas": (later("CAS number"), ""),
    "goes over with steam": (later("Goes over with steam"), ""),
    "loses by heat": (later("Loses by long boiling"), ""),
    "hardly in water": (later("Hardly dissolves in hot water"), ""),
    "source": (later("Where this was read"), later("book and page, or certificate")),
    "holds": (
        later("What it usually holds"),
        later("marker and range of the dried plant, each on a line: scopoletin 0.002 to 0.01 %"),
    ),
    "loss on drying": (later("Usual loss on drying"), ""),
    "water takes out": (later("Water takes out"), later("of the dried plant: 10 to 25 %")),
    "spirit takes out": (later("Spirit takes out"), later("of the dried plant: 8 to 20 %")),
    "name on the label": (later("Name in the list of ingredients"), ""),
    "used as": (later("Used as"), ""),
    "density": (later("Density at 20 °C"), ""),
}
"""What each key is called, and its hint."""


def _kind(of: str) -> Kind:
    for kind in KEYS:
        if of == kind:
            return kind
    raise HTTPException(404)


def _ask(kind: Kind, key: str, value: str) -> Ask:
    label, hint = LABELS[key]
    choices: Choices | None = None
    if key in CHOSEN:
        choices = tuple((one, word(one)) for one in CHOSEN[key])
        value = value or CHOSEN[key][0]
    shape: AskKind = "long" if key in SEVERAL else "figure" if key in FIGURES else "text"
    unit = UNITS.get(key, "")
    return Ask(
        field_name(key),
        t(label),
        shape,
        unit,
        t(hint) if hint else "",
        value.removesuffix(f" {unit}").replace("; ", "\n") if unit else value.replace("; ", "\n"),
        required=key in NEEDED[kind] or choices is not None,
        choices=choices,
    )


def _form(lab: Laboratory, of: str, name: str = "") -> Form:
    kind = _kind(of)
    stands = fields_of_own(lab, kind, name)
    return Form(
        title=t(ADD[kind]),
        kind="laboratory",
        lead=t(
            "What the tables here do not list. Entered once, it serves titration, plan, dose, "
            "content and label like what they hold. To change it, enter it again under the same "
            "name: the last one stands, the earlier stay in the book. Nothing here says that a "
            "plant or an ingredient is allowed."
        ),
        button=t("Save"),
        here=HERE,
        back="/laboratory/own",
        rows=tuple(_ask(kind, key, stands.get(key, "")) for key in KEYS[kind]),
    )


def _write(lab: Laboratory, typed: Typed, sign: Signed, of: str) -> Done:
    kind = _kind(of)
    fields = {key: typed.amount(field_name(key), UNITS.get(key, "")) for key in KEYS[kind]}
    return state_fields(lab, kind, fields, **sign)


serve_form(router, "/laboratory/own/{of}", _form, _write, then="/laboratory/own", needs="owner")
serve_page(
    router,
    "/laboratory/own",
    show_own,
    here=HERE,
    extras=lambda *_: {"doing": tuple((t(ADD[kind]), f"/laboratory/own/{kind}", "") for kind in KEYS)},
)
