"""What a search for a time looks at: the term's days as they are booked, hours, roads, limits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lessons.models import Closure, Lesson, TeachingLimits, WorkingHours
from lessons.planning.find_time import Found, TeachingDay, Wanted, find_times
from lessons.planning.openings import Busy, Span, Ways, Window
from lessons.planning.travel import UNKNOWN_ROAD_MINUTES, RoadBook, Stop
from lessons.selectors.road import road_book, stop_of
from studio.local_time import local_date
from studio.models import Place, Student, Studio

# Where no hours are written down yet, a teacher's day is taken to be this: common practice, no
# source.
USUAL_HOURS: tuple[Span, ...] = ((9 * 60, 21 * 60),)
DAY_MINUTES = 24 * 60


@dataclass(frozen=True, slots=True)
class TimeWish:
    """What is looked for: whose lesson, where, how long, between which dates and within what."""

    student: Student
    place: Place
    minutes: int
    first_date: date
    last_date: date
    windows: tuple[Window, ...]
    every_weeks: int = 1
    grid: int = 15


@dataclass(frozen=True, slots=True)
class FoundTimes:
    """What the search came to, and the hour by which the lesson had to be over, if there is one."""

    found: Found
    dates: int
    latest_end: time | None
    has_unknown_road: bool


def times_for(*, wish: TimeWish, studio: Studio, besides: Sequence[int] = ()) -> FoundTimes:
    """Look for a time: six queries, whatever the term holds.

    :param besides: numbers of series whose lessons do not count (the one that is to be moved)
    """
    limits = TeachingLimits.current()
    days = _open_dates(wish)
    lessons = _booked(wish.first_date, wish.last_date, studio.zone, besides)
    roads = road_book(studio)
    stops = {lesson.place_id: stop_of(lesson.place) for lesson in lessons}
    stops[wish.place.pk] = stop_of(wish.place)
    ways, has_unknown = _ways(stops.values(), roads, limits.buffer_minutes)
    hours = list(WorkingHours.objects.order_by("weekday", "begins_at", "pk"))
    by_day = _schedules(lessons, studio.zone, roads)
    latest_end = _latest_end(wish.student, limits, wish.first_date)
    found = find_times(
        Wanted(
            wish.minutes,
            _place_key(stops[wish.place.pk], roads),
            wish.windows,
            _minute(latest_end) or DAY_MINUTES if latest_end else DAY_MINUTES,
        ),
        {
            day: TeachingDay(
                tuple(by_day.get(day, ())), hours_on(day, hours), limits.most_minutes_a_day
            )
            for day in days
        },
        ways,
        grid=wish.grid,
    )
    return FoundTimes(found, len(days), latest_end, has_unknown)


def hours_on(day: date, hours: Sequence[WorkingHours]) -> tuple[Span, ...]:
    """Return the teacher's hours on a day; dated ones (a summer timetable) beat the others."""
    if not hours:
        return USUAL_HOURS
    dated = [row for row in hours if row.first_date and row.last_date]
    covering = [row for row in dated if row.first_date <= day <= row.last_date]  # type: ignore[operator]
    chosen = covering or [row for row in hours if row.first_date is None]
    return tuple(
        (_minute(row.begins_at), _minute(row.ends_at) or DAY_MINUTES)
        for row in chosen
        if row.weekday == day.weekday()
    )


def _open_dates(wish: TimeWish) -> list[date]:
    closures = [
        row.closed_days()
        for row in Closure.objects.touching(wish.first_date, wish.last_date).filter(school=None)
    ]
    count = (wish.last_date - wish.first_date).days + 1
    days = (wish.first_date + timedelta(days=n) for n in range(count))
    rhythm = [
        day
        for day in days
        # Every second week is counted from each weekday's own first date, as a series would be.
        if ((day - wish.first_date).days // 7) % wish.every_weeks == 0
    ]
    return [day for day in rhythm if not any(closed.covers(day) for closed in closures)]


def _booked(first: date, last: date, zone: ZoneInfo, besides: Sequence[int]) -> list[Lesson]:
    lessons = Lesson.objects.taking_time().on_days(first, last, zone)
    return list(
        lessons.exclude(series_id__in=besides)
        .select_related("place")
        .prefetch_related("takers__student")
        .in_order()
    )


def _schedules(
    lessons: Iterable[Lesson], zone: ZoneInfo, roads: RoadBook
) -> dict[date, list[Busy]]:
    days: dict[date, list[Busy]] = defaultdict(list)
    for lesson in lessons:
        start = _minute(lesson.starts_at.astimezone(zone))
        place = _place_key(stop_of(lesson.place), roads)
        label = lesson.names or "a lesson"
        busy = Busy(start, start + lesson.minutes, place, label, lesson.series_id or 0)
        days[local_date(lesson.starts_at, zone)].append(busy)
    return days


def _ways(stops: Iterable[Stop], roads: RoadBook, buffer: int) -> tuple[Ways, bool]:
    places = {_place_key(stop, roads): stop for stop in stops if not stop.is_online}
    if roads.base is not None:
        places[roads.base.key] = roads.base
    minutes: dict[tuple[int, int], int] = {}
    has_unknown = False
    for here, start in places.items():
        for there, end in places.items():
            if here is None or there is None or here == there:
                continue
            known = roads.between(start, end).minutes
            has_unknown |= known is None
            minutes[here, there] = UNKNOWN_ROAD_MINUTES if known is None else known
    return Ways(minutes, roads.base.key if roads.base else None, buffer), has_unknown


def _place_key(stop: Stop, roads: RoadBook) -> int | None:
    """An online lesson is given at the base; without one, nowhere that a road leads to."""
    if not stop.is_online:
        return stop.key
    return roads.base.key if roads.base else None


def _latest_end(student: Student, limits: TeachingLimits, day: date) -> time | None:
    """The hour by which the student's lesson is over: their own, or every child's."""
    wishes = getattr(student, "wishes", None)
    own: time | None = wishes.latest_end if wishes is not None else None
    is_child = student.birth_year is not None and day.year - student.birth_year <= limits.child_age
    bounds = [bound for bound in (own, limits.child_latest_end if is_child else None) if bound]
    return min(bounds, default=None)


def _minute(at: time | datetime) -> int:
    return at.hour * 60 + at.minute
