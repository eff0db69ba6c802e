"""A product without a dosed active is ordered in the same form, and its pages ask for nothing it has not."""

from stillroom.actions.house.writing_a_procedure import write_procedure
from tests.plain_product import at, make_rinse, rinse

AN_ORDER = {
    "order": "ORD-7", "customer": "Invented bath house", "product": "Plain rinse", "extraction": "",
    "formula": "plain-rinse", "kind": "hair rinse-off", "market": "EU", "bottles": "6 × 100 mL",
    "due": "2026-12-15",
}  # fmt: skip


def test_it_is_taken_in_the_form_and_each_of_its_pages_opens(bench, said):
    write_procedure(bench.lab, rinse(), by="MA", at=at("2026-11-19 08:00"))
    taken = bench.fill("/orders/new", **AN_ORDER)
    assert taken.status_code == 303, said(taken.text)
    plan = bench.client.get("/orders/ORD-7/plan")
    make_rinse(bench.lab, order="ORD-7")

    assert "No active is dosed" in said(plan.text)
    assert "Keep this plan" not in said(plan.text)
    for page in ("/orders", "/orders/ORD-7", "/orders/ORD-7/deliver", "/make/new?order=ORD-7", "/make/R1",
                 "/orders/ORD-7/plan.json", "/orders/ORD-7/plan.txt", "/stock/R1", "/trace/R1", "/bench"):  # fmt: skip
        answer = bench.client.get(page)
        assert answer.status_code == 200, (page, said(answer.text))


def test_a_dosed_order_without_its_aim_is_asked_for_it(bench, said):
    answer = bench.fill("/orders/new", **{**AN_ORDER, "extraction": "bark-extract", "formula": "hair-tonic"})

    assert answer.status_code == 422
    assert "aim" in said(answer.text)
