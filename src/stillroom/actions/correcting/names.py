"""Names and facts put right: what an order says, who somebody is, what an instrument is called and shows."""

from collections.abc import Mapping
from dataclasses import asdict, replace

from stillroom.actions.book.ceilings import aim_must_be_lawful
from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.house.duties import refuse_duties
from stillroom.actions.house.equipment_and_people import refuse_a_name_twice, refuse_a_right_not_held
from stillroom.documents.entry_words import DUTY_WORDS, duty_words
from stillroom.records.entries import ApparatusAdded, DutiesGiven, Entry, OrderTaken, PersonJoined
from stillroom.records.laboratory_from_yaml import apparatus_from_fields
from stillroom.records.order_from_yaml import OF_A_DOSE, order_from_fields
from stillroom.records.orders import Order
from stillroom.records.people import Apparatus
from stillroom.records.written_values import one_line, yes_or_no
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

LONG = ("notes",)
MAY_RELEASE = "may release"


def _order_says(order: Order) -> dict[str, str]:
    says = {
        "customer": order.customer,
        "product": order.product,
        "kind": order.product_type,
        "market": order.market,
        "bottles": f"{order.units} × {order.content.exact}",
        "aim": order.aim.as_written,
        "declared at least": order.at_least.as_written,
        "due": order.due,
        "how sure": f"{order.how_sure_percent:.12g} %",
        "notes": order.notes,
    }
    return {name: text for name, text in says.items() if not order.is_plain or name not in OF_A_DOSE}


def _of_order(_: Reader, entry: Entry[OrderTaken]) -> tuple[Field, ...]:
    says = _order_says(entry.body.order)
    return tuple(
        Field(name, name.capitalize(), text, kind="long" if name in LONG else "text")
        for name, text in says.items()
    )


def _order_otherwise(pen: BookWriter, entry: Entry[OrderTaken], changed: Mapping[str, str], why: str) -> Done:
    old = entry.body.order
    fixed = {"order": old.code, "formula": old.formula, "extraction": old.extraction}
    fixed = {name: text for name, text in fixed.items() if text}
    order = order_from_fields({**fixed, **_order_says(old), **changed})
    aim_must_be_lawful(pen.look, order)
    number = enter_again(pen, entry, OrderTaken(order), why)
    return Done((number,), t("{batch}: {what} corrected.", batch=old.code, what=", ".join(changed)))


def _yes_or_no() -> tuple[tuple[str, str], ...]:
    return ("no", t("no")), ("yes", t("yes"))


def _of_person(look: Reader, entry: Entry[PersonJoined]) -> tuple[Field, ...]:
    person = entry.body.person
    name = Field("name", t("Name"), person.name)
    if person.code in look.duties():
        return (name,)
    return (
        name,
        Field(
            MAY_RELEASE,
            t("May release"),
            "yes" if person.may_release else "no",
            choices=_yes_or_no(),
        ),
    )


def _person_otherwise(
    pen: BookWriter, entry: Entry[PersonJoined], changed: Mapping[str, str], why: str
) -> Done:
    old = entry.body.person
    person = replace(
        old,
        name=one_line(changed.get("name", old.name), "name"),
        may_release=yes_or_no(changed[MAY_RELEASE], MAY_RELEASE)
        if MAY_RELEASE in changed
        else old.may_release,
    )
    refuse_a_name_twice(pen.look.people(), person)
    if not old.may_release:
        refuse_a_right_not_held(pen, person)
    number = enter_again(pen, entry, PersonJoined(person), why)
    return Done((number,), t("{batch}: {what} corrected.", batch=person.code, what=", ".join(changed)))


def _of_duties(_: Reader, entry: Entry[DutiesGiven]) -> tuple[Field, ...]:
    return tuple(
        Field(one, t(words), "yes" if getattr(entry.body, one) else "no", choices=_yes_or_no())
        for one, words in DUTY_WORDS.items()
    )


def _duties_otherwise(
    pen: BookWriter, entry: Entry[DutiesGiven], changed: Mapping[str, str], why: str
) -> Done:
    said = {one: yes_or_no(text, one) for one, text in changed.items()}
    given = DutiesGiven(**{**asdict(entry.body), **said})
    refuse_duties(pen, given)
    number = enter_again(pen, entry, given, why)
    return Done((number,), t("{batch}: {what} corrected.", batch=given.person, what=duty_words(given)))


def _apparatus_says(one: Apparatus) -> dict[str, str]:
    if one.is_glass:
        return {"name": one.name, "largest": f"{one.largest or 0.0:.12g} {one.unit}"}
    return {
        "name": one.name,
        "smallest step": f"{one.smallest_step:.12g} {one.unit}",
        "standard uncertainty": f"{one.standard_uncertainty:.12g} {one.unit}",
        "largest": f"{one.largest:.12g} {one.unit}" if one.largest else "",
    }


def _of_apparatus(_: Reader, entry: Entry[ApparatusAdded]) -> tuple[Field, ...]:
    says = _apparatus_says(entry.body.apparatus)
    return tuple(Field(name, name.capitalize(), text) for name, text in says.items())


def _apparatus_otherwise(
    pen: BookWriter, entry: Entry[ApparatusAdded], changed: Mapping[str, str], why: str
) -> Done:
    old = entry.body.apparatus
    fixed = {"code": old.code, "kind": old.kind, "unit": old.unit, "made of": old.material}
    says = {**fixed, **_apparatus_says(old), **changed}
    found = apparatus_from_fields({name: text for name, text in says.items() if text})
    number = enter_again(pen, entry, ApparatusAdded(found), why)
    return Done((number,), t("{batch}: {what} corrected.", batch=old.code, what=", ".join(changed)))


ORDER = Way(_of_order, _order_otherwise, later("What it said before stays to be read"))
DUTIES = Way(_of_duties, _duties_otherwise, later("What it said before stays to be read"))
PERSON = Way(_of_person, _person_otherwise, later("What it said before stays to be read"))
APPARATUS = Way(_of_apparatus, _apparatus_otherwise, later("What it said before stays to be read"))
