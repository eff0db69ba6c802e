"""Waits by the clock, water or power off, and a sheet that is entered afterwards."""

from datetime import datetime
from pathlib import Path

import pytest

from stillroom.actions.bench.outages import end_outage, note_outage, outages, outages_now
from stillroom.actions.bench.timers import batch_calendar, batch_timers
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_entry
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.paper_sheet_entry import SheetStep, enter_sheet
from stillroom.actions.making.steps_in_hand import steps_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.releasing.flash_point_check import room_and_flash
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, NotEnough
from stillroom.pages.batches import show_batch
from stillroom.pages.tracing import show_trace
from stillroom.stream.kind import STANDS
from stillroom.stream.kinds import KINDS, when_off
from tests.practice import copied, extracted_folder, opened, told_folder

NO_FLAME = ("No flame and no open element in the room",)
SPIRIT = (
    Weighed("stock spirit", "2944 g", "SPI-01", "SCALE-1"),
    Weighed("water", "1484 g", "WAT-01", "SCALE-1"),
)
BARK = (Weighed("bark", "250.00 g", "CIN-01", "SCALE-2"),)


def at(clock: str, day: int = 23) -> datetime:
    return datetime.fromisoformat(f"2026-11-{day:02} {clock}+00:00")


@pytest.fixture
def lab(tmp_path: Path) -> Laboratory:
    with opened(copied(tmp_path, extracted_folder)) as made:
        begin_batch(made, "E2", "bark-extract", "250 g", by="TO", at=at("07:00"))
        yield made


def mixed_and_moistened(lab: Laboratory) -> None:
    do_step(lab, "E2", "mix spirit", SPIRIT, ticks=NO_FLAME, by="TO", at=at("08:00"))
    do_step(lab, "E2", "moisten", BARK, by="TO", at=at("08:15"))


def test_a_step_that_stands_is_ready_by_the_clock_it_was_written_at(lab: Laboratory) -> None:
    mixed_and_moistened(lab)
    stands, comes = batch_timers(lab, "E2")

    # The procedure: swell for 4 h, then percolate for 24 h.
    assert stands.says == "since 2026-11-23 08:15, ready 12:15"
    assert comes.says == "if begun 2026-11-23 12:15, ready 2026-11-24 12:15"
    assert comes.supposed


def test_the_time_of_an_outage_is_put_right_and_both_times_stay(lab: Laboratory) -> None:
    mixed_and_moistened(lab)
    off = note_outage(lab, "power", by="TO", at=at("09:00"))
    end_outage(lab, "power", by="TO", at=at("09:40"))

    done = correct_entry(lab, off.entry_no, "08:50", why="the clock ran ahead", by="TO", at=at("10:00"))
    with pytest.raises(BadEntry, match="comes back after it went off"):
        correct_entry(lab, done.entry_no, "09:45", why="looked again", by="TO", at=at("10:01"))
    with lab.look() as look:
        (outage,) = outages(look)
        old, new = look.entry(off.entry_no), look.entry(done.entry_no)

    assert outage.minutes == 50
    assert old.corrected_by == done.entry_no
    assert (new.why, new.done_at[:16]) == ("the clock ran ahead", "2026-11-23T08:50")
    assert "08:50" in page_text(show_batch(lab, "E2"))


@pytest.mark.parametrize("text", ["tea time", "25:10", "2026-13-01 10:00", ""])
def test_a_time_that_is_none_is_refused_and_nothing_is_written(lab: Laboratory, text: str) -> None:
    off = note_outage(lab, "power", by="TO", at=at("09:00"))
    before = lab.book.digest()

    with pytest.raises(BadEntry, match="A time is written"):
        correct_entry(lab, off.entry_no, text, why="slip", by="TO", at=at("10:00"))
    assert lab.book.digest() == before


def test_what_must_be_used_soon_says_until_when(lab: Laboratory) -> None:
    mixed_and_moistened(lab)
    weighed = (
        Weighed("water", "299 g", "WAT-01", "SCALE-1"),
        Weighed("percolate", "4437 g", "", "SCALE-1"),
        Weighed("marc", "503.40 g", "", "SCALE-2"),
    )
    ticks = ("An acidified drop gives no precipitate beside a blank",)
    do_step(lab, "E2", "percolate", weighed, ticks=ticks, by="TO", at=at("11:00", 24))

    # Written at its end, so its 24 h are over; what it gave may wait 48 h.
    assert batch_timers(lab, "E2")[0].says == "since 2026-11-24 11:00, no later than 2026-11-26 11:00"
    assert "DTSTART:20261126T110000Z" in batch_calendar(lab, "E2")


def test_a_cut_while_something_stands_is_told_and_never_reckoned_away(lab: Laboratory) -> None:
    mixed_and_moistened(lab)
    note_outage(lab, "power", by="TO", at=at("09:00"))
    during = batch_timers(lab, "E2")[0]
    end_outage(lab, "power", by="TO", at=at("09:40"))
    note_outage(lab, "water", by="TO", at=at("09:20"))
    end_outage(lab, "water", by="TO", at=at("10:00"))
    after = batch_timers(lab, "E2")[0]

    assert during.cuts == ("power has been off since 09:00: no time here holds until somebody looks",)
    assert after.says == during.says
    # 09:00 to 09:40 and 09:20 to 10:00 are one hour together: 12:15 becomes 13:15.
    assert after.cuts[-1] == "the clock ran on, the work may not have: if it stood still, ready 13:15"


