"""A product without a dosed active is ordered, made, released, delivered and called back like any other."""

import pytest

from stillroom.actions.correcting.entries import correct_entry, correction_in_hand
from stillroom.actions.lots.stock_movements import deliver
from stillroom.actions.orders.ordering import keep_plan, take_order, work_back
from stillroom.actions.releasing.deciding import release, stop
from stillroom.actions.releasing.tracing import trace
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.pages.orders import show_order, show_orders
from stillroom.pages.plans import show_plan
from stillroom.pages.release import show_certificate, show_whole_certificate
from stillroom.records.from_yaml import order_from_fields, order_from_yaml
from stillroom.records.sections import SeveralBadEntries
from stillroom.records.to_yaml import order_to_yaml
from tests.plain_product import at, make_rinse, with_formula
from tests.practice import words_of_pdf

ORDER = """order: ORD-7
customer: Invented bath house
product: Plain rinse
formula: plain-rinse
bottles: 6 × 100 mL
due: 2026-12-15
"""
LABEL = {"paper/label check": "read against the list of ingredients"}


@pytest.fixture
def ordered(tmp_path):
    with with_formula(tmp_path) as lab:
        take_order(lab, order_from_yaml(ORDER), by="MA", at=at("2026-11-19 09:00"))
        yield lab


def test_five_facts_are_an_order_and_its_kind_is_that_of_the_formula(ordered):
    with ordered.look() as look:
        order = look.order("ORD-7")

    assert (order.is_plain, order.product_type, order.market) == (True, "hair rinse-off", "EU")
    assert order_from_yaml(order_to_yaml(order)) == order
    assert order_from_fields(dict(line.split(": ") for line in ORDER.splitlines())).is_plain


def test_it_is_made_filled_released_delivered_and_its_recall_names_the_customer(ordered):
    make_rinse(ordered, order="ORD-7")
    release(ordered, "R1", meaning="read", decisions=LABEL, by="JU", at=at("2026-11-20 18:00"))
    deliver(ordered, "ORD-7", {"R1": "6 bottles"}, by="TO", at=at("2026-11-21 09:00"))

    assert "6 of 6 delivered" in page_text(show_order(ordered, "ORD-7"))
    stop(ordered, "R1", meaning="a complaint", by="MA", at=at("2026-11-22 09:00"))
    found = trace(ordered, "WAT-01")
    assert ("ORD-7", "R1", 6) in found.customers
    assert ("ORD-7", "Invented bath house") in found.names


def test_both_certificates_of_what_states_no_content_are_printed(ordered):
    make_rinse(ordered, order="ORD-7")
    release(ordered, "R1", meaning="read", decisions=LABEL, by="JU", at=at("2026-11-20 18:00"))

    for show in (show_certificate, show_whole_certificate):
        assert "Plain rinse" in words_of_pdf(page_pdf(show(ordered, "R1")))


def test_the_plan_says_what_it_cannot_work_back_and_every_page_opens(ordered):
    said = page_text(show_plan(ordered, "ORD-7"))

    assert "No active is dosed" in said
    assert "6 bottles of 100 mL hold 0.6 L" in said
    for share in ("35.5", "q.s."):
        assert share in said
    assert "none needed" in page_text(show_orders(ordered))
    assert "no active is dosed" in page_text(show_order(ordered, "ORD-7"))
    for ask in (lambda: work_back(ordered, "ORD-7"), lambda: keep_plan(ordered, "ORD-7", by="MA")):
        with pytest.raises(BadEntry, match="doses no active"):
            ask()


def test_what_it_says_can_be_put_right(ordered):
    with ordered.look() as look:
        number = look.entries(kind="order taken", subject="ORD-7")[-1].entry_no
    _, fields, _ = correction_in_hand(ordered, number)
    assert {"customer", "bottles"} <= {one.name for one in fields}
    assert "aim" not in {one.name for one in fields}
    correct_entry(ordered, number, "8 × 100 mL", line="bottles", why="misheard", by="MA")

    with ordered.look() as look:
        assert look.order("ORD-7").units == 8


@pytest.mark.parametrize("stated", ["extraction: bark-extract", "aim: 0.1 % w/w total alkaloids as quinine"])
def test_a_part_of_a_dose_asks_for_the_rest(stated):
    with pytest.raises((BadEntry, SeveralBadEntries)):
        order_from_yaml(f"{ORDER}kind: hair rinse-off\nmarket: EU\n{stated}\n")


def test_a_formula_with_a_dosed_line_is_not_ordered_without_its_aim(ordered):
    order = order_from_yaml(ORDER.replace("plain-rinse", "hair-tonic").replace("ORD-7", "ORD-8"))

    with pytest.raises(BadEntry, match="dosed line"):
        take_order(ordered, order, by="MA")
