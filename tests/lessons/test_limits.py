"""Wishes, windows, limits and the rules of weekdays: kept on their pages, used by the searches."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client

from lessons.models import (
    Closure,
    DayRule,
    Lesson,
    StudentWindow,
    StudentWishes,
    TeachingLimits,
    WorkingHours,
)
from lessons.planning.openings import Window
from lessons.selectors import day_plan, evenings_caution, road_book, stop_of, week_plan
from lessons.selectors.alternatives import alternatives
from lessons.selectors.finding import TimeWish, booked_days, once_for, times_for, windows_of
from tests.factories.lessons import LessonFactory, TermFactory
from tests.factories.studio import PlaceFactory, SchoolFactory, StudentFactory, UserFactory
from tests.lessons.conftest import sign_in, text_of

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 9, 7)
WHOLE_WEEK = tuple(Window(weekday, 15 * 60, 18 * 60) for weekday in range(5))


def at(day: date, hour: int, minute: int = 0) -> datetime:
    """An instant by the clock of Cork in September."""
    return datetime(day.year, day.month, day.day, hour - 1, minute, tzinfo=UTC)


def wish(student: Any, *windows: Window, days: int = 6, minutes: int = 30, **more: Any) -> TimeWish:
    return TimeWish(
        student,
        more.pop("place", student.family.home),
        minutes,
        MONDAY,
        MONDAY + timedelta(days=days),
        windows or WHOLE_WEEK,
        **more,
    )


def once_days(studio: Any, asked: TimeWish) -> set[int]:
    return {one.day.weekday() for one in once_for(wish=asked, studio=studio).found.openings}


class TestUsedBySearches:
    def test_two_lessons_a_week_keep_their_days_between(self, studio: Any, aoife: Any) -> None:
        """Edge case 41: at least two days between two lessons of a week."""
        StudentWishes.objects.create(student=aoife, lessons_per_week=2, least_days_between=2)
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=at(MONDAY, 16))

        found = once_for(wish=wish(aoife), studio=studio).found

        assert {one.day.weekday() for one in found.openings} == {3, 4}
        assert dict(found.reasons)["apart"] == 3 * 11
        aoife.wishes.lessons_per_week = 1
        assert once_days(studio, wish(aoife)) == {0, 1, 2, 3, 4}

    def test_a_week_has_only_so_many_evenings(self, studio: Any, aoife: Any, tadhg: Any) -> None:
        """Edge case 42: at most one evening a week; another lesson in it may be of the same one."""
        TeachingLimits.objects.create(
            pk=1, most_evenings_a_week=1, evening_begins_at=time(19), child_latest_end=time(21)
        )
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=at(MONDAY, 19))
        late = tuple(Window(weekday, 18 * 60, 21 * 60) for weekday in range(5))

        found = once_for(wish=wish(tadhg, *late), studio=studio).found

        evenings = {one.day.weekday() for one in found.openings if one.start + 30 > 19 * 60}
        assert evenings == {0}
        assert {one.day.weekday() for one in found.openings} == {0, 1, 2, 3, 4}

    def test_the_meal_is_left_room_for(self, studio: Any, aoife: Any) -> None:
        """Edge case 42: the teacher's lunch."""
        DayRule.objects.create(weekday=0, meal_from=time(12), meal_until=time(13), meal_minutes=45)
        noon = Window(0, 11 * 60, 14 * 60)

        found = once_for(wish=wish(aoife, noon), studio=studio).found

        starts = {one.start for one in found.openings}
        assert starts == {660, 675, 690, 705, 765, 780, 795, 810}
        assert dict(found.reasons) == {"meal": 3}

    def test_at_most_so_many_hours_of_teaching_a_day(self, studio: Any, aoife: Any) -> None:
        """Edge case 42: at most six hours of teaching a day, said as well where it is passed."""
        TeachingLimits.objects.create(pk=1, most_minutes_a_day=360)
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=at(MONDAY, 9), minutes=345)

        assert once_days(studio, wish(aoife)) == {1, 2, 3, 4}
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=at(MONDAY, 15))
        assert day_plan(day=MONDAY, studio=studio).cautions == (
            "375 minutes of teaching: your limit is 360 a day.",
        )

    def test_a_summer_timetable_counts_between_its_days(self, studio: Any, aoife: Any) -> None:
        """Edge case 50: hours with dates, in the search itself."""
        WorkingHours.objects.create(weekday=0, begins_at=time(15), ends_at=time(18))
        WorkingHours.objects.create(
            weekday=1,
            begins_at=time(15),
            ends_at=time(18),
            first_date=MONDAY,
            last_date=MONDAY + timedelta(days=6),
        )

        assert once_days(studio, wish(aoife)) == {1}
        later = once_for(wish=wish(aoife, days=13), studio=studio).found.openings
        assert {one.day for one in later} == {
            MONDAY + timedelta(days=1),
            MONDAY + timedelta(days=7),
        }

    def test_an_online_lesson_needs_a_desk_only_if_said_so(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 20: between two home visits, off by default."""
        far = tadhg.family.home
        LessonFactory(place=far, student=tadhg, starts_at=at(MONDAY, 15))
        LessonFactory(place=far, student=tadhg, starts_at=at(MONDAY, 16, 10))
        online = PlaceFactory(kind="online", name="Online", latitude=None, longitude=None)
        asked = wish(aoife, Window(0, 15 * 60, 16 * 60 + 30), place=online, grid=5)

        starts = [one.start for one in once_for(wish=asked, studio=studio).found.openings]
        assert sorted(starts) == [930, 935, 940]
        TeachingLimits.objects.create(pk=1, is_room_needed_online=True)
        assert once_for(wish=asked, studio=studio).found.openings == ()

    def test_minutes_to_spare_are_kept_on_every_road(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=at(MONDAY, 15))
        asked = wish(aoife, Window(0, 15 * 60 + 30, 18 * 60), grid=5)

        first = min(one.start for one in once_for(wish=asked, studio=studio).found.openings)
        TeachingLimits.objects.create(pk=1, buffer_minutes=10)

        assert first + 10 == min(
            one.start for one in once_for(wish=asked, studio=studio).found.openings
        )

    def test_a_school_that_is_closed_takes_no_lesson(self, studio: Any, aoife: Any) -> None:
        school = SchoolFactory()
        Closure.objects.create(name="Staff day", school=school, first_date=MONDAY, last_date=MONDAY)

        assert 0 not in once_days(studio, wish(aoife, place=school.place))
        assert 0 in once_days(studio, wish(aoife))

    def test_no_time_fits_and_what_would_have_to_give(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 39: minutes to spare, later than the family said, another day."""
        limits = TeachingLimits.objects.create(pk=1, buffer_minutes=30)
        LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=at(MONDAY, 15))
        asked = wish(aoife, Window(0, 15 * 60 + 30, 16 * 60 + 45))
        booked = booked_days(
            first_date=asked.first_date,
            last_date=asked.last_date,
            places=[asked.place],
            studio=studio,
        )

        assert times_for(wish=asked, studio=studio).found.openings == ()
        words = [one.gives for one in alternatives(booked, asked)]

        assert f"your {limits.buffer_minutes} minutes to spare on the road" in words
        assert any("minutes later than the family said" in each for each in words)
        assert any(each.startswith("the weekday:") for each in words)


