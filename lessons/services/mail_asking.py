"""Messages about what families ask, queued with what they tell of."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import LessonRequest
from studio.models import Adult, Event, Studio
from studio.outbox import mail_queue


def tell_parents_asked(
    *, request: LessonRequest, event: Event, studio: Studio, now: datetime
) -> int:
    """Tell the family's adults what their child asked for; return how many messages."""
    return _tell_family(
        template="emails/request_by_child.txt",
        subject=f"{request.was_names}: asked about a lesson",
        request=request,
        event=event,
        studio=studio,
        now=now,
    )


def tell_answered(*, request: LessonRequest, event: Event, studio: Studio, now: datetime) -> int:
    """Tell the family what came of the request; return how many messages."""
    return _tell_family(
        template="emails/request_answered.txt",
        subject=f"{request.was_names}: {request.get_state_display()}",
        request=request,
        event=event,
        studio=studio,
        now=now,
    )


def tell_teacher(*, request: LessonRequest, event: Event, studio: Studio, now: datetime) -> None:
    """Tell the teacher that something was asked, or that an offered time was taken."""
    if not studio.email:
        return
    with timezone.override(studio.zone):
        mail_queue(
            key=f"{event.kind}:{event.pk}:teacher",
            to=studio.email,
            subject=f"{request.was_names}: {request.get_kind_display().lower()}?"
            if request.is_open
            else f"{request.was_names}: {request.get_state_display()}",
            body=render_to_string(
                "emails/request_for_teacher.txt", {"request": request, "studio": studio}
            ),
            now=now,
        )


def _tell_family(
    *,
    template: str,
    subject: str,
    request: LessonRequest,
    event: Event,
    studio: Studio,
    now: datetime,
) -> int:
    people: list[tuple[str, str]] = [
        (adult.email, adult.name)
        for adult in Adult.objects.filter(family=request.family).exclude(email="").order_by("pk")
    ]
    asker = request.asked_by
    if asker.email and asker.email not in {address for address, _ in people}:
        people.append((asker.email, asker.display_name))
    context: dict[str, Any] = {"request": request, "studio": studio}
    with timezone.override(studio.zone):
        for number, (address, name) in enumerate(people):
            mail_queue(
                key=f"{event.kind}:{event.pk}:{number}",
                to=address,
                subject=subject,
                body=render_to_string(template, context | {"name": name}),
                now=now,
            )
    return len(people)
