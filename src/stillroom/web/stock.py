"""What comes in: the list of the shelf, and the receipt of a lot."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.receiving import receive_lot
from stillroom.actions.showing import show_stock
from stillroom.errors import BadEntry
from stillroom.records.lots import Lot, LotKind
from stillroom.records.written_values import code as code_in
from stillroom.records.written_values import iso_date, one_line
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm
from stillroom.web.lots import scales
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Stock"
COMES_IN = tuple(
    (one.value, one.value) for one in LotKind if one not in (LotKind.SPENT, LotKind.PRODUCT, LotKind.EXTRACT)
)


def _receive(lab: Laboratory) -> Form:
    return Form(
        title=t("stock_form.receive_a_lot"),
        kind="stock",
        lead=t("stock_form.comes_waits_until_somebody"),
        action="/stock/new",
        button=t("stock_form.receive_the_lot"),
        here=HERE,
        back="/stock",
        cautions=(caution("wrong-plant"),),
        rows=(
            (
                Ask("code", t("stock_form.code"), hint=t("stock_form.goes_jar_such_cin")),
                Ask("kind", t("stock_form.kind"), choices=COMES_IN),
            ),
            Ask(
                "substance",
                t("stock_form.substance"),
                hint=t("stock_form.key_procedures_cinchona_bark"),
            ),
            Ask("name", t("stock_form.name"), hint=t("stock_form.what_people_call_it"), required=False),
            (
                Ask("amount", t("stock_form.amount"), hint=t("stock_form.weighed_counted_bottles")),
                Ask(
                    "scale",
                    t("stock_form.scale"),
                    choices=scales(lab, none=t("stock_form.not_weighed")),
                    required=False,
                ),
            ),
            (
                Ask("supplier", t("stock_form.came_from"), required=False),
                Ask("owner", t("stock_form.owner"), value="ours", hint=t("stock_form.customer_belongs")),
            ),
            (
                Ask(
                    "stated",
                    t("stock_form.label_says"),
                    hint=t("stock_form.strength_basis"),
                    required=False,
                ),
                Ask("use-by", t("stock_form.use_by"), "date", required=False),
            ),
            Ask(
                "denatured-with",
                t("stock_form.denatured_with"),
                hint=t("stock_form.spirit_only_label_unknown"),
                required=False,
            ),
        ),
    )


def _lot_of(typed: Typed) -> Lot:
    substance = one_line(typed["substance"], "substance")
    kinds = [one for one in LotKind if one.value == typed["kind"]]
    if not kinds:
        raise BadEntry("A lot is of a known kind", repr(typed["kind"][:40]), "Choose one", where="kind")
    return Lot(
        code=code_in(typed["code"], "code"),
        kind=kinds[0],
        substance=substance,
        name=one_line(typed["name"] or substance, "name"),
        owner=one_line(typed["owner"] or "ours", "owner"),
        supplier=typed["supplier"][:200],
        stated=typed["stated"][:200],
        use_by=iso_date(typed["use-by"], "use-by") if typed["use-by"] else None,
        denatured_with=one_line(typed["denatured-with"], "denatured with") if typed["denatured-with"] else "",
    )


@router.get("/stock/new")
def new_lot(request: Request) -> Response:
    """An empty receipt."""
    return send_form(request, _receive(lab_of(request)))


@router.post("/stock/new")
def receive(request: Request, typed: TypedForm) -> Response:
    """Receive a lot."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return receive_lot(lab, _lot_of(typed), typed["amount"], apparatus=typed["scale"], **sign)

    return write(request, typed, lambda: _receive(lab_of(request)), act, then=f"/stock/{typed['code']}")


serve_page(
    router,
    "/stock",
    show_stock,
    here=HERE,
    extras=lambda *_: {
        "doing": (
            (t("stock_form.receive_a_lot"), "/stock/new", ""),
            (t("stock_form.spirit_account"), "/spirit", "quiet"),
        )
    },
)
