"""Moving, calling off, putting back, ending."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lessons import services
from lessons.models import CalledOffBy, Lesson, MissedLessonRules
from lessons.selectors.series_pages import series_lessons
from lessons.services import LessonClash, LessonLocked
from studio.models import Event, OutgoingEmail
from tests.factories.lessons import ClosureFactory, LessonFactory, TravelBandFactory
from tests.factories.studio import AdultFactory
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = pytest.mark.django_db


def _move(lesson: Lesson, teacher: Any, **change: Any) -> Lesson:
    starts = lesson.starts_at.astimezone(DUBLIN)
    wanted = {
        "day": starts.date(),
        "at": starts.time(),
        "minutes": lesson.minutes,
        "place": lesson.place,
    }
    return services.lesson_move(lesson=lesson, by=teacher, now=NOW, **(wanted | change))


def _call_off(lesson: Lesson, teacher: Any, **change: Any) -> Lesson:
    wanted = {
        "called_off_by": CalledOffBy.FAMILY,
        "told_at": lesson.starts_at - timedelta(days=2),
        "reason": "ill",
    }
    return services.lesson_call_off(lesson=lesson, by=teacher, now=NOW, **(wanted | change))


class TestLessonMove:
    def test_moves_one_and_leaves_its_series(self, teacher: Any, aoife: Any) -> None:
        series = services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)
        second = series.lessons.in_order()[1]

        moved = _move(second, teacher, day=date(2026, 9, 17), at=time(17, 30))

        assert moved.starts_at == datetime(2026, 9, 17, 16, 30, tzinfo=UTC)
        assert moved.moved_from == datetime(2026, 9, 15, 15, tzinfo=UTC)
        assert series.lessons.count() == 6
        rows, skipped = series_lessons(series=series)
        assert [row.is_moved for row in rows].count(True) == 1
        assert skipped == []

    def test_remembers_the_first_time_it_had(self, teacher: Any, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife)
        first = lesson.starts_at

        _move(lesson, teacher, at=time(18))
        moved = _move(Lesson.objects.get(), teacher, at=time(19))

        assert moved.moved_from == first

    def test_does_not_clash_with_itself(self, teacher: Any, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife)

        assert _move(lesson, teacher, minutes=45).minutes == 45

    def test_refuses_a_clash_and_keeps_the_old_time(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 30: a longer lesson is checked against its neighbours again."""
        lesson = LessonFactory(place=aoife.family.home, student=aoife)
        LessonFactory(
            place=tadhg.family.home,
            student=tadhg,
            starts_at=lesson.starts_at + timedelta(minutes=60),
        )

        with pytest.raises(LessonClash, match="minutes missing"):
            _move(lesson, teacher, minutes=45)

        assert Lesson.objects.get(pk=lesson.pk).minutes == 30

    def test_refuses_a_lesson_that_was_given(self, teacher: Any, aoife: Any) -> None:
        """Edge case 27: a marked lesson cannot be moved."""
        lesson = LessonFactory(place=aoife.family.home, student=aoife)
        services.lesson_mark(
            lesson=lesson, attendance={aoife.pk: "present"}, by=teacher, now=lesson.ends_at
        )

        with pytest.raises(LessonLocked):
            _move(lesson, teacher, at=time(18))

    def test_tells_the_family_once(self, teacher: Any, tadhg: Any) -> None:
        AdultFactory(family=tadhg.family, name="No address", email="")
        lesson = LessonFactory(place=tadhg.family.home, student=tadhg)

        _move(lesson, teacher, at=time(18), is_family_told=True)

        mail = OutgoingEmail.objects.get()
        assert mail.to == "orla@example.com"
        assert "18:00 to 18:30" in mail.body
        assert "16:00 is moved" in mail.body


