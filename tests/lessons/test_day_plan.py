"""The day as it is driven."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from lessons import services
from lessons.ribbon import ribbon
from lessons.selectors import day_plan, not_marked_before, road_book, stop_of, week_plan
from lessons.templatetags.lessons_tags import duration, km
from tests.factories.lessons import ClosureFactory, LessonFactory, PlaceCorrectionFactory
from tests.factories.studio import PlaceFactory
from tests.lessons.conftest import DUBLIN, NOW

pytestmark = pytest.mark.django_db
DAY = date(2026, 9, 8)
FOUR = datetime(2026, 9, 8, 15, tzinfo=UTC)


class TestDayPlan:
    def test_strings_the_stops_with_their_roads(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR)
        LessonFactory(
            place=tadhg.family.home, student=tadhg, starts_at=FOUR + timedelta(minutes=120)
        )

        plan = day_plan(day=DAY, studio=studio)

        first, second = plan.stops
        roads = road_book(studio)
        near, far = stop_of(aoife.family.home), stop_of(tadhg.family.home)
        assert first.road == roads.from_base(near)
        assert first.leave_by == FOUR - timedelta(minutes=first.road.minutes or 0)
        assert second.road == roads.between(near, far)
        assert second.road_from == "Near door"
        assert second.free_minutes == 90 - (second.road.minutes or 0)
        assert plan.road_home == roads.to_base(far)
        assert plan.driving_minutes == sum(
            road.minutes or 0 for road in (first.road, second.road, roads.to_base(far))
        )

    def test_siblings_in_one_home_are_one_stop(self, studio: Any, aoife: Any) -> None:
        """Edge case 11."""
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR)
        LessonFactory(place=aoife.family.home, starts_at=FOUR + timedelta(minutes=30))

        plan = day_plan(day=DAY, studio=studio)

        assert plan.stops[1].is_same_place
        assert plan.stops[1].road.minutes == 0
        assert plan.stops[1].leave_by is None

    def test_a_road_overruled_shows_the_reason_and_no_time_to_leave(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        LessonFactory(
            place=tadhg.family.home, student=tadhg, starts_at=FOUR + timedelta(minutes=35)
        )
        services.lesson_book(
            students=[aoife],
            place=aoife.family.home,
            day=DAY,
            at=datetime(2026, 9, 8, 16).time(),
            minutes=30,
            by=teacher,
            now=NOW,
            road_reason="they wait",
        )

        late = day_plan(day=DAY, studio=studio).stops[1]

        assert late.is_late
        assert late.overruled_reason == "they wait"
        assert late.leave_by is None

    def test_a_road_not_known_is_said_and_not_counted_as_nothing(self, studio: Any) -> None:
        """Edge case 54."""
        LessonFactory(place=PlaceFactory(latitude=None, longitude=None), starts_at=FOUR)

        plan = day_plan(day=DAY, studio=studio)

        assert plan.has_unknown_road
        assert plan.stops[0].road.minutes is None

    def test_called_off_lessons_are_not_driven_to(
        self, studio: Any, teacher: Any, aoife: Any
    ) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR)
        services.lesson_call_off(
            lesson=lesson, called_off_by="family", told_at=NOW, reason="", by=teacher, now=NOW
        )

        plan = day_plan(day=DAY, studio=studio)

        assert plan.stops == ()
        assert len(plan.called_off) == 1
        assert plan.road_home is None

    def test_the_teachers_own_time_counts_in_both_directions_if_said_so(
        self, studio: Any, aoife: Any
    ) -> None:
        home = aoife.family.home
        PlaceCorrectionFactory(from_place=studio.base, to_place=home, minutes=31)
        PlaceCorrectionFactory(
            from_place=home, to_place=studio.base, minutes=19, is_both_ways=False
        )
        LessonFactory(place=home, student=aoife, starts_at=FOUR)

        plan = day_plan(day=DAY, studio=studio)

        assert plan.stops[0].road.minutes == 31
        assert plan.stops[0].road.source == "own"
        assert plan.road_home is not None
        assert plan.road_home.minutes == 19

    def test_a_week_has_seven_days_also_when_the_clocks_change(self, studio: Any) -> None:
        LessonFactory(starts_at=datetime(2026, 10, 25, 0, 30, tzinfo=UTC))
        LessonFactory(starts_at=datetime(2026, 10, 25, 23, 30, tzinfo=UTC))
        ClosureFactory(first_date=date(2026, 10, 24), last_date=date(2026, 10, 25), name="Away")

        days = week_plan(monday=date(2026, 10, 19), studio=studio)

        assert [plan.lesson_count for plan in days] == [0, 0, 0, 0, 0, 0, 2]
        assert [plan.closed for plan in days[-2:]] == [("Away",), ("Away",)]


def test_lessons_that_nobody_marked_are_pointed_out(studio: Any, teacher: Any, aoife: Any) -> None:
    forgotten = LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR)
    LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR + timedelta(days=1))
    LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR - timedelta(days=90))

    assert not_marked_before(day=date(2026, 9, 9), studio=studio) == [forgotten]
    services.lesson_mark(
        lesson=forgotten, attendance={aoife.pk: "present"}, by=teacher, now=forgotten.ends_at
    )
    assert not_marked_before(day=date(2026, 9, 9), studio=studio) == []


def test_the_ribbon_reaches_from_the_first_road_to_the_last_lesson(studio: Any, aoife: Any) -> None:
    LessonFactory(place=aoife.family.home, starts_at=datetime(2026, 9, 8, 7, 30, tzinfo=UTC))
    LessonFactory(place=aoife.family.home, starts_at=datetime(2026, 9, 8, 20, 15, tzinfo=UTC))

    drawn = ribbon(day_plan(day=DAY, studio=studio), DUBLIN)

    road = road_book(studio).from_base(stop_of(aoife.family.home)).minutes or 0
    # Half past eight to a quarter past nine at night: the ribbon goes from eight to ten.
    assert drawn.width == 14 * 60
    assert drawn.lessons == ((30, 30), (13 * 60 + 15, 30))
    assert drawn.roads == ((30 - road, 30),)


def test_words_for_minutes_and_kilometres() -> None:
    assert [duration(n) for n in (None, 0, 50, 60, 80)] == [
        "not known",
        "0 min",
        "50 min",
        "1 h",
        "1 h 20 min",
    ]
    assert (km(None), km(3.04)) == ("distance unknown", "3.0 km")
