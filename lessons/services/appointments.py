"""Writing down the teacher's own appointments, beside the lessons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from lessons.models import Appointment, Lesson
from lessons.services.booking import calendar_held
from studio.events import event_record
from studio.local_time import day_bounds, local_date
from studio.models import Studio, User


class LessonsInTheWay(Exception):
    """Lessons are booked for that time; ``lessons`` are those, in order of time."""

    def __init__(self, lessons: Sequence[Lesson], studio: Studio) -> None:
        starts = [lesson.starts_at.astimezone(studio.zone) for lesson in lessons]
        named = [
            f"{lesson.names or 'a lesson'} on {start:%-d %B, %H:%M}"
            for lesson, start in zip(lessons[:4], starts, strict=False)
        ]
        more = f" and {len(lessons) - 4} more" if len(lessons) > 4 else ""
        words = "A lesson is" if len(lessons) == 1 else f"{len(lessons)} lessons are"
        super().__init__(f"Not kept. {words} booked then: {'; '.join(named)}{more}.")
        self.lessons = tuple(lessons)


def appointment_keep(
    *, appointment: Appointment, by: User, now: datetime, is_kept_all_the_same: bool = False
) -> list[Lesson]:
    """Write an appointment down; return the lessons that it overlaps, none unless kept knowingly.

    :raises LessonsInTheWay: when lessons still to come are booked for that time
    """
    studio = Studio.current()
    with calendar_held():
        lessons = lessons_under(appointment, studio, now)
        if lessons and not is_kept_all_the_same:
            raise LessonsInTheWay(lessons, studio)
        appointment.full_clean()
        appointment.save()
        event_record(
            kind="appointment_kept",
            subject=appointment.label,
            by=by,
            now=now,
            appointment=appointment.pk,
            lessons=len(lessons),
        )
    return lessons


def lessons_under(appointment: Appointment, studio: Studio, now: datetime) -> list[Lesson]:
    """Return the lessons from now on that an appointment overlaps."""
    rule, zone = appointment.rule(), studio.zone
    start, end = day_bounds(rule.first_date, zone)
    lessons = Lesson.objects.taking_time().filter(ends_at__gt=max(start, now))
    if not rule.every_weeks:
        lessons = lessons.filter(starts_at__lt=end)
    elif rule.last_date is not None:
        lessons = lessons.filter(starts_at__lt=day_bounds(rule.last_date, zone)[1])
    found = []
    for lesson in lessons.prefetch_related("takers__student").in_order():
        day = local_date(lesson.starts_at, zone)
        if rule.is_on(day) and rule.when(day, zone).overlaps(lesson.when):
            found.append(lesson)
    return found
