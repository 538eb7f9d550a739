"""A trial lesson does not lead to weekly lessons."""

from __future__ import annotations

from datetime import datetime

from lessons.models import Lesson, LessonKind, LessonStatus, Series
from lessons.services.booking import calendar_held
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Student, Studio, User


class NotATrial(Exception):
    """The lesson is no trial lesson."""


def trial_ends(*, lesson: Lesson, by: User, now: datetime) -> tuple[Student, ...]:
    """Write down that a trial lesson leads to nothing more; return who leaves with it.

    Whoever has other lessons to come, or a series, stays a student. A repeated press changes
    nothing.

    :raises NotATrial: for any other lesson
    """
    if lesson.kind != LessonKind.TRIAL:
        raise NotATrial("This is no trial lesson. Nothing was changed.")
    studio = Studio.current()
    today = local_date(max(now, lesson.starts_at), studio.zone)
    with calendar_held():
        leaving = []
        rows = Student.objects.select_for_update(of=("self",)).filter(
            lesson_takers__lesson=lesson, left_date=None
        )
        for student in rows.order_by("pk"):
            others = Lesson.objects.filter(
                takers__student=student, status=LessonStatus.PLANNED, starts_at__gt=now
            ).exclude(pk=lesson.pk)
            if others.exists() or Series.objects.filter(students=student).exists():
                continue
            student.left_date = max(today, student.started_date or today)
            student.full_clean()
            student.save(update_fields=["left_date"])
            leaving.append(student)
            event_record(kind="trial_ended", subject=student.name, by=by, now=now, lesson=lesson.pk)
    return tuple(leaving)
