"""The day of the practice laboratory: laid out from the book, tapped, surprised, and never in the way of the record."""

import re
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from stillroom.actions.bench.next_of_order import next_of_order
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.day.jobs_in_hand import takes_of
from stillroom.actions.day.live import LiveDay, live_day
from stillroom.actions.day.planning import note_surprise, plan_day, take_back, tap, taps_that_stand
from stillroom.actions.day.shelf_jobs import jobs_of_shelf
from stillroom.actions.day.step_times import own_minutes, times_of
from stillroom.actions.day.to_plan import to_plan
from stillroom.actions.house.equipment_and_people import add_instrument
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.lots.rack_weighing import weigh_rack
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.forecasting import work_of_course
from stillroom.documents.day_words import job_words
from stillroom.errors import BadEntry, UnknownName
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.schedule.jobs import Job, JobStep
from stillroom.schedule.solving import schedule
from stillroom.science.heat.condensers import outlets_in_series_c
from tests.schedule.rules_checked import broken_rules

WEIGHED = (
    Weighed("stock spirit", "606 g", "SPI-01", "SCALE-1"),
    Weighed("water", "486 g", "WAT-01", "SCALE-1"),
)


MIDNIGHT = datetime.fromisoformat("2026-11-24T00:00:00+00:00")
TICKS = ("No flame and no open element in the room",)


def after(lab: Laboratory, minutes: int) -> Laboratory:
    """The same laboratory so many minutes later."""
    then = lab.clock() + timedelta(minutes=minutes)
    return replace(lab, clock=lambda: then)


def live(lab: Laboratory) -> LiveDay:
    with lab.look() as look:
        found = live_day(look, lab.clock())
    assert found is not None
    return found


@pytest.fixture
def planned(lab: Laboratory) -> Laboratory:
    note_condition(lab, "working hours", "08:00 to 16:30", by="TO")
    note_condition(lab, "break", "12:30 to 13:00", by="TO")
    note_condition(lab, "condensers", "2", by="TO")
    plan_day(lab, by="TO")
    return lab


def test_a_day_is_laid_out_from_what_the_book_holds_and_keeps_every_rule(planned):
    day = live(planned)

    assert {"ORD-2/bark-extract"} <= {one.code for one in day.kept.jobs}
    assert (
        broken_rules(list(day.kept.jobs), day.kept.bench, day.horizon_min, day.kept.schedule, now=day.now_min)
        == []
    )
    assert not day.moved
    assert all(
        begins - a.begins_min == 0
        for a, begins in ((one, day.schedule.of(*one.key).begins_min) for one in day.kept.schedule.placed)
    )


def test_what_nobody_noted_is_assumed_by_name(planned):
    said = " ".join(live(planned).kept.assumed)

    assert "breaker: 10 A taken" in said
    assert "mains voltage: 230 V taken" in said
    assert "working hours" not in said
    assert "condensers" not in said


