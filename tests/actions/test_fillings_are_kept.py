"""A filling is kept as it was, asked about once where it cannot be right, corrected, and done in a warm room too."""

from typing import Any

import pytest

from stillroom.actions.bench.form_choices import next_of
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_reading, put_right
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batch_mass import mass_made_g
from stillroom.actions.making.batches import do_step
from stillroom.actions.making.bulk_density import DENSITY, density_answer, weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import FILL_YIELD, fill_answer, fill_units
from stillroom.actions.releasing.deciding import release
from stillroom.actions.releasing.list_lines import best_before_offered, lives_of
from stillroom.actions.releasing.release_facts import facts_for
from stillroom.actions.releasing.tracing import account_of
from stillroom.answers.density_to_20 import density_20c_g_ml, spirit_expansion_per_k
from stillroom.demo.bottling import T1
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.evidence.trails import from_trail
from stillroom.pages.batches import show_batch
from stillroom.pages.tracing import show_trace
from stillroom.products.best_before import best_before_line
from stillroom.records.lots import Lot, LotKind
from stillroom.substances.spirits import spirit_density_kg_m3
from tests.practice import later
from tests.web.conftest import opened as served_at


def blended(lab: Laboratory) -> str:
    """T1 of the extracted laboratory, up to its bulk."""
    decide_dose(lab, "T1", "E1", scale="SCALE-2", by="MA", at=later(-9))
    in_hand = step_in_hand(lab, "T1", "blend")
    assert in_hand is not None
    do_step(lab, "T1", "blend", T1.weighed, ticks=in_hand.step.ticks, by="TO", at=later(-8))
    return "T1"


def weighed_at(lab: Laboratory, batch: str, temperature: str) -> str:
    done = weigh_density(
        lab,
        batch,
        empty="38.41 g",
        water="138.14 g",
        bulk="133.12 g",
        temperature=temperature,
        scale="SCALE-2",
        thermometer="THERM-1",
        by="TO",
        at=later(-7),
    )
    return done.says


def filled(lab: Laboratory, left_over: str, note: str = "", units: int = 51, **more: Any) -> Any:
    asked = {"check_weights": T1.check_weights, "packaging": {"BOT-01": units}} | more
    return fill_units(
        lab,
        "T1",
        units,
        left_over=left_over,
        scale="SCALE-2",
        use_by="2028-11-16",
        by="TO",
        at=later(-6),
        note=note,
        **asked,
    )


@pytest.fixture
def bulk(tmp_path: Any) -> Any:
    from tests.practice import copied, extracted_folder, opened

    with opened(copied(tmp_path, extracted_folder)) as lab:
        blended(lab)
        yield lab


@pytest.mark.parametrize("temperature", ["22 °C", "31 °C", "14.5 °C"])
def test_a_density_of_a_warm_room_is_brought_to_20_with_its_doubt(bulk: Laboratory, temperature: str) -> None:
    says = weighed_at(bulk, "T1", temperature)
    with bulk.look() as look:
        answer = density_answer(look, "T1")
        into_each = fill_answer(look, "T1").value
        measured = next(
            one
            for name, one in from_trail(look.results("T1", DENSITY)[-1].body.trail).inputs
            if name == "density_g_ml"
        )
    degrees = float(temperature.split()[0]) - 20.0
    # 1775 g of 96 % v/v spirit (93.8 % by mass) and 3137 g of water: 33.9 % by mass of 98.2 % of the product.
    # OIML R 22 (1975): its density at the two temperatures, by hand from the formula.
    cold, warm = (float(spirit_density_kg_m3(0.3393, 20.0 + at)) for at in (0.0, degrees))

    assert "brought to 20 °C" in says
    assert answer.value / measured.value == pytest.approx(cold / warm, abs=3e-4)
    assert answer.standard_uncertainty is not None
    assert answer.standard_uncertainty > 0
    assert into_each == pytest.approx(100.0 * answer.value * 1.005, rel=0.02)


def test_the_expansion_of_water_and_ethanol_is_that_of_the_handbook() -> None:
    # Water 2.07e-4 1/K at 20 °C, ethanol 1.10e-3 1/K (CRC Handbook, thermal expansion of liquids; from memory).
    assert spirit_expansion_per_k(0.0, 20.1) == pytest.approx(2.07e-4, abs=0.05e-4)
    assert spirit_expansion_per_k(1.0, 20.1) == pytest.approx(1.10e-3, abs=0.03e-3)


def test_a_product_of_neither_spirit_nor_water_takes_a_wide_expansion() -> None:
    ends = [spirit_expansion_per_k(at, 31.0) for at in (0.0, 1.0)]
    low, high = (density_20c_g_ml(0.92, 31.0, 0.0, 0.0, one) for one in ends)

    # Fixed oils expand 7e-4 1/K (handbook tables of vegetable oils; from memory): inside.
    assert low < 0.92 * (1 + 7e-4 * 11.0) < high


