"""The calendar of all draws at once against a clock that counts one minute after the other."""

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from stillroom.planning.offering.calendar import after_work, days_of
from stillroom.planning.outcome import StepForecast
from stillroom.planning.working_days import working_days

MONDAY = date(2026, 11, 30)


def minute_by_minute(clock: int, work: int, day_min: int, first: date) -> int:
    while work > 0:
        day, at = divmod(clock, 1440)
        if at < day_min and (first + timedelta(days=day)).weekday() < 5:
            work -= 1
        clock += 1
    return clock


@given(
    st.integers(0, 9 * 1440), st.integers(0, 3000), st.sampled_from((60, 270, 480, 720)), st.integers(0, 6)
)
def test_work_passes_in_working_hours_of_working_days(clock, work, day_min, weekday):
    first = MONDAY + timedelta(days=weekday)

    found = after_work(float(clock), float(work), float(day_min), weekday)

    assert float(found) == minute_by_minute(clock, work, day_min, first)


def test_a_week_of_soaking_passes_over_the_weekend():
    begun = after_work(np.zeros(2), np.array([30.0, 60.0]), 480.0, 0)
    ended = after_work(begun + 7 * 1440, 60.0, 480.0, 0)

    assert days_of(ended).tolist() == [7.0, 7.0]


def test_what_takes_longest_is_told_without_the_night_before_it():
    drying = StepForecast("x", "dry", "dry", {}, {}, {}, 470.0, 0.0, 480.0)
    sample = StepForecast("x", "set a sample aside", "set aside", {}, {}, {}, 10.0, 0.0, 0.0)

    found = working_days((drying, sample), 7.5)

    assert (found.longest_step, found.longest_h) == ("dry", (470.0 + 480.0) / 60.0)
