"""Messages to families about their weekly lessons, queued with what they tell of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Lesson, LessonStatus, Series
from studio.models import Adult, Student, Studio
from studio.outbox import mail_queue


def tell_series_changed(*, series: Series, from_date: date, studio: Studio, now: datetime) -> int:
    """Tell every adult of the series' students what it is from a day on; return how many.

    Call it in the transaction of the change. What ended is told by :func:`tell_dates_off`.
    """
    lessons = Lesson.objects.filter(
        series=series, starts_at__gt=now, status=LessonStatus.PLANNED
    ).in_order()
    context = {"series": series, "lessons": list(lessons.select_related("place"))}
    return _tell(
        "emails/series_changed.txt",
        f"series_changed:{series.pk}:{from_date}:{now.timestamp():.0f}",
        "New time for the weekly lesson",
        series.students.all(),
        context | {"from_date": from_date},
        studio,
        now,
    )


def tell_dates_off(
    *, student: Student, lessons: Iterable[Lesson], reason: str, studio: Studio, now: datetime
) -> int:
    """Tell the student's adults in one message that several lessons are called off."""
    return _tell(
        "emails/dates_off.txt",
        f"dates_off:{student.pk}:{now.timestamp():.0f}",
        f"{student.name}: lessons called off",
        [student],
        {"student": student, "lessons": list(lessons), "reason": reason},
        studio,
        now,
    )


def _tell(
    template: str,
    key: str,
    subject: str,
    students: Iterable[Student],
    context: dict[str, object],
    studio: Studio,
    now: datetime,
) -> int:
    # Of a group, every family reads of its own children only.
    names: dict[int, list[str]] = defaultdict(list)
    for student in students:
        names[student.family_id].append(student.name)
    adults = Adult.objects.filter(family__in=names).exclude(email="").order_by("pk")
    with timezone.override(studio.zone):
        for adult in adults:
            context["names"] = " and ".join(names[adult.family_id])
            mail_queue(
                key=f"{key}:{adult.pk}",
                to=adult.email,
                subject=subject,
                body=render_to_string(template, context | {"adult": adult, "studio": studio}),
                now=now,
            )
    return len(adults)
