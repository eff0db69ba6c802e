"""What comes in: the list of the shelf, and the receipt of a lot."""

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.pricing import price_like
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.shelf.goods_under_way import Bought, as_ordered, in_words
from stillroom.errors import BadEntry
from stillroom.pages.stock import show_stock
from stillroom.records.lot_kinds import LotKind, kinds_that
from stillroom.records.lots import Lot
from stillroom.records.written_values import code as code_in
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.acts import tools
from stillroom.web.duties import Addresses
from stillroom.web.forms import NOTHING_TYPED, Ask, Choices, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = Addresses()
HERE = "Stock"
COMES_IN = tuple((one.value, one.value) for one in kinds_that(lambda one: one.comes_in == "received"))


PLANTS = tuple(one.value for one in kinds_that(lambda one: one.carrier == "plant"))
"""What asks on, once it came: its card."""


def _receive(lab: Laboratory) -> Form:
    return Form(
        title=t("Receive a lot"),
        kind="stock",
        lead=t("What comes in waits until somebody decides about it."),
        action="/stock/new",
        button=t("Receive the lot"),
        here=HERE,
        back="/stock",
        cautions=(caution("wrong-plant"),),
        rows=(
            (
                Ask("code", t("Code"), hint=t("As it goes on the jar, such as CIN-02")),
                Ask("kind", t("Kind"), choices=COMES_IN),
            ),
            Ask(
                "substance",
                t("Substance"),
                hint=t("Its key in the procedures: cinchona bark, spirit 96 %, bottle 100 mL"),
            ),
            Ask("name", t("Name"), hint=t("What people call it"), required=False),
            (
                Ask("amount", t("Amount"), hint=t("As weighed or counted: 2.000 kg, 120 bottles")),
                Ask(
                    "scale",
                    t("Scale"),
                    choices=(("", t("not weighed")), *tools(lab, "scale")),
                    required=False,
                ),
            ),
            (
                Ask("supplier", t("From"), required=False),
                Ask("owner", t("Owner"), value="ours", hint=t("Or the customer it belongs to")),
            ),
            (
                Ask(
                    "stated",
                    t("Label says"),
                    hint=t("Strength with its basis: 96.0 % v/v at 20 °C"),
                    required=False,
                ),
                Ask("use-by", t("Use by"), "date", required=False),
            ),
            Ask(
                "denatured-with",
                t("Denatured with"),
                hint=t(
                    "Spirit only, as on the label; unknown, if it does not say: then it is not used here "
                    "until the supplier says"
                ),
                required=False,
            ),
            (
                Ask(
                    "price",
                    t("Price"),
                    hint=t("Where it is to be noted: {price}", price=price_like(lab)),
                    required=False,
                ),
                Ask("goods", t("Of what was ordered"), choices=_ordered(lab), required=False),
            ),
            Ask(
                "rest-comes",
                t("The rest comes on"),
                "date",
                hint=t("Where less came than was ordered, and more is to come"),
                required=False,
            ),
        ),
    )


def _ordered(lab: Laboratory) -> Choices:
    with lab.look() as look:
        under_way = look.goods_under_way()
    return (
        ("", t("nothing that was ordered here")),
        *((one.body.code, f"{in_words(one.body)}: {one.body.substance}") for one in under_way),
    )


def _lot_of(typed: Typed) -> Lot:
    kinds = [one for one in LotKind if one.value == typed["kind"]]
    if not kinds:
        raise BadEntry("A lot is of a known kind", repr(typed["kind"][:40]), "Choose one", where="kind")
    return Lot(
        code=code_in(typed["code"], "code"),
        kind=kinds[0],
        substance=typed["substance"],
        name=typed["name"] or typed["substance"],
        owner=typed["owner"] or "ours",
        supplier=typed["supplier"],
        stated=typed["stated"],
        use_by=typed["use-by"] or None,
        denatured_with=typed["denatured-with"],
    )


@router.get("/stock/new", needs="maker")
def new_lot(request: Request) -> Response:
    """A receipt: empty, or begun with what was ordered."""
    lab, goods = lab_of(request), request.query_params.get("goods", "")
    typed = Typed(as_ordered(lab, goods)) if goods else NOTHING_TYPED
    return send_form(request, _receive(lab), typed)


@router.post("/stock/new", needs="maker")
def receive(request: Request, typed: TypedForm) -> Response:
    """Receive a lot."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        bought = Bought(typed["goods"], typed["price"], typed["rest-comes"])
        return receive_lot(
            lab, _lot_of(typed), typed["amount"], apparatus=typed["scale"], bought=bought, **sign
        )

    card = "/plant" if typed["kind"] in PLANTS else ""
    then = f"/stock/{typed['code']}{card}"
    return write(request, typed, lambda: _receive(lab_of(request)), act, then=then)


serve_page(
    router,
    "/stock",
    show_stock,
    here=HERE,
    extras=lambda *_: {
        "doing": (
            (t("Receive a lot"), "/stock/new", ""),
            (t("Goods under way"), "/goods", "quiet"),
            (t("Receive a table of lots"), "/stock/new/many", "quiet"),
            (t("Spirit account"), "/spirit", "quiet"),
        )
    },
)
