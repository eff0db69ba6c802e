"""What was found elsewhere and is entered here: another laboratory's content, a ceiling that somebody looked up."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.ceilings import NONE, state_ceiling
from stillroom.actions.counting import counted_in_lot
from stillroom.actions.in_hand import lot_in_hand
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.outside_results import MATTERS, enter_outside_result
from stillroom.products.kinds import KINDS_OF_PRODUCT, MARKETS
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = APIRouter()
PRODUCTS = "Products"


def outside_form(lab: Laboratory, lot: str) -> Form:
    """Room for a content that another laboratory found.

    Parameters
    ----------
    lab : Laboratory
    lot : str
    """
    known, counted = lot_in_hand(lab, lot), counted_in_lot(lab, lot)
    return Form(
        title=t("outside_form.what_another_laboratory_found"),
        kind=f"lot {lot}, {known.name}",
        lead=t("outside_form.copy_certificate_counts_like"),
        action=f"/stock/{lot}/outside-result",
        button=t("outside_form.write_the_result"),
        here="Stock",
        back=f"/stock/{lot}",
        rows=(
            Ask(
                "marker",
                t("outside_form.what_was_counted"),
                value=counted.of if counted else "",
                hint=t("outside_form.rosmarinic_acid_total_phenols"),
            ),
            Ask(
                "reckoned-as",
                t("outside_form.counted_as_which_compound"),
                required=False,
                value=counted.reckoned_as if counted and counted.of != counted.reckoned_as else "",
                hint=t("outside_form.gallic_acid_leave_empty"),
            ),
            Ask("found", t("outside_form.found_with_its"), hint="12.3 % w/w ± 0.4 (k = 2)"),
            Ask(
                "matter",
                t("outside_form.share_lot"),
                choices=(
                    ("", "choose"),
                    *zip(
                        MATTERS, (t("outside_form.as_it_is_in"), t("outside_form.after_drying")), strict=True
                    ),
                ),
            ),
            Ask("laboratory", t("outside_form.laboratory")),
            Ask("certificate", t("outside_form.number_of_the_certificate")),
            Ask("method", t("outside_form.method"), hint=t("outside_form.hplc_gas_chromatography")),
        ),
    )


def enter_outside(lab: Laboratory, lot: str, typed: Typed, sign: Signed) -> Done:
    """Write what another laboratory found, as it was typed.

    Parameters
    ----------
    lab : Laboratory
    lot : str
    typed : Typed
    sign : Signed
    """
    return enter_outside_result(
        lab,
        lot,
        typed["marker"],
        typed.amount("found", "%"),
        matter=typed["matter"],
        laboratory=typed["laboratory"],
        certificate=typed["certificate"],
        method=typed["method"],
        reckoned_as=typed["reckoned-as"],
        **sign,
    )


def _ceiling(marker: str = "", kind: str = "") -> Form:
    return Form(
        title=t("outside_form.ceiling_somebody_looked_up"),
        kind="product",
        lead=t("outside_form.no_rule_found_not"),
        action="/products/ceilings/new",
        button=t("outside_form.state_the_ceiling"),
        here=PRODUCTS,
        back="/products",
        rows=(
            Ask(
                "marker",
                t("outside_form.of_what"),
                value=marker,
                hint=t("outside_form.linalool_order_counts"),
            ),
            Ask("product-type", t("outside_form.kind_product"), value=kind, hint=", ".join(KINDS_OF_PRODUCT)),
            Ask("market", t("outside_form.sold_where"), value=MARKETS[0]),
            Ask(
                "ceiling",
                t("outside_form.at_most"),
                hint=t("outside_form.mass_product_source_sets", none=NONE),
            ),
            Ask(
                "source",
                t("outside_form.where_it_stands"),
                "long",
                hint=t("outside_form.text_entry_date_whose"),
            ),
        ),
    )


@router.get("/products/ceilings/new")
def ceiling_form(request: Request, marker: str = "", kind: str = "") -> Response:
    """Room for a ceiling."""
    lab_of(request)
    return send_form(request, _ceiling(marker, kind))


@router.post("/products/ceilings/new")
def write_ceiling(request: Request, typed: TypedForm) -> Response:
    """Write a ceiling with its source."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return state_ceiling(
            lab,
            typed["marker"],
            typed["product-type"],
            typed["market"],
            typed.amount("ceiling", "%"),
            typed["source"],
            **sign,
        )

    return write(request, typed, _ceiling, act, then="/products")
