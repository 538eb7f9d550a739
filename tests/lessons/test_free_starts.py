"""The times at which one lesson could be instead."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from lessons import services
from lessons.models import Lesson, StudentWindow, WorkingHours
from lessons.selectors.asking import choices_by_day, free_starts
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = pytest.mark.django_db

IN_TIME = datetime(2026, 9, 7, 14, tzinfo=UTC)


@pytest.fixture
def lesson(teacher: Any, tadhg: Any) -> Lesson:
    """The first of six weekly lessons."""
    series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
    return series.lessons.in_order()[0]


class TestFreeStarts:
    def test_are_really_free_and_leave_the_road(
        self, lesson: Lesson, aoife: Any, teacher: Any, studio: Any
    ) -> None:
        WorkingHours.objects.create(weekday=2, begins_at=time(15), ends_at=time(18))
        services.lesson_book(
            students=[aoife],
            place=aoife.family.home,
            day=date(2026, 9, 9),
            at=time(16),
            minutes=30,
            by=teacher,
            now=NOW,
        )

        free = free_starts(lesson=lesson, studio=studio, now=IN_TIME)

        assert free
        for one in free:
            services.lesson_move(
                lesson=lesson,
                day=one.day,
                at=one.starts_at.astimezone(DUBLIN).time(),
                minutes=30,
                place=lesson.place,
                by=teacher,
                now=IN_TIME,
            )
        # The road between the two doors takes some of the hour on either side.
        hours = {one.starts_at.astimezone(DUBLIN).time() for one in free if one.day.day == 9}
        assert time(15) in hours
        assert not {time(15, 30), time(16), time(16, 30)} & hours

    def test_a_family_sees_those_in_its_windows_alone(
        self, lesson: Lesson, tadhg: Any, studio: Any
    ) -> None:
        StudentWindow.objects.create(
            student=tadhg, weekday=3, begins_at=time(15), ends_at=time(16, 30)
        )

        days = choices_by_day(free_starts(lesson=lesson, studio=studio, now=IN_TIME))

        assert {day.day.weekday() for day in days} == {3}
        shown = [one.starts_at.astimezone(DUBLIN).time() for one in days[0].times]
        assert shown == [time(15), time(15, 30), time(16)]
