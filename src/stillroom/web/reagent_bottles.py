"""Bottles of reagent: opened, tried before use, labelled, certified, sold."""

from collections.abc import Callable
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.bench.lots_offered import lot_in_hand
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.testing.reagent_bottles import open_lot, sell_reagent, try_reagent
from stillroom.documents.blocks import Page
from stillroom.pages.reagents import show_bottle_label, show_reagent_certificate
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Choices, Form, Row, Signed, Typed
from stillroom.web.pages import facts_of_request, lab_of, send_page
from stillroom.web.reagents import AT, Build, add_twins

router = Addresses()
OF_LOTS: dict[str, Build] = {"label": show_bottle_label, "certificate": show_reagent_certificate}


def _seen() -> Choices:
    return (
        ("", t("choose")),
        ("precipitate", t("its colour or precipitate")),
        ("clear", t("nothing")),
        ("unclear", t("unclear")),
        ("not done", t("not done")),
    )


def _of_lot(paper: str) -> Callable[[Request, dict[str, Any]], Page]:
    return lambda request, parts: OF_LOTS[paper](lab_of(request), parts["lot"], facts_of_request(request))


def _lot_html(paper: str) -> Callable[[Request], Response]:
    def html(request: Request) -> Response:
        lot = request.path_params["lot"]
        doing = ((t("The lot"), f"/stock/{lot}", "quiet"),)
        return send_page(request, _of_lot(paper)(request, {"lot": lot}), here="Test", doing=doing)

    return html


def _lot_form(lab: Laboratory, lot: str, act: str) -> Form:
    known = lot_in_hand(lab, lot)
    rows: dict[str, tuple[str, str, tuple[Row, ...]]] = {
        "open": (
            t("Open the bottle"),
            t("Save that it was opened"),
            (Ask("note", t("Note"), required=False),),
        ),
        "try": (
            t("Try it before use"),
            t("Save what was seen"),
            (
                Ask("blank", t("The blank gave"), choices=_seen()),
                Ask("positive", t("The positive control gave"), choices=_seen()),
            ),
        ),
        "sell": (
            t("Sell reagent"),
            t("Save the sale"),
            (
                (
                    Ask("amount", t("How much"), "figure", "g"),
                    Ask("packs", t("In which packs"), hint=t("2 bottles of 50 g")),
                ),
                (
                    Ask("price", t("Price"), hint="12.50 EUR"),
                    Ask("buyer", t("To whom")),
                ),
                Ask(
                    "permit",
                    t("A permit was looked at"),
                    choices=(("", t("not needed, or not yet")), ("yes", "yes")),
                    required=False,
                ),
            ),
        ),
    }
    title, button, fields = rows[act]
    return Form(
        title=title,
        kind=f"lot {lot}, {known.name}",
        button=button,
        rows=fields,
        here="Test",
        back=f"/stock/{lot}",
        cautions=(caution("missing-control"),) if act == "try" else (),
    )


def _sell(lab: Laboratory, typed: Typed, sign: Signed, lot: str) -> Done:
    return sell_reagent(
        lab,
        lot,
        amount=typed.amount("amount", "g"),
        packs=typed["packs"],
        price=typed["price"],
        buyer=typed["buyer"],
        permit_looked_at=typed["permit"] == "yes",
        **sign,
    )


ACTS: dict[str, Callable[..., Done]] = {
    "open": lambda lab, typed, sign, lot: open_lot(lab, lot, note=typed["note"], **sign),
    "try": lambda lab, typed, sign, lot: try_reagent(
        lab, lot, blank=typed["blank"], positive_control=typed["positive"], **sign
    ),
    "sell": _sell,
}


def _form_of(act: str) -> Callable[[Laboratory, str], Form]:
    def form(lab: Laboratory, lot: str) -> Form:
        return _lot_form(lab, lot, act)

    return form


for _act, _does in ACTS.items():
    serve_form(router, f"{AT}/lots/{{lot}}/{_act}", _form_of(_act), _does, then="/stock/{lot}")
for _name in OF_LOTS:
    add_twins(router, f"{AT}/lots/{{lot}}/{_name}", _of_lot(_name), _lot_html(_name), _name)
