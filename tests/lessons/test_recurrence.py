"""Weekly by the wall clock, in Dublin's years 2026 and 2027."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.recurrence import (
    CannotRepeat,
    ClosedDays,
    WeeklyRule,
    expand,
    lesson_interval,
)

DUBLIN = ZoneInfo("Europe/Dublin")


def _rule(first: date, last: date, at: time = time(16), **more: int) -> WeeklyRule:
    return WeeklyRule(first, last, at, more.get("minutes", 30), DUBLIN, more.get("every", 1))


class TestExpand:
    @pytest.mark.parametrize(
        ("first", "last"),
        [
            (date(2026, 3, 24), date(2026, 4, 7)),
            (date(2026, 10, 20), date(2026, 11, 3)),
            (date(2027, 3, 23), date(2027, 4, 6)),
            (date(2027, 10, 26), date(2027, 11, 9)),
        ],
    )
    def test_four_o_clock_stays_four_o_clock_over_a_clock_change(
        self, first: date, last: date
    ) -> None:
        """Edge case 1: Dublin's clocks change on 29 March and 25 October 2026, 28 March and
        31 October 2027 (IANA tzdata, by way of zoneinfo)."""
        found = expand(_rule(first, last), ()).occurrences

        assert [each.when.start.astimezone(DUBLIN).time() for each in found] == [time(16)] * 3
        assert {each.when.start.hour for each in found} == {15, 16}
        assert {each.when.minutes for each in found} == {30}

    def test_a_lesson_over_the_change_itself_keeps_its_length(self) -> None:
        when = lesson_interval(date(2026, 10, 25), time(0, 30), 60, DUBLIN)

        assert when.minutes == 60
        assert when.start == datetime(2026, 10, 24, 23, 30, tzinfo=UTC)

    def test_the_hour_that_spring_skips_is_refused(self) -> None:
        """Edge case 2: the hour that spring skips is refused."""
        with pytest.raises(CannotRepeat, match="does not exist on 29 March 2026") as refusal:
            expand(_rule(date(2026, 3, 22), date(2026, 4, 5), time(1, 30)), ())

        assert refusal.value.field == "at"

    def test_the_hour_that_autumn_repeats_is_refused(self) -> None:
        """Edge case 2: the hour that autumn repeats is refused."""
        with pytest.raises(CannotRepeat, match="happens twice on 25 October 2026"):
            expand(_rule(date(2026, 10, 18), date(2026, 11, 1), time(1, 30)), ())

    def test_a_closed_date_asks_nothing_of_the_clock(self) -> None:
        closed = ClosedDays(date(2026, 3, 29), date(2026, 3, 29), "Clock change")
        found = expand(_rule(date(2026, 3, 22), date(2026, 4, 5), time(1, 30)), [closed])

        assert len(found.occurrences) == 2

    def test_every_second_week_goes_on_over_a_closure(self) -> None:
        """Edge case 3: the rhythm does not slip."""
        closed = ClosedDays(date(2026, 10, 26), date(2026, 10, 30), "Mid-term break")
        found = expand(_rule(date(2026, 9, 29), date(2026, 11, 24), every=2), [closed])

        days = [each.day for each in found.occurrences]
        assert days == [
            date(2026, 9, 29),
            date(2026, 10, 13),
            date(2026, 11, 10),
            date(2026, 11, 24),
        ]
        assert [(skip.day, skip.reason) for skip in found.skipped] == [
            (date(2026, 10, 27), "Mid-term break")
        ]

    def test_a_school_year_with_breaks_and_holidays(self) -> None:
        """Edge case 4: 37 weeks of Mondays, two mid-term breaks, five public holidays, one of
        them inside a break."""
        closures = [
            ClosedDays(date(2026, 10, 26), date(2026, 10, 30), "Mid-term break"),
            ClosedDays(date(2026, 10, 26), date(2026, 10, 26), "October Bank Holiday"),
            ClosedDays(date(2027, 2, 1), date(2027, 2, 1), "Saint Brigid's Day"),
            ClosedDays(date(2027, 2, 15), date(2027, 2, 19), "Mid-term break"),
            ClosedDays(date(2027, 3, 29), date(2027, 3, 29), "Easter Monday"),
            ClosedDays(date(2027, 5, 3), date(2027, 5, 3), "May Bank Holiday"),
            ClosedDays(date(2026, 12, 25), date(2026, 12, 25), "Christmas Day"),
        ]
        found = expand(_rule(date(2026, 9, 7), date(2027, 5, 17)), closures)

        assert len(found.occurrences) + len(found.skipped) == 37
        assert len(found.occurrences) == 32
        assert found.skipped[0].reason == "Mid-term break, October Bank Holiday"

    def test_a_lesson_may_end_at_midnight_and_not_after(self) -> None:
        """Edge case 6: a lesson may not cross midnight."""
        assert lesson_interval(date(2026, 9, 8), time(23, 30), 30, DUBLIN).minutes == 30
        with pytest.raises(CannotRepeat, match="past midnight on 8 September 2026"):
            lesson_interval(date(2026, 9, 8), time(23, 30), 31, DUBLIN)

    def test_leap_day_week_53_and_the_turn_of_the_year(self) -> None:
        """Edge case 8: 2026 has 53 weeks, 2028 a 29 February; a term from December to January."""
        year = expand(_rule(date(2026, 12, 8), date(2027, 1, 26), every=2), ())
        leap = expand(_rule(date(2028, 2, 22), date(2028, 3, 7)), ())

        assert [each.day for each in year.occurrences] == [
            date(2026, 12, 8),
            date(2026, 12, 22),
            date(2027, 1, 5),
            date(2027, 1, 19),
        ]
        assert date(2028, 2, 29) in [each.day for each in leap.occurrences]

    @pytest.mark.parametrize(
        ("rule", "field"),
        [
            (_rule(date(2026, 9, 8), date(2026, 9, 7)), "last_date"),
            (_rule(date(2026, 9, 8), date(2028, 9, 7)), "last_date"),
            (_rule(date(2026, 9, 8), date(2026, 9, 8), every=0), "every_weeks"),
            (_rule(date(2026, 9, 8), date(2026, 9, 8), minutes=0), "minutes"),
            (_rule(date(2026, 9, 8), date(2026, 9, 8), minutes=10**6), "minutes"),
        ],
    )
    def test_refuses_rules_that_make_no_lessons(self, rule: WeeklyRule, field: str) -> None:
        with pytest.raises(CannotRepeat) as refusal:
            expand(rule, ())

        assert refusal.value.field == field

    @given(
        first=st.dates(date(2026, 1, 1), date(2027, 6, 1)),
        weeks=st.integers(0, 50),
        every=st.integers(1, 8),
        at=st.times(time(6), time(22)),
        zone=st.sampled_from(["Europe/Dublin", "Australia/Lord_Howe", "America/New_York"]),
    )
    def test_every_date_has_one_place_and_the_clock_never_moves(
        self, first: date, weeks: int, every: int, at: time, zone: str
    ) -> None:
        at = at.replace(second=0, microsecond=0)
        rule = WeeklyRule(first, first + timedelta(weeks=weeks), at, 45, ZoneInfo(zone), every)
        closed = ClosedDays(first + timedelta(weeks=3), first + timedelta(weeks=5), "Break")

        found = expand(rule, [closed])

        days = [each.day for each in found.occurrences] + [skip.day for skip in found.skipped]
        assert sorted(days) == list(rule.dates())
        for each in found.occurrences:
            assert each.when.start.astimezone(rule.zone).time() == at
            assert each.when.minutes == 45
            assert not closed.covers(each.day)
