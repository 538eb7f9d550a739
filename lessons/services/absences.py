"""A student stays away from a group, pauses for a while, leaves, or comes back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from lessons.models import CalledOffBy, Lesson, LessonStudent, MissedLessonRules
from lessons.planning.policy import Outcome
from lessons.selectors.absences import Absence, absence_of, is_for_others, leaving_changes
from lessons.services.booking import PlanChanged, calendar_held
from lessons.services.changing import LessonLocked
from lessons.services.mail_series import tell_dates_off
from lessons.services.revision import lesson_changed
from lessons.services.series_changing import CHANGED, end_lessons, series_replace_many
from studio.events import event_record
from studio.models import Student, Studio, User


class NotInAGroup(Exception):
    """Nobody else takes part: the lesson itself would have to be called off."""


def group_stays_away(
    *,
    lesson: Lesson,
    student: Student,
    told_at: datetime,
    reason: str,
    by: User,
    now: datetime,
    counts_as: Outcome | None = None,
) -> tuple[Student, ...]:
    """Write down that one of a group cannot come; the lesson stands. Return who still comes.

    :raises LessonLocked: if the lesson was given or called off
    :raises NotInAGroup: if nobody would be left
    """
    studio = Studio.current()
    with calendar_held():
        lesson = Lesson.objects.select_for_update(of=("self",)).with_people().get(pk=lesson.pk)
        if not lesson.is_planned:
            raise LessonLocked("Only a planned lesson can be stayed away from.")
        if not is_for_others(lesson, student):
            raise NotInAGroup("Nobody else comes: call the lesson off instead.")
        by_rules = (
            MissedLessonRules.current()
            .policy()
            .outcome(by="family", told_at=told_at, starts_at=lesson.starts_at, zone=studio.zone)
        )
        _away(lesson, student, counts_as or by_rules, reason)
        event_record(
            kind="student_away",
            subject=student.name,
            by=by,
            now=now,
            lesson=lesson.pk,
            by_the_rules=by_rules,
            counts_as=counts_as or by_rules,
            reason=reason,
        )
    coming = lesson.takers.filter(away_outcome="").select_related("student").order_by("pk")
    return tuple(taker.student for taker in coming)


def group_comes_after_all(*, lesson: Lesson, student: Student, by: User, now: datetime) -> None:
    """Take back that one of a group cannot come.

    :raises LessonLocked: if the lesson was given or called off
    """
    with calendar_held():
        lesson = Lesson.objects.select_for_update(of=("self",)).get(pk=lesson.pk)
        if not lesson.is_planned:
            raise LessonLocked("Only a planned lesson can be come to after all.")
        rows = LessonStudent.objects.filter(lesson=lesson, student=student)
        if rows.exclude(away_outcome="").update(away_outcome="", away_reason=""):
            lesson_changed(lesson)
            lesson.save(update_fields=["revision"])
            event_record(
                kind="student_comes", subject=student.name, by=by, now=now, lesson=lesson.pk
            )


def student_pause(
    *,
    student: Student,
    first_date: date,
    last_date: date,
    counts_as: Outcome,
    reason: str,
    by: User,
    now: datetime,
    seal: str = "",
    is_family_told: bool = False,
) -> Absence:
    """Call the student's lessons of these local days off, as agreed; the series go on after.

    Of a group the student stays away, and the lesson stands.

    :raises PlanChanged: if a seal is given and the lessons are others by now
    """
    studio = Studio.current()
    with calendar_held():
        absence = absence_of(
            student=student, first_date=first_date, last_date=last_date, studio=studio, now=now
        )
        if seal and seal != absence.seal:
            raise PlanChanged(CHANGED)
        _call_off_all(absence, student, counts_as, reason, studio, now)
        event_record(
            kind="student_pauses",
            subject=student.name,
            by=by,
            now=now,
            student=student.pk,
            first_date=first_date.isoformat(),
            last_date=last_date.isoformat(),
            lessons=[lesson.pk for lesson in absence.alone],
            in_groups=[lesson.pk for lesson in absence.in_groups],
            counts_as=counts_as,
            reason=reason,
        )
        if is_family_told and absence.count:
            _tell(absence, student, reason, studio, now)
    return absence


def student_leave(
    *,
    student: Student,
    last_date: date,
    reason: str,
    by: User,
    now: datetime,
    seal: str = "",
    is_family_told: bool = False,
) -> Absence:
    """Let a student leave after a local day: what is planned after it is called off, free.

    Series end; groups go on without the student. Lessons up to that day stay.

    :raises PlanChanged: if a seal is given and the lessons are others by now
    """
    studio = Studio.current()
    changes = leaving_changes(
        student=student, last_date=last_date, reason=reason or "left", studio=studio
    )
    with calendar_held():
        after = changes[0].from_date if changes else date.fromordinal(last_date.toordinal() + 1)
        absence = absence_of(
            student=student, first_date=after, last_date=None, studio=studio, now=now
        )
        if seal and seal != absence.seal:
            raise PlanChanged(CHANGED)
        series_replace_many(changes, by=by, now=now)
        # What no series holds: single lessons, and those that were moved past the last day.
        rest = absence_of(student=student, first_date=after, last_date=None, studio=studio, now=now)
        _call_off_all(rest, student, "called_off", reason or "left", studio, now)
        student.left_date = last_date
        student.full_clean()
        student.save(update_fields=["left_date"])
        event_record(
            kind="student_leaves",
            subject=student.name,
            by=by,
            now=now,
            student=student.pk,
            last_date=last_date.isoformat(),
            lessons=absence.count,
            reason=reason,
        )
        if is_family_told and absence.count:
            _tell(absence, student, reason, studio, now)
    return absence


def student_return(*, student: Student, by: User, now: datetime) -> None:
    """Let a student who left take lessons again; what to book is another step."""
    with calendar_held():
        student = Student.objects.select_for_update(of=("self",)).get(pk=student.pk)
        if student.left_date is None:
            return
        left = student.left_date
        student.left_date = None
        student.save(update_fields=["left_date"])
        event_record(
            kind="student_returns",
            subject=student.name,
            by=by,
            now=now,
            student=student.pk,
            left_date=left.isoformat(),
        )


def _call_off_all(
    absence: Absence,
    student: Student,
    counts_as: Outcome,
    reason: str,
    studio: Studio,
    now: datetime,
) -> None:
    end_lessons(
        absence.alone, reason, studio, now, called_off_by=CalledOffBy.FAMILY, outcome=counts_as
    )
    for lesson in absence.in_groups:
        _away(lesson, student, counts_as, reason)


def _away(lesson: Lesson, student: Student, counts_as: str, reason: str) -> None:
    taker = lesson.takers.get(student=student)
    taker.away_outcome, taker.away_reason = counts_as, reason[:200]
    taker.full_clean()
    taker.save(update_fields=["away_outcome", "away_reason"])
    lesson_changed(lesson)
    lesson.save(update_fields=["revision"])


def _tell(absence: Absence, student: Student, reason: str, studio: Studio, now: datetime) -> None:
    lessons: Sequence[Lesson] = sorted(
        [*absence.alone, *absence.in_groups], key=lambda lesson: (lesson.starts_at, lesson.pk)
    )
    tell_dates_off(student=student, lessons=lessons, reason=reason, studio=studio, now=now)
