"""Bad answers are told at the field, and nothing is half-written."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client

from lessons import services
from lessons.models import Closure, Lesson, TravelBand
from studio.models import Studio
from tests.factories.lessons import LessonFactory, TravelBandFactory
from tests.lessons.conftest import NOW, TUESDAY, text_of, wish_for

pytestmark = pytest.mark.django_db

PERIOD = {"name": "T", "first_date": "2026-09-01", "last_date": "2026-08-01"}
ROAD = {
    "circuity": "1.4",
    "first_kmh": 20,
    "middle_kmh": 40,
    "far_kmh": 60,
    "parking_minutes": 3,
}
LESSON = {"student": "1", "where": "home", "day": "2026-09-08", "at": "16:00", "minutes": "30"}
HOURS = {"weekday": "1", "begins_at": "15:00", "ends_at": "19:00"}
BAD_ANSWERS: list[tuple[str, dict[str, Any], str]] = [
    ("/terms/new/", PERIOD, "last_date"),
    ("/terms/new/", PERIOD | {"last_date": "2029-08-01"}, "last_date"),
    ("/terms/new/", PERIOD | {"first_date": "9999-01-01"}, "first_date"),
    ("/terms/new/", PERIOD | {"name": ""}, "name"),
    ("/terms/closures/new/", {"name": "x" * 500, "first_date": "2026-09-01"}, "name"),
    ("/terms/holidays/", {"days": "2026-01-32"}, "days"),
    ("/road/bands/new/", {"up_to_km": "-5", "surcharge": "1"}, "up_to_km"),
    ("/road/bands/new/", {"up_to_km": "5", "surcharge": "-1"}, "surcharge"),
    ("/road/bands/new/", {"up_to_km": "NaN", "surcharge": "1"}, "up_to_km"),
    ("/road/bands/new/", {"up_to_km": "5", "surcharge": "1e900"}, "surcharge"),
    ("/road/times/new/", {"from_place": "0", "to_place": "", "minutes": "5"}, "from_place"),
    ("/road/times/new/", {"from_place": "", "to_place": "", "minutes": "-5"}, "minutes"),
    ("/road/", ROAD | {"first_kmh": 50}, "middle_kmh"),
    ("/road/", ROAD | {"circuity": "0.5"}, "circuity"),
    ("/road/", ROAD | {"first_kmh": 0}, "first_kmh"),
    ("/road/", ROAD | {"parking_minutes": -3}, "parking_minutes"),
    ("/hours/", {"notice_hours": "-1"}, "notice_hours"),
    ("/hours/", {"notice_hours": "100000000000"}, "notice_hours"),
    ("/hours/new/", HOURS | {"ends_at": "14:00"}, "ends_at"),
    ("/hours/new/", HOURS | {"weekday": "7"}, "weekday"),
    ("/hours/new/", HOURS | {"begins_at": "soon"}, "begins_at"),
    ("/lessons/new/", LESSON | {"day": "9999-12-31"}, "day"),
    ("/lessons/new/", LESSON | {"minutes": "0"}, "minutes"),
    ("/lessons/new/", LESSON | {"student": "77"}, "student"),
]


@pytest.mark.usefixtures("_tuesday")
class TestOtherForms:
    @pytest.mark.parametrize(("address", "answer", "field"), BAD_ANSWERS)
    def test_bad_answers_are_told_at_the_field(
        self, client: Client, address: str, answer: dict[str, Any], field: str
    ) -> None:
        response = client.post(address, answer)

        assert response.status_code == 422
        assert field in response.context["form"].errors

    def test_a_band_at_the_same_distance_is_refused(self, client: Client) -> None:
        TravelBandFactory(up_to_km="15.0")

        answer = client.post("/road/bands/new/", {"up_to_km": "15", "surcharge": "1"})

        assert "already" in str(answer.context["form"].errors["up_to_km"])
        assert TravelBand.objects.count() == 1

    def test_hours_may_end_at_midnight(self, client: Client) -> None:
        """Edge case 6: a day window may end at 24:00."""
        answer = client.post(
            "/hours/new/", {"weekday": 1, "begins_at": "18:00", "ends_at": "00:00"}
        )

        assert answer.status_code == 302

    def test_public_holidays_are_offered_and_only_ticked_ones_close(self, client: Client) -> None:
        """Edge case 5: the days are the ``holidays`` library's for Ireland."""
        offered = client.get("/terms/holidays/").context["offered"]
        assert (date(2026, 10, 26), "October Bank Holiday") in offered

        client.post("/terms/holidays/", {"days": ["2026-10-26"]})

        assert [(row.name, row.first_date) for row in Closure.objects.all()] == [
            ("October Bank Holiday", date(2026, 10, 26))
        ]
        again = client.get("/terms/holidays/").context["offered"]
        assert date(2026, 10, 26) not in [day for day, _ in again]

    def test_holidays_of_a_region_only_and_the_teacher_may_teach_on_them(
        self, client: Client, teacher: Any, aoife: Any
    ) -> None:
        """Edge case 5: Epiphany is a holiday in Bavaria and not in Berlin.

        Source: Bayerisches Feiertagsgesetz (FTG), Art. 1; Berliner Feiertagsgesetz, § 1.
        """
        Studio.objects.update(country="DE")
        epiphany = date(2027, 1, 6)

        country = client.get("/terms/holidays/")
        berlin = client.get("/terms/holidays/", {"region": "BE"})
        bavaria = client.get("/terms/holidays/", {"region": "BY"})
        nonsense = client.get("/terms/holidays/", {"region": "Q" * 300})
        # Left unticked, the day stays open.
        client.post("/terms/holidays/?region=BY", {})
        wish = wish_for(aoife, first=date(2026, 12, 30), last=date(2027, 1, 13))
        series = services.series_book(wish=wish, by=teacher, now=NOW)

        for answer in (country, berlin, nonsense):
            assert epiphany not in [day for day, _ in answer.context["offered"]]
        assert epiphany in [day for day, _ in bavaria.context["offered"]]
        assert "(only in Bayern)" in text_of(bavaria)
        assert [row.starts_at.day for row in series.lessons.in_order()] == [30, 6, 13]

    def test_a_closure_over_booked_lessons_says_how_many(
        self, client: Client, teacher: Any, aoife: Any
    ) -> None:
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)

        answer = client.post(
            "/terms/closures/new/",
            {"name": "Away", "first_date": "2026-09-14", "last_date": "2026-09-25"},
            follow=True,
        )

        assert "2 lessons are booked on these days all the same" in text_of(answer)

    @pytest.mark.parametrize("pk", [0, 10**30])
    def test_lessons_that_are_none_are_not_found(self, client: Client, pk: int) -> None:
        assert client.get(f"/lessons/{pk}/").status_code == 404
        assert client.get(f"/series/{pk}/").status_code == 404

    def test_a_note_too_long_is_told_at_the_field_and_stays_on_the_page(
        self, client: Client, tadhg: Any
    ) -> None:
        lesson = LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=TUESDAY)

        answer = client.post(f"/lessons/{lesson.pk}/notes/{tadhg.pk}/", {"body": "long " * 1000})

        assert answer.status_code == 422
        assert "at most 4000" in text_of(answer)
        assert "long long" in text_of(answer)

    def test_htmx_gets_a_note_too_long_back_in_its_slip(self, client: Client, tadhg: Any) -> None:
        lesson = LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=TUESDAY)

        answer = client.post(
            f"/lessons/{lesson.pk}/notes/{tadhg.pk}/",
            {"body": "long " * 1000, "back": "day"},
            headers={"HX-Request": "true"},
        )

        assert answer.status_code == 200
        assert "at most 4000" in text_of(answer)
        assert b"<html" not in answer.content

    def test_a_call_off_told_in_the_future_is_refused(self, client: Client, tadhg: Any) -> None:
        lesson = LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=TUESDAY)

        answer = client.post(
            f"/lessons/{lesson.pk}/call-off/",
            {"called_off_by": "family", "told_date": "2026-09-09", "told_time": "10:00"},
        )

        assert "told_time" in answer.context["form"].errors
        assert Lesson.objects.get().is_planned
