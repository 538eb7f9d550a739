"""What a reminder says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Lesson, LessonStudent
from studio.models import Adult, OutgoingEmail, Studio
from studio.outbox import mail_queue


@dataclass(frozen=True, slots=True)
class _Line:
    """One lesson as its family calls it."""

    lesson: Lesson
    names: str
    where: str


def reminder_mail(
    *,
    key: str,
    adult: Adult,
    lessons: Sequence[Lesson],
    stop_address: str,
    studio: Studio,
    now: datetime,
) -> OutgoingEmail:
    """Queue one message about a family's lessons of one day, which are given in order."""
    lines = _lines(adult, lessons)
    with timezone.override(studio.zone):
        day = timezone.localtime(lessons[0].starts_at)
        body = render_to_string(
            "emails/lesson_reminder.txt",
            {
                "adult": adult,
                "lines": lines,
                "day": day,
                "studio": studio,
                "stop_address": stop_address,
            },
        )
    what = "Lesson" if len(lessons) == 1 else "Lessons"
    return mail_queue(
        key=key,
        to=adult.email,
        subject=f"{what} on {day:%A %-d %B}, {day:%H:%M}",
        body=body,
        now=now,
    )


def _lines(adult: Adult, lessons: Sequence[Lesson]) -> list[_Line]:
    takers = LessonStudent.objects.filter(
        lesson__in=[lesson.pk for lesson in lessons],
        student__family=adult.family_id,
        away_outcome="",
    )
    names: dict[int, list[str]] = {}
    for taker in takers.select_related("student").order_by("pk"):
        names.setdefault(taker.lesson_id, []).append(taker.student.first_name)
    return [
        _Line(lesson, " and ".join(names.get(lesson.pk, [])), _where(lesson, adult))
        for lesson in lessons
    ]


def _where(lesson: Lesson, adult: Adult) -> str:
    place = lesson.place
    if place.is_online:
        return "online"
    if place.pk == adult.family.home_id:
        return "at your home"
    address = ", ".join(line.strip() for line in place.address.splitlines() if line.strip())
    return f"at {place.name}, {address}" if address else f"at {place.name}"
