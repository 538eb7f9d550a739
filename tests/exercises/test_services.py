"""Keeping figures and ladders, setting weeks, writing practice down."""

from __future__ import annotations

import threading
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection

from exercises.models import Assignment, Exercise, Ladder, PracticeLog
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.library import LIBRARY
from exercises.rhythm.typed import read_typed
from exercises.services.ladders import Rung, ladder_save, variant_save
from exercises.services.library import (
    ExerciseDraft,
    FigureNotKept,
    cores_add,
    exercise_create,
    exercise_edit,
    exercise_set_archived,
    kit_for,
)
from exercises.services.practice import (
    AssignmentDraft,
    PracticeRefused,
    assignment_withdraw,
    practice_log,
    practice_log_remove,
    week_assign,
)
from studio.models import Event, User
from tests.factories.exercises import (
    A_MONDAY,
    BACKBEAT,
    NOON,
    WITH_FOOT,
    AssignmentFactory,
    ExerciseFactory,
    PracticeLogFactory,
)
from tests.factories.studio import StudentFactory, TeacherFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def teacher(db: None) -> User:
    made: User = TeacherFactory()
    return made


def draft(typed: str = BACKBEAT, *, title: str = "Harbour walk", **more: object) -> ExerciseDraft:
    figure = read_typed(typed, title=title)
    return ExerciseDraft(figure, bpm=84, kit="five_piece", **more)  # type: ignore[arg-type]


class TestExerciseCreate:
    def test_keeps_what_is_derived_beside_the_figure(self, teacher: User) -> None:
        exercise = exercise_create(draft=draft(tags=("Left  Hand", "")), by=teacher, now=NOON)

        reckoned = grade(read_typed(BACKBEAT), 84, FIVE_PIECE).total
        assert exercise.limbs == "RH LH RF"
        assert exercise.grade == Decimal(str(round(reckoned, 2)))
        assert [tag.name for tag in exercise.tags.all()] == ["left hand"]
        assert Event.objects.get().kind == "exercise_created"

    def test_refuses_a_figure_without_strokes(self, teacher: User) -> None:
        with pytest.raises(FigureNotKept, match="no strokes yet"):
            exercise_create(draft=draft("4/4\nRH: .... .... .... ...."), by=teacher, now=NOON)

        assert not Exercise.objects.exists()

    def test_refuses_what_nobody_could_play_and_says_why(self, teacher: User) -> None:
        open_and_shut = "4/4\nRH hi-hat-open: x... .... .... ....\nLF: x... .... .... ....\n"

        with pytest.raises(FigureNotKept, match="Nobody could play this on the"):
            exercise_create(draft=draft(open_and_shut), by=teacher, now=NOON)

        assert not Exercise.objects.exists()


class TestExerciseEdit:
    def test_changes_a_figure_that_nobody_has(self, teacher: User) -> None:
        exercise = exercise_create(draft=draft(), by=teacher, now=NOON)

        kept = exercise_edit(exercise=exercise, draft=draft(WITH_FOOT), by=teacher, now=NOON)

        assert kept.pk == exercise.pk
        assert kept.limbs == "RH LH RF LF"
        assert Exercise.objects.count() == 1

    def test_leaves_a_students_figure_as_it_was_given(self, teacher: User) -> None:
        exercise = exercise_create(draft=draft(), by=teacher, now=NOON)
        AssignmentFactory(exercise=exercise)

        kept = exercise_edit(exercise=exercise, draft=draft(WITH_FOOT), by=teacher, now=NOON)

        exercise.refresh_from_db()
        assert kept.pk != exercise.pk
        assert kept.replaces == exercise
        assert exercise.figure == read_typed(BACKBEAT)
        assert exercise.is_archived
        assert not kept.is_archived

    def test_renames_a_students_figure_in_place(self, teacher: User) -> None:
        exercise = exercise_create(draft=draft(), by=teacher, now=NOON)
        AssignmentFactory(exercise=exercise)

        kept = exercise_edit(
            exercise=exercise, draft=draft(title="Quay walk"), by=teacher, now=NOON
        )

        assert kept.pk == exercise.pk
        assert kept.title == "Quay walk"
        assert kept.figure.title == "Quay walk"

    def test_refuses_a_second_successor(self, teacher: User) -> None:
        exercise = exercise_create(draft=draft(), by=teacher, now=NOON)
        AssignmentFactory(exercise=exercise)
        exercise_edit(exercise=exercise, draft=draft(WITH_FOOT), by=teacher, now=NOON)

        with pytest.raises(FigureNotKept, match="was changed before"):
            exercise_edit(exercise=exercise, draft=draft(WITH_FOOT), by=teacher, now=NOON)

    def test_keeps_nothing_of_a_refused_change(self, teacher: User) -> None:
        exercise = exercise_create(draft=draft(), by=teacher, now=NOON)

        with pytest.raises(FigureNotKept):
            exercise_edit(
                exercise=exercise, draft=draft("4/4\nRH: .... .... .... ...."), by=teacher, now=NOON
            )

        exercise.refresh_from_db()
        assert exercise.figure == read_typed(BACKBEAT)


