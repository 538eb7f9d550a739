"""What a calendar elsewhere may know of the lessons: all of them, or one family's."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import Count, Max, Min, Prefetch
from django.utils import timezone

from lessons.feed.entries import Details, Feed, LessonEntry, SeriesEntry
from lessons.models import CalendarFeed, Lesson, LessonStudent, Series
from lessons.selectors.days import DayStop, days_plan
from studio.local_time import local_date
from studio.models import Event, PlaceKind, Student, Studio

# Older lessons fall out of the calendar, unless their series still runs.
KEPT_FOR = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class _Changes:
    """How often something was changed, and when the last time."""

    count: int
    last_at: datetime


def calendar_feed(*, feed: CalendarFeed, studio: Studio, now: datetime) -> Feed:
    """Return the calendar behind an address, the same number of queries for any size."""
    lessons = _lessons(feed, now)
    words: _Words = _FamilyWords(feed) if feed.family_id else _TeacherWords(lessons, studio)
    changes = _changes_of("lesson_", "lesson")
    entries: dict[int | None, list[LessonEntry]] = defaultdict(list)
    for lesson in lessons:
        changed = changes.get(lesson.pk)
        entries[lesson.series_id].append(
            LessonEntry(
                key=lesson.pk,
                slot=lesson.moved_from or lesson.starts_at,
                starts_at=lesson.starts_at,
                details=words.details(lesson),
                is_called_off=words.is_off(lesson),
                revision=lesson.revision,
                changed_at=changed.last_at if changed else feed.made_at,
            )
        )
    singles = entries.pop(None, [])
    return Feed(
        name=words.calendar_name(studio),
        domain=urlsplit(settings.SITE_ADDRESS).hostname or "localhost",
        zone=studio.zone,
        series=tuple(_series(entries)),
        singles=tuple(singles),
    )


def _lessons(feed: CalendarFeed, now: datetime) -> list[Lesson]:
    """The lessons of the last weeks and all to come, and of each series of theirs the whole.

    The teacher's are all since the first of these, so that no day lacks one between two roads.
    """
    ours = Lesson.objects.all()
    if feed.family_id:
        taking = LessonStudent.objects.filter(student__family=feed.family_id)
        ours = ours.filter(pk__in=taking.values("lesson"))
    running = ours.filter(starts_at__gte=now - KEPT_FOR, series__isnull=False).values("series")
    of_series = ours.filter(series__in=running)
    if feed.family_id:
        kept = ours.filter(starts_at__gte=now - KEPT_FOR, series__isnull=True) | of_series
    else:
        first = of_series.aggregate(first=Min("starts_at"))["first"] or now
        kept = ours.filter(starts_at__gte=min(first, now - KEPT_FOR))
    takers = Prefetch("takers", LessonStudent.objects.select_related("student").order_by("pk"))
    rows = kept.select_related("place", "school").prefetch_related(takers)
    return list(rows.in_order())


def _series(entries: Mapping[int | None, list[LessonEntry]]) -> Iterable[SeriesEntry]:
    changes = _changes_of("series_", "series")
    # A series that another goes on for is named there as what was before.
    ended = _changes_of("series_", "before")
    for series in Series.objects.filter(pk__in=list(entries)).order_by("pk"):
        found = [each[series.pk] for each in (changes, ended) if series.pk in each]
        count = sum(each.count for each in found)
        yield SeriesEntry(
            key=series.pk,
            rule=series.rule,
            lessons=tuple(entries[series.pk]),
            # The first line in the record is that it was booked.
            revision=max(0, count - 1),
            changed_at=max([series.created_at, *(each.last_at for each in found)]),
        )


def _changes_of(kinds: str, name: str) -> dict[int, _Changes]:
    """What the record of events says, by the number that stands under this name."""
    key = f"detail__{name}"
    rows = (
        Event.objects.filter(kind__startswith=kinds, **{f"{key}__isnull": False})
        .values_list(key)
        .annotate(Count("pk"), Max("at"))
    )
    return {row[0]: _Changes(row[1], row[2]) for row in rows if isinstance(row[0], int)}


class _Words(Protocol):
    """How lessons are put to whoever reads the calendar."""

    def calendar_name(self, studio: Studio) -> str: ...

    def details(self, lesson: Lesson) -> Details: ...

    def is_off(self, lesson: Lesson) -> bool: ...


class _FamilyWords:
    """What a family reads: its own children by their first names, and nobody else."""

    def __init__(self, feed: CalendarFeed) -> None:
        self.family_id = feed.family_id
        self.home_id = feed.family.home_id if feed.family else None

    def calendar_name(self, studio: Studio) -> str:
        return f"Lessons at {studio.name}"

    def is_off(self, lesson: Lesson) -> bool:
        """A group goes on without a child that cannot come, but not for its family."""
        return lesson.is_called_off or all(taker.is_away for taker in self._ours(lesson))

    def _ours(self, lesson: Lesson) -> list[LessonStudent]:
        takers = lesson.takers.all()
        return [taker for taker in takers if taker.student.family_id == self.family_id]

    def details(self, lesson: Lesson) -> Details:
        ours = self._ours(lesson)
        coming = [taker for taker in ours if not taker.is_away] or ours
        what = f"Drum lesson: {' and '.join(taker.student.first_name for taker in coming)}"
        if self.is_off(lesson):
            return Details(lesson.minutes, f"Called off: {what}")
        # Where they live is no news to them, and nobody else's affair.
        if lesson.place_id == self.home_id:
            return Details(lesson.minutes, what, "At home")
        is_home = lesson.place.kind == PlaceKind.HOME
        return Details(lesson.minutes, what, _place(lesson, with_address=not is_home))


class _TeacherWords:
    """What the teacher reads: who, where, and when to leave."""

    def __init__(self, lessons: Sequence[Lesson], studio: Studio) -> None:
        days = sorted({local_date(lesson.starts_at, studio.zone) for lesson in lessons})
        plans = days_plan(days=days, studio=studio, lessons=lessons)
        self.stops = {stop.lesson.pk: stop for plan in plans for stop in plan.stops}
        self.zone = studio.zone

    def calendar_name(self, studio: Studio) -> str:
        return studio.name

    def is_off(self, lesson: Lesson) -> bool:
        return lesson.is_called_off

    def details(self, lesson: Lesson) -> Details:
        coming = [taker.student for taker in lesson.takers.all() if not taker.is_away]
        who = lesson.label or ", ".join(_short(student) for student in coming)
        what = who or (lesson.school.name if lesson.school else "Lesson")
        if lesson.is_called_off:
            return Details(lesson.minutes, f"Called off: {what}")
        stop = self.stops.get(lesson.pk)
        return Details(
            lesson.minutes,
            what,
            _place(lesson, with_address=True),
            self._road(stop) if stop else "",
        )

    def _road(self, stop: DayStop) -> str:
        minutes = stop.road.minutes
        if minutes is None:
            return f"Road from {stop.road_from}: not known."
        if not minutes:
            return ""
        words = f"Road from {stop.road_from}: {minutes} min ({stop.road.source_words})."
        if stop.leave_by is not None:
            words = f"Leave by {timezone.localtime(stop.leave_by, self.zone):%H:%M}. {words}"
        return words


def _short(student: Student) -> str:
    """First name and an initial: enough to know who, in somebody else's calendar."""
    first, _, rest = student.name.partition(" ")
    return f"{first} {rest[0]}." if rest else first


def _place(lesson: Lesson, *, with_address: bool) -> str:
    place = lesson.place
    lines = [place.name]
    if with_address and place.address:
        lines += [line.strip() for line in place.address.splitlines() if line.strip()]
    return ", ".join(lines)
