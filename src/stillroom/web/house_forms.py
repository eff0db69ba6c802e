"""One's own laboratory in the browser: begun, opened, furnished, and asked how the house is.

Beginning and opening change what is served, so they are done at this machine only; a phone is not let in here.
"""

from typing import Any

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.house.describing import HOUSE_LABELS, HOUSE_WORDS, describe_house
from stillroom.actions.house.equipment_and_people import (
    KINDS,
    add_instrument,
    add_person,
    kind_of_instrument,
    next_code,
)
from stillroom.actions.house.house_facts import last_condition, note_condition
from stillroom.actions.house.pricing import currency_of, note_price
from stillroom.documents.blocks import Link, Page, Table
from stillroom.errors import StillroomError
from stillroom.planning.house_said import HOUSE, asked_of
from stillroom.records.laboratory_from_yaml import UNITS
from stillroom.records.people import GLASS
from stillroom.reference.tables import table
from stillroom.texts.catalogue import later, t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Laboratory"


INSTRUMENTS = {
    "scales": (later("a scale"), later("0.01 g, or as it is called: 0.01 g scale")),
    "measures": (later("a measure"), later("1 mL, or as it is called: 1 mL measuring cylinder")),
    "thermometers": (later("a thermometer"), later("0.1 °C")),
    "burettes": (later("a burette"), later("0.05 mL")),
    "heaters": (later("a heater or bath"), later("10 W")),
    "vessels": (later("a vessel"), later("50 mL, or as it is called: 250 mL measuring flask")),
    "extractors": (
        later("a Soxhlet extractor"),
        later("190 mL stand in it when it siphons, measured with water"),
    ),
    "thimbles": (later("a thimble"), later("150 mL of plant, up to a finger below the crest")),
    "flasks": (later("a boiling flask"), later("500 mL")),
    "condensers": (later("a condenser"), later("300 W, the most whose vapour it was seen to catch")),
    "percolators": (later("a percolator"), later("2000 mL")),
    "stills": (later("a still"), later("5 L, or a rotary evaporator of 1 L")),
}
"""What each kind is called, and how its smallest step may be written."""


def asked_condition(lab: Laboratory, what: str, *, name: str = "", required: bool = True) -> Ask:
    """A field that asks how the house is, with the last value and its age offered and nothing filled in.

    Parameters
    ----------
    what : str
        One of ``HOUSE``.
    name : str
        Of the field; made from ``what`` when empty.
    """
    asked, last = asked_of(what), last_condition(lab, what)
    hint = (
        f"{last.as_written}, {last.age(lab.clock())}"
        if last
        else t("Such as {example}. Nothing is filled in", example=asked.example)
    )
    return Ask(
        name or what.replace(" ", "-"), what.capitalize(), unit="" if what == "working hours" else asked.unit,
        hint=hint, required=required,
    )  # fmt: skip


def show_instruments(lab: Laboratory) -> Page:
    """The kinds of instrument that can be put into use."""
    rows = tuple(
        (
            Link(t("Add {called}", called=t(INSTRUMENTS[page][0])), f"/laboratory/{page}/new"),
            UNITS[KINDS[page][2]],
        )
        for page in KINDS
    )
    return Page(
        t("Instruments"),
        "laboratory",
        "",
        (Table((t("Kind"), t("Shows")), rows),),
        **page_facts(lab),
        lead=t("Each says its readability: the smallest step it shows. The rest can be left empty."),
        href="/laboratory/instruments",
    )


def _instrument(lab: Laboratory, page: str) -> Form:
    kind, _, dimension = kind_of_instrument(page)
    unit, glass = UNITS[dimension], kind in GLASS
    hint = t("Write it on the instrument")
    return Form(
        title=t("Add {called}", called=t(INSTRUMENTS[page][0])),
        kind="instrument",
        lead=t("One figure is enough. Nothing here asks for more than it can show."),
        button=t("Put it into use"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask("smallest-step", t("It takes") if glass else t("Readability"), hint=t(INSTRUMENTS[page][1])),
            *(() if glass else (_of_a_reading(unit),)),
            (
                Ask("code", t("Code"), value=next_code(lab, page), hint=hint, required=False),
                Ask("name", t("What you call it"), required=False),
            ),
            *((_made_of(),) if unit == "mL" and not glass else ()),
        ),
    )  # fmt: skip


