"""From here on: a series gets another time, length, place or people, and the past stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from lessons import services
from lessons.models import Attendance, CalledOffBy, Lesson, LessonStudent, Series
from lessons.selectors.series import OwnTime, SeriesWish
from lessons.selectors.series_change_parts import SeriesChange
from lessons.selectors.series_changes import changes_plan, rule_from
from lessons.services import LessonClash, PlanChanged
from lessons.services.series_changing import (
    ChangeInThePast,
    series_change_from,
    series_replace_many,
)
from studio.models import Event, Student, Studio
from tests.factories.lessons import ClosureFactory, LessonFactory
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 9, 21)


def _wish(series: Series, from_date: date, **change: Any) -> SeriesWish:
    students = change.pop("students", tuple(series.students.by_name()))
    place = change.pop("place", series.place)
    more = {name: change.pop(name) for name in ("left_out", "own_times") if name in change}
    return SeriesWish(students, place, rule_from(series, from_date, **change), **more)


def _change(series: Series, from_date: date = MONDAY, /, **change: Any) -> SeriesChange:
    return SeriesChange(from_date, series, _wish(series, from_date, **change))


def _starts(series: Series) -> list[str]:
    rows = series.lessons.taking_time().in_order()
    return [f"{row.starts_at.astimezone(DUBLIN):%d.%m. %H:%M}" for row in rows]


def _book(student: Student, teacher: Any, **more: Any) -> Series:
    return services.series_book(wish=wish_for(student, **more), by=teacher, now=NOW)


class TestFromHereOn:
    def test_the_old_series_ends_the_day_before_and_the_past_stays(
        self, teacher: Any, aoife: Any
    ) -> None:
        """Edge case 48: past lessons never change; the same rows go on in the new series."""
        old = _book(aoife, teacher)
        pks = list(old.lessons.in_order().values_list("pk", flat=True))

        new = series_change_from(
            series=old,
            from_date=MONDAY,
            wish=_wish(old, MONDAY, weekday=3, at=time(17), minutes=45),
            by=teacher,
            now=NOW,
        )

        assert _starts(old) == ["08.09. 16:00", "15.09. 16:00"]
        assert _starts(new) == ["24.09. 17:00", "01.10. 17:00", "08.10. 17:00"]
        assert new.split_from == old
        old.refresh_from_db()
        assert old.stopped_from_date == MONDAY
        moved = new.lessons.taking_time().in_order()
        assert [row.pk for row in moved] == pks[2:5]
        assert {(row.minutes, row.revision) for row in moved} == {(45, 1)}
        assert Event.objects.get(kind="series_changed").detail["before"] == old.pk

    def test_a_week_without_a_date_in_the_new_rhythm_is_called_off_and_said(
        self, teacher: Any, aoife: Any, studio: Any
    ) -> None:
        old = _book(aoife, teacher)
        change = _change(old, every_weeks=2)

        plan = changes_plan(changes=[change], studio=studio, now=NOW)
        new = series_replace_many([change], by=teacher, now=NOW, seal=plan.seal)[0]

        assert [row.starts_at.day for row in plan.parts[0].ending] == [29, 13]
        assert _starts(new) == ["22.09. 16:00", "06.10. 16:00"]
        assert new.lessons.filter(status="called_off").count() == 2

    def test_those_that_were_moved_or_called_off_keep_what_they_have_and_are_listed(
        self, teacher: Any, aoife: Any, studio: Any
    ) -> None:
        """Edge case 21: the moved one keeps its own time unless asked."""
        old = _book(aoife, teacher)
        third, fourth = old.lessons.in_order()[2:4]
        services.lesson_move(
            lesson=third, day=date(2026, 9, 25), at=time(10), minutes=30, place=third.place,
            by=teacher, now=NOW,
        )  # fmt: skip
        services.lesson_call_off(
            lesson=fourth, called_off_by=CalledOffBy.FAMILY, told_at=NOW, reason="play",
            by=teacher, now=NOW,
        )  # fmt: skip
        change = _change(old, at=time(17))

        plan = changes_plan(changes=[change], studio=studio, now=NOW)
        asked = changes_plan(changes=[replace(change, moves_apart=True)], studio=studio, now=NOW)
        new = series_replace_many([change], by=teacher, now=NOW)[0]

        assert [kept.words for kept in plan.parts[0].kept] == [
            "was moved by itself to Friday 25 September, 10:00 and stays there",
            "is called off and stays so",
        ]
        assert [skip.day.day for skip in plan.parts[0].skipped] == [22, 29]
        assert _starts(new) == ["25.09. 10:00", "06.10. 17:00", "13.10. 17:00"]
        assert new.lessons.count() == 4
        assert [each.occurrence.day.day for each in asked.parts[0].dates] == [22, 6, 13]

    def test_a_marked_lesson_of_today_stays(self, teacher: Any, aoife: Any) -> None:
        old = _book(aoife, teacher)
        today = datetime(2026, 9, 22, 17, tzinfo=UTC)
        third = old.lessons.in_order()[2]
        services.lesson_mark(
            lesson=third, attendance={aoife.pk: Attendance.PRESENT}, by=teacher, now=today
        )

        new = series_change_from(
            series=old, from_date=date(2026, 9, 22),
            wish=_wish(old, date(2026, 9, 22), weekday=4), by=teacher, now=today,
        )  # fmt: skip

        assert _starts(new) == ["22.09. 16:00", "02.10. 16:00", "09.10. 16:00"]
        with pytest.raises(ChangeInThePast):
            series_replace_many([_change(old, date(2026, 9, 15))], by=teacher, now=today)

    def test_a_longer_lesson_is_checked_against_its_neighbours(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 30: from 30 to 45 minutes; the neighbour of one date is in the way."""
        old = _book(aoife, teacher)
        LessonFactory(
            place=aoife.family.home,
            student=tadhg,
            starts_at=datetime(2026, 10, 6, 15, 30, tzinfo=UTC),
        )

        words = r"Not changed\. 6 October: it overlaps Tadhg Lynch"
        with pytest.raises(LessonClash, match=words) as refusal:
            series_replace_many([_change(old, minutes=45)], by=teacher, now=NOW)
        new = series_replace_many(
            [_change(old, minutes=45, left_out=frozenset({date(2026, 10, 6)}))], by=teacher, now=NOW
        )[0]

        assert len(refusal.value.clashes) == 1
        assert {row.minutes for row in new.lessons.taking_time()} == {45}
        assert new.lessons.filter(status="called_off").count() == 1

    def test_a_refusal_or_a_changed_calendar_changes_nothing(
        self, teacher: Any, aoife: Any, tadhg: Any, studio: Any
    ) -> None:
        old = _book(aoife, teacher)
        change = _change(old, at=time(18))
        seal = changes_plan(changes=[change], studio=studio, now=NOW).seal
        _book(tadhg, teacher, at=time(18))
        before = list(Lesson.objects.order_by("pk").values())

        with pytest.raises(PlanChanged):
            series_replace_many([change], by=teacher, now=NOW, seal=seal)
        with pytest.raises(LessonClash):
            series_replace_many([change], by=teacher, now=NOW)

        assert list(Lesson.objects.order_by("pk").values()) == before
        assert Series.objects.count() == 2

    def test_every_second_week_goes_on_from_its_original_week(
        self, teacher: Any, aoife: Any
    ) -> None:
        """Edge case 3: closed or changed, the rhythm does not slip."""
        ClosureFactory(first_date=date(2026, 10, 6), last_date=date(2026, 10, 6))
        old = _book(aoife, teacher, every_weeks=2, last=date(2026, 11, 17))

        new = series_change_from(
            series=old, from_date=date(2026, 9, 28),
            wish=_wish(old, date(2026, 9, 28), weekday=4), by=teacher, now=NOW,
        )  # fmt: skip

        assert _starts(old) == ["08.09. 16:00", "22.09. 16:00"]
        # Friday 9 October: the week of the closed Tuesday, in which nothing stood before.
        assert _starts(new)[:3] == ["09.10. 16:00", "23.10. 16:00", "06.11. 16:00"]

    def test_the_rhythm_is_anchored_by_its_first_date_over_a_week_53(self) -> None:
        """Edge case 58: 2026 has 53 weeks, so odd and even weeks would change places."""
        every_second = Series(
            first_date=date(2026, 12, 8), last_date=date(2027, 2, 23), at=time(16), minutes=30,
            every_weeks=2, zone_name="Europe/Dublin",
        )  # fmt: skip

        rule = rule_from(every_second, date(2027, 1, 1), weekday=3)

        assert [day.isoformat() for day in rule.dates()] == [
            "2027-01-07",
            "2027-01-21",
            "2027-02-04",
            "2027-02-18",
        ]

    def test_a_series_that_has_not_begun_changes_as_a_whole(self, teacher: Any, aoife: Any) -> None:
        old = _book(aoife, teacher)

        new = series_replace_many(
            [_change(old, date(2026, 9, 1), at=time(15))], by=teacher, now=NOW
        )[0]

        assert new.pk == old.pk
        assert Series.objects.get().at == time(15)
        assert len(_starts(new)) == 6

    def test_one_date_may_have_a_time_of_its_own(self, teacher: Any, aoife: Any) -> None:
        old = _book(aoife, teacher)
        own = OwnTime(date(2026, 9, 29), date(2026, 9, 30), time(9))

        new = series_replace_many(
            [_change(old, at=time(17), own_times=(own,))], by=teacher, now=NOW
        )[0]

        assert "30.09. 09:00" in _starts(new)
        moved = new.lessons.get(moved_from__isnull=False)
        assert moved.moved_from == datetime(2026, 9, 29, 16, tzinfo=UTC)