class TestDays:
    def test_begin_and_end_where_the_rule_says(self, studio: Any, aoife: Any, tadhg: Any) -> None:
        """Edge case 53: the day starts at home and ends at the room."""
        DayRule.objects.create(
            weekday=0, starts_from=tadhg.family.home, ends_at_place=aoife.family.home
        )
        place = PlaceFactory(name="Between", latitude="51.950000", longitude="-8.550000")
        lesson = LessonFactory(place=place, student=aoife, starts_at=at(MONDAY, 16))

        plan = day_plan(day=MONDAY, studio=studio)

        roads = road_book(studio)
        (stop,) = plan.stops
        there = roads.between(stop_of(tadhg.family.home), stop_of(place))
        assert stop.road == there
        assert stop.road_from == "Far door"
        assert stop.leave_by == lesson.starts_at - timedelta(minutes=there.minutes or 0)
        assert plan.road_home == roads.between(stop_of(place), stop_of(aoife.family.home))
        assert plan.ends_at == "Near door"

    def test_say_when_no_meal_is_left(self, studio: Any, aoife: Any) -> None:
        DayRule.objects.create(weekday=0, meal_from=time(12), meal_until=time(13))
        LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=at(MONDAY, 12, 10), minutes=40
        )

        (plan, *_) = week_plan(monday=MONDAY, studio=studio)

        assert plan.cautions == ("No 30 minutes are left for the meal between 12:00 and 13:00.",)


