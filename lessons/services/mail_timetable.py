"""Telling families of a new timetable: one message for each family, with all its lessons."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from django.template.loader import render_to_string
from django.utils import timezone

from lessons.selectors.timetable_parts import Change
from studio.models import Adult, Event, Studio
from studio.outbox import mail_queue


def tell_timetable(
    *, changes: Sequence[Change], event: Event, studio: Studio, now: datetime
) -> int:
    """Queue a message to every adult with an address; return how many messages.

    A family none of whose lessons changes is told nothing.
    """
    by_family: dict[int, list[Change]] = defaultdict(list)
    for change in changes:
        by_family[change.row.student.family_id].append(change)
    adults = Adult.objects.filter(family__in=by_family).exclude(email="").order_by("pk")
    with timezone.override(studio.zone):
        for adult in adults:
            mine = by_family[adult.family_id]
            names = " and ".join(dict.fromkeys(change.row.student.name for change in mine))
            context = {"adult": adult, "changes": mine, "studio": studio}
            mail_queue(
                key=f"{event.kind}:{event.pk}:{adult.pk}",
                to=adult.email,
                subject=f"{names}: the new timetable",
                body=render_to_string("emails/timetable.txt", context),
                now=now,
            )
    return len(adults)
