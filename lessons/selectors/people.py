"""Lessons and notes of one student or one family."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Prefetch

from lessons.models import Lesson, LessonStatus, LessonStudent, ProgressNote
from studio.models import Family, Student


def student_next_lessons(*, student: Student, now: datetime, most: int = 5) -> list[Lesson]:
    """Return the student's next lessons."""
    lessons = Lesson.objects.filter(takers__student=student, ends_at__gt=now)
    return list(lessons.exclude(status=LessonStatus.CALLED_OFF).with_people().in_order()[:most])


def student_last_notes(*, student: Student, most: int = 3) -> list[ProgressNote]:
    """Return the latest notes on the student, drafts included."""
    return list(
        ProgressNote.objects.filter(student=student).select_related("lesson").newest_first()[:most]
    )


def family_lessons(*, family: Family, now: datetime, most: int = 8) -> list[Lesson]:
    """Return the family's next lessons, those called off included, so that nobody waits in vain.

    Of a group only the family's own children are among the takers: others are not its business.
    """
    own = LessonStudent.objects.filter(student__family=family).select_related("student")
    lessons = Lesson.objects.filter(takers__student__family=family, ends_at__gt=now).distinct()
    rows = lessons.select_related("place", "series")
    return list(rows.prefetch_related(Prefetch("takers", own)).in_order()[:most])


def family_notes(*, family: Family, most: int = 6) -> list[ProgressNote]:
    """Return what was sent to the family, latest first."""
    notes = ProgressNote.objects.sent().filter(student__family=family)
    return list(notes.select_related("lesson", "student").newest_first()[:most])
