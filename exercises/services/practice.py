"""Set work for a week, take it back, and write down what was practised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING
from uuid import UUID

from django.db import transaction
from django.db.models import Max, Sum

from exercises.models import Assignment, Exercise, PracticeLog
from exercises.models.limits import MOST_MINUTES
from studio.events import event_record
from studio.models import Student, User

if TYPE_CHECKING:
    from lessons.models import Lesson

LOG_OPEN_FOR = timedelta(weeks=4)
MOST_IN_A_WEEK = 12


class PracticeRefused(ValueError):
    """A log or an assignment that makes no sense; ``field`` names the form's field."""

    def __init__(self, message: str, *, field: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class AssignmentDraft:
    """One exercise as it is to be set."""

    exercise: Exercise
    start_bpm: int
    goal_bpm: int
    minutes_per_day: int
    note: str = ""


def week_assign(
    *,
    student: Student,
    monday: date,
    drafts: Sequence[AssignmentDraft],
    by: User,
    now: datetime,
    lesson: Lesson | None = None,
) -> list[Assignment]:
    """Set exercises for a week, after those already set; one already set is changed instead.

    :raises PracticeRefused: for a student who left, or more than a week can hold
    """
    if not student.is_active:
        raise PracticeRefused(f"{student} has left the studio; nothing was set.", field="week_date")
    with transaction.atomic():
        Student.objects.select_for_update().get(pk=student.pk)
        standing = student.assignments.standing().in_week_of(monday)
        by_exercise = {row.exercise_id: row for row in standing}
        fresh = sum(draft.exercise.pk not in by_exercise for draft in drafts)
        if len(by_exercise) + fresh > MOST_IN_A_WEEK:
            raise PracticeRefused(
                f"A week holds at most {MOST_IN_A_WEEK} exercises; {len(by_exercise)} are set "
                "already. Nothing was added: choose fewer.",
                field="week_date",
            )
        last = standing.aggregate(last=Max("position"))["last"] or 0
        made = []
        for count, draft in enumerate(drafts, start=1):
            row = by_exercise.get(draft.exercise.pk) or Assignment(
                student=student,
                exercise=draft.exercise,
                week_date=monday,
                position=last + count,
                created_at=now,
            )
            row.start_bpm, row.goal_bpm = draft.start_bpm, draft.goal_bpm
            row.minutes_per_day, row.note = draft.minutes_per_day, draft.note
            row.lesson = lesson or row.lesson
            row.full_clean()
            row.save()
            made.append(row)
        event_record(
            kind="week_assigned",
            subject=f"{student}, week of {monday:%-d %B %Y}",
            by=by,
            now=now,
            exercises=[row.exercise_id for row in made],
        )
    return made


def assignment_withdraw(*, assignment: Assignment, by: User, now: datetime) -> None:
    """Take an exercise back; what was logged for it stays."""
    with transaction.atomic():
        taken = Assignment.objects.standing().filter(pk=assignment.pk).update(withdrawn_at=now)
        if taken:
            event_record(kind="assignment_withdrawn", subject=str(assignment), by=by, now=now)


def practice_log(
    *,
    assignment: Assignment,
    practised_date: date,
    minutes: int,
    clean_bpm: int | None,
    felt: str,
    token: UUID,
    today: date,
    now: datetime,
) -> PracticeLog:
    """Write down practice; the same ``token`` again returns the log already kept.

    An assignment withdrawn in the meantime still takes its minutes: they were played.

    :raises PracticeRefused: for a day in the future or outside the assignment, or more minutes
        than a day sensibly has
    """
    _check_day(assignment, practised_date, today)
    with transaction.atomic():
        # One student's logs wait for each other, so that two tabs cannot pass the day's limit.
        Student.objects.select_for_update().get(pk=assignment.student_id)
        kept = PracticeLog.objects.filter(token=token).first()
        if kept is not None:
            if kept.assignment_id != assignment.pk:
                raise PracticeRefused(
                    "This form was used before. Open the page again and send it once more.",
                    field="minutes",
                )
            return kept
        _check_minutes(assignment, practised_date, minutes)
        log = PracticeLog(
            assignment=assignment,
            practised_date=practised_date,
            minutes=minutes,
            clean_bpm=clean_bpm,
            felt=felt,
            token=token,
            created_at=now,
        )
        log.full_clean()
        log.save()
    return log


def practice_log_remove(*, log: PracticeLog, by: User, now: datetime) -> None:
    """Take a mistyped log back; the record keeps what it said."""
    with transaction.atomic():
        event_record(
            kind="practice_log_removed",
            subject=str(log.assignment),
            by=by,
            now=now,
            practised_date=log.practised_date.isoformat(),
            minutes=log.minutes,
            clean_bpm=log.clean_bpm,
        )
        log.delete()


def _check_day(assignment: Assignment, day: date, today: date) -> None:
    if day > today:
        raise PracticeRefused(
            "That day has not come yet. Choose today or a day before.", field="practised_date"
        )
    if day < assignment.week_date:
        raise PracticeRefused(
            f"This was set for the week of {assignment.week_date:%-d %B}. Choose that Monday or a "
            "later day.",
            field="practised_date",
        )
    if day >= assignment.week_date + LOG_OPEN_FOR:
        raise PracticeRefused(
            "This exercise was set more than four weeks before that day. Write it under this "
            "week's exercise, or ask your teacher to set it again.",
            field="practised_date",
        )


def _check_minutes(assignment: Assignment, day: date, minutes: int) -> None:
    that_day = PracticeLog.objects.filter(
        assignment__student_id=assignment.student_id, practised_date=day
    )
    before = that_day.aggregate(sum=Sum("minutes"))["sum"] or 0
    if before + minutes > MOST_MINUTES:
        raise PracticeRefused(
            f"That would be {before + minutes} minutes on one day, and {MOST_MINUTES} is the most "
            f"a day takes. {before} are written down already and were kept. Check the number.",
            field="minutes",
        )