def test_bottles_smaller_than_what_goes_into_each_are_asked_about_and_kept_with_a_note(
    bulk: Laboratory,
) -> None:
    small = Lot("BOT-15", LotKind.PACKAGING, "bottle 15 mL", "bottle 15 mL")
    receive_lot(bulk, small, "60 pieces", by="TO", at=later(-7))
    release(bulk, "BOT-15", meaning="looked at", by="MA", at=later(-7))
    weighed_at(bulk, "T1", "20.0 °C")
    with pytest.raises(BadEntry, match=r"fits what it is filled into: 100 mL.*BOT-15, bottle 15 mL"):
        filled(bulk, "5 g", packaging={"BOT-15": 51})
    filled(bulk, "5 g", packaging={"BOT-15": 51}, note="the label of the box was wrong")
    with bulk.look() as look:
        assert look.balance_pieces("BOT-15") == 9


def test_a_left_over_that_cannot_be_is_asked_about_kept_corrected_and_never_said_to_close(
    bulk: Laboratory,
) -> None:
    weighed_at(bulk, "T1", "20.0 °C")
    before = bulk.book.digest()
    with pytest.raises(BadEntry, match="900 g left over"):
        filled(bulk, "900 g")
    assert bulk.book.digest() == before
    filled(bulk, "900 g", note="read twice")
    sheet, trace = page_text(show_batch(bulk, "T1")), page_text(show_trace(bulk, "T1"))
    with bulk.look() as look:
        number = look.fillings("T1")[-1].entry_no

    assert "does not close" in sheet
    assert "The account closes" not in " ".join(trace.split())
    assert "more came out than went in" in " ".join(trace.split())

    put_right(bulk, number, {"left over": "86.20 g"}, why="the vessel was on the scale", by="TO", at=later(1))
    sheet, trace = page_text(show_batch(bulk, "T1")), page_text(show_trace(bulk, "T1"))
    with bulk.look() as look:
        assert len(look.results("T1", "fill yield")) == 1
        assert look.fillings("T1")[-1].body.left_over_g == 86.20
    assert "does not close" not in sheet
    assert "The account closes" in " ".join(trace.split())
    assert bulk.book.verify().troubles == ()


def test_without_check_weights_a_wrong_left_over_fills_no_less_than_nothing(bulk: Laboratory) -> None:
    weighed_at(bulk, "T1", "20.0 °C")
    filled(bulk, "9000 g", note="as it stood", check_weights=())
    with bulk.look() as look:
        body = look.fillings("T1")[-1].body

    assert body.filled_g > 0
    assert "does not close" in page_text(show_batch(bulk, "T1"))


@pytest.mark.parametrize(
    ("left_over", "weights"),
    [
        ("1e308 g", T1.check_weights),
        ("2e12 g", ()),
        ("86.2 g", ("1e308 g",)),
        ("86.2 g", ("0 g",)),
    ],
)
def test_a_note_keeps_no_mass_that_no_scale_shows(
    bulk: Laboratory, left_over: str, weights: tuple[str, ...]
) -> None:
    before = bulk.book.digest()
    with pytest.raises(BadEntry):
        filled(bulk, left_over, note="as it stood", check_weights=weights)

    assert bulk.book.digest() == before


def test_bottles_of_which_nothing_says_what_they_hold_are_asked_about_and_kept_as_so_much_water(
    bulk: Laboratory,
) -> None:
    # no density, no check weight, and more left over than was made
    with pytest.raises(BadEntry, match="Nothing says what went into the bottles"):
        filled(bulk, "9000 g", check_weights=())
    filled(bulk, "9000 g", note="the bulk was written wrong", check_weights=())

    with bulk.look() as look:
        body = look.fillings("T1")[-1].body
    assert body.filled_g == pytest.approx(body.units * body.each.amount)
    assert "does not close" in page_text(show_batch(bulk, "T1"))


def test_bottles_are_corrected_with_their_packaging_and_filled_a_second_time(bulk: Laboratory) -> None:
    weighed_at(bulk, "T1", "20.0 °C")
    filled(bulk, "1000 g", note="the rest tomorrow", units=41)
    with bulk.look() as look:
        number = look.fillings("T1")[-1].entry_no
        boxes, caps = look.balance_pieces("BOT-01"), look.balance_pieces("CAP-01")
    right = {"units": "42", "pack BOT-01": "42", "pack CAP-01": "42"}
    put_right(bulk, number, right, why="counted again", by="TO", at=later(1))
    with bulk.look() as look:
        assert account_of(look, "T1").shelf == 42
        assert look.balance_pieces("BOT-01") == boxes - 1
        assert look.balance_pieces("CAP-01") == caps - 42
    with pytest.raises(BadEntry, match="written once"):
        filled(bulk, "86.2 g", units=9)
    filled(bulk, "86.2 g", units=9, note="the rest of yesterday")
    with bulk.look() as look:
        assert account_of(look, "T1-2").shelf == 9
        assert look.lot("T1-2").made_by == "T1"
    page_text(show_batch(bulk, "T1"))
    assert bulk.book.verify().troubles == ()


