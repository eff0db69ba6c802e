"""An answer asked without a book is kept in one: all it needs comes with it, and what was assumed stays named."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.house.describing import describe_house
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.house.pricing import note_price
from stillroom.actions.keeping_answers import keep, to_find_out
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Points
from stillroom.errors import BadEntry, NotAllowed
from stillroom.pages.plans import kept_plan, show_plan
from stillroom.pages.printing import documents_of
from stillroom.records.people import Person

ASKED = {
    "product": "Hill tonic", "kind": "hair leave-on", "bottles": "24 × 50 mL", "strength": "0.10",
    "of": "rosmarinic acid", "plant": "rosemary leaf", "way": "maceration", "due": "2027-06-01",
}  # fmt: skip
DILUTED = {
    "have": "96",
    "known-by": "label",
    "want": "70",
    "amount": "2",
    "amount-as": "L wanted",
    "temperature": "31",
}


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Laboratory]:
    def noon() -> datetime:
        return datetime(2026, 11, 25, 12, 0, tzinfo=UTC)

    with begin_laboratory(
        tmp_path / "own", "The hill laboratory", Person("IB", "Ida Berg", True), clock=noon
    ) as lab:
        yield lab


def test_a_kept_order_brings_its_procedures_and_its_plan(empty: Laboratory) -> None:
    done = keep(empty, "order", ASKED, by="IB")

    with empty.look() as look:
        kinds = [look.entry(number).kind for number in done.entries]
        found = kept_plan(look, "ORD-1")
        assert look.order("ORD-1").product == "Hill tonic"
    assert kinds == ["procedure written", "procedure written", "order taken", "plan made", "answer kept"]
    assert found is not None
    assert "rosmarinic acid" in page_text(documents_of(empty)["plan-ORD-1"]())
    assert "quinine" not in page_text(documents_of(empty)["plan-ORD-1"]())


@pytest.mark.parametrize(
    "product",
    ["Klettenwurzel-Tonikum für Haarböden, weiß", "Abcdefghijklmnop extract", "Тоник", "-", "x" * 60],
)
def test_an_order_of_a_product_with_a_long_name_is_kept(empty: Laboratory, product: str) -> None:
    keep(empty, "order", ASKED | {"product": product}, by="IB")
    keep(empty, "order", ASKED | {"product": product, "due": "2027-07-01"}, by="IB")

    with empty.look() as look:
        codes = [code for one in look.orders() for code in (one.extraction, one.formula)]
    assert len(set(codes)) == 4
    assert all(not code.endswith("-") and len(code) <= 24 for code in codes)


def test_what_was_assumed_is_to_be_found_out_until_it_is_said(empty: Laboratory) -> None:
    keep(empty, "order", ASKED, by="IB")
    with empty.look() as look:
        before = {one.field: one for one in to_find_out(look)}
    again = before["assay-of-the-plant"].asked | {"assay-of-the-plant": "2.1 ± 0.2"}
    keep(empty, "order", again, by="IB")
    with empty.look() as look:
        after = {one.field for one in to_find_out(look)}
        plans = look.plans("ORD-1")

        assert [one.code for one in look.orders()] == ["ORD-1"]
    assert "assay-of-the-plant" not in after
    assert len(plans) == 2
    assert {one["role"]: one["value"] for one in plans[-1].body.request["known"]} == {
        "assay of the plant": 2.1
    }


def test_an_order_corrected_later_is_asked_about_as_it_stands(empty: Laboratory) -> None:
    taken = keep(empty, "order", ASKED, by="IB").entries[2]
    said = {"bottles": "8 × 100 mL", "declared at least": "0,09 % w/w rosmarinic acid"}
    put_right(empty, taken, said, why="the customer wants fewer", by="IB")
    with empty.look() as look:
        found = {one.field: one for one in to_find_out(look)}
        asked = found["assay-of-the-plant"].asked
    page = show_plan(empty, "ORD-1")

    assert (asked["bottles"], asked["declared-at-least"]) == ("8 × 100 mL", "0,09 % w/w rosmarinic acid")
    assert asked["strength"] == ASKED["strength"]
    assert "declared-at-least" not in found
    # the plan made for 24 bottles says first that it is out of date
    assert isinstance(page.blocks[0], Points)
    assert "24 bottles → 8 bottles" in page.blocks[0].items[0]


def test_a_dilution_is_kept_with_every_entry(empty: Laboratory) -> None:
    keep(empty, "dilute", DILUTED, by="IB")

    with empty.look() as look:
        (kept,) = look.answers_kept()
        assert {one.order for one in to_find_out(look)} == {""}
    assert kept.body.asked == DILUTED
    assert kept.body.unsaid


def test_the_same_form_sent_twice_keeps_one_order(empty: Laboratory) -> None:
    first = keep(empty, "order", ASKED, by="IB", request_key="the-same-form")
    second = keep(empty, "order", ASKED, by="IB", request_key="the-same-form")

    assert first.entries == second.entries


@pytest.mark.parametrize(
    ("altered", "kind", "says"),
    [
        ({"plant": "aconite"}, NotAllowed, "Prohibited"),
        ({"bottles": "0 × 50 mL"}, BadEntry, "At least one bottle"),
        ({"due": "2020-01-01"}, BadEntry, "due today or later"),
        ({"way": "alkaloid-clean-up", "of": "berberine"}, NotAllowed, "charge at every pH"),
        ({"strength": ""}, BadEntry, "needed here"),
    ],
)
def test_what_cannot_be_answered_is_not_kept(
    empty: Laboratory, altered: dict[str, str], kind: type, says: str
) -> None:
    before = empty.book.digest()
    with pytest.raises(kind, match=says):
        keep(empty, "order", ASKED | altered, by="IB")

    assert empty.book.digest() == before


def test_to_find_out_counts_in_the_currency_of_the_laboratory_and_says_what_was_taken_in_another(
    empty: Laboratory,
) -> None:
    keep(empty, "order", ASKED, by="IB")
    with empty.look() as look:
        priced = {one.field: one.taken for one in to_find_out(look) if one.field.startswith("price-of-")}
    describe_house(empty, {"currency": "CHF"}, by="IB")
    with empty.look() as look:
        counted = {one.field: one for one in to_find_out(look)}
    note_price(empty, "hour", "40 CHF/h", by="IB")
    with empty.look() as look:
        noted = {one.field for one in to_find_out(look)}
    keep(empty, "order", ASKED | {"product": "Another tonic"}, by="IB")

    assert "price-of-hour" in priced
    assert all("EUR/" in taken for taken in priced.values())
    for field, taken in priced.items():
        assert counted[field].taken == "no price in CHF"
        assert f"{taken} was taken when it was asked" in counted[field].effect
    assert "price-of-hour" not in noted
    with empty.look() as look:
        assert look.plans("ORD-2")[-1].body.request["currency"] == "CHF"


def test_a_kept_order_is_planned_at_the_height_and_in_the_currency_of_its_house(empty: Laboratory) -> None:
    describe_house(empty, {"currency": "CHF"}, by="IB")
    note_condition(empty, "altitude", "470 m", by="IB")
    keep(empty, "order", ASKED | {"way": "soxhlet", "due": "2027-06-01"}, by="IB")

    with empty.look() as look:
        found = kept_plan(look, "ORD-1")
    assert found is not None
    request = found[0].request
    assert request.currency == "CHF"
    assert [one.value for one in request.known if one.unit == "m"] == [470.0]
    assert "→" not in page_text(documents_of(empty)["plan-ORD-1"]())


def test_no_draw_of_a_soxhlet_has_a_thimble_colder_than_its_room(empty: Laboratory) -> None:
    note_condition(empty, "altitude", "2600 m", by="IB")

    assert keep(empty, "order", ASKED | {"way": "soxhlet"}, by="IB").entries
