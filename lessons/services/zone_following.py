"""The studio's time zone changes: what is past keeps its instant, what is planned its wall time."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from lessons.models import CalledOffBy, Lesson, LessonStatus, Series
from lessons.services.booking import LessonClash, calendar_held
from lessons.services.revision import lesson_changed
from studio.local_time import LocalTimeTwice, NoSuchLocalTime, instant
from studio.zone_changes import ZoneChange, ZoneRefused


def lessons_follow(change: ZoneChange) -> str:
    """Give planned lessons to come, and series that run, the same wall time in the new zone.

    :raises ZoneRefused: if the clock of the new zone does not show one of the times exactly once,
        or a lesson would run into one that is past
    """
    try:
        with calendar_held():
            count = _lessons_follow(change)
            Series.objects.filter(zone_name=change.before.key).filter(
                lessons__starts_at__gt=change.now
            ).distinct().update(zone_name=change.after.key)
    except (NoSuchLocalTime, LocalTimeTwice) as trouble:
        raise ZoneRefused(
            f"A planned lesson stands in the way: {trouble} Move it first. Nothing was kept."
        ) from trouble
    except LessonClash as clash:
        raise ZoneRefused(
            "A planned lesson would run into one that is past. Wait until today’s lessons are "
            "over. Nothing was kept."
        ) from clash
    if not count:
        return ""
    lessons = "1 planned lesson keeps its" if count == 1 else f"{count} planned lessons keep their"
    return f"{lessons} time on the wall, now in {change.after.key}. Lessons that are past stay."


def _lessons_follow(change: ZoneChange) -> int:
    planned = Lesson.objects.select_for_update(of=("self",)).filter(
        status=LessonStatus.PLANNED, starts_at__gt=change.now
    )
    lessons = list(planned.in_order())
    # All leave their old time first: shifted one by one they would meet half-way.
    Lesson.objects.filter(pk__in=[lesson.pk for lesson in lessons]).update(
        status=LessonStatus.CALLED_OFF,
        called_off_by=CalledOffBy.TEACHER,
        called_off_told_at=change.now,
        called_off_outcome="called_off_by_teacher",
    )
    for lesson in lessons:
        length = lesson.ends_at - lesson.starts_at
        lesson.starts_at = _same_wall_time(lesson.starts_at, change.before, change.after)
        lesson.ends_at = lesson.starts_at + length
        if lesson.moved_from is not None:
            lesson.moved_from = _same_wall_time(lesson.moved_from, change.before, change.after)
        lesson_changed(lesson)
    Lesson.objects.bulk_update(
        lessons,
        ["starts_at", "ends_at", "moved_from", "revision", "status", "called_off_by",
         "called_off_told_at", "called_off_outcome"],
        batch_size=50,
    )  # fmt: skip
    return len(lessons)


def _same_wall_time(moment: datetime, before: ZoneInfo, after: ZoneInfo) -> datetime:
    wall = moment.astimezone(before).replace(tzinfo=None)
    return instant(wall.date(), wall.time(), after)