class TestArchiving:
    def test_puts_away_and_back(self, teacher: User) -> None:
        exercise = ExerciseFactory()

        exercise_set_archived(exercise=exercise, is_archived=True, by=teacher, now=NOON)
        away = Exercise.objects.current().count()
        exercise_set_archived(exercise=exercise, is_archived=False, by=teacher, now=NOON)

        assert away == 0
        assert Exercise.objects.current().count() == 1


class TestCoresAdd:
    def test_adds_each_core_figure_once(self, teacher: User) -> None:
        first = cores_add(by=teacher, now=NOON)
        second = cores_add(by=teacher, now=NOON)

        assert first == len(LIBRARY) >= 110
        assert second == 0
        assert Exercise.objects.count() == first

    def test_chooses_a_kit_that_can_play_it(self) -> None:
        assert kit_for(read_typed("4/4\nRH pad: x.x. x.x. x.x. x.x.")) == "pad"
        assert kit_for(read_typed(BACKBEAT), first="four_piece") == "four_piece"


class TestVariantSave:
    def test_keeps_a_variant_under_its_core_once(self, teacher: User) -> None:
        core = exercise_create(draft=draft(tags=("rock",)), by=teacher, now=NOON)
        figure = read_typed(WITH_FOOT, title="Harbour walk: with the foot")

        kept, is_new = variant_save(core=core, figure=figure, moves=("x",), by=teacher, now=NOON)
        again, is_new_again = variant_save(
            core=core, figure=figure, moves=("x",), by=teacher, now=NOON
        )

        assert (is_new, is_new_again) == (True, False)
        assert again == kept
        assert kept.core == core
        assert kept.moves == ["x"]
        assert [tag.name for tag in kept.tags.all()] == ["rock"]

    def test_finds_that_the_variant_is_the_core(self, teacher: User) -> None:
        core = exercise_create(draft=draft(), by=teacher, now=NOON)

        kept, is_new = variant_save(core=core, figure=core.figure, moves=(), by=teacher, now=NOON)

        assert (kept, is_new) == (core, False)


class TestLadderSave:
    def test_keeps_every_step_in_order(self, teacher: User) -> None:
        core = exercise_create(draft=draft(), by=teacher, now=NOON)
        rung = Rung(read_typed(WITH_FOOT, title="With the foot"), ("x",), "hi-hat foot on beats")

        ladder = ladder_save(core=core, rungs=[rung], title="Up", by=teacher, now=NOON)

        steps = list(ladder.steps.order_by("position"))
        assert [step.position for step in steps] == [1, 2]
        assert steps[0].exercise == core
        assert steps[1].change == "hi-hat foot on beats"
        assert ladder.target == steps[1].exercise

    def test_keeps_no_step_when_one_cannot_be_kept(self, teacher: User) -> None:
        core = exercise_create(draft=draft(), by=teacher, now=NOON)
        good = Rung(read_typed(WITH_FOOT, title="Good"), (), "")
        empty = Rung(read_typed("4/4\nRH: .... .... .... ....", title="Empty"), (), "")

        with pytest.raises(FigureNotKept):
            ladder_save(core=core, rungs=[good, empty], title="Up", by=teacher, now=NOON)

        assert Exercise.objects.count() == 1
        assert not Ladder.objects.exists()


def work(exercise: Exercise, **more: int) -> AssignmentDraft:
    numbers = {"start_bpm": 60, "goal_bpm": 84, "minutes_per_day": 8} | more
    return AssignmentDraft(exercise, **numbers)  # type: ignore[arg-type]


class TestWeekAssign:
    def test_sets_exercises_in_the_order_given(self, teacher: User) -> None:
        student, one, two = StudentFactory(), ExerciseFactory(), ExerciseFactory()

        week_assign(
            student=student, monday=A_MONDAY, drafts=[work(two), work(one)], by=teacher, now=NOON
        )

        rows = Assignment.objects.in_order()
        assert [row.exercise for row in rows] == [two, one]

    def test_changes_what_is_set_already_instead_of_setting_it_twice(self, teacher: User) -> None:
        row = AssignmentFactory()

        week_assign(
            student=row.student,
            monday=row.week_date,
            drafts=[work(row.exercise, goal_bpm=96)],
            by=teacher,
            now=NOON,
        )

        assert Assignment.objects.get().goal_bpm == 96

    def test_refuses_a_student_who_left(self, teacher: User) -> None:
        student = StudentFactory(left_date=A_MONDAY)

        with pytest.raises(PracticeRefused, match="has left"):
            week_assign(
                student=student,
                monday=A_MONDAY,
                drafts=[work(ExerciseFactory())],
                by=teacher,
                now=NOON,
            )

        assert not Assignment.objects.exists()

    def test_refuses_more_than_a_week_holds(self, teacher: User) -> None:
        student = StudentFactory()
        drafts = [work(ExerciseFactory()) for _ in range(13)]

        with pytest.raises(PracticeRefused, match="at most 12"):
            week_assign(student=student, monday=A_MONDAY, drafts=drafts, by=teacher, now=NOON)

        assert not Assignment.objects.exists()


