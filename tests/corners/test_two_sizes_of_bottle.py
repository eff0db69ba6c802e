"""One bulk goes into bottles of two sizes: each lot has its own size, and what was left over is counted once."""

from pathlib import Path
from random import Random
from statistics import fmean
from typing import Any

import pytest

from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.product_made import out_of_bulk_g, product_in
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.stock_movements import deliver, keep_back
from stillroom.actions.making.batch_mass import mass_made_g, mass_of_batch
from stillroom.actions.orders.ordering import keep_plan
from stillroom.actions.products.filling import FILL_YIELD, fill_units
from stillroom.actions.releasing.deciding import release
from stillroom.errors import BadEntry, StillroomError
from stillroom.quantities.content import Content
from stillroom.records.lots import Lot, LotKind
from tests.actions.test_fillings_are_kept import blended, filled, weighed_at
from tests.practice import copied, extracted_folder, later, opened
from tests.web.conftest import opened as served
from tests.web.conftest import words

LABEL = {"paper/label check": "read against the list of ingredients and the order"}
OF_100 = ("95.9 g", "96.1 g", "95.8 g", "96.0 g")
OF_30 = ("28.7 g", "28.9 g", "28.6 g", "28.8 g")
SMALL = {"nominal": "30 mL", "packaging": {"BOT-30": 29}, "check_weights": OF_30, "units": 29}


def ready(lab: Laboratory) -> None:
    """T1 blended with its density, and bottles of 30 mL on the shelf."""
    blended(lab)
    weighed_at(lab, "T1", "20.0 °C")
    receive_lot(
        lab, Lot("BOT-30", LotKind.PACKAGING, "bottle 30 mL", "bottle 30 mL"), "200 pieces", by="TO",
        at=later(-7),
    )  # fmt: skip
    release(lab, "BOT-30", meaning="looked at", by="MA", at=later(-7))


@pytest.fixture
def bulk(tmp_path: Path) -> Any:
    with opened(copied(tmp_path, extracted_folder)) as lab:
        ready(lab)
        yield lab


@pytest.fixture
def bench(tmp_path: Path) -> Any:
    folder = copied(tmp_path, extracted_folder)
    with opened(folder) as lab:
        ready(lab)
    yield from served(folder)


def test_a_left_over_becomes_small_bottles_from_the_page_to_the_customers_paper(bench: Any) -> None:
    lab, get = bench.lab, lambda at: words(bench.client.get(at).text)
    said = {"scale": "SCALE-2", "use-by": "2027-09-30"}
    first = {"units": "43", "left-over": "855", "check-weight": "\n".join(OF_100), "pack-BOT-01": "43"}
    assert bench.fill("/make/T1/fill", **said, **first).status_code == 303
    assert "Fill what is left over" in get("/make/T1")
    assert "T1 left 855.00 g over" in get("/make/T1/fill")
    second = {
        "nominal": "30", "units": "29", "left-over": "20", "check-weight": "\n".join(OF_30), "pack-BOT-30": "29"
    }  # fmt: skip
    asked = bench.fill("/make/T1/fill", **said, **second)
    assert "written once" in words(asked.text)
    assert bench.fill("/make/T1/fill", **said, **second, note="the rest, as samples").status_code == 303

    sheet = get("/make/T1")
    assert "T1, 100 mL each" in sheet
    assert "T1-2, 30 mL each" in sheet
    assert "does not close" not in sheet
    for lot, size, other in (("T1", "100 mL", "30 mL"), ("T1-2", "30 mL", "100 mL")):
        keep_back(lab, lot, amount="2 bottles", by="TO")
        release(lab, lot, meaning="all was read", decisions=LABEL, by="JU")
        for paper in ("label", "certificate"):
            told = get(f"/products/{lot}/{paper}")
            assert size in told
            assert other not in told
        assert "The account closes" in get(f"/trace/{lot}")
    with pytest.raises(BadEntry, match=r"T1-2, .* of 30"):
        deliver(lab, "ORD-1", {"T1-2": "5 bottles"}, by="MA")
    keep_plan(lab, "ORD-1", by="MA")
    with lab.look() as look:
        before = next_of_order(look, look.order("ORD-1"))
    deliver(lab, "ORD-1", {"T1": "41 bottles"}, by="MA")
    with lab.look() as look:
        after = next_of_order(look, look.order("ORD-1"))
    assert "T1 is released" in before.says
    assert "T1-2" not in after.says
    assert not after.is_done
    assert lab.book.verify().troubles == ()


def test_another_size_than_ordered_is_asked_about_at_the_first_filling_only(bulk: Laboratory) -> None:
    with pytest.raises(BadEntry, match="ORD-1 asks for bottles of 100 mL"):
        filled(bulk, "4150 g", **SMALL)
    filled(bulk, "4150 g", **SMALL, note="samples first")
    with pytest.raises(BadEntry, match="written once"):
        filled(bulk, "25 g", units=43, check_weights=OF_100, nominal="100 mL")
    filled(bulk, "25 g", units=43, check_weights=OF_100, note="the order")
    with bulk.look() as look:
        assert product_in(look, "T1").each == Content(30.0)
        assert product_in(look, "T1-2").each == Content(100.0)
        assert mass_of_batch(look, "T1").closes
        whats = [one.body.what for one in look.deviations("T1")]
    assert sum("asks for bottles" in one for one in whats) == 1