def test_a_filling_without_a_density_is_kept_and_lacks_its_figures(bulk: Laboratory) -> None:
    filled(bulk, "86.2 g", note="no bottle for the density at hand")
    with bulk.look() as look:
        assert account_of(look, "T1").shelf == 51
        assert look.results("T1", "fill yield") == ()
    assert "Into each" not in page_text(show_batch(bulk, "T1"))


def test_what_was_filled_without_a_density_leads_to_it_from_its_batch_and_its_release(
    bulk: Laboratory,
) -> None:
    filled(bulk, "86.2 g", note="no bottle for the density at hand")
    pages = ("/make/T1", "/products/T1/release")

    def leads() -> set[bool]:
        return {'href="/make/T1/density"' in served.client.get(page).text for page in pages}

    for served in served_at(bulk.folder):
        assert leads() == {True}
        assert "Test fill yield" not in served.client.get(pages[1]).text
        weighed_at(served.lab, "T1", "20.0 °C")
        assert leads() == {False}


def test_a_density_weighed_after_the_filling_gives_its_yield_and_its_check(bulk: Laboratory) -> None:
    told = filled(bulk, "86.2 g", note="no bottle for the density at hand").says
    assert "checked once the density of the bulk is known" in told
    with bulk.look() as look:
        assert FILL_YIELD not in {one.name for one in facts_for(look, "T1").results}
    weighed_at(bulk, "T1", "20.0 °C")

    with bulk.look() as look:
        facts = facts_for(look, "T1")
        (found,) = (one for one in facts.results if one.name == FILL_YIELD)
    assert found.answer is not None
    assert 90.0 < found.answer.value <= 100.0
    assert facts.fill is not None
    assert facts.fill.because == found.because


def test_a_blend_that_became_weighed_in_otherwise_is_still_filled(bulk: Laboratory) -> None:
    with bulk.look() as look:
        (step,) = look.steps("T1")
    put_right(bulk, step.entry_no, {"mass bulk": "498.5 g"}, why="a slip", by="TO", at=later(-7))
    weighed_at(bulk, "T1", "20.0 °C")
    with pytest.raises(BadEntry, match=r"of 49[89] g"):
        filled(bulk, "86.2 g")
    filled(bulk, "86.2 g", note="the bulk was misread")
    assert isinstance(T1.weighed[0], Weighed)


def test_a_little_more_filled_than_stood_in_the_lot_is_asked_about_once_and_kept_with_its_mark(
    bulk: Laboratory,
) -> None:
    weighed_at(bulk, "T1", "20.0 °C")
    with bulk.look() as look:
        made_g = mass_made_g(look, "T1")
    over = f"{made_g * 1.006 - 51 * 95.95:.2f} g"  # 0.6 % more than the bulk, as 1,320 g from 1,312 g
    with pytest.raises(BadEntry, match="more is filled than stood in the lot"):
        filled(bulk, over)
    filled(bulk, over, note="the scale was moved between")
    with bulk.look() as look:
        (kept,) = look.deviations("T1")

    assert "more is filled than stood in the lot" in kept.body.what
    assert kept.body.done_about_it == "the scale was moved between"


def test_what_the_weighings_can_hide_is_not_asked_about(bulk: Laboratory) -> None:
    weighed_at(bulk, "T1", "20.0 °C")
    with bulk.look() as look:
        made_g = mass_made_g(look, "T1")

    # 8 bottles of 51 scatter by 0.16 g: the sum of all is known to 51 × 0.16 / √8 × √(1 − 8/51) = 2.6 g (by hand).
    assert "± " in filled(bulk, f"{made_g + 3.0 - 51 * 95.95:.2f} g").says


def test_a_slip_in_the_bottle_of_the_density_fills_nothing_and_put_right_it_counts(bulk: Laboratory) -> None:
    batch = "T1"
    slipped = weigh_density(
        bulk, batch, empty="38.41 g", water="138.14 g", bulk="1331.2 g", temperature="20 °C", scale="SCALE-2",
        thermometer="THERM-1", by="TO", at=later(-7),
    )  # fmt: skip
    assert slipped.says.startswith("It does not count. A mL of a bulk weighs 0.5 to 2 g")
    with bulk.look() as look:
        assert next_of(look, batch).does == "density"
        (full,) = [one for one in look.readings(batch) if one.body.as_written == "1331.2 g"]
    correct_reading(bulk, full.entry_no, "133.12 g", why="a point", by="TO", at=later(-6))
    with bulk.look() as look:
        put_right = look.results(batch, "density at 20 °C")[-1].body
        assert next_of(look, batch).does == "fill"
    assert put_right.counts
    assert put_right.value == pytest.approx(0.9482, abs=2e-4)
    assert "does not count" not in put_right.because


def test_the_date_a_filling_is_offered_is_one_that_its_release_takes(bulk: Laboratory) -> None:
    batch = "T1"
    weighed_at(bulk, batch, "20 °C")
    with bulk.look() as look:
        lives = lives_of(look, batch)
    offered = best_before_offered(bulk, batch)

    assert offered == min(one.ends for one in lives)
    assert best_before_line(offered, lives).standing == "within"
