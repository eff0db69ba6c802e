"""Every formula of ``tests/products/formulas.csv`` goes whole through the book: entered, made, filled, released or not.

What each verdict has to be is reasoned there from the figure of its rule; here nothing is looked through but what the
release itself looks at.
"""

import json
import warnings

import pytest

from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.deciding import decide_lines
from stillroom.documents.as_json import page_json
from stillroom.errors import BadEntry, NotAllowed
from stillroom.pages.release import show_certificate, show_label, show_whole_certificate
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Status
from stillroom.web.app import make_app
from tests.actions.formulas_made import CHECKER, Workshop
from tests.products.test_eighty_formulas import FORMULAS
from tests.web.conftest import ADDRESS, Bench

pytestmark = pytest.mark.slow

ASKED = ("paper/microbial count", "paper/challenge test", "paper/label check")
"""What the list asks of every product, lawful or not: done, or decided by name."""
REASON = "weighed against the use of this product, for this batch"
MENDED = {"lavender oil without its allergens", "lemon oil rinsed off over its threshold"}
"""Unlawful only by its label; the label that is printed here names them."""
AT_THE_RELEASE = ("ph/", "allergen/")
"""Over by what is known of the batch alone."""
MADE = [(f"f{at}", row) for at, row in enumerate(FORMULAS, start=1)]


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    made = Workshop.begun(tmp_path_factory.mktemp("formulas") / "laboratory")
    with made.lab:
        yield made


def expected(kind):
    return [
        pytest.param(code, row, id=row["formula"])
        for code, row in MADE
        if row["expected"] == kind and row["formula"] not in MENDED
    ]


def status_of(workshop, batch):
    with workshop.lab.look() as look:
        return look.status(batch)


def words(page):
    return json.dumps(page_json(page), ensure_ascii=False)


@pytest.mark.parametrize(("code", "row"), expected("over"))
def test_an_unlawful_formula_is_made_and_never_released(workshop, code, row):
    found, batch = workshop.make(code, row), code.upper()
    deciding = next(one for one in found.lines if one.key == row["decides"])

    assert {one.standing for one in found.stopping} == {"over"}
    assert deciding in found.stopping
    asked = {one.key: REASON for one in found.undecided}
    assert deciding.says in workshop.refusal(batch, asked)
    with pytest.raises(NotAllowed, match="never by a decision"):
        decide_lines(workshop.lab, batch, {row["decides"]: REASON}, by=CHECKER)
    assert status_of(workshop, batch) is Status.WAITING
    if not row["decides"].startswith(AT_THE_RELEASE) and "[" not in row["lines"]:
        assert "cannot be released as it stands" in workshop.said


@pytest.mark.parametrize(("code", "row"), expected("lawful"))
def test_a_lawful_formula_is_released_after_what_the_list_asks_of_every_product(workshop, code, row):
    found, batch = workshop.make(code, row), code.upper()

    assert found.stopping == ()
    assert {one.key for one in found.undecided} <= set(ASKED)
    assert row["decides"] in {one.key for one in found.lines}
    workshop.release(batch, {one.key: REASON for one in found.undecided})
    assert status_of(workshop, batch) is Status.RELEASED
    assert batch in words(show_label(workshop.lab, batch))


@pytest.mark.parametrize(("code", "row"), expected("undecided"))
def test_what_the_book_cannot_know_waits_for_a_name_and_is_printed(workshop, code, row):
    found, batch = workshop.make(code, row), code.upper()
    deciding = next(one for one in found.lines if one.key == row["decides"])
    rest = {one.key: "read and compared with its order" for one in found.undecided if one is not deciding}

    assert found.stopping == ()
    assert deciding in found.undecided
    assert f"undecided, {deciding.called}: {deciding.says}" in workshop.refusal(batch, rest)
    assert status_of(workshop, batch) is Status.WAITING
    workshop.release(batch, {**rest, deciding.called: REASON})
    assert status_of(workshop, batch) is Status.RELEASED
    for certificate in (show_certificate, show_whole_certificate):
        printed = words(certificate(workshop.lab, batch))
        assert f"Juno Ullrich: {REASON}" in printed
        assert deciding.about in printed
    assert json.dumps(deciding.says, ensure_ascii=False)[1:-1] in printed


@pytest.mark.parametrize(("code", "row"), [one for one in MADE if one[1]["formula"] in MENDED])
def test_the_label_names_the_allergens_that_nobody_wrote(workshop, code, row):
    found, batch = workshop.make(code, row), code.upper()

    assert next(one for one in found.lines if one.key == row["decides"]).standing == "within"
    workshop.release(batch, {one.key: REASON for one in found.undecided})
    allergen = row["decides"].partition("/")[2]
    assert allergen in words(show_label(workshop.lab, batch)).casefold()


@pytest.mark.parametrize(
    ("code", "lines", "dry"), [("balm", "beeswax 20", True), ("wet", "rose water 5", False)]
)
def test_what_holds_no_water_is_said_to_need_no_challenge_where_somebody_decides_so(
    workshop, code, lines, dry
):
    # ISO 29621 (from memory): products without water are of low risk by germs; a person still says so
    found = workshop.make(code, {**FORMULAS[0], "kind": "skin balm", "base": "oil", "lines": lines})
    asked = [one for one in found.undecided if one.key in ("paper/microbial count", "paper/challenge test")]

    assert ["without water" in one.says for one in asked] == [dry, dry]
    assert {one.source for one in asked} == ({"iso-29621"} if dry else {"iso-17516", "iso-11930"})


def test_what_is_open_is_decided_on_a_page_of_its_own_before_anybody_releases(workshop):
    row = next(one for one in FORMULAS if one["decides"] == "unknown/moonwort essence")
    found = workshop.make("open", row)
    keys = [one.key for one in found.undecided]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    client = TestClient(make_app(workshop.lab), base_url=ADDRESS, follow_redirects=False)
    bench = Bench(workshop.lab, client)
    release_page, form = (client.get(f"/products/OPEN/{one}").text for one in ("release", "decide"))

    assert 'href="/products/OPEN/decide"' in release_page
    assert all(f'name="decide-{one}"' in form for one in keys)
    typed = {"request_key": bench.key("/products/OPEN/decide"), "by": CHECKER}
    typed |= {f"decide-{one}": REASON for one in keys}
    sent = client.post("/products/OPEN/decide", data=typed)
    assert (sent.status_code, sent.headers["location"]) == (303, "/products/OPEN/release")
    assert status_of(workshop, "OPEN") is Status.WAITING
    again = client.get("/products/OPEN/decide")  # nothing waits for a name: no empty form
    assert (again.status_code, again.headers["location"]) == (303, "/products/OPEN/release")
    workshop.release("OPEN", {})
    assert status_of(workshop, "OPEN") is Status.RELEASED


def test_an_extract_that_was_bought_comes_in_as_an_ingredient(workshop):
    bought = Lot("BOUGHT-1", LotKind.EXTRACT, "cinchona extract", "cinchona extract")

    with pytest.raises(BadEntry, match="received as an ingredient"):
        receive_lot(workshop.lab, bought, "200 g", by=CHECKER)
