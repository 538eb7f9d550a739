"""The question for the planner, made from the rows of a term."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from lessons.models import Appointment, DayRule, PlaceHours, TeachingLimits
from lessons.planning.term.candidates import problem_check
from lessons.planning.term.problem import Job, Meal, Start
from lessons.selectors.term_problem import TermCase, term_case
from lessons.selectors.term_rows import term_rows
from tests.factories.lessons import (
    PlaceCorrectionFactory,
    SeriesFactory,
    StudentWindowFactory,
    StudentWishesFactory,
    TermFactory,
    WorkingHoursFactory,
)
from tests.factories.studio import PlaceFactory, StudentFactory

FIRST = date(2026, 9, 14)
TUESDAY_1600 = Start(1, 16 * 60)
pytestmark = pytest.mark.django_db


@pytest.fixture
def term(studio: Any) -> Any:
    for weekday in (1, 2):
        WorkingHoursFactory(weekday=weekday)
    return TermFactory()


def case_of(term: Any, studio: Any) -> TermCase:
    case = term_case(rows=term_rows(term=term, from_date=FIRST), studio=studio)
    problem_check(case.problem)
    return case


def jobs(case: TermCase) -> dict[str, Job]:
    return {job.name: job for job in case.problem.jobs}


class TestLessons:
    def test_starts_lie_on_quarters_within_the_windows(
        self, term: Any, studio: Any, aoife: Any
    ) -> None:
        StudentWindowFactory(student=aoife, begins_at=time(15, 10), ends_at=time(16, 20))

        job = jobs(case_of(term, studio))["Aoife Moran"]

        assert job.starts == (
            Start(1, 15 * 60 + 15),
            Start(1, 15 * 60 + 30),
            Start(1, 15 * 60 + 45),
        )
        assert (job.minutes, job.place, job.present) == (30, aoife.family.home_id, None)

    def test_the_present_time_is_a_start_also_off_the_grid(
        self, term: Any, studio: Any, aoife: Any
    ) -> None:
        StudentWindowFactory(student=aoife, begins_at=time(15), ends_at=time(16))
        SeriesFactory(students=[aoife], place=aoife.family.home, at=time(15, 20))

        job = jobs(case_of(term, studio))["Aoife Moran"]

        assert job.present == Start(1, 15 * 60 + 20)
        assert job.present in job.starts

    def test_what_is_liked_best_is_told_unless_it_is_all(
        self, term: Any, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        for student in (aoife, tadhg):
            StudentWindowFactory(
                student=student, is_preferred=True, begins_at=time(16), ends_at=time(16, 30)
            )
        StudentWindowFactory(student=aoife, weekday=2)

        found = jobs(case_of(term, studio))

        assert found["Aoife Moran"].preferred == {TUESDAY_1600}
        assert found["Tadhg Lynch"].preferred == frozenset()

    def test_odd_weeks_suit_a_lesson_of_every_second_week_only(
        self, term: Any, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 38: times that are open every second week are no times for a weekly lesson."""
        for student in (aoife, tadhg):
            StudentWindowFactory(student=student, every_weeks=2, anchor_date=date(2026, 9, 22))
        StudentWishesFactory(student=aoife, every_weeks=2)

        found = jobs(case_of(term, studio))

        assert (found["Aoife Moran"].every_weeks, found["Aoife Moran"].week) == (2, 1)
        assert found["Aoife Moran"].starts
        assert found["Tadhg Lynch"].starts == ()
        assert "open in some weeks only" in found["Tadhg Lynch"].note

    def test_a_child_whose_times_begin_too_late_is_told_why(
        self, term: Any, studio: Any, aoife: Any
    ) -> None:
        """Edge case 40: the latest hour of a child is kept, and said when it leaves nothing."""
        aoife.birth_year = 2020
        aoife.save()
        StudentWindowFactory(student=aoife, begins_at=time(19, 15), ends_at=time(21))

        job = jobs(case_of(term, studio))["Aoife Moran"]

        assert job.starts == ()
        assert job.note == "the lesson has to be over by 19:30, and their times begin too late"

    def test_a_school_room_is_free_at_its_own_hours_only(
        self, term: Any, studio: Any, aoife: Any
    ) -> None:
        """Edge case 16: the room is free on Wednesdays until four, whatever the family can do."""
        room = PlaceFactory(kind="school", name="Music room")
        StudentWishesFactory(student=aoife, place=room)
        PlaceHours.objects.create(place=room, weekday=2, begins_at=time(15), ends_at=time(16))
        for weekday in (1, 2):
            StudentWindowFactory(student=aoife, weekday=weekday)

        job = jobs(case_of(term, studio))["Aoife Moran"]

        assert job.starts == tuple(Start(2, 15 * 60 + quarter) for quarter in (0, 15, 30))

    def test_brothers_and_sisters_at_one_place_are_marked(
        self, term: Any, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        sister = StudentFactory(name="Nessa Moran", family=aoife.family)
        cousin = StudentFactory(name="Rory Moran", family=aoife.family)
        StudentWishesFactory(student=cousin, is_with_siblings=False)
        for student in (aoife, sister, cousin, tadhg):
            StudentWindowFactory(student=student)

        found = jobs(case_of(term, studio))

        assert found["Aoife Moran"].siblings == found["Nessa Moran"].siblings != ""
        assert found["Rory Moran"].siblings == found["Tadhg Lynch"].siblings == ""

    def test_two_a_week_keep_their_days_between(self, term: Any, studio: Any, aoife: Any) -> None:
        """Edge case 41: two days between are three days apart for the planner."""
        StudentWishesFactory(student=aoife, lessons_per_week=2, least_days_between=2)
        StudentWindowFactory(student=aoife)

        both = case_of(term, studio).problem.jobs

        assert {job.student for job in both} == {f"student-{aoife.pk}"}
        assert [job.least_days_between for job in both] == [3, 3]


class TestWhatStays:
    def test_a_series_of_who_told_no_times_is_settled(
        self, term: Any, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        StudentWindowFactory(student=aoife)
        series = SeriesFactory(students=[tadhg], place=tadhg.family.home)

        case = case_of(term, studio)
        job = jobs(case)["Tadhg Lynch"]

        assert job.is_fixed
        assert (job.key, job.present) == (f"series-{series.pk}", TUESDAY_1600)
        assert case.lessons == 1

    def test_two_of_alternating_weeks_cannot_both_be_stops(
        self, term: Any, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        SeriesFactory(students=[aoife], place=aoife.family.home, every_weeks=2)
        SeriesFactory(
            students=[tadhg], place=tadhg.family.home, every_weeks=2, first_date=date(2026, 9, 15)
        )

        problem = case_of(term, studio).problem

        assert [job.name for job in problem.jobs] == ["Aoife Moran"]
        tuesday = next(day for day in problem.days if day.weekday == 1)
        assert tuesday.spans == ((14 * 60, 16 * 60), (16 * 60 + 30, 20 * 60))

    def test_two_settled_lessons_of_one_student_on_a_day_are_not_kept_apart(
        self, term: Any, studio: Any, aoife: Any
    ) -> None:
        for at in (time(15), time(18)):
            SeriesFactory(students=[aoife], place=aoife.family.home, at=at)

        both = case_of(term, studio).problem.jobs

        assert [job.student for job in both] == [f"student-{aoife.pk}", ""]

    def test_what_is_settled_may_be_more_than_the_limits(
        self, term: Any, studio: Any, aoife: Any
    ) -> None:
        TeachingLimits.objects.create(pk=1, most_minutes_a_day=60, most_evenings_a_week=0)
        SeriesFactory(
            students=[aoife], place=aoife.family.home, at=time(18, 30), minutes=90,
            first_date=date(2026, 9, 13),
        )  # fmt: skip

        problem = case_of(term, studio).problem

        sunday = next(day for day in problem.days if day.weekday == 6)
        assert (sunday.most_minutes, sunday.spans, problem.most_evenings) == (90, (), 1)

    def test_a_regular_appointment_keeps_its_time_free_and_a_single_one_does_not(
        self, term: Any, studio: Any
    ) -> None:
        Appointment.objects.create(
            label="rehearsal", first_date=date(2026, 9, 16), begins_at=time(17),
            ends_at=time(18), every_weeks=1,
        )  # fmt: skip
        Appointment.objects.create(
            label="dentist", first_date=date(2026, 9, 15), begins_at=time(15), ends_at=time(16)
        )

        days = {day.weekday: day for day in case_of(term, studio).problem.days}

        assert days[2].spans == ((14 * 60, 17 * 60), (18 * 60, 20 * 60))
        assert days[1].spans == ((14 * 60, 20 * 60),)

    def test_an_appointment_with_a_place_is_a_stop(self, term: Any, studio: Any) -> None:
        """Edge case 51: with a place it takes part in the road."""
        place = PlaceFactory(name="Hall")
        Appointment.objects.create(
            label="rehearsal", first_date=date(2026, 9, 16), begins_at=time(17),
            ends_at=time(18), every_weeks=1, place=place,
        )  # fmt: skip

        problem = case_of(term, studio).problem

        assert [(job.name, job.place, job.is_fixed) for job in problem.jobs] == [
            ("rehearsal", place.pk, True)
        ]
        assert (place.pk, studio.base_id) in problem.roads


class TestDays:
    def test_meals_and_ends_of_the_day_are_kept(self, term: Any, studio: Any) -> None:
        """Edge case 53: a day may begin at one place and end at another."""
        home = PlaceFactory(name="Nuala’s home")
        DayRule.objects.create(
            weekday=1, starts_from=home, meal_from=time(17), meal_until=time(19), meal_minutes=45
        )

        tuesday = next(day for day in case_of(term, studio).problem.days if day.weekday == 1)

        assert (tuesday.starts_from, tuesday.ends_at) == (home.pk, studio.base_id)
        assert tuesday.meal == Meal(17 * 60, 19 * 60, 45)

    def test_your_own_time_for_a_road_goes_in_and_an_unknown_one_is_an_hour(
        self, term: Any, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        here, there = aoife.family.home, tadhg.family.home
        PlaceCorrectionFactory(from_place=here, to_place=there, minutes=7, is_both_ways=False)
        nowhere = StudentFactory(family__home__latitude=None, family__home__longitude=None)
        for student in (aoife, tadhg, nowhere):
            StudentWindowFactory(student=student)

        roads = case_of(term, studio).problem.roads

        assert roads[here.pk, there.pk] == 7
        assert roads[there.pk, here.pk] > 7
        assert roads[here.pk, nowhere.family.home_id] == 60
