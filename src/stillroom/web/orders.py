"""Orders: taken from a form or a pasted file, worked back to the plant, delivered."""

from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.bench.form_choices import procedures
from stillroom.actions.bench.lots_offered import lot_choices
from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.book.correction import order_stands_in
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.lots.stock_movements import deliver
from stillroom.actions.orders.ordering import keep_plan, take_order
from stillroom.actions.orders.taking import next_order
from stillroom.actions.shelf.plant_at_hand import may_go_on
from stillroom.documents.blocks import Page
from stillroom.pages.orders import show_order, show_orders
from stillroom.pages.plans import show_plan
from stillroom.pages.procedures import not_written_yet
from stillroom.pages.report_of_tests import show_test_report
from stillroom.records.from_yaml import order_from_fields, order_from_yaml
from stillroom.records.lot_kinds import MADE_AS, kinds_that
from stillroom.records.orders import Order
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm, field_name
from stillroom.web.pages import lab_of, serve_page, signers, write

router = Addresses()
HERE = "Orders"
FIELDS = (
    "order",
    "customer",
    "product",
    "extraction",
    "formula",
    "kind",
    "market",
    "bottles",
    "aim",
    "declared at least",
    "due",
    "how sure",
    "notes",
)
PASTED = """order: ORD-3
customer: ...
product: ...
formula: hair-tonic
extraction: bark-extract
kind: hair leave-on
market: EU
bottles: 50 × 100 mL
aim: ... % w/w total alkaloids as quinine
declared at least: ... % w/w total alkaloids as quinine
due: 2027-01-31
"""


def _new(lab: Laboratory) -> Form:
    known = procedures(lab)
    with lab.look() as look:
        free = next_order(look)
    extractions = tuple((one.code, one.title) for one in known if one.purpose == "extraction")
    formulas = tuple((one.code, one.title) for one in known if one.purpose == "formula")
    return Form(
        title=t("Take an order"),
        kind="customer's order",
        lead=t("Every strength with its basis. What is not allowed is refused before anything is bought."),
        button=t("Take the order"),
        here=HERE,
        back="/orders",
        rows=(
            (
                Ask("order", t("Code"), value=free),
                Ask("due", t("Due"), "date"),
            ),
            (
                Ask("customer", t("Customer")),
                Ask("product", t("Product"), hint=t("As on the label")),
            ),
            (
                Ask(
                    "extraction",
                    t("Extracted by"),
                    choices=(*extractions, ("", t("none: nothing is dosed, or its extract is bought"))),
                    required=False,
                ),
                Ask("formula", t("Made by"), choices=formulas),
            ),
            (
                Ask(
                    "kind",
                    t("Kind of product"),
                    value="hair leave-on",
                    hint=t("Decides which limits hold"),
                ),
                Ask("market", t("Market"), value="EU"),
            ),
            (
                Ask("bottles", t("Bottles"), hint=t("Number × content: 50 × 100 mL, or 12 × 30 g")),
                Ask(
                    "how-sure",
                    t("How sure"),
                    value="95 %",
                    hint=t("How many of 100 such batches must have enough"),
                    required=False,
                ),
            ),
            Ask(
                "aim",
                t("Aim"),
                hint=t(
                    "What the batch is dosed for, such as 0.25 % w/w total alkaloids as quinine; empty "
                    "where no active is dosed"
                ),
                required=False,
            ),
            Ask(
                "declared-at-least",
                t("Declared at least"),
                hint=t("What the label says, on the same basis"),
                required=False,
            ),
            Ask("notes", t("Notes"), "long", required=False),
        ),
        page=not_written_yet(lab, "formula"),
        links=(
            (t("Paste the file of an order instead"), "/orders/paste"),
            (t("Ask first, with nothing written"), "/ask/order"),
        ),
    )


def _paste(_: Laboratory) -> Form:
    return Form(
        title=t("Paste an order"),
        kind="customer's order",
        lead=t("The text of an order as it stands in its file. Every error is shown with its line."),
        button=t("Take the order"),
        here=HERE,
        back="/orders",
        rows=(Ask("text", t("Text of the order"), "long", value=PASTED),),
        links=((t("Fill in a form instead"), "/orders/new"),),
    )


