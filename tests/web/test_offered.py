"""What was noted of the house is offered with its day and taken by one tap; it is never filled in by itself."""

import re
from html import unescape

from stillroom.actions.house.describing import describe_house
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.house.pricing import note_price

ETHANOL = {"set-ups": "2 × ethanol 12 mL/min", "flow": "0.5", "hours": "6"}


def noted(bench):
    note_condition(bench.lab, "tap temperature", "24 °C", by="TO")
    note_condition(bench.lab, "altitude", "1200 m", by="TO")
    note_condition(bench.lab, "room temperature", "31 °C", by="TO")


def field(page, name):
    return re.search(rf'<input id="{name}"[^>]*value="([^"]*)"', page)[1]


def test_the_last_tap_temperature_and_altitude_are_offered_with_their_day_and_not_filled_in(bench, said):
    noted(bench)
    page = bench.client.get("/ask/cooling").text

    assert "Take 24 °C, noted today" in said(page)
    assert "Take 1200 m, noted today" in said(page)
    assert field(page, "inlet") == ""
    assert field(page, "altitude") == ""


def test_buffer_and_factor_offer_the_room(bench, said):
    noted(bench)

    assert "Take 31 °C, noted today" in said(bench.client.get("/ask/buffer").text)
    assert "Take 31 °C, noted today" in said(bench.client.get("/ask/factor").text)


def test_the_noted_altitude_moves_the_boiling_points_and_is_told(bench, said):
    at_sea = said(bench.client.get("/ask/cooling", params={**ETHANOL, "inlet": "24"}).text)
    noted(bench)
    up = said(bench.client.get("/ask/cooling", params={**ETHANOL, "inlet": "24"}).text)
    said_otherwise = said(
        bench.client.get("/ask/cooling", params={**ETHANOL, "inlet": "24", "altitude": "0"}).text
    )

    # ethanol at 87.7 kPa, the air of 1200 m, by another vapour pressure equation (DIPPR, second-hand): 74.7 °C
    assert "78.2" in at_sea
    assert "74.7" in up
    assert "1200 m noted on" in unescape(up)
    assert "1200 m noted on" not in said_otherwise
    assert "78.2" in said_otherwise


def test_a_batch_begun_from_an_order_has_its_procedure_and_the_size_of_its_plan_filled_in(bench, said):
    page = bench.client.get("/make/new?order=ORD-1").text
    other = bench.client.get("/make/new?order=ORD-1&procedure=bark-extract").text
    plain = bench.client.get("/make/new").text

    # The plan of the practice book: 97.42 g of plant, 5236 g of bulk; its extraction was done.
    assert (field(page, "scale"), field(other, "scale"), field(plain, "scale")) == ("5236 g", "97.42 g", "")
    assert re.findall(r'<option value="([\w-]+)"', page.partition('id="code"')[0]) == ["hair-tonic"]
    assert "By the plan of entry" in said(page)


def test_an_enquiry_is_answered_with_the_prices_and_the_tax_of_the_open_book_before_it_is_kept(bench, said):
    describe_house(bench.lab, {"currency": "CHF", "tax": "Invented tax 8.1 %"}, by="TO")
    note_price(bench.lab, "hour of work", "40 CHF/h", by="TO")
    asked = {"dilution": "70 %", "dilution-amount": "1 L", "price": "90 CHF"}
    page = said(bench.client.get("/ask/offer", params=asked).text)

    assert "Not kept yet: nothing is written in the book." in page
    assert "CHF" in page
    assert "EUR" not in page
    assert "Invented tax 8.1 %" in page


def test_an_enquiry_answered_at_a_price_in_the_currency_of_the_open_book_is_kept_at_it(bench):
    describe_house(bench.lab, {"currency": "CHF"}, by="TO")
    asked = {"dilution": "70 %", "dilution-amount": "1 L", "price": "90,00\u00a0CHF"}
    form = {"request_key": bench.key("/orders/new"), "by": "TO"}
    kept = bench.client.post("/ask/offer/keep", data=asked | form, follow_redirects=False)

    assert kept.status_code == 303, kept.text
    assert kept.headers["location"].startswith("/offers/OFF-")


def test_a_question_that_cannot_be_kept_says_why_although_its_fields_are_not_on_the_page(bench, said):
    asked = {"dilution": "70 %", "dilution-amount": "1 L", "price": "90\u00a0\u00a0CHF each"}
    form = {"request_key": bench.key("/orders/new"), "by": "TO"}
    refused = bench.client.post("/ask/offer/keep", data=asked | form)

    assert refused.status_code == 422
    assert "Got 'each'" in said(refused.text)
