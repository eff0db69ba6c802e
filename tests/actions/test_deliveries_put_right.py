"""What left the shelf and was typed wrongly is corrected: how much, on which order; who has bottles follows."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import WAYS, correct_entry, put_right
from stillroom.actions.lots.stock_movements import deliver, throw_away
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed
from stillroom.pages.tracing import show_trace
from stillroom.records.entries import KINDS


def shelf(lab: Laboratory, lot: str, account: str = "shelf") -> int:
    with lab.look() as look:
        return look.balances(lot).get((account, "piece"), 0)


def test_bottles_delivered_and_typed_wrongly_go_back_to_the_shelf_and_to_the_right_order(
    lab: Laboratory,
) -> None:
    before, had = shelf(lab, "T1"), shelf(lab, "T1", "customer/ORD-2")
    number = deliver(lab, "ORD-1", {"T1": "3 bottles"}, by="TO").entries[0]
    number = correct_entry(lab, number, "2 bottles", why="counted again", by="TO").entries[0]
    assert shelf(lab, "T1") == before - 2
    correct_entry(lab, number, "ORD-2", line="order", why="the other box", by="TO")

    assert shelf(lab, "T1") == before - 2
    assert shelf(lab, "T1", "customer/ORD-2") == had + 2
    assert "ORD-2" in page_text(show_trace(lab, "T1"))


@pytest.mark.parametrize("nothing", ["0", "0 bottles", "0 pieces"])
def test_a_delivery_that_never_was_leaves_nothing(lab: Laboratory, nothing: str) -> None:
    before = shelf(lab, "T1"), shelf(lab, "T1", "customer/ORD-1")
    number = deliver(lab, "ORD-1", {"T1": "3 bottles"}, by="TO").entries[0]
    correct_entry(lab, number, nothing, why="it was not fetched", by="TO")

    assert (shelf(lab, "T1"), shelf(lab, "T1", "customer/ORD-1")) == before


def test_grams_thrown_away_are_corrected_and_pieces_are_not_taken_for_them(lab: Laboratory) -> None:
    number = throw_away(lab, "GLY-01", amount="50 g", why="a spill, to the waste", by="TO").entries[0]
    with lab.look() as look:
        before = look.balance_ug("GLY-01")
    with pytest.raises(BadEntry, match="counted as it was"):
        correct_entry(lab, number, "5 pieces", why="typed wrongly", by="TO")
    number = correct_entry(lab, number, "5,0 g", why="typed wrongly", by="TO").entries[0]
    correct_entry(lab, number, "a spill, wiped up", line="reason", why="typed wrongly", by="TO")

    with lab.look() as look:
        assert look.balance_ug("GLY-01") == before + 45_000_000


FOLLOWED = frozenset(
    {
        "book begun", "book restored", "procedure written", "plan made", "identity decided", "result reckoned",
        "control test read", "status decided", "ceiling stated", "condition noted", "price noted", "stock counted",
        "answer kept", "lot opened", "reagent allowed", "marker stated", "plant stated", "ingredient stated",
        "plant described", "house described", "line decided", "evidence shown", "certificate issued", "people told",
        "complaint heard", "recall rehearsed", "day planned", "bench noted", "offer made", "offer ended",
    }
)  # fmt: skip
"""Kinds of which the last one counts: another entry of the kind says what holds now."""


def test_every_kind_of_entry_is_corrected_or_followed_by_another() -> None:
    ways = {kind for kind, body in KINDS.items() if body in WAYS}

    assert ways | FOLLOWED == set(KINDS)
    assert not ways & FOLLOWED


def test_a_gap_the_book_settled_itself_is_not_corrected(lab: Laboratory) -> None:
    with lab.look() as look:
        receipt = look.latest("lot received", "GLY-01")
    numbers = correct_entry(lab, receipt.entry_no, "1 g", line="amount", why="typed wrongly", by="TO").entries
    assert len(numbers) > 1
    with pytest.raises(NotAllowed, match="follows the entry that left it"):
        correct_entry(lab, numbers[1], "5 g", why="typed wrongly", by="TO")


def test_bottles_of_another_product_leave_on_an_order_only_with_a_reason(lab: Laboratory) -> None:
    with lab.look() as look:
        number = look.entries(kind="order taken", subject="ORD-2")[-1].entry_no
    stronger = {"declared at least": "0.099 % w/w total alkaloids as quinine"}
    put_right(lab, number, stronger, why="the customer changed it", by="TO")
    had = shelf(lab, "T1", "customer/ORD-2")
    with pytest.raises(BadEntry, match="T1") as asked:
        deliver(lab, "ORD-2", {"T1": "1 bottles"}, by="TO")
    assert asked.value.where == "note"
    deliver(lab, "ORD-2", {"T1": "1 bottles"}, note="a sample that they asked for", by="TO")
    assert shelf(lab, "T1", "customer/ORD-2") == had + 1
