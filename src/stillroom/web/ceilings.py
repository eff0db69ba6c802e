"""A ceiling that somebody looked up elsewhere is entered with its source."""

from urllib.parse import quote

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.ceilings import NONE, state_ceiling
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.products.kinds import KINDS_OF_PRODUCT, MARKETS
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, Signed, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = Addresses()
HERE = "Products"


def _back(lot: str) -> str:
    """Where the ceiling was asked for: the release of a lot, or the list of products."""
    return f"/products/{quote(lot, safe='')}/release" if lot else "/products"


def _ceiling(marker: str = "", kind: str = "", lot: str = "", market: str = "") -> Form:
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
        here=HERE,
        back=_back(lot),
        rows=(
            Ask("lot", t("Lot"), "hidden", value=lot, required=False),
            Ask(
                "marker",
                t("Of what"),
                value=marker,
                hint=t("linalool; as the order counts it"),
            ),
            Ask("product-type", t("In which kind of product"), value=kind, hint=", ".join(KINDS_OF_PRODUCT)),
            Ask("market", t("Sold where"), value=market or MARKETS[0]),
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


@router.get("/products/ceilings/new", needs="owner")
def ceiling_form(
    request: Request, marker: str = "", kind: str = "", lot: str = "", market: str = ""
) -> Response:
    """Room for a ceiling."""
    lab_of(request)
    return send_form(request, _ceiling(marker, kind, lot, market))


@router.post("/products/ceilings/new", needs="owner")
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

    return write(request, typed, lambda: _ceiling(lot=typed["lot"]), act, then=_back(typed["lot"]))
