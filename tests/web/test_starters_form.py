"""A way of extracting is copied on its page: kept when refused, written once, told with what is known."""

from tests.web.conftest import Bench


def test_a_copy_is_written_and_says_what_the_plant_usually_holds(bench: Bench, said) -> None:
    sent = bench.fill(
        "/make/starters/maceration/copy", plant="sage leaf", marker="rosmarinic acid", code="sage-extract"
    )
    page = said(bench.client.get(sent.headers["location"]).text)

    assert sent.status_code == 303
    assert "Sage leaf macerated, for rosmarinic acid, version 1, may be used." in page
    assert "usually holds 1 to 3.5 %" in page


def test_the_clean_up_of_a_quaternary_alkaloid_is_refused_at_the_marker(bench: Bench, said) -> None:
    before = bench.digest()
    sent = bench.fill(
        "/make/starters/alkaloid-clean-up/copy", plant="barberry bark", marker="berberine", code="b-extract"
    )
    page = said(sent.text)

    assert sent.status_code == 409
    assert "carries its charge at every pH" in page
    assert "1-butanol" in page
    assert 'value="barberry bark"' in sent.text
    assert bench.digest() == before


def test_a_code_in_use_comes_back_at_its_field(bench: Bench, said) -> None:
    sent = bench.fill(
        "/make/starters/infusion/copy", plant="nettle leaf", marker="total phenols", code="bark-extract"
    )

    assert sent.status_code == 422
    assert "Choose another code" in said(sent.text)


def test_markup_in_a_field_is_only_text(bench: Bench) -> None:
    nasty = "<script>alert(1)</script>"
    sent = bench.fill("/make/starters/infusion/copy", plant=nasty, marker="total phenols", code="x-extract")
    then = bench.client.get(sent.headers["location"]).text if sent.status_code == 303 else sent.text

    assert "<script>alert" not in then


def test_a_way_nobody_knows_is_not_there(reading: Bench) -> None:
    assert reading.client.get("/make/starters/wishing").status_code == 404
    assert reading.client.get("/make/starters/wishing/copy").status_code == 404
