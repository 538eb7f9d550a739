"""The page that finds a time, on the calendar as it is."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lessons import services
from lessons.models import Closure, Lesson, Series, TeachingLimits, WorkingHours
from lessons.planning.clashes import all_clashes
from lessons.selectors import road_book, visits_between
from lessons.selectors.finding import hours_on
from tests.factories.lessons import TermFactory
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


@pytest.fixture
def term(studio: Any) -> Any:
    return TermFactory(first_date=date(2026, 9, 7), last_date=date(2026, 12, 18))


def asked(student: Any, term: Any, **more: Any) -> dict[str, Any]:
    return {
        "student": student.pk,
        "where": "home",
        "minutes": "30",
        "every_weeks": "1",
        "term": term.pk,
        "grid": "15",
        "day_0": "2",
        "from_0": "15:00",
        "until_0": "18:00",
    } | more


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


class TestTimeFind:
    def test_books_what_it_found_and_nothing_clashes(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any, term: Any, studio: Any
    ) -> None:
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)
        answer = client.get("/series/find/", asked(tadhg, term))
        for opening in answer.context["openings"]:
            before = Lesson.objects.count()

            booked = client.post("/series/find/book/", dict(opening.fields))

            assert booked.status_code == 302, text_of(booked)
            lessons = Lesson.objects.in_order()
            assert lessons.count() - before == opening.count
            visits = visits_between(lessons[0].starts_at, lessons.last().ends_at)
            assert all_clashes(visits, road_book(studio), DUBLIN) == ()
            series = Series.objects.latest("pk")
            Lesson.objects.filter(series=series).delete()
            series.delete()
        assert len(answer.context["openings"]) > 3

    def test_a_time_that_was_taken_meanwhile_is_refused_in_words(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any, term: Any
    ) -> None:
        opening = client.get("/series/find/", asked(tadhg, term)).context["openings"][0]
        first = opening.opening.free[3]
        services.lesson_book(
            students=[aoife],
            place=aoife.family.home,
            day=first,
            at=opening.at,
            minutes=30,
            by=teacher,
            now=NOW,
        )

        answer = client.post("/series/find/book/", dict(opening.fields))

        assert answer.status_code == 422
        assert "Look for another time" in text_of(answer)
        assert Lesson.objects.count() == 1

    def test_a_week_in_the_way_is_named_and_can_be_left_out(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any, term: Any
    ) -> None:
        day = date(2026, 10, 14)
        services.lesson_book(
            students=[aoife],
            place=tadhg.family.home,
            day=day,
            at=time(15),
            minutes=180,
            by=teacher,
            now=NOW,
        )

        answer = client.get("/series/find/", asked(tadhg, term))
        page = text_of(answer)
        near = answer.context["partial"][0]
        fields: dict[str, Any] = {}
        for name, words in near.fields:
            fields.setdefault(name, []).append(words)
        client.post("/series/find/book/", fields)

        assert "No time is free on every date" in page
        assert "14 October" in page
        assert near.clashes[0][0] == day
        assert Lesson.objects.filter(series__isnull=False).count() == near.count

    def test_closures_and_hours_bound_it(self, client: Client, tadhg: Any, term: Any) -> None:
        Closure.objects.create(
            name="Mid-term", first_date=date(2026, 10, 26), last_date=date(2026, 10, 30)
        )
        WorkingHours.objects.create(weekday=2, begins_at=time(16), ends_at=time(17))

        openings = client.get("/series/find/", asked(tadhg, term)).context["openings"]

        assert {one.at for one in openings} == {time(16), time(16, 15), time(16, 30)}
        assert date(2026, 10, 28) not in openings[0].opening.free

    def test_a_child_is_home_by_the_hour_that_is_set(
        self, client: Client, tadhg: Any, term: Any
    ) -> None:
        """Edge case 40: an hour by age, with the student's own one before it."""
        TeachingLimits.objects.create(pk=1, child_age=10, child_latest_end=time(17))
        tadhg.birth_year = 2018
        tadhg.save()

        answer = client.get("/series/find/", asked(tadhg, term))

        assert max(one.ends for one in answer.context["openings"]) == time(17)
        assert "over by 17:00" in text_of(answer)

    def test_asks_the_database_as_often_for_many_lessons_as_for_none(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any, term: Any
    ) -> None:
        counts = []
        for length in (1, 6):
            services.lesson_book(
                students=[aoife],
                place=aoife.family.home,
                day=date(2026, 9, 8) + timedelta(days=length),
                at=time(9),
                minutes=30,
                by=teacher,
                now=NOW,
            )
            with CaptureQueriesContext(connection) as queries:
                client.get("/series/find/", asked(tadhg, term))
            counts.append(len(queries))

        assert counts[0] == counts[1]

    @pytest.mark.parametrize(
        "wrong",
        [
            {"day_0": ""},
            {"day_0": "9"},
            {"from_0": "18:00", "until_0": "15:00"},
            {"minutes": "0"},
            {"grid": "1"},
            {"term": "99"},
            {"student": "9" * 40},
            {"from_0": "25:00"},
        ],
    )
    def test_refuses_what_makes_no_sense(
        self, client: Client, tadhg: Any, term: Any, wrong: dict[str, str]
    ) -> None:
        assert client.get("/series/find/", asked(tadhg, term) | wrong).status_code == 422


def test_dated_hours_beat_the_others_while_they_hold() -> None:
    """Edge case 50: a summer timetable is a second set of hours with dates."""
    usual = WorkingHours(weekday=0, begins_at=time(14), ends_at=time(20))
    summer = WorkingHours(
        weekday=0,
        begins_at=time(9),
        ends_at=time(0),
        first_date=date(2026, 7, 1),
        last_date=date(2026, 8, 31),
    )

    assert hours_on(date(2026, 6, 29), [usual, summer]) == ((840, 1200),)
    assert hours_on(date(2026, 7, 6), [usual, summer]) == ((540, 1440),)
    assert hours_on(date(2026, 7, 7), [usual, summer]) == ()
    assert hours_on(date(2026, 7, 6) + timedelta(days=1), []) == ((540, 1260),)
