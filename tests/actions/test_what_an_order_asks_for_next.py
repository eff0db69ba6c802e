"""Bench and order page always name the next thing: plan, buy, decide, begin, deliver, or that nothing is left."""

from pathlib import Path

import pytest

from stillroom.actions.bench.next_of_order import NextOfOrder, next_of_order
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.lots.stock_movements import deliver
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.giving_up import give_up
from stillroom.actions.orders.ordering import keep_plan
from stillroom.actions.orders.size_planned import size_planned
from stillroom.actions.releasing.deciding import stop
from stillroom.actions.releasing.recalling import tell_people
from stillroom.actions.shelf.goods_under_way import Wanted, order_goods
from stillroom.demo.clock import StoryClock
from stillroom.demo.shelves import fill_shelves, receive_bark
from stillroom.demo.story import BEGINS, begin_practice
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.pages.lists import show_bench
from stillroom.pages.orders import show_order
from stillroom.pages.stock import show_lot


def words_of(lab: Laboratory, order: str) -> tuple[str, str]:
    return " ".join(page_text(show_order(lab, order)).split()), " ".join(page_text(show_bench(lab)).split())


def coming(lab: Laboratory, order: str = "ORD-1") -> NextOfOrder:
    """What comes next, as order page and bench say it."""
    with lab.look() as look:
        found = next_of_order(look, look.order(order))
    page, bench = words_of(lab, order)
    assert found.says in page
    assert order in bench or found.is_done or "in hand" in found.says
    return found


def test_every_stage_of_an_order_names_what_comes_next(tmp_path: Path) -> None:
    clock = StoryClock(BEGINS)
    lab = begin_practice(tmp_path / "laboratory", clock)
    assert coming(lab).does == "Plan this order"

    keep_plan(lab, "ORD-1", draws=256, by="MA", at=clock.at("2026-11-02 08:30"))
    empty = coming(lab)
    assert empty.href == "/stock/new"
    assert "cinchona bark" in empty.says
    assert "spirit 96 %" in empty.says

    fill_shelves(lab, clock)
    assert coming(lab).says == "Buy, then receive for Total alkaloids of cinchona bark: cinchona bark."

    order_goods(
        lab,
        [Wanted("cinchona bark", "2 kg")],
        "Invented Herbs",
        "2026-12-01",
        by="TO",
        at=clock.at("2026-11-02 09:00"),
    )
    awaited = coming(lab)
    assert awaited.href == "/goods"
    assert awaited.says.endswith("cinchona bark (BUY-1, 2 kg, comes 2026-12-01). Receive what comes.")

    receive_bark(lab, clock)
    assert coming(lab).href == "/make/new?order=ORD-1&procedure=bark-extract"

    begin_batch(lab, "E1", "bark-extract", "", order="ORD-1", by="TO", at=clock.at("2026-11-05 08:00"))
    assert coming(lab).href == "/make/E1/step"
    give_up(lab, "E1", why="the bark was mouldy inside", by="MA", at=clock.at("2026-11-05 09:00"))
    assert coming(lab).href == "/make/new?order=ORD-1&procedure=bark-extract"
    lab.book.close()


def test_bottles_on_the_shelf_are_delivered_and_then_nothing_is_left(lab: Laboratory) -> None:
    # The story: 78 bottles filled, 2 kept back, 44 of 75 delivered.
    assert coming(lab, "ORD-2").says == "T2 is released, on the shelf 32: deliver."
    done = deliver(lab, "ORD-2", {"T2": "31 bottles"}, by="MA")
    ended = coming(lab, "ORD-2")
    bench = words_of(lab, "ORD-2")[1]

    assert ended.is_done
    assert "nothing is left to do" in ended.says
    assert "ORD-2" not in bench

    put_right(lab, done.entries[0], {"amount T2": "30 bottles"}, why="one came back with the driver", by="MA")
    assert coming(lab, "ORD-2").does == "Deliver"


def test_an_order_whose_bottles_went_out_and_are_held_asks_to_tell_the_customer(lab: Laboratory) -> None:
    deliver(lab, "ORD-2", {"T2": "31 bottles"}, by="MA")
    stop(lab, "T2", meaning="an itch was reported", by="MA")
    assert coming(lab, "ORD-2").says == "T2 went out and is stopped: tell the customer."
    assert coming(lab, "ORD-2").href == "/trace/T2/told"

    tell_people(lab, "T2", who="the shop", how="by telephone", order="ORD-2", by="MA")
    assert coming(lab, "ORD-2").is_done


def test_a_lot_that_was_stopped_or_suspended_is_not_called_untested(lab: Laboratory) -> None:
    stop(lab, "E1", meaning="a second assay was lower", by="MA")
    assert coming(lab, "ORD-2").says.startswith("T2 is suspended: look at what changed")

    stop(lab, "T2", meaning="an itch was reported", by="MA")
    assert "It is stopped: an itch was reported" in page_text(show_lot(lab, "T2"))
    assert coming(lab, "ORD-2").says.startswith("T2 is stopped: release it again once the cause is removed")


def test_an_order_without_enough_bottles_is_made_again_or_its_shelf_filled(lab: Laboratory) -> None:
    deliver(lab, "ORD-1", {"T1": "18 bottles"}, by="MA")

    # 49 of 50 are gone; the extract that is left is released.
    assert coming(lab).href == "/make/new?order=ORD-1&procedure=hair-tonic"


def test_a_batch_begun_for_an_order_takes_its_size_from_the_plan_and_says_so(lab: Laboratory) -> None:
    with lab.look() as look:
        plan = look.plans("ORD-1")[-1]
        offered = [size_planned(look, "ORD-1", one) for one in ("bark-extract", "hair-tonic")]
    assert [one.scale for one in offered if one] == ["97.42 g", "5236 g"]

    done = begin_batch(lab, "E7", "bark-extract", "", order="ORD-1", by="TO")
    said = begin_batch(lab, "E8", "bark-extract", "120 g", order="ORD-1", by="TO")

    assert f"97.42 g, by the plan of entry {plan.entry_no}" in done.says
    assert "plan" not in said.says
    with lab.look() as look:
        assert (look.batch("E7").scale_g, look.batch("E8").scale_g) == (97.42, 120.0)


def test_without_a_plan_the_size_of_a_batch_is_asked(lab: Laboratory) -> None:
    with pytest.raises(BadEntry) as refusal:
        begin_batch(lab, "E7", "bark-extract", "", by="TO")

    assert refusal.value.where == "scale"
    assert refusal.value.do
