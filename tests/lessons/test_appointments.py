"""The teacher's own time: it blocks, it takes part in the road, it is shown."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client

from lessons import services
from lessons.models import Appointment, Lesson
from lessons.planning.openings import Window
from lessons.planning.travel import NO_ROAD
from lessons.selectors import day_plan, road_book, stop_of
from lessons.selectors.days import DayAppointment
from lessons.selectors.finding import TimeWish, once_for
from tests.factories.lessons import AppointmentFactory, LessonFactory
from tests.factories.studio import PlaceFactory
from tests.lessons.conftest import NOW, text_of

pytestmark = pytest.mark.django_db
DAY = date(2026, 9, 8)
FOUR = datetime(2026, 9, 8, 15, tzinfo=UTC)


def book(student: Any, teacher: Any, at: time, **more: Any) -> Lesson:
    place = more.pop("place", student.family.home)
    return services.lesson_book(
        students=[student], place=place, day=DAY, at=at, minutes=30, by=teacher, now=NOW, **more
    )


class TestAppointment:
    def test_blocks_its_time_for_every_booking(self, studio: Any, teacher: Any, aoife: Any) -> None:
        """Edge case 51: an appointment without a place blocks time and asks for no road."""
        AppointmentFactory(begins_at=time(15), ends_at=time(15, 30))

        with pytest.raises(services.LessonClash, match="overlaps Dentist"):
            book(aoife, teacher, time(15, 15))
        assert book(aoife, teacher, time(15, 30)).is_planned

    def test_with_a_place_takes_part_in_the_road(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 51: the road from the appointment's place to the lesson's is needed."""
        AppointmentFactory(place=tadhg.family.home)
        road = road_book(studio).between(stop_of(tadhg.family.home), stop_of(aoife.family.home))

        with pytest.raises(services.LessonClash, match=f"takes {road.minutes} minutes"):
            book(aoife, teacher, time(15, 35))

    def test_without_a_place_does_not_hide_the_road_round_it(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        book(tadhg, teacher, time(14, 30))
        AppointmentFactory(label="Telephone", begins_at=time(15), ends_at=time(15, 20))

        with pytest.raises(services.LessonClash, match="the road from Tadhg Lynch"):
            book(aoife, teacher, time(15, 20))

    def test_over_lessons_is_asked_about_and_kept_if_meant(
        self, studio: Any, teacher: Any, aoife: Any
    ) -> None:
        lesson = book(aoife, teacher, time(15))
        row = Appointment(
            label="Dentist",
            first_date=date(2026, 9, 1),
            begins_at=time(15),
            ends_at=time(16),
            every_weeks=1,
        )

        with pytest.raises(services.LessonsInTheWay, match="Aoife Moran on 8 September, 15:00"):
            services.appointment_keep(appointment=row, by=teacher, now=NOW)
        assert not Appointment.objects.exists()
        kept = services.appointment_keep(
            appointment=row, by=teacher, now=NOW, is_kept_all_the_same=True
        )
        assert kept == [lesson]

    def test_stands_in_the_day_and_the_roads_go_by_it(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR)
        AppointmentFactory(place=tadhg.family.home, begins_at=time(14), ends_at=time(15))

        plan = day_plan(day=DAY, studio=studio)

        own, lesson = plan.items
        roads = road_book(studio)
        assert isinstance(own, DayAppointment)
        assert own.road == roads.from_base(stop_of(tadhg.family.home))
        assert lesson.road == roads.between(stop_of(tadhg.family.home), stop_of(aoife.family.home))
        assert lesson.road_from == "Far door"

    def test_without_a_place_is_passed_by_on_the_way(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """The road may be driven before what needs no place, if it does not fit after."""
        LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=FOUR)
        LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=FOUR.replace(hour=16, minute=30)
        )
        AppointmentFactory(begins_at=time(17, 10), ends_at=time(17, 25))

        first, own, last = day_plan(day=DAY, studio=studio).items

        minutes = (
            road_book(studio)
            .between(stop_of(tadhg.family.home), stop_of(aoife.family.home))
            .minutes
        )
        assert own.road == NO_ROAD
        assert last.road_from == "Far door"
        assert last.gap_minutes == 45
        ten_past_five = datetime(2026, 9, 8, 16, 10, tzinfo=UTC)
        assert last.leave_by == ten_past_five - timedelta(minutes=minutes or 0)
        assert first.leave_by is not None

    def test_is_seen_when_a_time_is_looked_for(self, studio: Any, tadhg: Any) -> None:
        AppointmentFactory(begins_at=time(15), ends_at=time(16), every_weeks=1)
        window = Window(1, 15 * 60, 16 * 60 + 30)
        wish = TimeWish(tadhg, tadhg.family.home, 30, DAY, date(2026, 9, 15), (window,))

        found = once_for(wish=wish, studio=studio).found

        assert [(one.day, one.start) for one in found.openings] == [
            (DAY, 960),
            (date(2026, 9, 15), 960),
        ]
        assert dict(found.reasons) == {"taken": 8}

    @pytest.mark.usefixtures("_tuesday")
    def test_is_written_down_on_its_page_and_shown_on_day_and_week(
        self, client: Client, teacher: Any, aoife: Any
    ) -> None:
        book(aoife, teacher, time(15))
        asked = {
            "label": "Dentist",
            "first_date": "2026-09-08",
            "begins_at": "15:15",
            "ends_at": "16:00",
            "every_weeks": "0",
        }

        refused = client.post("/appointments/new/", asked)
        kept = client.post("/appointments/new/", asked | {"is_kept_all_the_same": "on"})

        assert refused.status_code == 422
        assert "A lesson is booked then: Aoife Moran" in text_of(refused)
        assert kept.status_code == 302
        for address in ("/today/", "/week/", "/day/2026-09-08/", "/appointments/"):
            assert "Dentist" in text_of(client.get(address))

    @pytest.mark.usefixtures("_tuesday")
    @pytest.mark.parametrize(
        ("wrong", "field"),
        [
            ({"ends_at": "14:00"}, "ends_at"),
            ({"first_date": "9999-01-01"}, "first_date"),
            ({"every_weeks": "7"}, "every_weeks"),
            ({"every_weeks": "1", "last_date": "2026-09-01"}, "last_date"),
            ({"place": "9" * 40}, "place"),
            ({"label": ""}, "label"),
        ],
    )
    def test_refuses_what_makes_no_sense(
        self, client: Client, wrong: dict[str, str], field: str
    ) -> None:
        asked = {
            "label": "Dentist",
            "first_date": "2026-09-08",
            "begins_at": "15:00",
            "ends_at": "16:00",
            "every_weeks": "0",
        }

        answer = client.post("/appointments/new/", asked | wrong)

        assert answer.status_code == 422
        assert field in answer.context["form"].errors


def test_a_place_of_its_own_is_protected_while_an_appointment_is_there(studio: Any) -> None:
    place = PlaceFactory()
    AppointmentFactory(place=place)

    with pytest.raises(Exception, match="protected"):
        place.delete()
