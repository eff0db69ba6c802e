"""A ceiling that somebody looked up elsewhere is entered with its source."""

from urllib.parse import quote

from stillroom.actions.book.ceilings import NONE, state_ceiling
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.products.kinds import KINDS_OF_PRODUCT, MARKETS
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed

router = Addresses()
HERE = "Products"


def _back(lot: str) -> str:
    """Where the ceiling was asked for: the release of a lot, or the list of products."""
    return f"/products/{quote(lot, safe='')}/release" if lot else "/products"


def _ceiling(_: Laboratory, marker: str = "", kind: str = "", lot: str = "", market: str = "") -> Form:
    return Form(
        title=t("A ceiling somebody looked up"),
        kind="product",
        lead=t(
            "No rule found is not permission. Look in the law of the market, or ask a safety "
            "assessor in writing, and state what was found with its source. A ceiling of the "
            "law's table is never lifted here."
        ),
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


def _write_ceiling(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Write a ceiling with its source."""
    return state_ceiling(
        lab,
        typed["marker"],
        typed["product-type"],
        typed["market"],
        typed.amount("ceiling", "%"),
        typed["source"],
        **sign,
    )


serve_form(
    router,
    "/products/ceilings/new",
    _ceiling,
    _write_ceiling,
    then=lambda typed: _back(typed["lot"]),
    needs="owner",
)
