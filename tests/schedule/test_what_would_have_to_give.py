"""Where a day is impossible: the smallest sets of changes, each of which works."""

from dataclasses import replace

from stillroom.schedule.bench import Bench, Worker
from stillroom.schedule.giving import Give, what_would_have_to_give
from stillroom.schedule.jobs import Job, JobStep
from tests.schedule.published import worked_day

DAY = 1440


def test_the_worked_day_on_one_condenser_needs_a_second_or_a_job_on_another_day():
    # Printed: infeasible in one day: tell the maker which job to move. Second-hand.
    jobs, bench = worked_day(lines=1)

    found = what_would_have_to_give(jobs, bench, DAY)

    alone = {one.gives[0]: one.schedule.end_min for one in found if len(one.gives) == 1}
    assert len(alone) == len(found)
    assert alone[Give("one more", "condenser", 1)] == 490  # what the second condenser buys: the printed day
    assert Give("another day", "STILL") in alone
    assert Give("another day", "SOXHLET") in alone
    assert Give("another day", "TEA") not in alone


def test_nothing_has_to_give_where_all_fits():
    jobs, bench = worked_day()

    assert what_would_have_to_give(jobs, bench, DAY) == ()


ANN = Worker("A", "Ann", ((480, 540),))
HOUR = Job("J", "an hour and a half", (JobStep("x", 90),))


def test_half_an_hour_is_begun_earlier_where_that_is_enough():
    found = what_would_have_to_give([HOUR], Bench((ANN,), ()), DAY)

    assert found[0].gives == (Give("begin earlier", "A", 30),)
    assert found[0].schedule.of("J", "x").begins_min == 450


def test_two_things_give_where_one_is_not_enough():
    needs_two = replace(HOUR, steps=(JobStep("x", 90), JobStep("y", 60)))

    found = what_would_have_to_give([needs_two], Bench((ANN,), ()), DAY)

    assert [one.gives for one in found] == [(Give("begin earlier", "A", 30), Give("stay longer", "A", 60))]
    assert found[0].schedule.end_min == 600


def test_a_job_that_would_be_late_begins_earlier_or_asks_for_a_later_date():
    due = replace(HOUR, due_min=545)
    bench = Bench((replace(ANN, at_work=((480, 900),)),), ())

    found = what_would_have_to_give([due], bench, DAY)

    bought = {one.gives[0]: one.schedule.end_min for one in found}
    assert bought[Give("begin earlier", "A", 30)] == 540
    assert bought[Give("a later date", "J")] == 570
    assert all(one.schedule.late == () for one in found)


def test_a_date_that_is_late_is_asked_about_where_nothing_else_helps():
    week = Worker("A", "Ann", tuple((day * DAY + 480, day * DAY + 960) for day in range(5)))
    steeps = Job("J", "", (JobStep("steep", 3 * DAY, "free"), JobStep("filter", 30)), due_min=2 * DAY)

    found = what_would_have_to_give([steeps], Bench((week,), ()), 5 * DAY)

    assert found[0].gives == (Give("a later date", "J"),)
    assert found[0].schedule.end_min == 3 * DAY + 510
