"""What was found elsewhere is entered on its page: another laboratory's content, a ceiling that was looked up."""

import re

FOUND = {
    "marker": "total alkaloids",
    "reckoned_as": "quinine",
    "found": "7.40 % w/w ± 0.30 (k = 2)",
    "matter": "as is",
    "laboratory": "an invented laboratory",
    "certificate": "C-77",
    "method": "HPLC",
}
CEILING = {
    "marker": "linalool",
    "product_type": "skin leave-on",
    "market": "EU",
    "ceiling": "0.5",
    "source": "an invented opinion of 2026",
}


def test_a_result_from_outside_is_entered_and_stands_on_the_page_of_its_lot(bench, said):
    answer = bench.fill("/stock/CIN-01/outside-result", **FOUND)
    page = said(bench.client.get("/stock/CIN-01").text)

    assert answer.status_code == 303
    assert "certificate C-77" in page
    with bench.lab.look() as look:
        newest = look.results("CIN-01", "total alkaloids as quinine, as is")[-1].body
    assert (newest.value, newest.standard_uncertainty, newest.counts) == (7.4, 0.15, True)


def test_a_figure_without_its_unit_is_taken_as_per_cent(bench):
    bench.fill("/stock/CIN-01/outside-result", **FOUND | {"found": "7.40"})

    with bench.lab.look() as look:
        newest = look.results("CIN-01", "total alkaloids as quinine, as is", corrected=True)[-1].body
    assert (newest.value, newest.counts) == (7.4, False)


def test_a_result_that_cannot_be_taken_comes_back_with_its_sentence(bench, said):
    before = bench.digest()
    answer = bench.fill("/stock/CIN-01/outside-result", **FOUND | {"found": "7.4 % w/v ± 0.3 (k = 2)"})

    assert answer.status_code == 422
    assert "A content is a share by mass here" in said(answer.text)
    assert bench.digest() == before


def test_a_ceiling_is_stated_with_its_source(bench):
    answer = bench.fill("/products/ceilings/new", **CEILING, lot="T1")
    assert answer.headers["location"] == "/products/T1/release"  # back to where it was asked for

    assert answer.status_code == 303
    with bench.lab.look() as look:
        (entry,) = look.ceilings()
    assert (entry.body.percent, entry.body.source) == (0.5, "an invented opinion of 2026")


def test_a_ceiling_without_a_source_or_against_the_law_comes_back(bench, said):
    before = bench.digest()
    unsourced = bench.fill("/products/ceilings/new", **CEILING | {"source": ""})
    lifted = bench.fill(
        "/products/ceilings/new", **CEILING | {"marker": "quinine", "product_type": "hair leave-on"}
    )

    assert "A ceiling names its source" in said(unsourced.text)
    assert "only where it became stricter" in said(lifted.text)
    assert bench.digest() == before


def test_both_pages_are_led_to(reading):
    assert "/stock/E1/outside-result" in reading.client.get("/test/E1").text


def test_an_order_leads_to_where_its_customer_is_named(reading):
    found = re.search(r"/entries/\d+/correct", reading.client.get("/orders/ORD-1").text)
    assert found
    assert 'name="customer"' in reading.client.get(found.group()).text
