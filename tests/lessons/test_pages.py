"""The day, the week and booking: what the pages say and refuse."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.template import Context, Template
from django.test import Client

from lessons import services
from lessons.models import Lesson, Series
from studio.models import OutgoingEmail, Student, Studio
from tests.factories.lessons import ClosureFactory, LessonFactory, TermFactory, TravelBandFactory
from tests.lessons.conftest import NOW, TUESDAY, text_of, wish_for

pytestmark = pytest.mark.django_db


@pytest.mark.usefixtures("_tuesday")
class TestToday:
    def test_says_when_to_leave_and_for_where(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        services.series_book(wish=wish_for(aoife), by=teacher, now=NOW)
        services.series_book(
            wish=wish_for(tadhg, at=datetime(2026, 9, 8, 17).time()), by=teacher, now=NOW
        )

        said = text_of(client.get("/today/"))

        assert "Today, Tuesday 8 September" in said
        assert "Leave by" in said
        assert "from Near door" in said
        assert "back to base" in said

    def test_an_empty_day_says_what_to_do_next(self, client: Client, aoife: Any) -> None:
        assert "Book a weekly lesson" in text_of(client.get("/today/"))

    def test_an_empty_studio_asks_for_the_first_family(self, client: Client) -> None:
        assert "Add a family" in text_of(client.get("/today/"))

    @pytest.mark.parametrize("day", ["9999-12-31", "0000-00-00", "x", "2026-02-30", "1" * 5000])
    def test_refuses_days_that_are_none(self, client: Client, day: str) -> None:
        assert client.get("/today/", {"day": day}).status_code == 404
        assert client.get("/week/", {"week": day}).status_code == 404

    def test_marks_and_notes_in_three_presses(
        self, client: Client, teacher: Any, tadhg: Any
    ) -> None:
        services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        lesson = Lesson.objects.in_order()[0]

        marked = client.post(
            f"/lessons/{lesson.pk}/mark/",
            {"student": tadhg.pk, "attendance": "present", "back": "day"},
        )
        noted = client.post(
            f"/lessons/{lesson.pk}/notes/{tadhg.pk}/",
            {"body": "The fill lands on one now.", "press": "send", "back": "day"},
            follow=True,
        )

        assert marked["Location"] == f"/today/?day=2026-09-08#slip-{lesson.pk}"
        assert "by e-mail to Orla Lynch" in text_of(noted)
        assert Lesson.objects.get(pk=lesson.pk).is_done
        assert "The fill lands on one now." in OutgoingEmail.objects.get().body

    def test_htmx_gets_the_slip_alone(self, client: Client, teacher: Any, tadhg: Any) -> None:
        services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        lesson = Lesson.objects.in_order()[0]

        answer = client.post(
            f"/lessons/{lesson.pk}/mark/",
            {"student": tadhg.pk, "attendance": "present", "back": "day"},
            headers={"HX-Request": "true"},
        )

        assert answer.status_code == 200
        assert b"<html" not in answer.content
        assert 'aria-pressed="true"' in answer.content.decode()


@pytest.mark.usefixtures("_tuesday")
class TestEndASeries:
    def test_shows_what_is_called_off_before_it_is(
        self, client: Client, teacher: Any, tadhg: Any
    ) -> None:
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        lessons = list(Lesson.objects.in_order())
        last_two = f"{lessons[-2].starts_at:%Y-%m-%d}"
        address = f"/series/{series.pk}/stop/"

        seen = text_of(client.post(address, {"from_date": last_two, "look": "1"}))
        still = Lesson.objects.filter(status="planned").count()
        client.post(address, {"from_date": last_two, "seen": "2"})

        assert "This calls off 2 lessons" in seen
        assert "Call off 2 lessons" in seen
        assert still == len(lessons)
        assert Lesson.objects.filter(status="planned").count() == len(lessons) - 2

    def test_asks_once_more_when_there_is_another_number_by_now(
        self, client: Client, teacher: Any, tadhg: Any
    ) -> None:
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        day = f"{series.first_date:%Y-%m-%d}"

        page = text_of(client.post(f"/series/{series.pk}/stop/", {"from_date": day, "seen": "1"}))

        assert "This calls off" in page
        assert not Lesson.objects.filter(status="called_off").exists()


@pytest.mark.usefixtures("_tuesday")
class TestBookASeries:
    def _answer(self, student: Any, /, **change: Any) -> dict[str, Any]:
        return {
            "student": student.pk,
            "where": "home",
            "weekday": 2,
            "at": "16:00",
            "minutes": 30,
            "every_weeks": 1,
            "from_date": "2026-09-09",
            "until_date": "2026-10-14",
            "press": "look",
        } | change

    def test_looking_writes_nothing_and_counts_the_dates(self, client: Client, aoife: Any) -> None:
        ClosureFactory(first_date=date(2026, 9, 16), last_date=date(2026, 9, 16), name="Inset day")

        said = text_of(client.post("/series/book/", self._answer(aoife)))

        assert "5 lessons" in said
        assert "Inset day" in said
        assert "Book 5 lessons" in said
        assert not Series.objects.exists()

    def test_books_what_was_looked_at(self, client: Client, aoife: Any) -> None:
        seen = client.post("/series/book/", self._answer(aoife))

        answer = client.post(
            "/series/book/", self._answer(aoife, press="book", seal=seen.context["plan"].seal)
        )

        series = Series.objects.get()
        assert answer["Location"] == f"/series/{series.pk}/"
        assert series.lessons.count() == 6

    def test_a_term_gives_both_dates(self, client: Client, aoife: Any) -> None:
        term = TermFactory(first_date=date(2026, 9, 14), last_date=date(2026, 12, 18))

        seen = client.post(
            "/series/book/", self._answer(aoife, term=term.pk, from_date="", until_date="")
        )

        plan = seen.context["plan"]
        assert plan.to_book[0].day == date(2026, 9, 16)
        assert plan.to_book[-1].day == date(2026, 12, 16)

    def test_a_clash_is_shown_before_booking_with_a_way_out(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=datetime(2026, 9, 16, 15, tzinfo=UTC)
        )

        said = text_of(client.post("/series/book/", self._answer(tadhg)))
        again = text_of(client.post("/series/book/", self._answer(tadhg, left_out="2026-09-16")))

        assert "It overlaps Aoife Moran, 16:00-16:30 by 30 minutes" in said
        assert "Look again with these dates" in said
        assert "Book 5 lessons" in again

    def test_the_road_can_be_overruled_with_a_reason(
        self, client: Client, aoife: Any, tadhg: Any
    ) -> None:
        LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=datetime(2026, 9, 16, 15, tzinfo=UTC)
        )
        seen = client.post("/series/book/", self._answer(tadhg, at="16:31"))
        good = self._answer(tadhg, at="16:31", press="book", seal=seen.context["plan"].seal)

        refused = client.post("/series/book/", good)
        booked = client.post("/series/book/", good | {"road_reason": "they wait"})

        assert "minutes missing" in text_of(seen)
        assert refused.status_code == 422
        assert "16 September" in str(refused.context["form"].errors["road_reason"])
        assert booked.status_code == 302

    def test_outside_the_radius_is_said_plainly(self, client: Client, tadhg: Any) -> None:
        TravelBandFactory(up_to_km="5.0")

        said = text_of(client.post("/series/book/", self._answer(tadhg)))

        assert "Outside your radius of 5 km by road" in said

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"student": ""}, "student"),
            ({"student": "10" * 30}, "student"),
            ({"where": "99999"}, "where"),
            ({"weekday": "9"}, "weekday"),
            ({"at": "25:00"}, "at"),
            ({"at": "\x00"}, "at"),
            ({"minutes": "0"}, "minutes"),
            ({"minutes": "-30"}, "minutes"),
            ({"minutes": "1" * 400}, "minutes"),
            ({"every_weeks": "99"}, "every_weeks"),
            ({"from_date": "9999-12-31"}, "from_date"),
            ({"until_date": "9999-12-31"}, "until_date"),
            ({"until_date": "2026-09-08"}, "until_date"),
            ({"until_date": "2029-09-08"}, "until_date"),
            ({"until_date": ""}, "until_date"),
            ({"term": "12345"}, "term"),
            ({"at": "23:50"}, "at"),
            (
                {
                    "weekday": 6,
                    "at": "01:30",
                    "from_date": "2026-10-19",
                    "until_date": "2026-11-09",
                },
                "at",
            ),
        ],
    )
    def test_bad_answers_are_told_at_the_field(
        self, client: Client, aoife: Any, change: dict[str, Any], field: str
    ) -> None:
        """Edge case 2: among them the hour that exists twice."""
        answer = client.post("/series/book/", self._answer(aoife, **change))

        assert answer.status_code == 422
        assert field in answer.context["form"].errors
        assert not Series.objects.exists()

    def test_nonsense_among_the_dates_left_out_is_ignored(self, client: Client, aoife: Any) -> None:
        answer = client.post("/series/book/", self._answer(aoife, left_out=["x", "9999-99-99"]))

        assert answer.context["plan"].free_count == 6


def test_a_parent_reads_lessons_and_notes_on_the_family_page(
    teacher: Any, tadhg: Any, aoife: Any
) -> None:
    lesson = LessonFactory(
        place=tadhg.family.home, student=tadhg, starts_at=datetime(2026, 9, 8, 15, tzinfo=UTC)
    )
    note = services.note_write(
        lesson=lesson, student=tadhg, body="Good.", by=teacher, now=lesson.ends_at
    )
    services.note_send(note=note, by=teacher, now=lesson.ends_at)
    page = Template("{% load lessons_tags %}{% family_lessons family %}{% family_notes family %}")

    with time_machine.travel(TUESDAY, tick=False):
        own = page.render(Context({"family": tadhg.family, "studio": Studio.current()}))
        other = page.render(Context({"family": aoife.family, "studio": Studio.current()}))

    assert "Tuesday 8 September" in own
    assert "Good." in own
    assert "Good." not in other
    assert Student.objects.count() == 2
