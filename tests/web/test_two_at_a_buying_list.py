"""A buying list in two tabs: what each of two people ordered is written under its own name, and once."""

import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import begin_laboratory
from stillroom.actions.offers.offering import accept_offer, make_offer
from stillroom.records.people import Person
from stillroom.web.app import make_app
from tests.actions.test_offers import ASKED
from tests.web.conftest import ADDRESS, Bench, now, words
from tests.web.filled_in import fields_in

LIST = "/goods/new?for=OFF-1"
LEAF, SPIRIT = "amount-rosemary leaf", "amount-spirit 96 %"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    first = Person("IB", "Ida Berg", True)
    with begin_laboratory(tmp_path / "own", "The hill laboratory", first, clock=now) as lab:
        make_offer(lab, ASKED, by="IB")
        accept_offer(lab, "OFF-1", by="IB")
        with TestClient(make_app(lab), base_url=ADDRESS, follow_redirects=False) as client:
            yield Bench(lab, client)


def opened(bench: Bench) -> dict[str, str]:
    """The list as a browser holds it, with nothing ordered yet."""
    found = fields_in(bench.client.get(LIST).text)
    assert {LEAF, SPIRIT} <= found.keys()
    return {name: "" if name.startswith("amount-") else value for name, value in found.items()} | {"by": "IB"}


def ordered(bench: Bench) -> list[tuple[str, str]]:
    with bench.lab.look() as look:
        return [(one.body.substance, one.body.as_written) for one in look.goods_ordered()]


def test_what_the_second_ordered_keeps_its_name_where_the_list_became_shorter(bench: Bench) -> None:
    """The lines of the form were counted, and two kilograms of leaf were written as spirit."""
    mine, yours = opened(bench), opened(bench)
    bench.client.post("/goods/new", data=mine | {LEAF: "2 kg"})
    answer = bench.client.post("/goods/new", data=yours | {LEAF: "3 kg", SPIRIT: "4 L"})

    assert answer.status_code == 303
    assert ordered(bench) == [("rosemary leaf", "2 kg"), ("rosemary leaf", "3 kg"), ("spirit 96 %", "4 L")]


def test_a_list_that_is_sent_twice_is_written_once(bench: Bench) -> None:
    sent = opened(bench) | {LEAF: "2 kg"}
    answers = [bench.client.post("/goods/new", data=sent).status_code for _ in range(2)]

    assert answers == [303, 303]
    assert ordered(bench) == [("rosemary leaf", "2 kg")]


def test_a_list_that_comes_back_still_holds_what_was_typed_for_what_is_ordered_meanwhile(
    bench: Bench,
) -> None:
    mine, yours = opened(bench), opened(bench)
    bench.client.post("/goods/new", data=mine | {LEAF: "2 kg"})
    answer = bench.client.post("/goods/new", data=yours | {LEAF: "3 kg", SPIRIT: "much"})

    assert answer.status_code == 422
    assert fields_in(answer.text)[LEAF] == "3 kg"
    assert fields_in(answer.text)[SPIRIT] == "much"
    assert "somebody ordered it meanwhile" in words(answer.text)
    assert len(ordered(bench)) == 1
