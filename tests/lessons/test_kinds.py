"""Trials, groups, school blocks, online: booked by kind, and what follows."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest
import time_machine
from django.test import Client

from lessons import services
from lessons.models import Lesson, LessonKind, Series
from lessons.selectors.place_hours import shut_days
from studio.models import Event, School, Student
from tests.factories.lessons import ClosureFactory, LessonFactory
from tests.factories.studio import PlaceFactory
from tests.lessons.conftest import DUBLIN, NOW, text_of, wish_for

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


@pytest.fixture
def school(studio: Any) -> School:
    place = PlaceFactory(kind="school", name="Glasheen hall")
    return School.objects.create(name="Glasheen school", place=place)


def _series(**change: Any) -> dict[str, Any]:
    return {
        "where": "home",
        "weekday": 1,
        "at": "10:00",
        "minutes": 90,
        "every_weeks": 1,
        "from_date": "2026-09-08",
        "until_date": "2026-10-13",
        "press": "look",
    } | change


def _book(client: Client, answer: dict[str, Any]) -> Any:
    seen = client.post("/series/book/", answer)
    return client.post(
        "/series/book/", answer | {"press": "book", "seal": seen.context["plan"].seal}
    )


class TestASchoolBlock:
    def test_needs_no_students_and_skips_the_schools_own_closures(
        self, client: Client, school: School, aoife: Any
    ) -> None:
        """Edge case 16: the school is closed on other dates than the public holidays."""
        ClosureFactory(
            name="Staff day", first_date=date(2026, 9, 15), last_date=date(2026, 9, 15),
            school=school,
        )  # fmt: skip
        other = School.objects.create(name="Other", place=PlaceFactory(kind="school"))
        ClosureFactory(
            name="Theirs", first_date=date(2026, 9, 22), last_date=date(2026, 9, 22), school=other
        )

        answer = _series(kind="school", school=school.pk, label="Third class")
        seen = client.post("/series/book/", answer)
        _book(client, answer)
        own = _series(student=aoife.pk, at="16:00", minutes=30)

        assert "Staff day" in text_of(seen)
        series = Series.objects.get()
        assert (series.kind, series.school, series.place) == ("school", school, school.place)
        days = [row.starts_at.astimezone(DUBLIN).day for row in series.lessons.in_order()]
        assert days == [8, 22, 29, 6, 13]
        assert {(row.label, row.kind) for row in series.lessons.all()} == {
            ("Third class", "school")
        }
        assert len(client.post("/series/book/", own).context["plan"].to_book) == 6
        assert "Staff day" in text_of(client.get(f"/series/{series.pk}/"))

    def test_its_room_is_free_on_two_afternoons_only(self, client: Client, school: School) -> None:
        """Edge case 16: outside them it is pointed out, and such days are not offered."""
        for weekday in (1, 3):
            client.post(
                "/hours/rooms/new/",
                {
                    "place": school.place_id, "weekday": weekday, "begins_at": "13:00",
                    "ends_at": "17:00",
                },
            )  # fmt: skip
        answer = _series(kind="school", school=school.pk, label="Third class", at="13:30")

        inside = text_of(client.post("/series/book/", answer))
        early = text_of(client.post("/series/book/", answer | {"at": "10:00"}))
        wednesday = text_of(client.post("/series/book/", answer | {"weekday": 2}))
        days = shut_days([date(2026, 9, 7 + n) for n in range(7)])

        words = "Glasheen hall can be used Tuesday 13:00-17:00, Thursday 13:00-17:00"
        assert words not in inside
        assert words in early
        assert words in wednesday
        assert sorted(day.day for day in days[school.place_id]) == [7, 9, 11, 12, 13]

    def test_is_marked_as_given_by_itself(
        self, client: Client, teacher: Any, school: School
    ) -> None:
        lesson = services.lesson_book(
            students=[], place=school.place, day=date(2026, 9, 8), at=time(9), minutes=60,
            by=teacher, now=NOW, kind=LessonKind.SCHOOL, school=school, label="Block",
        )  # fmt: skip

        page = text_of(client.get(f"/lessons/{lesson.pk}/"))
        client.post(f"/lessons/{lesson.pk}/given/", {"given": "yes"})

        assert "It took place" in page
        assert Lesson.objects.get().is_done
        client.post(f"/lessons/{lesson.pk}/given/", {"given": "no"})
        assert Lesson.objects.get().is_planned

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"kind": "school"}, "school"),
            ({"kind": "group"}, "student"),
            ({"kind": "trial"}, "kind"),
            ({"kind": "lesson", "student": ""}, "student"),
            ({"kind": "group", "others": ["x" * 400]}, "others"),
            ({"kind": "group", "others": ["9" * 400]}, "others"),
        ],
    )
    def test_bad_answers_are_told_at_the_field(
        self, client: Client, aoife: Any, change: dict[str, Any], field: str
    ) -> None:
        answer = client.post("/series/book/", _series(**change))

        assert answer.status_code == 422
        assert field in answer.context["form"].errors


class TestAGroupAndOnline:
    def test_a_group_is_booked_with_all_of_them(
        self, client: Client, aoife: Any, tadhg: Any
    ) -> None:
        alone = client.post("/series/book/", _series(kind="group", student=aoife.pk))
        _book(client, _series(kind="group", student=aoife.pk, others=[tadhg.pk], label="Two"))

        assert "at least two students" in str(alone.context["form"].errors["others"])
        lesson = Lesson.objects.in_order()[0]
        assert {taker.student for taker in lesson.takers.all()} == {aoife, tadhg}
        assert lesson.names == "Two"

    def test_all_of_a_group_may_be_ticked_below(
        self, client: Client, aoife: Any, tadhg: Any
    ) -> None:
        _book(client, _series(kind="group", others=[aoife.pk, tadhg.pk], label="Two"))

        lesson = Lesson.objects.in_order()[0]
        assert {taker.student for taker in lesson.takers.all()} == {aoife, tadhg}

    def test_several_students_without_a_group_are_asked_about(
        self, client: Client, aoife: Any, tadhg: Any
    ) -> None:
        answer = client.post("/series/book/", _series(student=aoife.pk, others=[tadhg.pk]))

        assert "kind" in answer.context["form"].errors

    def test_online_is_a_place(self, client: Client, aoife: Any) -> None:
        _book(client, _series(student=aoife.pk, where="online"))

        assert Series.objects.get().place.is_online


class TestATrial:
    def _trial(self, client: Client, student: Student) -> Lesson:
        client.post(
            "/lessons/new/",
            {
                "kind": "trial", "student": student.pk, "where": "home", "day": "2026-09-10",
                "at": "16:15", "minutes": 45,
            },
        )  # fmt: skip
        return Lesson.objects.get(kind="trial")

    def test_becomes_a_series_with_its_own_time(self, client: Client, aoife: Any) -> None:
        """Edge case 29: one press leads to a booking that is filled in."""
        trial = self._trial(client, aoife)

        page = text_of(client.get(f"/lessons/{trial.pk}/"))
        form = client.get(f"/lessons/{trial.pk}/goes-on/", follow=True).context["form"]

        assert "Book it weekly" in page
        values = {name: form[name].value() for name in ("student", "weekday", "at", "minutes")}
        assert {name: str(value) for name, value in values.items()} == {
            "student": str(aoife.pk), "weekday": "3", "at": "16:15", "minutes": "45",
        }  # fmt: skip
        assert (form["where"].value(), form["from_date"].value()) == ("home", "2026-09-11")

    def test_or_does_not(self, client: Client, teacher: Any, aoife: Any, tadhg: Any) -> None:
        """Edge case 29: the student is in the list as having left; the lesson stays."""
        trial = self._trial(client, aoife)

        with time_machine.travel("2026-09-11T09:00Z", tick=False):
            client.post(f"/lessons/{trial.pk}/trial-over/")
            client.post(f"/lessons/{trial.pk}/trial-over/")
            page = text_of(client.get(f"/lessons/{trial.pk}/"))

        aoife.refresh_from_db()
        assert aoife.left_date == date(2026, 9, 11)
        assert "It did not lead to more" in page
        assert Event.objects.filter(kind="trial_ended").count() == 1
        other = LessonFactory(place=tadhg.family.home, student=tadhg)
        client.post(f"/lessons/{other.pk}/trial-over/")
        tadhg.refresh_from_db()
        assert tadhg.left_date is None


def test_a_held_lesson_stays_and_a_corrected_mark_leaves_its_trace(
    client: Client, teacher: Any, aoife: Any
) -> None:
    """Edge case 27: it cannot be moved, and the page shows what was marked when."""
    services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)
    lesson = Lesson.objects.in_order()[0]
    address = f"/lessons/{lesson.pk}/"

    client.post(f"{address}mark/", {"student": aoife.pk, "attendance": "no_show"})
    client.post(f"{address}mark/", {"student": aoife.pk, "attendance": "present"})
    moved = client.post(
        f"{address}move/", {"day": "2026-09-20", "at": "10:00", "minutes": 30, "where": "same"}
    )

    assert moved.status_code == 422
    assert "Only a planned lesson can be moved" in text_of(moved)
    assert "Aoife Moran: Did not come → There" in text_of(client.get(address))
    trace = Event.objects.filter(kind="attendance_marked").order_by("pk")
    assert [(row.detail["before"], row.detail["after"]) for row in trace] == [
        ("unmarked", "no_show"),
        ("no_show", "present"),
    ]