def _of_a_reading(unit: str) -> tuple[Ask, Ask]:
    doubt = t("Standard uncertainty of a reading")
    most = Ask("largest", t("The most it takes"), unit=unit, required=False)
    return most, Ask("standard-uncertainty", doubt, unit=unit, required=False)


def _made_of() -> Ask:
    materials = tuple((one.key, one.key) for one in table("vessel_materials").rows)
    return Ask("material", t("Made of"), choices=(("", t("not said")), *materials), required=False)


def _write_condition(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Write how the house is."""
    what = typed["what"]
    unit = "" if what == "working hours" else asked_of(what).unit
    text = typed.amount("value", unit) if unit else typed["value"]
    return _told_at("value", lambda: note_condition(lab, what, text, **sign))


def _write_of_a_kind(lab: Laboratory, typed: Typed, sign: Signed, page: str) -> Done:
    """Write a person, a price or an instrument."""
    match page:
        case "address":
            return describe_house(lab, {one: typed[one.replace(" ", "-")] for one in HOUSE_WORDS}, **sign)
        case "people":
            return add_person(
                lab, typed["name"], typed["code"], may_release=typed["release"] == "yes", **sign
            )
        case "prices":
            return note_price(lab, typed["of"], typed["price"], **sign)
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


def _told_at(field: str, act: Any) -> Done:
    try:
        done: Done = act()
    except StillroomError as error:
        raise error.at(field) from None
    return done


def _form(lab: Laboratory, page: str) -> Form:
    if page == "address":
        return _address(lab)
    if page == "people":
        return _person()
    if page == "prices":
        return _price(lab)
    return _instrument(lab, page)


def _address(lab: Laboratory) -> Form:
    with lab.look() as look:
        house = look.house()
    return Form(
        title=t("Address of the laboratory"),
        kind="laboratory",
        lead=t(
            "Printed on certificates and labels. The telephone and the e-mail are printed where "
            "they are written here."
        ),
        button=t("Save"),
        here=HERE,
        back="/laboratory",
        rows=tuple(
            Ask(
                one.replace(" ", "-"),
                t(HOUSE_LABELS[one]),
                value=getattr(house, one.replace(" ", "_")),
                required=False,
            )
            for one in HOUSE_WORDS
        ),
    )


def _person() -> Form:
    return Form(
        title=t("Add a person"),
        kind="people",
        lead=t("Whoever does something signs for it. Two pairs of eyes are better than one for a release."),
        button=t("Save"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask("name", t("Name"), hint=t("As printed on certificates")),
            (
                Ask("code", t("Signs as"), hint=t("Left empty: the initials"), required=False),
                Ask(
                    "release",
                    t("Release"),
                    choices=(("no", t("may not release")), ("yes", t("may release"))),
                    hint=t("Only who may release can give that right"),
                ),
            ),
        ),
    )


def _price(lab: Laboratory) -> Form:
    with lab.look() as look:
        currency = currency_of(look)
    return Form(
        title=t("Note a price"),
        kind="prices",
        lead=t("What you pay takes the place of an invented round price in every plan from now on."),
        button=t("Save"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask(
                "of",
                t("Of what"),
                hint=t("As on the shelf: rosemary leaf, stock spirit, bottle 100 mL, electricity, hour"),
            ),
            Ask(
                "price",
                t("Price"),
                hint=t(
                    "With currency and unit: 38 {currency}/kg, 0.55 {currency}/piece, 25 {currency}/h",
                    currency=currency,
                ),
            ),
        ),
    )


def _condition(lab: Laboratory, what: str = "") -> Form:
    chosen = what if what in HOUSE else next(iter(HOUSE))
    asked = asked_condition(lab, chosen, name="value")
    return Form(
        title=t("Room and site"),
        kind="the house",
        lead=t("The last one noted stands until somebody notes another."),
        button=t("Save"),
        here=HERE,
        back="/laboratory",
        rows=(
            Ask("what", t("What"), choices=tuple((one, one) for one in HOUSE), value=chosen)
            if what not in HOUSE
            else Ask("what", t("What"), "hidden", value=chosen),
            asked
            if what in HOUSE
            else Ask("value", t("As read off"), hint=t("With its unit: 31 °C, 240 m, 8 h a day")),
        ),
    )


serve_form(router, "/laboratory/conditions/new", _condition, _write_condition, then="/laboratory")
serve_form(router, "/laboratory/{page}/new", _form, _write_of_a_kind, then="/laboratory", needs="owner")
serve_page(router, "/laboratory/instruments", show_instruments, here=HERE)
