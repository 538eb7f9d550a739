"""A press that arrives twice, late, or after somebody else's, at the lesson desk."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from lessons import services
from lessons.models import DeskPress, Lesson, LessonStudent, ProgressNote
from lessons.services.desk_presses import mark_pressed, note_pressed, presses_forget
from studio.models import Event, OutgoingEmail
from tests.factories.lessons import LessonFactory
from tests.lessons.conftest import TUESDAY, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]

KEY = "0123456789abcdef0123456789abcdef"
HTMX = {"HX-Request": "true"}


@pytest.fixture
def lesson(tadhg: Any) -> Any:
    return LessonFactory(
        place=tadhg.family.home, student=tadhg, starts_at=datetime(2026, 9, 8, 15, tzinfo=UTC)
    )


def _note(client: Client, lesson: Lesson, tadhg: Any, body: str, **more: Any) -> Any:
    address = reverse("lessons:lesson_note", args=[lesson.pk, tadhg.pk])
    data = {"body": body, "press": "send", "back": "day", **more}
    return client.post(address, data, headers=HTMX)


def _mark(client: Client, lesson: Lesson, tadhg: Any, attendance: str, **more: Any) -> Any:
    address = reverse("lessons:lesson_mark", args=[lesson.pk])
    data = {"student": tadhg.pk, "attendance": attendance, "back": "day", **more}
    return client.post(address, data, headers=HTMX)


class TestAPressThatArrivesTwice:
    def test_is_done_once_and_answered_both_times(
        self, client: Client, lesson: Any, tadhg: Any
    ) -> None:
        """Edge case 35: at the desk the answer was lost, the press comes again."""
        answers = [
            _note(client, lesson, tadhg, "Even eighths.", press_key=KEY, seen="") for _ in range(2)
        ]

        assert [answer["X-Desk"] for answer in answers] == ["done", "done"]
        assert ProgressNote.objects.get().times_sent == 1
        assert OutgoingEmail.objects.count() == 1
        assert Event.objects.filter(kind="note_sent").count() == 1

    def test_undoes_nothing_that_was_done_in_between(
        self, client: Client, lesson: Any, tadhg: Any, teacher: Any
    ) -> None:
        _mark(client, lesson, tadhg, "present", press_key=KEY)
        _note(client, lesson, tadhg, "First.", press_key=KEY)
        _mark(client, lesson, tadhg, "no_show")
        _note(client, lesson, tadhg, "Second.")

        marked = _mark(client, lesson, tadhg, "present", press_key=KEY)
        noted = _note(client, lesson, tadhg, "First.", press_key=KEY)

        assert (marked["X-Desk"], noted["X-Desk"]) == ("done", "done")
        assert LessonStudent.objects.get().attendance == "no_show"
        assert ProgressNote.objects.get().sent_body == "Second."
        # The answer shows what is there, not what was pressed.
        assert "Second." in noted.content.decode()

    def test_with_another_text_under_the_same_key_is_another_press(
        self, client: Client, lesson: Any, tadhg: Any
    ) -> None:
        """A page that was gone back to."""
        _note(client, lesson, tadhg, "First.", press_key=KEY)
        _note(client, lesson, tadhg, "Second.", press_key=KEY)

        assert ProgressNote.objects.get().sent_body == "Second."

    def test_that_was_refused_is_refused_again(
        self, client: Client, lesson: Any, tadhg: Any, teacher: Any
    ) -> None:
        services.lesson_call_off(
            lesson=lesson,
            called_off_by="family",
            told_at=TUESDAY,
            reason="",
            by=teacher,
            now=TUESDAY,
        )
        answers = [_mark(client, lesson, tadhg, "present", press_key=KEY) for _ in range(2)]

        assert [answer["X-Desk"] for answer in answers] == ["refused", "refused"]
        assert "called off" in text_of(answers[1])
        assert not DeskPress.objects.exists()

    def test_a_key_as_long_as_a_letter_is_refused(
        self, client: Client, lesson: Any, tadhg: Any
    ) -> None:
        assert _mark(client, lesson, tadhg, "present", press_key="9" * 400)["X-Desk"] == "refused"
        assert _note(client, lesson, tadhg, "Hm.", press_key="9" * 400)["X-Desk"] == "refused"
        assert not ProgressNote.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_at_the_very_same_instant_are_one(lesson: Any, tadhg: Any, teacher: Any) -> None:
    """Edge case 35: at the desk, the first is still on its way when it is sent again."""
    both, repeated = threading.Barrier(2), []

    def press() -> None:
        try:
            both.wait()
            pressed = note_pressed(
                lesson=lesson,
                student=tadhg,
                body="Even eighths.",
                is_to_be_sent=True,
                by=teacher,
                now=TUESDAY,
                key=KEY,
                seen=[""],
            )
            repeated.append(pressed.is_repeated)
        finally:
            connection.close()

    threads = [threading.Thread(target=press) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(repeated) == [False, True]
    assert OutgoingEmail.objects.count() == 1


class TestALatePress:
    def test_overwrites_no_note_that_was_written_meanwhile(
        self, client: Client, lesson: Any, tadhg: Any
    ) -> None:
        _note(client, lesson, tadhg, "Written at home.", press="keep")

        late = _note(client, lesson, tadhg, "From the telephone.", press_key=KEY, seen="")

        assert late["X-Desk"] == "refused"
        assert ProgressNote.objects.get().body == "Written at home."
        said = text_of(late)
        assert "“Written at home.”" in said
        assert "From the telephone.</textarea>" in said
        assert 'data-desk-seen="Written at home."' in said
        # Pressed once more, knowing of the other: now it is meant.
        again = _note(
            client, lesson, tadhg, "From the telephone.", press_key=KEY, seen="Written at home."
        )
        assert again["X-Desk"] == "done"
        assert ProgressNote.objects.get().sent_body == "From the telephone."

    def test_that_follows_ones_own_lost_press_is_no_quarrel(
        self, client: Client, lesson: Any, tadhg: Any
    ) -> None:
        _note(client, lesson, tadhg, "First.\nTwo lines.", press_key="a" * 32, seen="")
        second = _note(
            client, lesson, tadhg, "Second.", press_key=KEY, seen=["", "First.\r\nTwo lines."]
        )

        assert second["X-Desk"] == "done"

    def test_takes_no_mark_back_that_was_set_meanwhile(
        self, client: Client, lesson: Any, tadhg: Any
    ) -> None:
        _mark(client, lesson, tadhg, "no_show")

        late = _mark(client, lesson, tadhg, "present", press_key=KEY, seen="unmarked")

        assert late["X-Desk"] == "refused"
        assert "did not come" in text_of(late)
        assert LessonStudent.objects.get().attendance == "no_show"

    def test_of_somebody_signed_out_is_not_done_and_says_where_to_sign_in(
        self, lesson: Any, tadhg: Any
    ) -> None:
        answer = _mark(Client(), lesson, tadhg, "present", press_key=KEY)

        assert "X-Desk" not in answer
        assert answer["HX-Redirect"].startswith(reverse("account_login"))
        assert LessonStudent.objects.get().attendance == "unmarked"


def test_keys_are_forgotten_after_a_season(lesson: Any, tadhg: Any, teacher: Any) -> None:
    mark_pressed(
        lesson=lesson, student=tadhg.pk, attendance="present", by=teacher, now=TUESDAY, key=KEY
    )

    assert presses_forget(now=TUESDAY + timedelta(days=119)) == 0
    assert presses_forget(now=TUESDAY + timedelta(days=121)) == 1


def test_the_page_carries_what_the_script_needs(client: Client, lesson: Any, tadhg: Any) -> None:
    page = text_of(client.get(reverse("lessons:today")))

    assert "js/desk.js" in page
    assert 'id="desk-kept"' in page
    assert 'data-desk="mark" data-desk-seen="unmarked"' in page
    assert "hx-post" not in page.partition('class="slip"')[2].partition("</section>")[0]
