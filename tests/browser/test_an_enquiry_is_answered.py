"""An enquiry on a phone: answered, kept as an offer, its paper read, taken as an order with one press."""

import pytest

from tests.browser.test_accessible import shut_out

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}
PATIENCE_MS = 20_000
ASKED = (
    "product=Hill+tonic&kind=hair+leave-on&bottles=24+×+50+mL&strength=0.10&of=rosmarinic+acid"
    "&plant=rosemary+leaf&way=infusion&customer=Invented+shop"
)


def test_an_enquiry_becomes_an_offer_and_the_offer_an_order(browser, practice_pages):
    page = browser.new_context(base_url=practice_pages.address, viewport=PHONE).new_page()
    page.set_default_timeout(PATIENCE_MS)

    def says() -> str:
        return " ".join(page.inner_text("main").split())

    page.goto(f"/ask/offer?{ASKED}")
    assert "Days promised" in says()
    page.get_by_role("link", name="Keep in the book?").click()
    page.get_by_label("Signed by").select_option("TO")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**/offers/OFF-1")
    offered = says()
    page.goto("/offers/OFF-1/paper")
    paper = says()
    for of_offers in ("/offers", "/offers/OFF-1/paper", "/offers/OFF-1/withdraw", "/offers/OFF-1"):
        page.goto(of_offers)
        assert shut_out(page) == [], of_offers
    page.set_viewport_size(PHONE)
    page.emulate_media(color_scheme="light")
    page.get_by_label("Signed by").select_option("TO")
    with page.expect_navigation():
        page.get_by_role("button", name="The customer accepts: make it an order").click()
    page.get_by_role("link", name="The order", exact=True).click()
    page.wait_for_url("**/orders/ORD-*")

    assert "Floor price" in offered
    assert "Floor price" not in paper
    assert "Signature" in paper
    assert "Promised, and what came" in says()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
