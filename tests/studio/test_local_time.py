"""Wall-clock times over the clock changes of Europe/Dublin.

The instants of change are those of the IANA time zone database: 29 March and 25 October 2026, at
01:00 UTC.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.local_time import (
    LocalTimeTwice,
    NoSuchLocalTime,
    day_bounds,
    instant,
    local_date,
    monday_of,
)

DUBLIN = ZoneInfo("Europe/Dublin")


class TestInstant:
    def test_four_o_clock_stays_four_o_clock(self) -> None:
        assert instant(date(2026, 3, 25), time(16), DUBLIN) == datetime(2026, 3, 25, 16, tzinfo=UTC)
        assert instant(date(2026, 4, 1), time(16), DUBLIN) == datetime(2026, 4, 1, 15, tzinfo=UTC)
        assert instant(date(2026, 10, 28), time(16), DUBLIN) == datetime(
            2026, 10, 28, 16, tzinfo=UTC
        )

    def test_refuses_the_hour_that_spring_skips(self) -> None:
        with pytest.raises(NoSuchLocalTime, match="01:30 does not exist on 29 March 2026"):
            instant(date(2026, 3, 29), time(1, 30), DUBLIN)

    def test_refuses_the_hour_that_autumn_repeats(self) -> None:
        with pytest.raises(LocalTimeTwice, match="01:30 happens twice on 25 October 2026"):
            instant(date(2026, 10, 25), time(1, 30), DUBLIN)

    @given(
        st.dates(date(2000, 1, 1), date(2090, 12, 31)),
        st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    )
    def test_what_comes_back_is_what_was_meant(self, day: date, at: time) -> None:
        try:
            moment = instant(day, at, DUBLIN)
        except (NoSuchLocalTime, LocalTimeTwice):
            assert at.hour in (1, 2)
            return

        shown = moment.astimezone(DUBLIN)
        assert (shown.date(), shown.time()) == (day, at)


class TestDayBounds:
    @pytest.mark.parametrize(
        ("day", "hours"),
        [(date(2026, 3, 29), 23), (date(2026, 6, 1), 24), (date(2026, 10, 25), 25)],
    )
    def test_a_day_has_23_to_25_hours(self, day: date, hours: int) -> None:
        start, end = day_bounds(day, DUBLIN)

        assert end - start == timedelta(hours=hours)
        assert local_date(start, DUBLIN) == day
        assert local_date(end, DUBLIN) == day + timedelta(days=1)


def test_a_week_begins_on_monday_also_over_new_year() -> None:
    assert monday_of(date(2027, 1, 3)) == date(2026, 12, 28)
    assert monday_of(date(2026, 12, 28)) == date(2026, 12, 28)