def _deliver(lab: Laboratory, code: str) -> Form:
    page = show_order(lab, code)
    with lab.look() as look:
        of_bottles = (order := look.order(code)).is_of_bottles
    kinds = kinds_that(lambda one: one.made_as in ("extraction", "reagent"))
    if of_bottles:
        kinds = (MADE_AS["formula"],)
    elif order.what == "dilution":
        kinds = kinds_that(lambda one: one.spirit == "stock")
    lots = [
        one for one in lot_choices(lab, kinds=kinds) if not one.refused and _may_leave(lab, one.code, order)
    ]
    return Form(
        title=t("Deliver on {code}", code=code),
        kind="customer's order",
        lead=page.title,
        button=t("Save the delivery"),
        here=HERE,
        back=f"/orders/{code}",
        rows=(
            Ask(
                "lot",
                t("Lot"),
                choices=tuple(
                    (
                        one.code,
                        t("{code}: {on_shelf} bottles on the shelf", code=one.code, on_shelf=one.on_shelf)
                        if of_bottles and not order.content.by_mass
                        else t("{code}: {on_shelf} on the shelf", code=one.code, on_shelf=one.on_shelf),
                    )
                    for one in lots
                ),
                hint=t("Only released lots leave"),
            ),
            Ask("bottles", t("How many leave"), "figure", unit="pieces")
            if of_bottles and order.content.by_mass
            else Ask("bottles", t("Bottles that leave"), "figure", unit="bottles")
            if of_bottles
            else Ask("bottles", t("How much leaves"), hint=t("Such as 480 g")),
            Ask("note", t("Note"), required=False, hint=t("Needed where it is not what was ordered")),
        ),
    )


def _may_leave(lab: Laboratory, lot: str, order: Order) -> bool:
    """Whether a lot may go to this customer on this order."""
    with lab.look() as look:
        return may_go_on(look, look.lot(lot), order)


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    taken = order_stands_in(lab, code)
    with lab.look() as look:
        order = look.order(code)
        coming = next_of_order(look, order)
    is_made = order.what in ("product", "own plant")
    others = (
        *(((t("Open the plan"), f"/orders/{code}/plan", "quiet"),) if order.is_of_bottles else ()),
        *(((t("Begin a batch"), f"/make/new?order={code}", "quiet"),) if is_made else ()),
        *(((t("Deliver"), f"/orders/{code}/deliver", "quiet"),) if order.what != "tests" else ()),
        *(((t("The report"), f"/orders/{code}/report", "quiet"),) if order.what == "tests" else ()),
    )
    return {
        "doing": (
            *(() if coming.is_done else ((coming.does, coming.href, ""),)),
            *(one for one in others if one[1] != coming.href.partition("&")[0]),
            (t("Name the customer, or correct the order"), f"/entries/{taken}/correct", "quiet"),
        )
    }


def _plan_doing(lab: Laboratory, _: Page, order: str) -> dict[str, Any]:
    with lab.look() as look:
        plain, kept = not look.order(order).is_worked_back, look.is_planned(order)
    begin = (t("Begin a batch"), f"/make/new?order={order}", "")
    the_order = (t("The order"), f"/orders/{order}", "quiet")
    if plain:
        return {"doing": (begin, the_order)}
    if kept:
        return {
            "form": _keep(order, again=True),
            "people": signers(lab),
            "doing": (begin, the_order),
        }
    return {"form": _keep(order), "people": signers(lab), "doing": ()}


def _keep(code: str, *, again: bool = False) -> Form:
    return Form(
        t("Calculate the plan again") if again else t("Keep the plan"),
        "plan",
        t("Calculate the plan again and keep it; the earlier one stays") if again else t("Keep this plan"),
        (),
        HERE,
        f"/orders/{code}",
        action=f"/orders/{code}/plan",
    )


def _take(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Take the order of a form."""
    order = order_from_fields({name: typed[field_name(name)] for name in FIELDS if typed[field_name(name)]})
    return take_order(lab, order, **sign)


serve_form(router, "/orders/new", _new, _take, then="/orders/{typed[order]}")


def _take_pasted(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Take an order from its text."""
    return take_order(lab, order_from_yaml(typed["text"], "order"), **sign)


serve_form(router, "/orders/paste", _paste, _take_pasted, then="/orders")


def _write_delivery(lab: Laboratory, typed: Typed, sign: Signed, code: str) -> Done:
    """Write what left."""
    amounts = {typed["lot"]: typed.amount("bottles", "bottles")}
    return deliver(lab, code, amounts, note=typed["note"], **sign)


serve_form(router, "/orders/{code}/deliver", _deliver, _write_delivery, then="/orders/{code}")


@router.post("/orders/{code}/plan", needs="maker")
def keep(request: Request, code: str, typed: TypedForm) -> Response:
    """Keep the plan."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return keep_plan(lab, code, **sign)

    def form() -> Form:
        return _keep(code).with_page(show_plan(lab_of(request), code))

    return write(request, typed, form, act, then=f"/orders/{code}/plan")


serve_page(
    router,
    "/orders",
    show_orders,
    here=HERE,
    extras=lambda *_: {
        "doing": (
            (t("Take an order"), "/orders/new", ""),
            (t("Answer an enquiry"), "/ask/offer", "quiet"),
            (t("Offers"), "/offers", "quiet"),
        )
    },
)
serve_page(router, "/orders/{order}/plan", show_plan, here=HERE, template="plan.html", extras=_plan_doing)
serve_page(router, "/orders/{code}", show_order, here=HERE, extras=_doing)
serve_page(router, "/orders/{code}/report", show_test_report, here=HERE)