@pytest.mark.parametrize("weighed", [OF_30, ()])
def test_a_first_filling_put_right_moves_what_the_second_found(
    bulk: Laboratory, weighed: tuple[str, ...]
) -> None:
    filled(bulk, "955 g", units=43, check_weights=OF_100, note="read in haste")
    filled(bulk, "20 g", **(SMALL | {"check_weights": weighed}), note="the rest")
    with bulk.look() as look:
        first, second = look.fillings("T1")
    put_right(bulk, first.entry_no, {"left over": "855 g"}, why="a digit misread", by="TO", at=later(1))
    with bulk.look() as look:
        made_g = mass_made_g(look, "T1")
        now = {one.body.lot.code: one.body for one in look.fillings("T1")}
        (share,) = look.results("T1-2", FILL_YIELD)
        # by hand: 855 g less 20 g where nothing was weighed; 29 bottles × 28.75 g where some were
        by_hand_g = 29 * 28.75 if weighed else 855.0 - 20.0
        assert now["T1-2"].filled_g == pytest.approx(by_hand_g, abs=1e-9)
        assert out_of_bulk_g(look, "T1") == pytest.approx(43 * 95.95 + by_hand_g + 20.0, abs=1e-6)
        # 855 g at 0.9482 g/mL fill 30.06 bottles of 30 mL: 29 of them are 96.5 %
        assert share.body.value == pytest.approx(100 * 29 / (855 / (30 * 0.9482)), abs=0.05)
        assert out_of_bulk_g(look, "T1") == pytest.approx(made_g, rel=5e-3)
    put_right(
        bulk, second.entry_no if weighed else next(
            one for one in _entries(bulk) if one.body.lot.code == "T1-2"
        ).entry_no, {"nominal": "28 mL"}, why="the bottle says 28", by="TO", at=later(2),
    )  # fmt: skip
    with bulk.look() as look:
        assert product_in(look, "T1-2").each == Content(28.0)
        assert product_in(look, "T1").each == Content(100.0)
    assert bulk.book.verify().troubles == ()


def _entries(lab: Laboratory) -> Any:
    with lab.look() as look:
        return look.fillings("T1")


@pytest.mark.parametrize("seed", range(6))
def test_three_fillings_in_any_sizes_come_to_the_sum_of_what_was_weighed(bulk: Laboratory, seed: int) -> None:
    chance = Random(seed)
    with bulk.look() as look:
        stands_g = mass_made_g(look, "T1")
    kept: list[tuple[int, tuple[float, ...], float, float]] = []
    for turn in range(3):
        size = chance.choice((15.0, 30.0, 50.0, 100.0, 250.0))
        each_g = size * 0.9482 * chance.uniform(1.0, 1.03)
        units = max(1, int(chance.uniform(0.1, 0.9) * stands_g / each_g))
        weights = tuple(round(each_g * chance.uniform(0.999, 1.001), 2) for _ in range(chance.choice((0, 3))))
        left_g = round(stands_g - units * each_g - chance.uniform(0.0, 2.0), 2)
        fill_units(
            bulk, "T1", units, left_over=f"{left_g} g", check_weights=[f"{one} g" for one in weights],
            packaging={}, scale="SCALE-2", use_by="2027-09-30", nominal=f"{size} mL", note=f"turn {turn}",
            by="TO", at=later(-6 + turn * chance.choice((0, 1))),
        )  # fmt: skip
        kept.append((units, weights, left_g, size))
        stands_g = left_g
    changed = chance.randrange(3)
    codes = ("T1", "T1-2", "T1-3")
    with bulk.look() as look:
        entry = next(one for one in look.fillings("T1") if one.body.lot.code == codes[changed])
    units, weights, left_g, size = kept[changed]
    right_g = round(left_g + chance.uniform(-5.0, 5.0), 2)
    put_right(bulk, entry.entry_no, {"left over": f"{right_g} g"}, why="weighed again", by="TO", at=later(9))
    kept[changed] = units, weights, right_g, size

    with bulk.look() as look:
        found_g, sum_g = mass_made_g(look, "T1"), 0.0
        for units, weights, left_g, _ in kept:
            sum_g += units * fmean(weights) if weights else found_g - left_g
            found_g = left_g
        assert out_of_bulk_g(look, "T1") == pytest.approx(sum_g + found_g, abs=1e-6)
        sizes = [product_in(look, code).each.amount for code in codes]
        assert sizes == pytest.approx([size for *_, size in kept])
        assert [len(look.results(code, FILL_YIELD)) for code in codes] == [1, 1, 1]
    assert bulk.book.verify().troubles == ()


def test_nothing_left_over_fills_nothing_more(bulk: Laboratory) -> None:
    filled(bulk, "0 g", units=51, check_weights=())
    with pytest.raises(StillroomError, match="written once"):
        filled(bulk, "0 g", **SMALL)
    filled(bulk, "0 g", **SMALL, note="found another jug")
    with bulk.look() as look:
        assert any("of 0 g" in one.body.what for one in look.deviations("T1"))
