"""Messages to families about their lessons, queued with what they tell of."""

from __future__ import annotations

from datetime import datetime

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Lesson
from studio.models import Adult, Event, Studio
from studio.outbox import mail_queue


def tell_moved(
    *, lesson: Lesson, before: datetime, event: Event, studio: Studio, now: datetime
) -> int:
    """Tell every adult with an address that a lesson moved; return how many messages."""
    return _tell(
        template="emails/lesson_moved.txt",
        subject=f"{lesson.names}: lesson moved",
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
        subject=f"{lesson.names}: lesson called off",
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
    families = {taker.student.family_id for taker in lesson.takers.all()}
    adults = Adult.objects.filter(family__in=families).exclude(email="").order_by("pk")
    context = {"lesson": lesson, "before": before, "studio": studio}
    with timezone.override(studio.zone):
        for adult in adults:
            mail_queue(
                key=f"{event.kind}:{event.pk}:{adult.pk}",
                to=adult.email,
                subject=subject,
                body=render_to_string(template, context | {"adult": adult}),
                now=now,
            )
    return len(adults)
