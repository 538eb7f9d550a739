"""The student's week, and what the teacher and the family see of it."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from django.template import Context, Template
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from exercises.models import Assignment, PracticeLog
from exercises.selectors.practice import family_weeks, tempo_curves, weeks_up_to
from studio.local_time import monday_of
from tests.factories.exercises import (
    NOON,
    AssignmentFactory,
    ExerciseFactory,
    PracticeLogFactory,
)
from tests.factories.studio import StudentFactory, StudioFactory, UserFactory

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def work(client: Client) -> Assignment:
    """This week's one assignment, its student signed in."""
    StudioFactory()
    made: Assignment = AssignmentFactory(
        student=StudentFactory(name="Cian Brennan", user=UserFactory()),
        exercise=ExerciseFactory(title="Harbour walk"),
        week_date=monday_of(timezone.localdate()),
        note="Keep the hi-hat light.",
    )
    client.force_login(made.student.user, backend=BACKEND)
    return made


def text_of(response: Any) -> str:
    return str(response.content.decode())


def day(**more: object) -> dict[str, object]:
    data: dict[str, object] = {"minutes": 10, "clean_bpm": 72, "felt": "good"}
    data |= {"practised_date": timezone.localdate().isoformat(), "token": str(uuid4())}
    return data | more


class TestMyWeek:
    def test_shows_music_sound_note_and_form(self, client: Client, work: Assignment) -> None:
        page = text_of(client.get(reverse("exercises:my_week")))

        assert page.index("<svg") < page.index("Write it down")
        assert "Keep the hi-hat light." in page
        assert "one_bar=1" in page
        assert 'data-player="full"' in page
        assert "ear protection" in page
        assert "style=" not in page

    def test_mirrors_everything_for_a_left_handed_kit(
        self, client: Client, work: Assignment
    ) -> None:
        type(work.student).objects.filter(pk=work.student_id).update(is_left_handed=True)

        page = text_of(client.get(reverse("exercises:my_week")))

        assert "mirror=1" in page
        assert '"limb": "LF"' in page
        assert '"limb": "RF"' not in page

    def test_says_what_comes_when_nothing_is_set(self, client: Client, work: Assignment) -> None:
        work.withdrawn_at = NOON
        work.save()

        page = text_of(client.get(reverse("exercises:my_week")))

        assert "Nothing is set yet" in page

    def test_goes_on_with_last_week_until_something_new_is_set(
        self, client: Client, work: Assignment
    ) -> None:
        Assignment.objects.filter(pk=work.pk).update(week_date=work.week_date - timedelta(weeks=1))

        assert "Harbour walk" in text_of(client.get(reverse("exercises:my_week")))

    def test_opens_the_exercise_asked_for_and_else_what_is_not_done(
        self, client: Client, work: Assignment
    ) -> None:
        other = AssignmentFactory(
            student=work.student,
            exercise=ExerciseFactory(title="Quay steps"),
            week_date=work.week_date,
        )
        PracticeLogFactory(assignment=work, practised_date=timezone.localdate(), minutes=8)
        address = reverse("exercises:my_week")

        assert "<h1>Quay steps</h1>" in text_of(client.get(address))
        assert "<h1>Harbour walk</h1>" in text_of(client.get(address, {"on": work.pk}))
        assert "<h1>Quay steps</h1>" in text_of(client.get(address, {"on": other.pk}))

    @pytest.mark.parametrize(
        "asked", [{"on": "x"}, {"on": "-1"}, {"week": "9999-99-99"}, {"week": "9999-01-01"}]
    )
    def test_shrugs_off_junk_in_the_address(
        self, client: Client, work: Assignment, asked: dict[str, str]
    ) -> None:
        assert "Harbour walk" in text_of(client.get(reverse("exercises:my_week"), asked))

    def test_prints_the_week(self, client: Client, work: Assignment) -> None:
        response = client.get(reverse("exercises:week_sheet"))

        text = PdfReader(BytesIO(b"".join(response.streaming_content))).pages[0].extract_text()
        assert "Harbour walk" in text
        assert "Cian Brennan" in text