def test_a_week_with_too_many_evenings_says_so(studio: Any, aoife: Any) -> None:
    """Edge case 42: at most one evening a week."""
    TeachingLimits.objects.create(pk=1, most_evenings_a_week=1)
    for days in (0, 1):
        LessonFactory(
            place=aoife.family.home,
            student=aoife,
            starts_at=at(MONDAY + timedelta(days=days), 18, 45),
        )

    days = week_plan(monday=MONDAY, studio=studio)

    assert evenings_caution(days, studio) == (
        "2 evenings of this week have lessons after 19:00: your limit is 1."
    )
    assert evenings_caution(days[1:], studio) == ""


@pytest.mark.usefixtures("_tuesday")
class TestPages:
    def test_times_told_are_what_the_search_begins_with(
        self, client: Client, studio: Any, aoife: Any
    ) -> None:
        """Edge case 38: Wednesdays 15:30 to 17:00, every second week, as the family told."""
        term = TermFactory(first_date=MONDAY, last_date=date(2026, 10, 30))
        client.post(
            f"/times/{aoife.pk}/new/",
            {
                "weekday": "2",
                "begins_at": "15:30",
                "ends_at": "17:00",
                "every_weeks": "2",
                "anchor_date": "2026-09-09",
            },
        )
        client.post(
            f"/times/{aoife.pk}/",
            {
                "minutes": "45",
                "lessons_per_week": "1",
                "least_days_between": "1",
                "every_weeks": "2",
            },
        )

        form = client.get(f"/series/find/?student={aoife.pk}").context["form"]
        found = client.get(
            "/series/find/",
            {
                "student": aoife.pk,
                "where": "home",
                "minutes": "45",
                "every_weeks": "1",
                "term": term.pk,
                "grid": "15",
            },
        )

        assert (form["day_0"].value(), form["minutes"].value()) == (2, 45)
        assert form["anchor_0"].value() == date(2026, 9, 9)
        opening = found.context["openings"][0]
        assert opening.opening.free == tuple(
            date(2026, 9, 9) + timedelta(weeks=n) for n in (0, 2, 4, 6)
        )
        window = StudentWindow.objects.get()
        client.post(f"/times/windows/{window.pk}/delete/")
        assert "no times told" in text_of(client.get("/times/"))

    def test_parents_tell_their_childs_times(self, studio: Any, tadhg: Any, aoife: Any) -> None:
        """Edge case 38: the family can only do Wednesdays 15:30-17:00 in odd weeks."""
        adult = tadhg.family.adults.get()
        adult.user = UserFactory(role="parent")
        adult.save()
        parent = sign_in(Client(), adult.user)
        told = {
            "weekday": "2",
            "begins_at": "15:30",
            "ends_at": "17:00",
            "every_weeks": "2",
            "anchor_date": "2026-09-09",
        }

        wrong = parent.post(f"/my-times/{tadhg.pk}/", told | {"anchor_date": ""})
        parent.post(f"/my-times/{tadhg.pk}/", told)
        again = parent.post(f"/my-times/{tadhg.pk}/", told)

        assert wrong.status_code == 422
        assert "stands there already" in text_of(again)
        row = StudentWindow.objects.get()
        assert windows_of(tadhg)[0].is_open_on(date(2026, 9, 23))
        assert not windows_of(tadhg)[0].is_open_on(date(2026, 9, 16))
        assert "When Tadhg can come" in text_of(parent.get("/family/"))
        assert parent.get(f"/my-times/{aoife.pk}/").status_code == 404
        parent.post(f"/my-times/windows/{row.pk}/delete/")
        assert not StudentWindow.objects.exists()

    def test_one_single_lesson_is_found_and_booked(
        self, client: Client, studio: Any, aoife: Any
    ) -> None:
        asked = {
            "student": aoife.pk,
            "kind": "once",
            "where": "home",
            "minutes": "30",
            "every_weeks": "1",
            "grid": "30",
            "first_date": "2026-09-10",
            "last_date": "2026-09-18",
            "day_0": "2",
            "from_0": "16:00",
            "until_0": "17:00",
        }
        TermFactory()

        shown = client.get("/series/find/", asked).context["once"]
        client.post("/lessons/new/", dict(shown[0].fields))

        assert [(one.opening.day, one.at) for one in shown] == [
            (date(2026, 9, 16), time(16)),
            (date(2026, 9, 16), time(16, 30)),
        ]
        lesson = Lesson.objects.get()
        assert lesson.starts_at == at(date(2026, 9, 16), 16)

    def test_limits_and_weekdays_are_kept(self, client: Client, studio: Any) -> None:
        client.post(
            "/limits/",
            {
                "most_minutes_a_day": "300",
                "evening_begins_at": "18:30",
                "most_evenings_a_week": "2",
                "buffer_minutes": "5",
                "child_age": "9",
                "child_latest_end": "19:00",
                "is_room_needed_online": "on",
            },
        )
        client.post(
            "/limits/3/", {"meal_from": "12:00", "meal_until": "13:30", "meal_minutes": "40"}
        )

        assert TeachingLimits.current().most_minutes_a_day == 300
        assert road_book(studio).is_desk_needed
        page = text_of(client.get("/limits/"))
        assert "a meal of 40 min between" in page
        assert client.get("/limits/7/").status_code == 404

    @pytest.mark.parametrize(
        ("address", "wrong", "field"),
        [
            ("/limits/", {"most_minutes_a_day": "9999"}, "most_minutes_a_day"),
            ("/limits/", {"buffer_minutes": "-1"}, "buffer_minutes"),
            ("/limits/1/", {"meal_from": "12:00", "meal_minutes": "30"}, "meal_until"),
            (
                "/limits/1/",
                {"meal_from": "12:00", "meal_until": "12:10", "meal_minutes": "30"},
                "meal_minutes",
            ),
            ("/hours/new/", {"first_date": "2026-07-01"}, "last_date"),
            ("/times/{}/", {"minutes": "2"}, "minutes"),
            ("/times/{}/", {"lessons_per_week": "9"}, "lessons_per_week"),
            ("/times/{}/new/", {"every_weeks": "2"}, "anchor_date"),
            ("/times/{}/new/", {"begins_at": "17:00", "ends_at": "15:00"}, "ends_at"),
        ],
    )
    def test_refuse_what_makes_no_sense(
        self, client: Client, aoife: Any, address: str, wrong: dict[str, str], field: str
    ) -> None:
        answer = client.post(address.format(aoife.pk), wrong)

        assert answer.status_code == 422
        assert field in answer.context["form"].errors

    def test_ask_the_database_as_often_for_many_students_as_for_one(
        self, client: Client, django_assert_num_queries: Any, aoife: Any
    ) -> None:
        client.get("/times/")
        StudentWindow.objects.create(student=aoife, weekday=1, begins_at=time(15), ends_at=time(17))
        StudentFactory()
        with django_assert_num_queries(5):
            client.get("/times/")