class TestSeveralAtOnce:
    def test_two_students_swap_for_good(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        """Edge case 32: each takes the other's time, which either alone could not."""
        first, second = _book(aoife, teacher), _book(tadhg, teacher, at=time(18))
        with pytest.raises(LessonClash):
            series_replace_many([_change(first, at=time(18))], by=teacher, now=NOW)

        new = series_replace_many(
            [_change(first, at=time(18)), _change(second, at=time(16))], by=teacher, now=NOW
        )

        assert _starts(new[0])[0] == "22.09. 18:00"
        assert _starts(new[1])[0] == "22.09. 16:00"
        assert LessonStudent.objects.count() == 12

    @pytest.mark.parametrize("is_ending_first", [True, False])
    def test_one_ends_and_another_begins_in_its_place(
        self, teacher: Any, aoife: Any, tadhg: Any, is_ending_first: bool
    ) -> None:
        old = _book(aoife, teacher)
        wish = wish_for(tadhg, first=date(2026, 9, 22))

        both = [SeriesChange(MONDAY, old, reason="She leaves"), SeriesChange(MONDAY, None, wish)]
        after = series_replace_many(both if is_ending_first else both[::-1], by=teacher, now=NOW)
        ended, new = after if is_ending_first else after[::-1]

        assert ended.stopped_from_date == MONDAY
        assert _starts(new) == ["22.09. 16:00", "29.09. 16:00", "06.10. 16:00", "13.10. 16:00"]
        off = old.lessons.filter(status="called_off")
        assert {row.called_off_reason for row in off} == {"She leaves"}

    def test_two_changes_that_meet_are_refused(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        first, second = _book(aoife, teacher), _book(tadhg, teacher, at=time(18))

        with pytest.raises(LessonClash):
            series_replace_many(
                [_change(first, at=time(20)), _change(second, at=time(20))], by=teacher, now=NOW
            )

    def test_somebody_joins_and_somebody_leaves(self, teacher: Any, aoife: Any) -> None:
        old = _book(aoife, teacher)
        cian = Student.objects.create(name="Cian Moran", family=aoife.family)

        new = series_replace_many([_change(old, students=(cian,))], by=teacher, now=NOW)[0]

        takers = LessonStudent.objects.filter(lesson__series=new)
        assert {taker.student for taker in takers} == {cian}
        assert takers.count() == 4
        assert LessonStudent.objects.filter(lesson__series=old, student=aoife).count() == 2


def test_a_clock_change_between_old_and_new_moves_nothing_on_the_wall(
    teacher: Any, aoife: Any
) -> None:
    """Edge case 1: 16:00 stays 16:00 over the October change, and so does its length."""
    old = _book(aoife, teacher, last=date(2026, 11, 10))

    new = series_replace_many([_change(old, date(2026, 10, 12), minutes=45)], by=teacher, now=NOW)[
        0
    ]

    rows = list(new.lessons.in_order())
    assert {row.starts_at.astimezone(DUBLIN).time() for row in rows} == {time(16)}
    assert {row.starts_at.hour for row in rows} == {15, 16}
    assert {row.ends_at - row.starts_at for row in rows} == {timedelta(minutes=45)}
    assert Studio.current().zone == DUBLIN