class TestAssignmentWithdraw:
    def test_keeps_what_was_logged(self, teacher: User) -> None:
        log = PracticeLogFactory()

        assignment_withdraw(assignment=log.assignment, by=teacher, now=NOON)
        assignment_withdraw(assignment=log.assignment, by=teacher, now=NOON)

        log.assignment.refresh_from_db()
        assert log.assignment.withdrawn_at == NOON
        assert PracticeLog.objects.count() == 1
        assert Event.objects.filter(kind="assignment_withdrawn").count() == 1


def logged(assignment: Assignment, **more: object) -> PracticeLog:
    told: dict[str, object] = {
        "practised_date": A_MONDAY,
        "minutes": 10,
        "clean_bpm": 72,
        "felt": "good",
        "token": uuid4(),
        "today": A_MONDAY + timedelta(days=2),
        "now": NOON,
    }
    return practice_log(assignment=assignment, **(told | more))  # type: ignore[arg-type]


class TestPracticeLog:
    def test_keeps_minutes_tempo_and_feeling(self) -> None:
        log = logged(AssignmentFactory())

        assert (log.minutes, log.clean_bpm, log.felt) == (10, 72, "good")

    def test_counts_a_double_press_once(self) -> None:
        assignment, token = AssignmentFactory(), uuid4()

        first = logged(assignment, token=token)
        second = logged(assignment, token=token)

        assert first == second
        assert PracticeLog.objects.count() == 1

    def test_refuses_a_token_of_another_exercise(self) -> None:
        one = AssignmentFactory()
        two, token = AssignmentFactory(student=one.student), uuid4()
        logged(one, token=token)

        with pytest.raises(PracticeRefused, match="used before"):
            logged(two, token=token)

    def test_refuses_a_day_that_has_not_come(self) -> None:
        with pytest.raises(PracticeRefused, match="not come yet") as refused:
            logged(AssignmentFactory(), practised_date=A_MONDAY + timedelta(days=3))

        assert refused.value.field == "practised_date"

    def test_refuses_a_day_before_it_was_set(self) -> None:
        with pytest.raises(PracticeRefused, match="week of 7 September"):
            logged(AssignmentFactory(), practised_date=A_MONDAY - timedelta(days=1))

    def test_takes_a_day_of_the_weeks_after_but_not_for_ever(self) -> None:
        assignment, today = AssignmentFactory(), date(2026, 12, 1)

        logged(assignment, practised_date=A_MONDAY + timedelta(days=27), today=today)

        with pytest.raises(PracticeRefused, match="more than four weeks"):
            logged(assignment, practised_date=A_MONDAY + timedelta(days=28), today=today)

    def test_refuses_more_minutes_than_a_day_takes_over_all_exercises(self) -> None:
        one = AssignmentFactory()
        two = AssignmentFactory(student=one.student)
        logged(one, minutes=595)

        with pytest.raises(PracticeRefused, match="605 minutes on one day") as refused:
            logged(two, minutes=10)

        assert refused.value.field == "minutes"
        assert PracticeLog.objects.count() == 1
        assert logged(AssignmentFactory(), minutes=600).minutes == 600

    def test_takes_minutes_played_while_it_was_withdrawn(self) -> None:
        assert logged(AssignmentFactory(withdrawn_at=NOON)).pk

    def test_is_taken_back_with_a_record_of_what_it_said(self, teacher: User) -> None:
        log = logged(AssignmentFactory())

        practice_log_remove(log=log, by=teacher, now=NOON)

        assert not PracticeLog.objects.exists()
        assert Event.objects.get().detail["minutes"] == 10


@pytest.mark.django_db(transaction=True)
def test_two_presses_at_the_same_moment_are_one_log() -> None:
    assignment, token = AssignmentFactory(), uuid4()
    kept: list[int] = []

    def press() -> None:
        try:
            kept.append(logged(assignment, token=token).pk)
        finally:
            connection.close()

    presses = [threading.Thread(target=press) for _ in range(4)]
    for thread in presses:
        thread.start()
    for thread in presses:
        thread.join()

    assert len(kept) == 4
    assert len(set(kept)) == 1
    assert PracticeLog.objects.count() == 1
