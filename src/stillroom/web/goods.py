"""Goods under way in the browser: the list of them, one of them, and the form that says what was ordered."""

from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.pricing import price_like
from stillroom.actions.offers.to_order import LineToOrder, ToOrder, to_order
from stillroom.actions.shelf.goods_under_way import Wanted, order_goods
from stillroom.documents.blocks import Page
from stillroom.pages.goods import show_goods, show_goods_under_way
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.forms import NOTHING_TYPED, Ask, Form, Row, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = Addresses()
HERE = "Stock"
NEW = "/goods/new"


def _form(lab: Laboratory, wanted: str, typed: Typed = NOTHING_TYPED) -> Form:
    listed = to_order(lab, wanted) if wanted else ToOrder()
    standing = {one.substance for one in listed.lines}
    meanwhile = t("somebody ordered it meanwhile")
    lines = (
        *listed.lines,
        *(LineToOrder(one, "", "", meanwhile) for one in _amounts(typed) if one not in standing),
    )
    rows: list[Row] = [
        (Ask("supplier", t("From"), required=False), Ask("comes", t("Comes on"), "date", value=listed.comes)),
        Ask("order", t("For the order"), value=listed.order, hint=t("Where it is for one"), required=False),
        Ask("for", "for", "hidden", value=wanted),
    ]
    rows += [
        (
            Ask(f"amount-{one.substance}", one.substance, value=one.amount, hint=one.says, required=False),
            Ask(f"price-{one.substance}", t("Price"), value=one.price, required=False),
        )
        for one in lines
    ]
    if not lines:
        rows += [
            Ask("substance", t("Substance"), hint=t("Its key in the procedures: cinchona bark, spirit 96 %")),
            (
                Ask("amount", t("Amount"), hint=t("Such as 2.5 kg, 120 pieces, 5 L")),
                Ask("price", t("Price"), hint=t("As agreed: {price}", price=price_like(lab)), required=False),
            ),
        ]
    return Form(
        title=t("What was ordered"),
        kind="stock",
        lead=t("One delivery from one supplier. Leave empty what comes from elsewhere.") if lines else "",
        action=NEW,
        button=t("It is ordered"),
        here=HERE,
        back="/goods",
        rows=tuple(rows),
    )


@router.get(NEW, needs="maker")
def new_goods(request: Request) -> Response:
    """What was ordered: one thing, or the buying list of an offer."""
    asked = {name: value.strip() for name, value in request.query_params.items()}
    typed = Typed(asked) if asked.keys() - {"for"} else NOTHING_TYPED
    return send_form(request, _form(lab_of(request), asked.get("for", "")), typed)


@router.post(NEW, needs="maker")
def write_goods(request: Request, typed: TypedForm) -> Response:
    """Write what was ordered."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        lines = [Wanted(one, amount, typed[f"price-{one}"]) for one, amount in _amounts(typed).items()]
        if typed["substance"] or not typed["for"]:
            lines.append(Wanted(typed["substance"], typed["amount"], typed["price"]))
        return order_goods(lab, lines, typed["supplier"], typed["comes"], order=typed["order"], **sign)

    return write(request, typed, lambda: _form(lab_of(request), typed["for"], typed), act, then="/goods")


def _amounts(typed: Typed) -> dict[str, str]:
    """How much of each substance of a buying list was ordered, by its name: the list may be another meanwhile."""
    begins = "amount-"
    return {
        name.removeprefix(begins): amount
        for name, amount in typed.fields.items()
        if name.startswith(begins) and amount
    }


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    with lab.look() as look:
        entry = look.goods(code)
        is_here = bool(look.receipts_of(code))
    receive = () if is_here else ((t("It is here: take it in"), f"/stock/new?goods={code}", ""),)
    correct = (t("Correct it, or move its day"), f"/entries/{entry.entry_no}/correct", "quiet")
    return {"doing": (*receive, correct, (t("Goods under way"), "/goods", "quiet"))}


serve_page(
    router,
    "/goods",
    show_goods_under_way,
    here=HERE,
    extras=lambda *_: {"doing": ((t("Something was ordered"), NEW, ""), (t("Stock"), "/stock", "quiet"))},
)
serve_page(router, "/goods/{code}", show_goods, here=HERE, extras=_doing)