def test_a_cut_stands_in_every_batch_in_hand_and_in_the_trace(lab: Laboratory) -> None:
    mixed_and_moistened(lab)
    done = note_outage(lab, "water", by="TO", at=at("09:00"))
    end_outage(lab, "water", by="MA", at=at("09:25"))

    assert len(done.entries) == 1
    assert "E2" in done.says
    assert "T1" in done.says
    sheet = page_text(show_batch(lab, "E2"))
    assert "water off at 2026-11-23 09:00" in sheet
    assert "back 2026-11-23 09:25, after 25 min" in sheet
    assert "water off at 2026-11-23 09:00" in page_text(show_batch(lab, "T1"))
    assert "water off at 2026-11-23 09:00" in page_text(show_trace(lab, "E2"))
    assert "water off" not in page_text(show_batch(lab, "E1"))


def test_what_is_off_goes_off_once_and_comes_back_after_it_went(lab: Laboratory) -> None:
    note_outage(lab, "power", by="TO", at=at("09:00"))

    with pytest.raises(BadEntry, match="noted as off already"):
        note_outage(lab, "power", by="TO", at=at("09:10"))
    with pytest.raises(BadEntry, match="comes back after it went off"):
        end_outage(lab, "power", by="TO", at=at("08:50"))
    with pytest.raises(BadEntry, match="not noted as off"):
        end_outage(lab, "water", by="TO", at=at("09:30"))
    with pytest.raises(BadEntry, match="What is off is water, power"):
        note_outage(lab, "gas", by="TO")
    assert [one.what for one in outages_now(lab)] == ["power"]


def test_every_kind_of_step_says_what_it_needs_when_water_or_power_goes() -> None:
    assert all(kind.when_off.endswith(".") for kind in KINDS.values())
    assert when_off("a kind nobody knows") == STANDS


def test_the_steps_in_hand_end_before_what_needs_a_decision(lab: Laboratory) -> None:
    extraction = steps_in_hand(lab, "E2")

    assert len(extraction) == extraction[0].of
    assert [one.number for one in extraction] == list(range(1, extraction[0].of + 1))
    assert steps_in_hand(lab, "T1") == ()


# A sheet.


def sheet() -> tuple[SheetStep, ...]:
    return (
        SheetStep("mix spirit", at("13:50"), SPIRIT, NO_FLAME, "21 °C"),
        SheetStep("moisten", at("14:10"), BARK),
    )


def test_a_sheet_is_entered_with_the_times_on_the_paper(lab: Laboratory) -> None:
    done = enter_sheet(lab, "E2", sheet(), by="TO", at=at("19:40"), request_key="sheet-of-e2")
    again = enter_sheet(lab, "E2", sheet(), by="TO", at=at("19:41"), request_key="sheet-of-e2")
    text = page_text(show_batch(lab, "E2"))

    assert len(done.entries) == 2
    assert again.entries == done.entries
    assert "Done 2026-11-23 13:50 by TO; entered 2026-11-24 12:00; at 21 °C" in text
    assert "Done 2026-11-23 14:10 by TO; entered 2026-11-24 12:00" in text
    assert "moisten" in page_text(show_trace(lab, "E2")).partition("Entered later than done")[2]


@pytest.mark.parametrize(
    ("change", "kind", "says"),
    [
        ({"done_at": at("13:40")}, BadEntry, "times of a sheet run forwards"),
        ({"done_at": at("13:40", 25)}, BadEntry, "must have been done already"),
        (
            {"weighed": (Weighed("bark", "9000 g", "CIN-01", "SCALE-1"),)},
            NotEnough,
            "CIN-01 holds",
        ),
        ({"weighed": ()}, BadEntry, "Every line of moisten is weighed once"),
        ({"step": "percolate", "weighed": ()}, NotAllowed, "Steps are done in their order"),
    ],
)
def test_a_sheet_with_one_slip_is_not_written_at_all(
    lab: Laboratory, change: dict, kind: type, says: str
) -> None:
    from dataclasses import replace

    before = lab.book.digest()
    first, second = sheet()

    with pytest.raises(kind, match=says):
        enter_sheet(lab, "E2", (first, replace(second, **change)), by="TO", at=at("19:40"))
    assert lab.book.digest() == before


def test_an_empty_sheet_is_asked_for_its_times(lab: Laboratory) -> None:
    with pytest.raises(BadEntry, match="at least one step"):
        enter_sheet(lab, "E2", (), by="TO")


# A warm room.


def test_a_room_warmer_than_the_flash_point_is_told(tmp_path: Path) -> None:
    with opened(copied(tmp_path, told_folder)) as lab:
        unknown = room_and_flash(lab, "T1")
        warm, cool = room_and_flash(lab, "T1", "31 °C"), room_and_flash(lab, "T1", "12 °C")

    # A tonic of about 40 % v/v flashes near 26 °C (published table, second-hand: flash-ethanol-water-web).
    assert unknown.flash is not None
    assert unknown.flash.value == pytest.approx(26, abs=2)
    assert (unknown.is_warm, warm.is_warm, cool.is_warm) == (False, True, False)
    assert unknown.room_c is None
    assert "The room is at 31 °C (now)" in warm.says


def test_an_extract_without_spirit_has_no_flash_point_to_tell(tmp_path: Path) -> None:
    with opened(copied(tmp_path, told_folder)) as lab, pytest.raises(BadEntry, match="must lie between"):
        room_and_flash(lab, "T1", "310 °C")
