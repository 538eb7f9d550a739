"""Messages to families about their lessons, queued with what they tell of."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Lesson
from lessons.selectors.series_wish import names_of
from studio.models import Adult, Event, Student, Studio
from studio.outbox import mail_queue


def tell_moved(
    *, lesson: Lesson, before: datetime, event: Event, studio: Studio, now: datetime
) -> int:
    """Tell every adult with an address that a lesson moved; return how many messages."""
    return _tell(
        template="emails/lesson_moved.txt",
        subject="lesson moved",
        lesson=lesson,
        event=event,
        studio=studio,
        now=now,
        before=before,
    )


def tell_called_off(*, lesson: Lesson, event: Event, studio: Studio, now: datetime) -> int:
    """Tell every adult with an address that a lesson is called off; return how many messages."""
    return _tell(
        template="emails/lesson_called_off.txt",
        subject="lesson called off",
        lesson=lesson,
        event=event,
        studio=studio,
        now=now,
    )


def _tell(
    *,
    template: str,
    subject: str,
    lesson: Lesson,
    event: Event,
    studio: Studio,
    now: datetime,
    before: datetime | None = None,
) -> int:
    # Of a group, every family reads of its own children only.
    of_family: dict[int, list[Student]] = defaultdict(list)
    for taker in lesson.takers.all():
        of_family[taker.student.family_id].append(taker.student)
    adults = Adult.objects.filter(family__in=of_family).exclude(email="").order_by("pk")
    context = {"lesson": lesson, "before": before, "studio": studio}
    with timezone.override(studio.zone):
        for adult in adults:
            names = lesson.label or names_of(of_family[adult.family_id])
            mail_queue(
                key=f"{event.kind}:{event.pk}:{adult.pk}",
                to=adult.email,
                subject=f"{names}: {subject}",
                body=render_to_string(template, context | {"adult": adult, "names": names}),
                now=now,
            )
    return len(adults)
