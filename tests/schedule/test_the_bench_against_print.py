"""Published job shops, a published project and a worked day, by the general functions."""

import pytest

from stillroom.errors import NotEnough
from stillroom.schedule.solving import schedule
from tests.schedule.published import FT06, FT20, LA01, PROJECT_END, job_shop, project, worked_day
from tests.schedule.rules_checked import broken_rules

DAY = 24 * 60
WORKED = pytest.mark.parametrize("not_printed", ["still", "tea"])


@pytest.mark.parametrize(
    ("printed", "effort"),
    [
        pytest.param(FT06, 1.0, id="FT06"),
        pytest.param(LA01, 1.0, id="LA01"),
        pytest.param(FT20, 5.0, id="FT20"),
    ],
)
def test_a_published_job_shop_ends_when_its_best_is_printed_to_end(printed, effort):
    best, shop = printed
    jobs, bench = job_shop(shop)

    found = schedule(jobs, bench, 3000, aims=("end",), effort=effort, tidy=False)

    assert (found.end_min, found.sure) == (best, "proven")
    assert broken_rules(jobs, bench, 3000, found) == []


def test_a_published_project_ends_when_its_best_is_printed_to_end():
    jobs, bench = project()

    found = schedule(jobs, bench, 300)

    assert (found.end_min, found.sure) == (PROJECT_END, "proven")
    assert broken_rules(jobs, bench, 300, found) == []


@WORKED
@pytest.mark.parametrize(
    ("current_a", "lines", "printed_min"),
    [(10.0, 2, 490), (10.0, 3, 490), (16.0, 2, 455)],
    ids=("as it is", "a third condenser gains nothing", "a larger breaker gains 35 min"),
)
def test_the_worked_day_ends_when_it_is_printed_to_end(not_printed, current_a, lines, printed_min):
    jobs, bench = worked_day(current_a, lines, not_printed)

    found = schedule(jobs, bench, DAY)

    assert (found.end_min, found.sure) == (printed_min, "proven")
    assert broken_rules(jobs, bench, DAY, found) == []


@WORKED
def test_the_worked_day_one_after_the_other_takes_what_is_printed(not_printed):
    jobs, _ = worked_day(not_printed=not_printed)

    assert sum(step.usual_min for job in jobs for step in job.steps) == 1100


@WORKED
def test_the_worked_day_does_not_fit_onto_one_condenser(not_printed):
    jobs, bench = worked_day(lines=1, not_printed=not_printed)

    with pytest.raises(NotEnough, match="no way to lay out SOXHLET, TEA, STILL"):
        schedule(jobs, bench, DAY)
