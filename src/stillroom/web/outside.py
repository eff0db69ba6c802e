"""What was found elsewhere and is entered here: another laboratory's content, a ceiling that somebody looked up."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.bench.lots_offered import lot_in_hand
from stillroom.actions.book.ceilings import NONE, state_ceiling
from stillroom.actions.book.counted_marker import counted_in_lot
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.testing.outside_results import MATTERS, enter_outside_result
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
        title=t("What another laboratory found"),
        kind=f"lot {lot}, {known.name}",
        lead=t(
            "Copy it from the certificate. It counts like an assay done here; without its "
            "uncertainty it is kept and does not count."
        ),
        action=f"/stock/{lot}/outside-result",
        button=t("Save the result"),
        here="Stock",
        back=f"/stock/{lot}",
        rows=(
            Ask(
                "marker",
                t("What was counted"),
                value=counted.of if counted else "",
                hint=t("rosmarinic acid, total phenols, linalool"),
            ),
            Ask(
                "reckoned-as",
                t("Counted as which compound"),
                required=False,
                value=counted.reckoned_as if counted and counted.of != counted.reckoned_as else "",
                hint=t("gallic acid; leave empty where it is the marker itself"),
            ),
            Ask("found", t("Found, with its ±"), hint="12.3 % w/w ± 0.4 (k = 2)"),
            Ask(
                "matter",
                t("A share of the lot"),
                choices=(
                    ("", "choose"),
                    *zip(MATTERS, (t("as it is in the jar"), t("after drying")), strict=True),
                ),
            ),
            Ask("laboratory", t("Laboratory")),
            Ask("certificate", t("Number of the certificate")),
            Ask("method", t("Method"), hint=t("HPLC, gas chromatography")),
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
        title=t("A ceiling somebody looked up"),
        kind="product",
        lead=t(
            "No rule found is not permission. Look in the law of the market, or ask a safety "
            "assessor in writing, and state what was found with its source. A ceiling of the "
            "law's table is never lifted here."
        ),
        action="/products/ceilings/new",
        button=t("State the ceiling"),
        here=PRODUCTS,
        back="/products",
        rows=(
            Ask(
                "marker",
                t("Of what"),
                value=marker,
                hint=t("linalool; as the order counts it"),
            ),
            Ask("product-type", t("In which kind of product"), value=kind, hint=", ".join(KINDS_OF_PRODUCT)),
            Ask("market", t("Sold where"), value=MARKETS[0]),
            Ask(
                "ceiling",
                t("At most"),
                hint=t("0.5 % by mass of the product; {none} where the source sets no ceiling", none=NONE),
            ),
            Ask(
                "source",
                t("Where it stands"),
                "long",
                hint=t("The text, its entry and its date; or whose written opinion"),
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