class TestPracticeLog:
    def test_is_kept_and_shown_as_a_day_mark(self, client: Client, work: Assignment) -> None:
        address = reverse("exercises:practice_log_add", args=[work.pk])

        page = text_of(client.post(address, day(), follow=True))

        assert PracticeLog.objects.get().minutes == 10
        assert "Written down: 10 minutes of Harbour walk, clean at 72." in page
        assert f"{timezone.localdate():%A}: 10 minutes" in page

    def test_counts_a_double_press_once(self, client: Client, work: Assignment) -> None:
        address, told = reverse("exercises:practice_log_add", args=[work.pk]), day()

        client.post(address, told)
        again = client.post(address, told)

        assert again.status_code == 302
        assert PracticeLog.objects.count() == 1

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ({"minutes": "1560"}, "1 to 600 a day"),
            ({"minutes": "0"}, "1 to 600 a day"),
            ({"minutes": "-4"}, "1 to 600 a day"),
            ({"minutes": ""}, "How many minutes"),
            ({"minutes": "ten"}, "whole number"),
            ({"clean_bpm": "0"}, "20 to 400"),
            ({"clean_bpm": "999"}, "20 to 400"),
            ({"felt": "meh"}, "valid choice"),
            ({"practised_date": "9999-12-31"}, "before 2101"),
            ({"practised_date": "soon"}, "year, month, day"),
            ({"practised_date": "2020-01-06"}, "Choose that Monday"),
            ({"token": "x"}, "Open the page again"),
        ],
    )
    def test_says_at_the_field_what_is_wrong_and_keeps_the_rest(
        self, client: Client, work: Assignment, wrong: dict[str, str], said: str
    ) -> None:
        response = client.post(reverse("exercises:practice_log_add", args=[work.pk]), day(**wrong))

        assert response.status_code == 422
        assert said in text_of(response)
        assert not PracticeLog.objects.exists()
        if "clean_bpm" not in wrong:
            assert 'value="72"' in text_of(response)

    def test_refuses_tomorrow(self, client: Client, work: Assignment) -> None:
        tomorrow = timezone.localdate() + timedelta(days=1)

        response = client.post(
            reverse("exercises:practice_log_add", args=[work.pk]),
            day(practised_date=tomorrow.isoformat()),
        )

        assert "not come yet" in text_of(response)

    def test_takes_what_was_played_while_the_teacher_took_it_back(
        self, client: Client, work: Assignment
    ) -> None:
        Assignment.objects.filter(pk=work.pk).update(withdrawn_at=NOON)
        address = reverse("exercises:practice_log_add", args=[work.pk])

        wrong = client.post(address, day(minutes="0"))
        page = text_of(client.post(address, day(), follow=True))

        assert 'value="72"' in text_of(wrong)
        assert "your minutes count" in page
        assert PracticeLog.objects.count() == 1

    def test_is_taken_back_when_it_was_a_slip(self, client: Client, work: Assignment) -> None:
        log = PracticeLogFactory(assignment=work, practised_date=work.week_date)

        client.post(reverse("exercises:practice_log_remove", args=[log.pk]))

        assert not PracticeLog.objects.exists()

    def test_of_somebody_else_is_not_there(self, client: Client, work: Assignment) -> None:
        log = PracticeLogFactory()

        removed = client.post(reverse("exercises:practice_log_remove", args=[log.pk]))
        added = client.post(reverse("exercises:practice_log_add", args=[log.assignment_id]), day())

        assert (removed.status_code, added.status_code) == (404, 404)
        assert PracticeLog.objects.count() == 1


class TestPagesOfOthers:
    def rendered(self, tag: str, **context: Any) -> str:
        return Template("{% load exercises_tags %}{% " + tag + " %}").render(Context(context))

    def test_says_in_one_line_what_a_student_is_on(self, work: Assignment) -> None:
        before = self.rendered("student_now student", student=work.student)
        PracticeLogFactory(assignment=work, practised_date=work.week_date, minutes=12)
        after = self.rendered("student_now student", student=work.student)

        assert before == "On Harbour walk; nothing written down yet."
        assert after == "On Harbour walk; 12 minutes on 1 day."

    def test_shows_the_teacher_the_week_and_the_curve(self, work: Assignment) -> None:
        for days, bpm in ((0, 66), (1, 70)):
            PracticeLogFactory(
                assignment=work,
                practised_date=work.week_date + timedelta(days=days),
                clean_bpm=bpm,
            )

        week = self.rendered("student_week student", student=work.student)
        curves = self.rendered("student_curves student", student=work.student)

        assert "clean at <strong>70</strong>" in week
        assert "Monday: 10 minutes" in week
        assert "From 66 on" in curves
        assert "the goal of 84 is still ahead" in curves
        assert curves.count("curve-dot") == 2
        assert "style=" not in curves

    def test_shows_the_family_its_children(self, work: Assignment) -> None:
        StudentFactory(name="Łucja", family=work.student.family)

        page = self.rendered("family_practice family", family=work.student.family)

        assert "Harbour walk" in page
        assert "Łucja" in page
        assert "Nothing is set for this week yet" in page

    def test_asks_the_database_no_more_for_many_than_for_one(
        self, work: Assignment, django_assert_num_queries: Any
    ) -> None:
        student, today = work.student, timezone.localdate()
        for _ in range(10):
            row = AssignmentFactory(student=student, week_date=work.week_date)
            PracticeLogFactory(assignment=row, practised_date=work.week_date, clean_bpm=70)
            StudentFactory(family=student.family)

        with django_assert_num_queries(2):
            weeks_up_to(student=student, monday=work.week_date, count=4, today=today)
        with django_assert_num_queries(1):
            assert len(tempo_curves(student=student)) == 8
        with django_assert_num_queries(3):
            assert len(family_weeks(family=student.family, today=today)) == 11
