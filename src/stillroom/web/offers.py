"""Offers in the browser: the list, one of them, its paper; taken with one press, or withdrawn."""

from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.offers.offering import accept_offer, offer_standing, withdraw_offer
from stillroom.documents.blocks import Page
from stillroom.documents.doors import question_address
from stillroom.pages.offers import show_offer, show_offer_paper, show_offers
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, serve_page, signers, write

router = Addresses()
HERE = "Orders"


def _accept(code: str) -> Form:
    return Form(
        t("Take it as an order"),
        "offer",
        t("The customer accepts: make it an order"),
        (),
        HERE,
        f"/offers/{code}",
        action=f"/offers/{code}/accept",
    )


def _withdraw(lab: Laboratory, code: str) -> Form:
    return Form(
        title=t("Withdraw offer {code}", code=code),
        kind="offer",
        lead=show_offer(lab, code).title,
        button=t("Withdraw it"),
        here=HERE,
        back=f"/offers/{code}",
        rows=(Ask("why", t("Why"), hint=t("Such as: the plant is not to be had")),),
    )


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    with lab.look() as look:
        one = offer_standing(look, code, lab.today())
    again = (t("Ask again"), question_address("offer", one.entry.body.asked), "quiet")
    paper = (t("The paper to sign"), f"/offers/{code}/paper", "quiet")
    if one.ended is not None and one.ended.order:
        buy = (t("What was ordered for it"), f"/goods/new?for={code}", "quiet")
        return {"doing": ((t("The order"), f"/orders/{one.ended.order}", ""), buy, paper, again)}
    if one.stands != "open":
        return {"doing": (again, paper)}
    return {
        "form": _accept(code),
        "people": signers(lab),
        "doing": (paper, again, (t("Withdraw"), f"/offers/{code}/withdraw", "quiet")),
    }


@router.post("/offers/{code}/accept", needs="maker")
def accept(request: Request, code: str, typed: TypedForm) -> Response:
    """Make an offer an order."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return accept_offer(lab, code, **sign)

    def form() -> Form:
        return _accept(code).with_page(show_offer(lab_of(request), code))

    return write(request, typed, form, act, then=f"/offers/{code}")


def _write_withdrawn(lab: Laboratory, typed: Typed, sign: Signed, code: str) -> Done:
    """Take an offer back."""
    return withdraw_offer(lab, code, typed["why"], **sign)


serve_form(router, "/offers/{code}/withdraw", _withdraw, _write_withdrawn, then="/offers/{code}")


serve_page(
    router,
    "/offers",
    show_offers,
    here=HERE,
    extras=lambda *_: {
        "doing": ((t("Answer an enquiry"), "/ask/offer", ""), (t("Orders"), "/orders", "quiet")),
    },
)
serve_page(
    router,
    "/offers/{code}/paper",
    show_offer_paper,
    here=HERE,
    extras=lambda _lab, _page, code: {"doing": ((t("The offer"), f"/offers/{code}", "quiet"),)},
)
serve_page(router, "/offers/{code}", show_offer, here=HERE, template="offer.html", extras=_doing)
