"""Setting a student's week."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from exercises.models import Assignment
from studio.local_time import monday_of
from tests.factories.exercises import (
    NOON,
    AssignmentFactory,
    ExerciseFactory,
    LadderFactory,
    LadderStepFactory,
    PracticeLogFactory,
)
from tests.factories.lessons import LessonFactory
from tests.factories.studio import StudentFactory, StudioFactory, TeacherFactory

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def teacher(client: Client) -> Client:
    StudioFactory()
    client.force_login(TeacherFactory(), backend=BACKEND)
    return client


def text_of(response: Any) -> str:
    return str(response.content.decode())


def this_monday() -> Any:
    return monday_of(timezone.localdate())


def week(*exercises: Any, **more: object) -> dict[str, object]:
    data: dict[str, object] = {"week_date": this_monday().isoformat()}
    for exercise in exercises:
        row = f"x{exercise.pk}"
        data |= {f"{row}-pick": "on", f"{row}-start_bpm": 60, f"{row}-goal_bpm": 80}
        data |= {f"{row}-minutes_per_day": 8, f"{row}-note": "Light hi-hat"}
    return data | more


class TestAssign:
    def test_sets_what_is_ticked_in_one_press(self, teacher: Client) -> None:
        student, one, two = StudentFactory(), ExerciseFactory(), ExerciseFactory()

        response = teacher.post(reverse("exercises:assign", args=[student.pk]), week(one, two))

        assert response["Location"] == reverse("studio:student_detail", args=[student.pk])
        rows = list(Assignment.objects.in_order())
        assert [row.exercise for row in rows] == [one, two]
        assert rows[0].note == "Light hi-hat"
        assert rows[0].week_date == this_monday()

    def test_proposes_tempos_and_says_why(self, teacher: Client) -> None:
        student, exercise = StudentFactory(), ExerciseFactory(bpm=84)

        page = text_of(teacher.get(reverse("exercises:assign", args=[student.pk])))

        assert "of the goal" in page
        assert f'name="x{exercise.pk}-goal_bpm" value="84"' in page

    def test_carries_on_from_last_week_where_it_was_clean(self, teacher: Client) -> None:
        last = AssignmentFactory(week_date=this_monday() - timedelta(weeks=1))
        PracticeLogFactory(
            assignment=last, clean_bpm=74, practised_date=last.week_date + timedelta(days=1)
        )

        page = text_of(teacher.get(reverse("exercises:assign", args=[last.student_id])))

        assert "Last time: clean at 74, goal 84." in page
        assert f'name="x{last.exercise_id}-start_bpm" value="74"' in page
        assert f'name="x{last.exercise_id}-pick" id="id_x{last.exercise_id}-pick" checked' in page

    def test_offers_the_next_step_of_a_ladder(self, teacher: Client) -> None:
        ladder = LadderFactory(title="Harbour ladder")
        LadderStepFactory(ladder=ladder, position=1, exercise=ladder.core)
        LadderStepFactory(ladder=ladder, position=2, exercise=ladder.target, change="add the foot")
        last = AssignmentFactory(exercise=ladder.core, week_date=this_monday() - timedelta(weeks=1))

        page = text_of(teacher.get(reverse("exercises:assign", args=[last.student_id])))

        assert "Next on the ladder “Harbour ladder”: add the foot" in page

    def test_ticks_the_exercise_that_the_teacher_came_with(self, teacher: Client) -> None:
        student, exercise = StudentFactory(), ExerciseFactory()

        page = text_of(
            teacher.get(reverse("exercises:assign", args=[student.pk]), {"exercise": exercise.pk})
        )

        assert f'id="id_x{exercise.pk}-pick" checked' in page

    def test_keeps_ticks_when_the_shelf_is_searched(self, teacher: Client) -> None:
        student = StudentFactory()
        ticked, other = ExerciseFactory(title="Harbour"), ExerciseFactory(title="Quay")
        asked = week(ticked, q="quay", shelf=[ticked.pk, other.pk])

        response = teacher.get(
            reverse("exercises:assign", args=[student.pk]), asked, headers={"HX-Request": "true"}
        )

        page = text_of(response)
        assert "<html" not in page
        assert f'id="id_x{ticked.pk}-pick" checked' in page
        assert "Quay" in page

    def test_warns_of_what_the_kit_at_home_does_not_have(self, teacher: Client) -> None:
        student = StudentFactory(kit="pad")
        ExerciseFactory()

        page = text_of(teacher.get(reverse("exercises:assign", args=[student.pk])))

        assert "at home:" in page

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ({"start_bpm": "0"}, "20 to 400"),
            ({"start_bpm": "90", "goal_bpm": "80"}, "not slower than the start"),
            ({"goal_bpm": "999"}, "20 to 400"),
            ({"minutes_per_day": "0"}, "1 to 180"),
            ({"minutes_per_day": "-7"}, "1 to 180"),
            ({"note": "x" * 600}, "500"),
        ],
    )
    def test_says_at_the_row_what_is_wrong(
        self, teacher: Client, wrong: dict[str, str], said: str
    ) -> None:
        student, exercise = StudentFactory(), ExerciseFactory()
        data = week(exercise) | {f"x{exercise.pk}-{name}": v for name, v in wrong.items()}

        response = teacher.post(reverse("exercises:assign", args=[student.pk]), data)

        assert response.status_code == 422
        assert said in text_of(response)
        assert not Assignment.objects.exists()

    @pytest.mark.parametrize("day", ["9999-01-01", "2026-09-08", "x", ""])
    def test_refuses_a_week_that_is_none(self, teacher: Client, day: str) -> None:
        student, exercise = StudentFactory(), ExerciseFactory()

        response = teacher.post(
            reverse("exercises:assign", args=[student.pk]), week(exercise, week_date=day)
        )

        assert response.status_code == 422
        assert not Assignment.objects.exists()

    def test_asks_for_a_tick(self, teacher: Client) -> None:
        student = StudentFactory()

        response = teacher.post(reverse("exercises:assign", args=[student.pk]), week())

        assert "Tick at least one exercise" in text_of(response)

    @pytest.mark.parametrize("pk", ["99999", "999999999999", "0"])
    def test_refuses_an_exercise_that_is_not_there(self, teacher: Client, pk: str) -> None:
        student = StudentFactory()
        row = f"x{pk}"
        data = week() | {f"{row}-pick": "on", f"{row}-start_bpm": 60, f"{row}-goal_bpm": 80}

        response = teacher.post(reverse("exercises:assign", args=[student.pk]), data)

        assert response.status_code == 422
        assert not Assignment.objects.exists()

    def test_says_that_a_student_has_left(self, teacher: Client) -> None:
        student = StudentFactory(left_date=this_monday())

        response = teacher.post(
            reverse("exercises:assign", args=[student.pk]), week(ExerciseFactory())
        )

        assert "has left the studio" in text_of(response)

    def test_asks_the_database_no_more_for_twenty_than_for_one(
        self, teacher: Client, django_assert_max_num_queries: Any
    ) -> None:
        student = StudentFactory()
        address = reverse("exercises:assign", args=[student.pk])
        for _ in range(20):
            AssignmentFactory(student=student, week_date=this_monday() - timedelta(weeks=1))
            ExerciseFactory()

        with django_assert_max_num_queries(19):
            teacher.get(address)


class TestAfterALesson:
    def test_points_at_the_lesson_it_was_opened_from(self, teacher: Client) -> None:
        student, exercise = StudentFactory(), ExerciseFactory()
        lesson = LessonFactory(student=student)
        address = reverse("exercises:assign", args=[student.pk])

        page = text_of(teacher.get(address, {"lesson": lesson.pk}))
        teacher.post(address, week(exercise, lesson=lesson.pk))

        assert f'name="lesson" value="{lesson.pk}"' in page
        assert Assignment.objects.get().lesson == lesson

    @pytest.mark.parametrize("text", ["x", "999999", "9" * 30])
    def test_passes_over_a_lesson_that_is_not_theirs(self, teacher: Client, text: str) -> None:
        student, exercise = StudentFactory(), ExerciseFactory()
        others = LessonFactory(student=StudentFactory())

        for lesson in (text, str(others.pk)):
            teacher.post(
                reverse("exercises:assign", args=[student.pk]), week(exercise, lesson=lesson)
            )

        assert Assignment.objects.get().lesson is None


class TestWithdraw:
    def test_takes_it_back_and_returns_to_where_it_was_pressed(self, teacher: Client) -> None:
        row = AssignmentFactory()
        address = reverse("exercises:assignment_withdraw", args=[row.pk])

        response = teacher.post(address, {"next": "assign"})

        row.refresh_from_db()
        assert row.is_withdrawn
        assert response["Location"].startswith(reverse("exercises:assign", args=[row.student_id]))

    def test_is_not_offered_twice(self, teacher: Client) -> None:
        row = AssignmentFactory(week_date=this_monday(), withdrawn_at=NOON)

        page = text_of(teacher.get(reverse("exercises:assign", args=[row.student_id])))

        assert "Set already" not in page
