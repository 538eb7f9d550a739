"""Series as pages show them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Q, QuerySet

from lessons.models import Closure, Lesson, LessonStatus, Series
from lessons.planning.recurrence import SkippedDate
from studio.local_time import day_bounds, local_date, monday_of
from studio.models import Studio


def series_for_list(*, today: date) -> QuerySet[Series]:
    """Return the series that are not over, by weekday and time, with how much is left of each."""
    left = Count("lessons", filter=Q(lessons__status=LessonStatus.PLANNED))
    return (
        Series.objects.filter(last_date__gte=today)
        .exclude(stopped_from_date__lte=today)
        .annotate(planned_count=left)
        .select_related("place", "term")
        .prefetch_related("students__family")
        .order_by("first_date__iso_week_day", "at", "pk")
    )


def planned_from(*, series: Series, day: date, studio: Studio) -> list[Lesson]:
    """Return the series' lessons that are still planned from this local day on, in order."""
    start, _ = day_bounds(day, studio.zone)
    planned = Lesson.objects.filter(
        series=series, starts_at__gte=start, status=LessonStatus.PLANNED
    )
    return list(planned.in_order())


@dataclass(frozen=True, slots=True)
class SeriesLesson:
    """One lesson of a series and the date of the rule that it stands for."""

    lesson: Lesson
    is_moved: bool


def series_lessons(*, series: Series) -> tuple[list[SeriesLesson], list[SkippedDate]]:
    """Return the series' lessons in order, and the dates of its rule without one, with why."""
    lessons = Lesson.objects.filter(series=series).with_people().in_order()
    rows = [SeriesLesson(lesson, lesson.moved_from is not None) for lesson in lessons]
    zone = ZoneInfo(series.zone_name)
    # A lesson stands for the date of its week, also when it was moved to another day.
    covered = {
        monday_of(local_date(row.lesson.moved_from or row.lesson.starts_at, zone)) for row in rows
    }
    closures = Closure.objects.touching(series.first_date, series.last_date)
    its_own = Q(school=None) | Q(school=series.school_id) | Q(school__place=series.place_id)
    closed = list(closures.filter(its_own).in_order())
    skipped = []
    for day in series.rule.dates():
        if series.stopped_from_date is not None and day >= series.stopped_from_date:
            break
        if monday_of(day) not in covered:
            names = [row.name for row in closed if row.closed_days().covers(day)]
            skipped.append(SkippedDate(day, ", ".join(names) or "left out"))
    return rows, skipped


def next_lesson_date(*, series: Series, now: datetime, studio: Studio) -> date | None:
    """Return the local day of the next planned lesson, None if there is none."""
    planned = Lesson.objects.filter(series=series, starts_at__gt=now, status=LessonStatus.PLANNED)
    lesson = planned.in_order().first()
    return local_date(lesson.starts_at, studio.zone) if lesson else None
