"""Reminders: once, at a decent hour, one message for a family's day, true when they go."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from lessons import services
from lessons.models import Reminder, ReminderRules
from lessons.services.reminders import reminder_due_at, reminders_queue, stop_address
from studio.models import Event, OutgoingEmail, Student
from studio.rounds import round_add, rounds_do
from tests.factories.lessons import LessonFactory, LessonStudentFactory
from tests.factories.studio import AdultFactory, UserFactory
from tests.lessons.conftest import DUBLIN, sign_in

# The lesson is on Tuesday 8 September 2026 at 16:00 in Cork.
LESSON_AT = datetime(2026, 9, 8, 15, tzinfo=UTC)
A_DAY_BEFORE = LESSON_AT - timedelta(days=1)


def _due(day: date, at: time, hours: int, zone: ZoneInfo = DUBLIN) -> str:
    starts_at = datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
    return f"{reminder_due_at(starts_at, hours, zone).astimezone(zone):%a %-d %b %H:%M}"


class TestReminderDueAt:
    @pytest.mark.parametrize(
        ("at", "hours", "due"),
        [
            (time(16), 24, "Mon 7 Sep 16:00"),
            (time(16), 3, "Tue 8 Sep 13:00"),
            # Never at night: before it.
            (time(9), 3, "Mon 7 Sep 20:45"),
            (time(21, 30), 24, "Mon 7 Sep 20:45"),
            (time(21), 24, "Mon 7 Sep 20:45"),
            (time(20, 59), 24, "Mon 7 Sep 20:59"),
            (time(8), 24, "Mon 7 Sep 08:00"),
            (time(7, 59), 24, "Sun 6 Sep 20:45"),
        ],
    )
    def test_is_a_decent_hour(self, at: time, hours: int, due: str) -> None:
        assert _due(date(2026, 9, 8), at, hours) == due

    def test_a_day_is_a_day_by_the_clock_also_when_the_clocks_change(self) -> None:
        assert _due(date(2026, 10, 25), time(16), 24) == "Sat 24 Oct 16:00"
        assert _due(date(2027, 3, 28), time(16), 24) == "Sat 27 Mar 16:00"


@pytest.fixture
def _a_day_before(studio: Any) -> None:
    ReminderRules.objects.create(pk=1, hours_before=24)


@pytest.fixture
def lesson(tadhg: Any) -> Any:
    return LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=LESSON_AT)


def _bodies() -> list[str]:
    return [mail.body for mail in OutgoingEmail.objects.order_by("pk")]


@pytest.mark.django_db
@pytest.mark.usefixtures("_a_day_before")
class TestRemindersQueue:
    def test_goes_once_when_its_time_has_come(self, lesson: Any) -> None:
        assert reminders_queue(now=A_DAY_BEFORE - timedelta(minutes=1)) == 0
        assert reminders_queue(now=A_DAY_BEFORE) == 1
        assert reminders_queue(now=A_DAY_BEFORE + timedelta(minutes=1)) == 0

        mail = OutgoingEmail.objects.get()
        assert mail.to == "orla@example.com"
        assert mail.subject == "Lesson on Tuesday 8 September, 16:00"
        assert "16:00 to 16:30: Tadhg, at your home" in mail.body
        # First names are enough.
        assert "Tadhg Lynch" not in mail.body

    def test_is_off_until_the_teacher_wants_it(self, lesson: Any) -> None:
        ReminderRules.objects.update(hours_before=0)

        assert reminders_queue(now=A_DAY_BEFORE) == 0

    def test_holds_a_familys_whole_day(self, lesson: Any, tadhg: Any, aoife: Any) -> None:
        sister = Student.objects.create(name="Niamh Lynch", family=tadhg.family)
        LessonFactory(
            place=tadhg.family.home, student=sister, starts_at=LESSON_AT + timedelta(hours=3)
        )
        together = LessonFactory(
            place=aoife.family.home, student=tadhg, starts_at=LESSON_AT + timedelta(hours=5)
        )
        LessonStudentFactory(lesson=together, student=aoife)
        cannot_come = Student.objects.create(name="Pól Lynch", family=tadhg.family)
        LessonStudentFactory(lesson=lesson, student=cannot_come, away_outcome="called_off")
        AdultFactory(family=tadhg.family, name="Second", email="second@example.com")

        assert reminders_queue(now=A_DAY_BEFORE) == 2
        assert reminders_queue(now=A_DAY_BEFORE + timedelta(hours=4)) == 0

        for body in _bodies():
            assert re.findall(r"^(\d\d:\d\d) to .*: (.*), at ", body, re.M) == [
                ("16:00", "Tadhg"),
                ("19:00", "Niamh"),
                ("21:00", "Tadhg"),
            ]
            assert "Aoife" not in body

    def test_says_nothing_of_what_is_called_off_or_moved_away(
        self, lesson: Any, teacher: Any
    ) -> None:
        services.lesson_move(
            lesson=lesson,
            day=date(2026, 9, 11),
            at=time(16),
            minutes=30,
            place=lesson.place,
            by=teacher,
            now=A_DAY_BEFORE - timedelta(hours=2),
        )
        assert reminders_queue(now=A_DAY_BEFORE) == 0
        at_the_new_time = datetime(2026, 9, 10, 15, tzinfo=UTC)
        services.lesson_call_off(
            lesson=lesson,
            called_off_by="family",
            told_at=A_DAY_BEFORE,
            reason="",
            by=teacher,
            now=A_DAY_BEFORE,
        )
        assert reminders_queue(now=at_the_new_time) == 0
        services.lesson_reinstate(lesson=lesson, by=teacher, now=at_the_new_time)
        assert reminders_queue(now=at_the_new_time) == 1

    def test_one_that_waits_is_taken_back_when_it_is_true_no_more(
        self, lesson: Any, teacher: Any
    ) -> None:
        reminders_queue(now=A_DAY_BEFORE)
        # The mail server was away.
        OutgoingEmail.objects.update(attempts=3)
        services.lesson_call_off(
            lesson=lesson,
            called_off_by="teacher",
            told_at=A_DAY_BEFORE,
            reason="",
            by=teacher,
            now=A_DAY_BEFORE,
        )

        reminders_queue(now=A_DAY_BEFORE + timedelta(minutes=5))

        assert not OutgoingEmail.objects.exists()

    def test_waits_for_the_morning_and_not_until_after_the_lesson(self, lesson: Any) -> None:
        """The machine was off when its time came."""
        night = datetime(2026, 9, 7, 23, tzinfo=UTC)

        assert reminders_queue(now=night) == 0
        assert reminders_queue(now=datetime(2026, 9, 8, 7, tzinfo=UTC)) == 1
        Reminder.objects.all().delete()
        assert reminders_queue(now=LESSON_AT) == 0

    def test_the_number_of_queries_grows_with_what_is_sent_only(
        self, tadhg: Any, django_assert_num_queries: Any
    ) -> None:
        for hour in range(6):
            LessonFactory(
                place=tadhg.family.home,
                student=tadhg,
                starts_at=LESSON_AT + timedelta(hours=hour),
            )
        reminders_queue(now=A_DAY_BEFORE)
        OutgoingEmail.objects.update(status="sent")
        with django_assert_num_queries(6):
            assert reminders_queue(now=A_DAY_BEFORE) == 0


@pytest.mark.django_db
@pytest.mark.usefixtures("_a_day_before")
class TestWhoeverWantsNone:
    def test_ends_them_from_the_mail_with_one_press_and_no_sign_in(self, lesson: Any) -> None:
        reminders_queue(now=A_DAY_BEFORE)
        (body,) = _bodies()
        found = re.search(r"https?://[^/]+(/reminders/stop/\S+)", body)
        assert found is not None
        client, orla = Client(), lesson.takers.get().student.family.adults.get()

        opened = client.get(found[1])
        orla.refresh_from_db()
        assert opened.status_code == 200
        # Scanners open links; opening is not asking.
        assert orla.receives_reminders
        for _ in range(2):
            assert client.post(found[1], {"reminders": "off"}).status_code == 200
        orla.refresh_from_db()
        assert not orla.receives_reminders
        assert Event.objects.filter(kind="reminders_stopped").count() == 1
        lesson.starts_at += timedelta(days=7)
        lesson.ends_at += timedelta(days=7)
        lesson.save()
        assert reminders_queue(now=A_DAY_BEFORE + timedelta(days=7)) == 0
        client.post(found[1], {"reminders": "on"})
        assert reminders_queue(now=A_DAY_BEFORE + timedelta(days=7)) == 1

    def test_a_link_that_was_changed_does_nothing(self, lesson: Any) -> None:
        orla = lesson.takers.get().student.family.adults.get()
        path = re.sub(r"^https?://[^/]+", "", stop_address(orla))
        client = Client()

        for wrong in (path[:-3] + "x/", "/reminders/stop/x/", f"/reminders/stop/{'9' * 400}/"):
            assert client.post(wrong, {"reminders": "off"}).status_code == 404
        # Somebody else has the old address by now.
        orla.email = "orla@elsewhere.example"
        orla.save()
        assert client.post(path, {"reminders": "off"}).status_code == 404
        orla.refresh_from_db()
        assert orla.receives_reminders

    def test_says_so_on_the_familys_page(self, tadhg: Any) -> None:
        orla = tadhg.family.adults.get()
        orla.user = UserFactory(role="parent")
        orla.save()
        parent = sign_in(Client(), orla.user)
        assert "a day before" in parent.get("/family/").content.decode()

        parent.post(reverse("lessons:reminders_mine"), {"reminders": "off"})

        orla.refresh_from_db()
        assert not orla.receives_reminders
        assert "You get no reminders" in parent.get("/family/").content.decode()


@pytest.mark.django_db
class TestTheRound:
    def test_the_mail_loop_reminds_and_sends(self, lesson: Any, mailoutbox: Any) -> None:
        ReminderRules.objects.create(pk=1, hours_before=24)
        with time_machine.travel(A_DAY_BEFORE, tick=False):
            call_command("send_outbox", verbosity=0)

        assert [mail.subject for mail in mailoutbox] == ["Lesson on Tuesday 8 September, 16:00"]

    def test_one_that_fails_keeps_no_other_from_being_done(
        self, caplog: Any, monkeypatch: Any
    ) -> None:
        monkeypatch.setattr("studio.rounds._ROUNDS", {})
        done: list[datetime] = []

        def fails(*, now: datetime) -> None:
            raise ValueError("a fault of ours")

        every = timedelta(minutes=1)
        round_add("fails", fails, every=every)
        round_add("counts", lambda *, now: done.append(now), every=every)

        rounds_do(now=LESSON_AT)
        rounds_do(now=LESSON_AT + timedelta(seconds=59))
        rounds_do(now=LESSON_AT + every)
        # The clock was put back.
        rounds_do(now=LESSON_AT - timedelta(hours=1))

        assert done == [LESSON_AT, LESSON_AT + every, LESSON_AT - timedelta(hours=1)]
        assert "a fault of ours" in caplog.text


@pytest.mark.django_db
class TestTheTeachersPage:
    def test_keeps_the_lead_and_says_who_is_left_out(self, client: Client, tadhg: Any) -> None:
        AdultFactory(family=tadhg.family, name="Paper", email="")
        AdultFactory(family=tadhg.family, name="Quiet", receives_reminders=False)

        assert client.post(reverse("lessons:reminders"), {"hours_before": "5"}).status_code == 422
        client.post(reverse("lessons:reminders"), {"hours_before": "48"})

        assert ReminderRules.current().hours_before == 48
        shown = client.get(reverse("lessons:reminders")).content.decode()
        assert "Paper" in shown
        assert "Quiet" in shown
