"""What a lesson's page shows beyond attendance and note."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import template

from lessons.models import Attendance, Lesson, LessonKind, Series
from studio.models import Event

register = template.Library()


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark of attendance, as it was made or corrected."""

    at: datetime
    by: str
    subject: str
    before: str
    after: str


@register.inclusion_tag("lessons/_lesson_more.html", takes_context=True)
def lesson_more(context: dict[str, Any], lesson: Lesson) -> dict[str, Any]:
    """Show what follows from a trial, who of a group cannot come, and what was marked when."""
    takers = list(lesson.takers.all())
    students = [taker.student for taker in takers]
    is_trial = lesson.kind == LessonKind.TRIAL
    return {
        "lesson": lesson,
        "takers": takers,
        "is_future": context.get("is_future"),
        "has_series": is_trial and Series.objects.filter(students__in=students).exists(),
        "has_left": is_trial and any(student.left_date for student in students),
        "marks": _marks(lesson),
        "csrf_token": context.get("csrf_token"),
    }


def _marks(lesson: Lesson) -> list[Mark]:
    words = dict(Attendance.choices)
    rows = Event.objects.filter(kind="attendance_marked", detail__lesson=lesson.pk)
    return [
        Mark(
            row.at,
            str(row.by or ""),
            row.subject,
            words.get(row.detail.get("before"), ""),
            words.get(row.detail.get("after"), ""),
        )
        for row in rows.select_related("by").order_by("pk")[:60]
    ]
