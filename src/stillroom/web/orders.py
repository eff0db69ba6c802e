"""Orders: taken from a form or a pasted file, worked back to the plant, delivered."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.in_hand import lot_choices, procedures
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.moving import deliver
from stillroom.actions.ordering import keep_plan, take_order
from stillroom.actions.showing import show_order, show_orders, show_plan
from stillroom.documents.blocks import Page, Points
from stillroom.records.from_yaml import order_from_fields, order_from_yaml
from stillroom.records.lots import LotKind
from stillroom.web.forms import Ask, Form, Signed, TypedForm, field_name
from stillroom.web.pages import lab_of, send_form, serve_page, signers, write
from stillroom.web.procedures import not_written_yet

router = APIRouter()
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
    extractions = tuple((one.code, one.title) for one in known if one.purpose == "extraction")
    formulas = tuple((one.code, one.title) for one in known if one.purpose == "formula")
    return Form(
        title="Take an order",
        kind="customer's order",
        lead="Every strength with its basis. What is not allowed is refused before anything is bought.",
        action="/orders/new",
        button="Take the order",
        here=HERE,
        back="/orders",
        rows=(
            (Ask("order", "Code", hint="The next free one, such as ORD-3"), Ask("due", "Due", "date")),
            (Ask("customer", "Customer"), Ask("product", "Product", hint="As on the label")),
            (
                Ask("extraction", "Extracted by", choices=extractions),
                Ask("formula", "Made by", choices=formulas),
            ),
            (
                Ask("kind", "Kind of product", value="hair leave-on", hint="Decides which limits hold"),
                Ask("market", "Market", value="EU"),
            ),
            (
                Ask("bottles", "Bottles", hint="Number × content: 50 × 100 mL"),
                Ask(
                    "how-sure",
                    "How sure",
                    value="95 %",
                    hint="So many of 100 such batches are enough",
                    required=False,
                ),
            ),
            Ask(
                "aim",
                "Aim",
                hint="What the batch is dosed for, such as 0.25 % w/w total alkaloids as quinine",
            ),
            Ask("declared-at-least", "Declared at least", hint="What the label says, on the same basis"),
            Ask("notes", "Notes", "long", required=False),
        ),
        page=not_written_yet(lab, "extraction", "formula"),
        links=(
            ("Paste the file of an order instead", "/orders/paste"),
            ("Ask first, with nothing written", "/ask/order"),
        ),
    )


def _paste(_: Laboratory) -> Form:
    return Form(
        title="Paste an order",
        kind="customer's order",
        lead="The text of an order as it stands in its file. Every slip is told with its line.",
        action="/orders/paste",
        button="Take the order",
        here=HERE,
        back="/orders",
        rows=(Ask("text", "Text of the order", "long", value=PASTED),),
        links=(("Fill in a form instead", "/orders/new"),),
    )


def _deliver(lab: Laboratory, code: str) -> Form:
    page = show_order(lab, code)
    lots = [one for one in lot_choices(lab, kinds=(LotKind.PRODUCT,)) if not one.refused]
    return Form(
        title=f"Deliver on {code}",
        kind="customer's order",
        lead=page.title,
        action=f"/orders/{code}/deliver",
        button="Write the delivery",
        here=HERE,
        back=f"/orders/{code}",
        rows=(
            Ask(
                "lot",
                "Lot",
                choices=tuple((one.code, f"{one.code}: {one.on_shelf} bottles on the shelf") for one in lots),
                hint="Only released lots leave",
            ),
            Ask("bottles", "Bottles that leave", "figure", unit="bottles"),
        ),
    )


def _doing(_: Laboratory, page: Page, code: str) -> dict[str, Any]:
    planned = not any(isinstance(block, Points) and block.kind == "missing" for block in page.blocks)
    plan = ("Open the plan", "quiet") if planned else ("Work it back to the plant", "")
    return {
        "doing": (
            (plan[0], f"/orders/{code}/plan", plan[1]),
            ("Begin a batch", f"/make/new?order={code}", "" if planned else "quiet"),
            ("Deliver", f"/orders/{code}/deliver", "quiet"),
        )
    }


def _plan_doing(lab: Laboratory, page: Page, order: str) -> dict[str, Any]:
    if page.lead.startswith("Kept"):
        return {
            "doing": (
                ("Begin a batch", f"/make/new?order={order}", ""),
                ("The order", f"/orders/{order}", "quiet"),
            )
        }
    return {"form": _keep(order), "people": signers(lab), "doing": ()}


def _keep(code: str) -> Form:
    return Form(
        "Keep the plan", "plan", f"/orders/{code}/plan", "Keep this plan", (), HERE, f"/orders/{code}"
    )


@router.get("/orders/new")
def new_order(request: Request) -> Response:
    """An empty order."""
    return send_form(request, _new(lab_of(request)))


@router.post("/orders/new")
def take(request: Request, typed: TypedForm) -> Response:
    """Take the order of a form."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        order = order_from_fields(
            {name: typed[field_name(name)] for name in FIELDS if typed[field_name(name)]}
        )
        return take_order(lab, order, **sign)

    return write(request, typed, lambda: _new(lab_of(request)), act, then=f"/orders/{typed['order']}")


@router.get("/orders/paste")
def paste_order(request: Request) -> Response:
    """Room for the text of an order."""
    return send_form(request, _paste(lab_of(request)))


@router.post("/orders/paste")
def take_pasted(request: Request, typed: TypedForm) -> Response:
    """Take an order from its text."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return take_order(lab, order_from_yaml(typed["text"], "order"), **sign)

    return write(request, typed, lambda: _paste(lab_of(request)), act, then="/orders")


@router.get("/orders/{code}/deliver")
def delivery(request: Request, code: str) -> Response:
    """What leaves to the customer."""
    return send_form(request, _deliver(lab_of(request), code))


@router.post("/orders/{code}/deliver")
def write_delivery(request: Request, code: str, typed: TypedForm) -> Response:
    """Write what left."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return deliver(lab, code, {typed["lot"]: typed.amount("bottles", "bottles")}, **sign)

    return write(request, typed, lambda: _deliver(lab_of(request), code), act, then=f"/orders/{code}")


@router.post("/orders/{code}/plan")
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
    extras=lambda *_: {"doing": (("Take an order", "/orders/new", ""),)},
)
serve_page(router, "/orders/{order}/plan", show_plan, here=HERE, template="plan.html", extras=_plan_doing)
serve_page(router, "/orders/{code}", show_order, here=HERE, extras=_doing)
