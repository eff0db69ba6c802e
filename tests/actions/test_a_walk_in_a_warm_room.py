"""From a warm room to a recall: what a newcomer met on the way."""

import re
from dataclasses import replace

import pytest

from stillroom.actions.book.ceilings import ceiling_for, ceiling_wanted, state_ceiling
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_reading, correct_weighing
from stillroom.actions.house.own_things import state_fields
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.stock_movements import count_stock
from stillroom.actions.making.bulk_density import DENSITY, weigh_density
from stillroom.actions.releasing.deciding import review_release
from stillroom.actions.releasing.recalling import take_back
from stillroom.answers.ph_words import buffers_in, read_with
from stillroom.documents.as_text import page_text
from stillroom.pages.batches import show_batch
from stillroom.pages.tracing import show_trace
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.substances.plant_contents import typical_content
from stillroom.web.forms import ADDED_AT, Ask


def test_a_weighing_put_right_leaves_no_density_that_must_be_weighed_again(lab: Laboratory) -> None:
    """The bulk is in its bottles: nobody can weigh it again."""
    weigh_density(
        lab, "T1", empty="52.10 g", water="152.02 g", bulk="147.02 g", temperature="31 °C",
        scale="SCALE-1", thermometer="THERM-1", by="TO",
    )  # fmt: skip
    with lab.look() as look:
        step = next(one for one in look.steps("T1") if len(one.body.weighings) > 2)
        line = next(one for one in step.body.weighings if one.direction == "in")
        before = look.results("T1", DENSITY)[-1]
    correct_weighing(lab, step.entry_no, line.line, f"{line.actual_g * 1.2:.2f} g", why="a slip", by="TO")

    with lab.look() as look:
        after = look.results("T1", DENSITY)[-1]
    assert after.entry_no != before.entry_no
    assert not [
        one.says for one in review_release(lab, "T1", by="MA").missing if "corrected reading" in one.says
    ]


def test_a_ceiling_stated_under_the_name_the_order_counts_by_is_found(lab: Laboratory) -> None:
    with lab.look() as look:
        order = look.order("ORD-1")
    aim = replace(order.aim, of="total flavonoids", reckoned_as="hyperoside")
    lotion = replace(order, aim=aim, product_type="body lotion leave-on")
    for name, most in (
        ("total flavonoids as hyperoside", 0.1),
        ("hyperoside", 0.2),
        ("Total flavonoids", 0.3),
    ):
        state_ceiling(lab, name, "body lotion leave-on", "EU", f"{most} %", "an invented opinion", by="MA")
        with lab.look() as look:
            found = ceiling_for(look, lotion).limit
        assert found is not None
        assert found.value == pytest.approx(most)
    assert ceiling_wanted(lab, "T1") == (order.aim.counted, order.product_type, order.market)
    assert ceiling_wanted(lab, "CIN-01") == ("", "", "")


@pytest.mark.parametrize(
    "text",
    ["4.01, 6.86", "4,01 6,86", "4,01; 6,86", "4,01, 6,86", "4.01;6.86", "4.01 and 6.86", "6,86 & 4,01"],
)
def test_buffers_of_a_meter_are_read_with_comma_or_point(text: str) -> None:
    assert read_with("meter", buffers_in(text, "meter-buffers"), 5.0) == (
        "meter",
        "calibrated with 4.01 and 6.86",
    )


def test_a_bare_number_counts_what_is_counted_in_pieces(lab: Laboratory) -> None:
    receive_lot(lab, Lot("CAP-77", LotKind.PACKAGING, "cap", "caps"), "40", by="TO")
    count_stock(lab, "CAP-77", found="39", by="TO")
    with lab.look() as look:
        assert look.balance_pieces("CAP-77") == 40
        assert look.stock_counts("CAP-77")[-1].body.counted_in == "piece"


def test_a_trace_begins_with_every_bottle_and_without_tails_of_floats(lab: Laboratory) -> None:
    with lab.look() as look:
        order = next(one.split("/")[1] for one, _ in look.balances("T1") if "customer/" in one)
    take_back(lab, "T1", order=order, amount="2", why="recalled", by="TO")
    with lab.look() as look:
        entry = look.readings("T1", "bottle full of bulk")[-1]
    correct_reading(lab, entry.entry_no, f"{entry.body.value * 1.001:.4f} g", why="misread", by="TO")
    page = show_trace(lab, "T1")
    assert page.lead is not None
    made, *rest = (int(one) for one in re.findall(r"\b\d+", page.lead))
    assert made == sum(rest)
    assert "2 came back" in page.lead
    assert not re.search(r"\.\d{10,}", page_text(page))


@pytest.mark.parametrize("name", sorted(ADDED_AT))
def test_a_list_with_nothing_to_choose_says_where_the_first_is_added(name: str) -> None:
    assert Ask(name, "", choices=()).add_one_at == ADDED_AT[name]
    assert Ask(name, "", choices=(("", "choose"),)).add_one_at == ADDED_AT[name]
    assert not Ask(name, "", choices=(("X-1", "X-1"),)).add_one_at
    assert not Ask(name, "", choices=(), required=False).add_one_at


def test_correct_beside_filled_opens_the_filling_with_its_bottles(lab: Laboratory) -> None:
    with lab.look() as look:
        filling = look.fillings("T1")[-1].entry_no
        step = next(one.entry_no for one in look.steps("T1") if one.body.step == "fill")
    told = repr(show_batch(lab, "T1"))
    assert f"/entries/{filling}/correct" in told
    assert f"/entries/{step}/correct?line=filled" not in told


def test_what_a_plant_of_ones_own_holds_as_a_compound_serves_an_order_that_counts_it(lab: Laboratory) -> None:
    said = {"plant": "horsetail herb", "holds": "total flavonoids as isoquercitrin 0,3 bis 0,9 %"}
    state_fields(lab, "plant", said, by="TO")
    with lab.look():
        found = typical_content("horsetail herb", "total flavonoids")
    assert found is not None
    assert (found.low_percent_dried, found.high_percent_dried) == (0.3, 0.9)
