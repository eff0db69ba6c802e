"""The acts of the book as forms: every field is read off the declaration of the act.

Decides nothing about what may be entered. What of the laboratory may be chosen is offered by ``OFFERED``.
"""

from collections.abc import Callable, Mapping
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.bench.form_choices import apparatus, is_a_lot, next_up, step_names
from stillroom.actions.bench.lots_offered import LotChoice, lot_choices, lot_in_hand, titrants
from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Laboratory
from stillroom.asking.entries import Entry
from stillroom.errors import spoken
from stillroom.records.lot_kinds import kinds_that
from stillroom.reference.cautions import caution
from stillroom.substances.reagents import reagent_key
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, AskKind, Choices, Form, Row, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = Addresses()


def tools(lab: Laboratory, *kinds: str) -> Choices:
    """Apparatus as a field offers it."""
    return tuple(
        (one.code, t("{one.code}, {one.name}, to {one.smallest_step:g} {one.unit}", one=one))
        for kind in kinds
        for one in apparatus(lab, kind)
    )


def lots_named(lots: tuple[LotChoice, ...], words: str = "{0.code}, {0.name}") -> Choices:
    """Lots as a field offers them, with the reason where one may not be used."""
    return tuple((one.code, words.format(one) + (f" ({one.refused})" if one.refused else "")) for one in lots)


def _reagents_of_tests(lab: Laboratory) -> Choices:
    lots = tuple(
        one
        for one in lot_choices(lab, kinds=kinds_that(lambda one: one.used_to == "test"))
        if reagent_key(one.substance)
    )
    return lots_named(lots, "{0.substance}: {0.code}")


def _orders(lab: Laboratory, lot: str, *, of_it: bool) -> Choices:
    """Every order, those first on which some of a lot went out; ``of_it``: they alone, where there are any."""
    with lab.look() as look:
        has = {
            account.removeprefix("customer/") for (account, _), left in look.balances(lot).items() if left > 0
        }
        orders = sorted(look.orders(), key=lambda one: one.code not in has)
    if of_it and any(one.code in has for one in orders):
        orders = [one for one in orders if one.code in has]
    return tuple((one.code, f"{one.code}, {one.customer}") for one in orders)


OFFERED: Mapping[str, Callable[[Laboratory, str], Choices]] = {
    "titrant": lambda lab, _: lots_named(titrants(lab)),
    "reagent": lambda lab, _: _reagents_of_tests(lab),
    "burette or scale": lambda lab, _: tools(lab, "burette", "scale"),
    "scale, or counted": lambda lab, _: (("", t("counted")), *tools(lab, "scale")),
    "step of it": lambda lab, batch: tuple((one, one) for one in step_names(lab, batch)),
    "order, if any": lambda lab, lot: (("", "-"), *_orders(lab, lot, of_it=False)),
    "order it went out on": lambda lab, lot: _orders(lab, lot, of_it=True),
}
"""What may be chosen for a lot or batch, by the name an entry gives it; any other name is a kind of apparatus."""


def act_form(lab: Laboratory, act: Act[Any], code: str) -> Form:
    """The form of an act.

    Parameters
    ----------
    code : str
        Of the lot or batch.
    """
    address = act.address.format(code=code)
    page = act.address.split("/")[1]
    running = not is_a_lot(lab, code)
    called = next_up(lab, code).title if running else lot_in_hand(lab, code).name
    with lab.look() as look:
        lead = t(act.lead) if isinstance(act.lead, str) else act.lead(look, code)
        begins = act.offered(look, code) if act.offered else {}
    rows, more = _rows(lab, act, code, begins)
    return Form(
        title=t(act.title, **{act.of.lower(): code}),
        kind=_kind(page, code, called),
        lead=lead,
        action=address,
        button=t(act.button),
        rows=rows,
        more=more,
        here=page.capitalize(),
        back=f"/make/{code}" if running and page != "trace" else f"/{page}/{code}",
        stops=act.stops,
        cautions=tuple(caution(one) for one in act.cautions),
        links=tuple((t(words), to.format(code=code)) for words, to in act.links),
    )


def _kind(page: str, code: str, called: str) -> str:
    match page:
        case "trace":
            return t("trace report")
        case "make":
            return t("batch {code}", code=code)
        case "test":
            return t("test of {code}, {called}", code=code, called=called)
    return t("lot {code}, {called}", code=code, called=called)


def _rows(
    lab: Laboratory, act: Act[Any], code: str, begins: Mapping[str, str]
) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """What is asked, and what is folded beneath it: further lines, and what is seldom said."""
    rows: list[list[Ask]] = []
    more: list[list[Ask]] = []
    for one in act.said.declared():
        lines = [(one,)] if isinstance(one, Entry) else [one.entries(at) for at in range(1, one.most + 1)]
        for at, entry in ((at, each) for at, line in enumerate(lines, 1) for each in line):
            further = not isinstance(one, Entry) and at > one.shown
            first = at == 1 and (isinstance(one, Entry) or bool(one.must))
            ask = _ask(
                entry, begins.get(entry.name, ""), _choices(lab, entry, code), required=entry.needed and first
            )
            to = more if further or entry.face.get("folded") else rows
            if entry.face.get("beside") and to:
                to[-1].append(ask)
            else:
                to.append([ask])
    asked, beneath = (tuple(tuple(row) if len(row) > 1 else row[0] for row in each) for each in (rows, more))
    return asked, beneath


def _ask(one: Entry, begins: str, choices: Choices | None, *, required: bool) -> Ask:
    face, kind = one.face, one.reads.kind
    kinds: dict[str, AskKind] = {"figure": "figure", "long": "long", "date": "date"}
    return Ask(
        one.name,
        spoken(face["label"]),
        kinds.get(kind, "text"),
        spoken(one.reads.unit) if one.reads.unit else "",
        spoken(face.get("hint", "")),
        begins or face.get("chosen", ""),
        required,
        choices,
    )


def _choices(lab: Laboratory, one: Entry, code: str) -> Choices | None:
    face = one.face
    left_out = (("", t(face["left_out"])),) if "left_out" in face else ()
    if "offers" in face:
        offered = OFFERED.get(face["offers"])
        return (*(offered(lab, code) if offered else tools(lab, face["offers"])), *left_out)
    if one.reads.kind != "choice":
        return None
    choose = (("", t("choose")),) if one.needed else left_out
    return (*choose, *((name, t(words)) for name, words in one.reads.options().items()))


def link_of(act: Act[Any], words: str, code: str) -> tuple[str, str, str]:
    """The link to an act: words, address and style.

    Parameters
    ----------
    code : str
        Of the lot or batch.
    """
    return words, act.address.format(code=code), "quiet" if act.quiet else ""


def serve_act(router: Addresses, act: Act[Any]) -> None:
    """Give an act its address: the form, and what it writes."""

    def form(request: Request, code: str) -> Response:
        return send_form(request, act_form(lab_of(request), act, code))

    def do(request: Request, code: str, typed: TypedForm) -> Response:
        lab = lab_of(request)
        then = act.then or (act.address.rpartition("/")[0] if is_a_lot(lab, code) else "/make/{code}")
        return write(
            request,
            typed,
            lambda: act_form(lab, act, code),
            lambda lab, sign: act.do(lab, code, said_of(act, typed), **sign),
            then=then.format(code=code),
        )

    router.serve(act.address, form, needs=act.needs, name=act.name)
    router.serve(act.address, do, needs=act.needs, does=True, name=act.name)


def said_of(act: Act[Any], typed: Typed) -> dict[str, str]:
    """What was typed into the fields of an act."""
    return {one.name: typed[one.name] for one in act.said.entries()}