def test_hours_break_and_days_of_work_are_those_of_the_house(planned):
    note_condition(planned, "days of work", "Tue, Sat", by="TO")
    note_condition(planned, "water days", "Sat", by="TO")
    bench = to_plan(planned).bench

    # 24 November 2026 is a Tuesday: today, Saturday, and both of the next week.
    assert [begins // 1440 for begins, _ in bench.people[0].at_work] == [0, 4, 7, 11]
    assert bench.people[0].at_work[0] == (480, 990)
    assert (bench.people[0].breaks[0].earliest_min, bench.people[0].breaks[0].minutes) == (750, 30)
    assert [cut.begins_min // 1440 for cut in bench.limit("tap water").cuts] == [
        0,
        1,
        2,
        3,
        5,
        6,
        7,
        8,
        9,
        10,
        12,
        13,
    ]


@pytest.mark.parametrize(
    ("cooling", "together"),
    [
        ("side by side", True),
        ("one after the other at 0.6 L/min", True),
        ("in series, 200 mL/min", False),  # 28 °C and 2 × 300 W: the second leaves at 71 °C
    ],
)
def test_condensers_in_a_row_run_together_while_the_last_outlet_stays_20_k_below_the_boiling(
    lab, cooling, together
):
    for what, text in (("condensers", "2"), ("tap temperature", "28 °C"), ("cooling water", cooling)):
        note_condition(lab, what, text, by="TO")
    bench = to_plan(lab).bench
    run = JobStep("run", 240, "watch", takes_of("soxhlet", bench))

    found = schedule([Job("A", "", (run,)), Job("B", "", (run,))], bench, 2 * 1440, now_min=480)

    first, second = sorted(one.begins_min for one in found.placed)
    assert (second - first < 240) is together
    flow_l_min = {"o": 0.6, "i": 0.2}.get(cooling[0])
    if flow_l_min:
        assert bool(outlets_in_series_c(28.0, [300.0, 300.0], flow_l_min)[-1] < 77.1 - 20.0) is together


def test_a_bench_counts_the_condensers_that_were_put_into_use_until_somebody_notes_their_number(lab):
    for _ in range(2):
        add_instrument(lab, "condensers", "300 W", by="TO")
    assert to_plan(lab).bench.limit("condensers").most == 2
    note_condition(lab, "condensers", "1", by="TO")
    assert to_plan(lab).bench.limit("condensers").most == 1


def test_nothing_to_do_is_said(lab):
    for words in ("Mon to Fri and Funday", "", "every"):
        with pytest.raises(BadEntry, match="Days of the week are named"):
            note_condition(lab, "days of work", words, by="TO")


def test_a_step_begun_late_moves_the_rest_and_nothing_before_it(planned):
    first = next(one for one in live(planned).kept.schedule.placed if one.person)
    step = first.step.partition("/")[0]
    late = after(planned, first.begins_min - live(planned).now_min + 90)
    tap(late, first.job, step, "begun", by="TO")

    day = live(late)

    assert day.moved
    assert day.fits
    assert day.schedule.of(*first.key).begins_min == first.begins_min + 90
    stays = tuple(day.begun)
    assert (
        broken_rules(list(day.kept.jobs), day.kept.bench, day.horizon_min, day.schedule, stays, day.now_min)
        == []
    )


def test_what_is_written_at_the_batch_moves_the_day_and_teaches_how_long_it_takes(lab):
    begin_batch(lab, "E9", "bark-extract", "120 g", by="TO")
    plan_day(lab, by="TO")
    begins = live(lab).schedule.of("E9", "mix spirit/hands")
    tap(lab, "E9", "mix spirit", "begun", by="TO")
    then = after(lab, 50)
    do_step(then, "E9", "mix spirit", WEIGHED, ticks=TICKS, note="less spirit at hand", by="TO")

    day = live(then)

    assert day.schedule.of("E9", "mix spirit/hands").ends_min == day.now_min
    assert day.schedule.of("E9", "moisten/hands").begins_min >= day.now_min
    assert begins.ends_min < day.now_min
    with then.look() as look:
        assert own_minutes(look, "bark-extract")["mix spirit"] == (50,)
    again = to_plan(then)
    order = next(one for one in again.in_hand.jobs if one.code == "ORD-2/bark-extract")
    assert order.step("mix spirit/hands").usual_min == 50


def test_after_a_surprise_what_has_begun_stays_and_what_moved_is_told(planned):
    first = next(one for one in live(planned).schedule.placed if one.person)
    at = after(planned, first.begins_min - live(planned).now_min)
    tap(at, first.job, first.step.partition("/")[0], "begun", by="TO")
    before = live(at)

    done = note_surprise(after(at, 5), "late", "MA", 60, why="the bus", by="TO")

    day = live(after(at, 5))
    assert done.says.startswith(("What had begun stays.", "Nothing has to move."))
    assert day.schedule.of(*first.key).begins_min == before.schedule.of(*first.key).begins_min
    away = range(day.now_min, day.now_min + 60)
    assert not any(
        one.person == "MA" and not one.begun and one.begins_min in away for one in day.schedule.placed
    )


def test_an_assay_that_failed_is_laid_out_once_more(planned):
    job = live(planned).kept.jobs[0].code

    done = note_surprise(planned, "again", job, by="TO")

    assert f"{job}/again-" in done.says
    assert len([one for one in live(planned).kept.jobs if one.code.startswith(job)]) == 2


def test_a_tap_that_was_not_so_is_taken_back(planned):
    first = next(one for one in live(planned).schedule.placed if one.person)
    number = tap(planned, first.job, first.step.partition("/")[0], "begun", by="TO").entry_no

    take_back(planned, number, by="TO")

    assert first.key not in {one.key for one in live(planned).begun}
    with pytest.raises(UnknownName, match="an entry of the day that stands"):
        take_back(planned, number, by="TO")


def test_what_may_be_taken_back_is_listed_the_newest_first(planned):
    first = next(one for one in live(planned).schedule.placed if one.person)
    tap(planned, first.job, first.step.partition("/")[0], "begun", by="TO")
    note_surprise(planned, "water", minutes=10, by="TO")

    found = taps_that_stand(planned)

    assert [one.words.partition(":")[0] for one in found] == ["water", job_words(first.job)]
    take_back(planned, found[0].entry_no, by="TO")
    assert [one.entry_no for one in taps_that_stand(planned)] == [found[1].entry_no]


def test_kept_samples_are_looked_at_and_released_bottles_handed_over(lab):
    with lab.look() as look:
        looked_at = list(jobs_of_shelf(look, MIDNIGHT, lab.clock() + timedelta(days=29), 990))
        codes = {one.code for one in looked_at}
        delivered = {
            f"deliver/{one.code}"
            for one in look.orders()
            if next_of_order(look, one).href.endswith("/deliver")
        }

    assert "kept/T1/1" in codes
    assert delivered <= codes


def test_a_rack_is_weighed_again_a_day_later_until_it_is_dry(lab):
    receive_lot(lab, Lot("FR-1", LotKind.PLANT, "sage leaf", "sage leaf"), "1 kg", by="TO")
    weigh_rack.do(lab, "FR-1", {"mass": "412 g"}, by="TO")
    with lab.look() as look:
        job = next(one for one in jobs_of_shelf(look, MIDNIGHT, lab.clock(), 990) if one.code == "rack/FR-1")

    assert job.earliest_min == 36 * 60  # noon of the next day
    weigh_rack.do(after(lab, 24 * 60), "FR-1", {"mass": "110 g"}, by="TO")
    weigh_rack.do(after(lab, 48 * 60), "FR-1", {"mass": "110 g"}, by="TO")
    with lab.look() as look:
        assert "rack/FR-1" not in {one.code for one in jobs_of_shelf(look, MIDNIGHT, lab.clock(), 990)}


def test_a_heater_over_the_breaker_is_one_sentence_and_the_batch_is_written_all_the_same(lab):
    note_condition(lab, "breaker", "1 A", by="TO")

    says = plan_day(lab, by="TO").says
    assert re.search(r"ORD-2/bark-extract is left out: .* of power\. Got the bench has 184", says)
    begin_batch(lab, "E9", "bark-extract", "120 g", by="TO")
    assert do_step(lab, "E9", "mix spirit", WEIGHED, ticks=TICKS, note="less spirit at hand", by="TO").entries


def test_an_order_whose_day_is_past_is_laid_out_as_early_as_it_fits(lab):
    due = datetime.fromisoformat("2027-02-01T09:00:00+00:00")
    late = replace(lab, clock=lambda: due)

    found = to_plan(late)

    assert "ORD-2/bark-extract" in found.in_hand.past_due
    assert any("its day is past" in one for one in found.assumed)


@pytest.mark.parametrize(
    ("what", "subject", "says"),
    [
        ("late", "ZZ", "'ZZ' is not something or somebody"),
        ("broken", "muffle", "'muffle' is not"),
        ("fire", "", "'fire' is not"),
    ],
)
def test_an_unknown_surprise_is_named_and_nothing_is_written(planned, what, subject, says):
    before = planned.book.digest()
    with pytest.raises(UnknownName, match=says):
        note_surprise(planned, what, subject, 10, by="TO")
    assert planned.book.digest() == before


def test_a_batch_is_laid_out_with_the_minutes_its_plan_counts(lab):
    begin_batch(lab, "E9", "bark-extract", "120 g", order="ORD-2", by="TO")
    with lab.look() as look:
        procedure = look.procedure("bark-extract")
        account = work_of_course(look, "E9")
        assert account is not None
        for step in procedure.steps:
            told = times_of(look, procedure, step, "E9")
            work = account.step(step.name).work
            assert told.hands_min == round(float(np.median(work.hands_min)))
            assert told.free_min == round(float(np.median(work.free_min)))
