"""Who may open which page of exercises and practice."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.utils import timezone

from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.moves.codes import to_code
from exercises.rhythm.moves.menu import menu
from studio.local_time import monday_of
from tests.access.harness import (
    SIGN_IN,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)
from tests.factories.exercises import (
    BACKBEAT,
    WITH_FOOT,
    AssignmentFactory,
    ExerciseFactory,
    LadderFactory,
    LadderStepFactory,
    PracticeLogFactory,
)


def build(cast: Cast) -> None:
    """Give this family's student work of this week with a log, and the library a ladder."""
    monday = monday_of(timezone.localdate())
    things = cast.things
    things.exercise = ExerciseFactory(title="Harbour walk")
    things.target = ExerciseFactory(typed=WITH_FOOT, grade="4.40")
    things.assignment = AssignmentFactory(
        student=cast.student, exercise=things.exercise, week_date=monday
    )
    things.log = PracticeLogFactory(assignment=things.assignment, practised_date=monday)
    things.ladder = LadderFactory(core=things.exercise, target=things.target)
    LadderStepFactory(ladder=things.ladder, position=1, exercise=things.exercise)
    LadderStepFactory(ladder=things.ladder, position=2, exercise=things.target)


def exercise(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.exercise.pk,)


def ladder(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.ladder.pk,)


def student(cast: Cast) -> tuple[Any, ...]:
    return (cast.student.pk,)


def assignment(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.assignment.pk,)


def log(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.log.pk,)


def figure_form(cast: Cast) -> dict[str, Any]:
    return {"title": "Quay steps", "bpm": 84, "kit": "five_piece", "typed": BACKBEAT}


def a_move(cast: Cast) -> dict[str, Any]:
    move = menu(cast.things.exercise.figure, FIVE_PIECE)[0]
    return {"move": to_code(move)}


def a_week(cast: Cast) -> dict[str, Any]:
    row = f"x{cast.things.target.pk}"
    return {
        "week_date": monday_of(timezone.localdate()).isoformat(),
        f"{row}-pick": "on",
        f"{row}-start_bpm": 60,
        f"{row}-goal_bpm": 80,
        f"{row}-minutes_per_day": 8,
    }


def a_day(cast: Cast) -> dict[str, Any]:
    return {
        "minutes": 10,
        "clean_bpm": 72,
        "felt": "good",
        "practised_date": timezone.localdate().isoformat(),
        "token": str(uuid4()),
    }


def seen_by_family(name: str) -> Expect:
    """A page of one exercise that the student's own family may open too."""
    return Expect(
        name,
        exercise,
        get={
            "anonymous": SIGN_IN,
            "teacher": 200,
            "this_student": 200,
            "this_parent": 200,
            "other_student": 404,
            "other_parent": 404,
        },
        post={"anonymous": SIGN_IN, "everybody": 405},
    )


STUDENTS_GET = {
    "anonymous": SIGN_IN,
    "teacher": 403,
    "this_student": 200,
    "other_student": 200,
    "this_parent": 403,
    "other_parent": 403,
}
NOT_THIS_WAY = {"anonymous": SIGN_IN, "everybody": 405}
STUDENTS_OWN_POST = {**STUDENTS_GET, "this_student": 302, "other_student": 404}

EXPECTED = [
    teacher_page("exercises:exercise_list"),
    teacher_form("exercises:exercise_create", data=figure_form),
    teacher_action("exercises:figure_preview", done=200, data=figure_form),
    teacher_form("exercises:exercise_import", done=422, data=lambda cast: {}),
    teacher_action("exercises:cores_add"),
    teacher_page("exercises:exercise_detail", exercise),
    teacher_form("exercises:exercise_edit", exercise, data=figure_form),
    teacher_action("exercises:exercise_archive", exercise),
    seen_by_family("exercises:exercise_notation"),
    seen_by_family("exercises:exercise_playback"),
    teacher_page("exercises:exercise_musicxml", exercise),
    teacher_page("exercises:exercise_midi", exercise),
    teacher_page("exercises:exercise_sheet", exercise),
    teacher_page("exercises:branch_list", exercise),
    teacher_page("exercises:compare"),
    teacher_page("exercises:generate"),
    # Without exercises in the address there is nothing to print.
    teacher_form("exercises:book_start", data=lambda cast: {"title": "Book"}, done=422),
    teacher_page("exercises:spread_show", exercise),
    teacher_action("exercises:spread_save", exercise),
    teacher_page("exercises:spread_sheet", exercise),
    teacher_action("exercises:variant_save", exercise, data=a_move),
    teacher_page("exercises:ladder_build", exercise),
    # Without a target in the address there is nothing to keep or to print.
    teacher_action("exercises:ladder_save", exercise, done=400),
    Expect(
        "exercises:ladder_build_sheet",
        exercise,
        get={"anonymous": SIGN_IN, "teacher": 400, "family": 403},
        post={"anonymous": SIGN_IN, "everybody": 405},
    ),
    teacher_page("exercises:ladder_detail", ladder),
    teacher_page("exercises:ladder_sheet", ladder),
    teacher_action("exercises:ladder_archive", ladder),
    teacher_form("exercises:assign", student, data=a_week),
    teacher_action("exercises:assignment_withdraw", assignment),
    Expect("exercises:my_week", get=STUDENTS_GET, post=NOT_THIS_WAY),
    Expect("exercises:week_sheet", get=STUDENTS_GET, post=NOT_THIS_WAY),
    Expect(
        "exercises:practice_log_add",
        assignment,
        get=NOT_THIS_WAY,
        post=STUDENTS_OWN_POST,
        post_data=a_day,
    ),
    Expect("exercises:practice_log_remove", log, get=NOT_THIS_WAY, post=STUDENTS_OWN_POST),
]
