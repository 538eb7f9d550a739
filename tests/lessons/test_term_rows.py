"""What a term's timetable is made from, as the rows of the database tell it."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from lessons.models import LessonKind, Series, TeachingLimits
from lessons.selectors.term_rows import NO_TIMES, SHARED, TermRows, term_rows
from lessons.selectors.term_seals import changed_words, term_seals
from tests.factories.lessons import (
    ClosureFactory,
    SeriesFactory,
    StudentWindowFactory,
    StudentWishesFactory,
    TermFactory,
    WorkingHoursFactory,
)
from tests.factories.studio import PlaceFactory, SchoolFactory, StudentFactory

FIRST = date(2026, 9, 14)
pytestmark = pytest.mark.django_db


@pytest.fixture
def term(studio: Any) -> Any:
    return TermFactory()


def rows(term: Any) -> TermRows:
    return term_rows(term=term, from_date=FIRST)


def series_for(*students: Any, **more: Any) -> Series:
    made: Series = SeriesFactory(students=list(students), place=students[0].family.home, **more)
    return made


class TestTermRows:
    def test_wishes_are_read_with_defaults_for_who_has_none(self, term: Any, aoife: Any) -> None:
        StudentWindowFactory(student=aoife, is_preferred=True)

        wanted = rows(term).wanted

        assert len(wanted) == 1
        only = wanted[0]
        assert (only.minutes, only.every_weeks, only.place) == (30, 1, aoife.family.home)
        assert only.windows[0].is_preferred
        assert (only.windows[0].begins, only.windows[0].ends) == (15 * 60, 19 * 60)
        assert only.present is None

    def test_what_runs_now_is_the_present_and_may_move(self, term: Any, aoife: Any) -> None:
        StudentWindowFactory(student=aoife)
        series = series_for(aoife, minutes=45)

        found = rows(term)

        assert [(each.present, each.is_running) for each in found.wanted] == [(series, True)]
        assert found.wanted[0].minutes == 45
        assert found.fixed == ()

    def test_last_terms_time_is_remembered_though_it_has_ended(self, term: Any, aoife: Any) -> None:
        StudentWindowFactory(student=aoife)
        given_up = series_for(aoife, first_date=date(2026, 1, 5), last_date=date(2026, 5, 25))
        last = series_for(aoife, first_date=date(2026, 1, 6), last_date=date(2026, 6, 30))

        wanted = rows(term).wanted

        assert given_up not in [each.present for each in wanted]
        assert [(each.present, each.is_running) for each in wanted] == [(last, False)]

    def test_who_told_no_times_is_named_and_what_they_have_stays(
        self, term: Any, aoife: Any, tadhg: Any
    ) -> None:
        series = series_for(aoife)

        found = rows(term)

        assert found.no_times == (aoife, tadhg)
        assert [(each.series, each.why) for each in found.fixed] == [(series, NO_TIMES)]
        assert found.wanted == ()

    def test_groups_shared_lessons_and_school_blocks_stay(
        self, term: Any, aoife: Any, tadhg: Any
    ) -> None:
        for student in (aoife, tadhg):
            StudentWindowFactory(student=student)
        shared = series_for(aoife, tadhg)
        school = SchoolFactory()
        block = SeriesFactory(
            kind=LessonKind.SCHOOL, school=school, place=school.place, label="Class 5"
        )

        found = rows(term)

        assert {(each.series, each.why) for each in found.fixed} == {
            (shared, SHARED),
            (block, SHARED),
        }
        # Their one lesson a week is the one they share.
        assert found.wanted == ()

    def test_several_lessons_a_week_are_so_many_wishes(self, term: Any, aoife: Any) -> None:
        StudentWishesFactory(student=aoife, lessons_per_week=2, least_days_between=2, minutes=45)
        StudentWindowFactory(student=aoife)
        series = series_for(aoife)

        wanted = rows(term).wanted

        assert [(each.number, each.present) for each in wanted] == [(0, series), (1, None)]
        assert {each.least_days_between for each in wanted} == {2}
        assert {each.minutes for each in wanted} == {45}

    def test_what_runs_is_never_dropped_by_a_smaller_wish(self, term: Any, aoife: Any) -> None:
        StudentWishesFactory(student=aoife, lessons_per_week=1)
        StudentWindowFactory(student=aoife)
        two = [series_for(aoife), series_for(aoife, first_date=date(2026, 9, 10))]

        assert {each.present for each in rows(term).wanted} == set(two)

    def test_a_childs_latest_hour_and_a_wish_are_both_kept(
        self, term: Any, aoife: Any, tadhg: Any
    ) -> None:
        TeachingLimits.objects.create(pk=1, child_age=10, child_latest_end=time(18, 30))
        for student in (aoife, tadhg):
            student.birth_year = 2017
            student.save()
            StudentWindowFactory(student=student)
        StudentWishesFactory(student=tadhg, latest_end=time(17))

        assert [each.latest_end for each in rows(term).wanted] == [18 * 60 + 30, 17 * 60]

    def test_a_wished_place_beats_the_present_one(self, term: Any, aoife: Any) -> None:
        room = PlaceFactory(kind="room", name="Copper Lane")
        StudentWishesFactory(student=aoife, place=room)
        StudentWindowFactory(student=aoife)
        series_for(aoife)

        assert rows(term).wanted[0].place == room

    def test_hours_hold_on_every_date_of_the_weekday(self, term: Any) -> None:
        """Edge case 50: a second set of hours with dates cuts what holds for the whole term."""
        WorkingHoursFactory(weekday=1, begins_at=time(14), ends_at=time(20))
        WorkingHoursFactory(weekday=2, begins_at=time(14), ends_at=time(20))
        WorkingHoursFactory(
            weekday=1, begins_at=time(9), ends_at=time(17),
            first_date=date(2026, 12, 7), last_date=date(2026, 12, 13),
        )  # fmt: skip

        hours = rows(term).hours

        assert hours[1] == ((14 * 60, 17 * 60),)
        # No hours at all on the Wednesday of the dated week, so none that hold all term.
        assert hours[2] == ()

    def test_closed_days_are_no_days_of_the_term(self, term: Any) -> None:
        ClosureFactory()
        ClosureFactory(
            school=SchoolFactory(), first_date=date(2026, 9, 15), last_date=date(2026, 9, 15)
        )

        dates = rows(term).dates

        assert date(2026, 10, 27) not in dates
        assert date(2026, 9, 15) in dates

    def test_who_left_is_left_out(self, term: Any, aoife: Any) -> None:
        StudentWindowFactory(student=aoife)
        aoife.left_date = date(2026, 9, 1)
        aoife.save()

        found = rows(term)

        assert (found.wanted, found.no_times) == ((), ())

    def test_queries_do_not_grow_with_students(
        self, term: Any, django_assert_max_num_queries: Any
    ) -> None:
        for number in range(8):
            student = StudentFactory()
            StudentWindowFactory(student=student)
            series_for(student, first_date=date(2026, 9, 8 + number))

        with django_assert_max_num_queries(12):
            assert len(rows(term).wanted) == 8


class TestSeals:
    def test_nothing_changed_is_no_words(self, term: Any, studio: Any) -> None:
        seals = [term_seals(term=term, from_date=FIRST, studio=studio) for _ in range(2)]

        assert changed_words(*seals) == ()

    def test_each_sort_of_change_has_its_words(self, term: Any, studio: Any, aoife: Any) -> None:
        before = term_seals(term=term, from_date=FIRST, studio=studio)
        StudentWindowFactory(student=aoife)
        WorkingHoursFactory()
        aoife.family.home.latitude = "51.950000"
        aoife.family.home.save()
        series_for(aoife)

        words = changed_words(before, term_seals(term=term, from_date=FIRST, studio=studio))

        assert words == (
            "lessons or appointments were booked, moved or called off",
            "somebody’s times or wishes changed",
            "your hours, limits, closures or the term changed",
            "places or roads changed",
        )