class TestLessonCallOff:
    @pytest.mark.parametrize(
        ("change", "outcome"),
        [
            ({}, "called_off"),
            ({"told_at": datetime(2026, 9, 8, 9, tzinfo=UTC)}, "called_off_late"),
            ({"called_off_by": CalledOffBy.TEACHER}, "called_off_by_teacher"),
            (
                {"told_at": datetime(2026, 9, 8, 9, tzinfo=UTC), "counts_as": "called_off"},
                "called_off",
            ),
        ],
    )
    def test_counts_by_who_and_when(
        self, teacher: Any, aoife: Any, change: dict[str, Any], outcome: str
    ) -> None:
        """Edge cases 22 and 23; the teacher can overrule, and the record says so."""
        lesson = LessonFactory(
            place=aoife.family.home,
            student=aoife,
            starts_at=datetime(2026, 9, 8, 15, tzinfo=UTC),
        )

        assert _call_off(lesson, teacher, **change).called_off_outcome == outcome
        assert Event.objects.get(kind="lesson_called_off").detail["counts_as"] == outcome

    def test_uses_the_studios_own_notice(self, teacher: Any, aoife: Any) -> None:
        MissedLessonRules.objects.create(pk=1, notice_hours=72)
        lesson = LessonFactory(place=aoife.family.home, student=aoife)

        assert _call_off(lesson, teacher).called_off_outcome == "called_off_late"

    def test_a_repeated_press_changes_nothing(self, teacher: Any, tadhg: Any) -> None:
        """Edge case 35."""
        lesson = LessonFactory(place=tadhg.family.home, student=tadhg)

        for reason in ("ill", "again"):
            _call_off(lesson, teacher, reason=reason, is_family_told=True)

        assert Lesson.objects.get().called_off_reason == "ill"
        assert OutgoingEmail.objects.count() == 1

    def test_keeps_the_surcharge_of_that_day(self, teacher: Any, tadhg: Any) -> None:
        band = TravelBandFactory(up_to_km=Decimal(40), surcharge=Decimal(9))
        lesson = _call_off(LessonFactory(place=tadhg.family.home, student=tadhg), teacher)

        band.surcharge = Decimal(20)
        band.save()

        assert Lesson.objects.get(pk=lesson.pk).fixed_surcharge == Decimal(9)

    def test_refuses_a_lesson_that_is_marked(self, teacher: Any, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife)
        services.lesson_mark(
            lesson=lesson, attendance={aoife.pk: "no_show"}, by=teacher, now=lesson.ends_at
        )

        with pytest.raises(LessonLocked):
            _call_off(lesson, teacher)


class TestLessonReinstate:
    def test_puts_it_back_whole(self, teacher: Any, aoife: Any) -> None:
        lesson = _call_off(LessonFactory(place=aoife.family.home, student=aoife), teacher)

        back = services.lesson_reinstate(lesson=lesson, by=teacher, now=NOW)

        assert back.is_planned
        assert (back.called_off_by, back.called_off_told_at, back.fixed_surcharge) == (
            "",
            None,
            None,
        )

    def test_refuses_when_the_time_is_taken(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        lesson = _call_off(LessonFactory(place=aoife.family.home, student=aoife), teacher)
        LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=lesson.starts_at)

        with pytest.raises(LessonClash, match="overlaps Tadhg Lynch"):
            services.lesson_reinstate(lesson=lesson, by=teacher, now=NOW)

        assert Lesson.objects.get(pk=lesson.pk).is_called_off

    def test_refuses_a_lesson_that_stands(self, teacher: Any, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife)

        with pytest.raises(LessonLocked):
            services.lesson_reinstate(lesson=lesson, by=teacher, now=NOW)


class TestSeriesStop:
    def test_ends_what_is_planned_and_keeps_what_was_given(self, teacher: Any, aoife: Any) -> None:
        """Edge case 28: leaves at the end of the month."""
        series = services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)
        given = series.lessons.in_order()[3]
        services.lesson_mark(
            lesson=given, attendance={aoife.pk: "present"}, by=teacher, now=given.ends_at
        )

        count = services.series_stop(
            series=series, from_date=date(2026, 9, 22), by=teacher, now=NOW
        )

        assert count == 3
        stands = [lesson.is_called_off for lesson in series.lessons.in_order()]
        assert stands == [False, False, True, False, True, True]
        assert {row.called_off_outcome for row in series.lessons.all() if row.is_called_off} == {
            "called_off_by_teacher"
        }


def test_a_series_page_says_why_a_date_has_no_lesson(teacher: Any, aoife: Any) -> None:
    ClosureFactory(first_date=date(2026, 9, 15), last_date=date(2026, 9, 15), name="Inset day")
    wish = wish_for(aoife, left_out=frozenset({date(2026, 9, 29)}))
    series = services.series_book(wish=wish, by=teacher, now=NOW)

    rows, skipped = series_lessons(series=series)

    assert len(rows) == 4
    assert [(each.day.day, each.reason) for each in skipped] == [
        (15, "Inset day"),
        (29, "left out"),
    ]
