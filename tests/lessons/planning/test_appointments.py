"""The days and instants of the teacher's own appointments."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.appointments import AppointmentRule

DUBLIN = ZoneInfo("Europe/Dublin")
DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))


@given(DAYS, st.none() | DAYS, st.integers(0, 4), DAYS, st.integers(0, 60))
def test_its_dates_are_the_days_it_is_on(
    first: date, last: date | None, every: int, begin: date, length: int
) -> None:
    rule = AppointmentRule(first, last, time(10), time(11), every)
    days = [begin + timedelta(days=n) for n in range(length + 1)]

    assert rule.dates(days[0], days[-1]) == tuple(day for day in days if rule.is_on(day))


def test_it_stays_at_its_time_on_the_wall_over_the_clock_change() -> None:
    rule = AppointmentRule(date(2026, 10, 18), None, time(10), time(11, 30), 1)

    assert rule.when(date(2026, 10, 18), DUBLIN).start == datetime(2026, 10, 18, 9, tzinfo=UTC)
    after = rule.when(date(2026, 10, 25), DUBLIN)
    assert after.start == datetime(2026, 10, 25, 10, tzinfo=UTC)
    assert after.minutes == 90


def test_a_beginning_that_the_clock_skips_keeps_its_length() -> None:
    rule = AppointmentRule(date(2026, 3, 29), None, time(1, 30), time(2), 0)

    assert rule.when(date(2026, 3, 29), DUBLIN).minutes == 30


def test_midnight_is_the_end_of_the_day() -> None:
    rule = AppointmentRule(date(2026, 9, 8), None, time(23), time(0), 0)

    assert (rule.begins, rule.ends) == (1380, 1440)
    assert rule.when(date(2026, 9, 8), DUBLIN).minutes == 60
