"""A day and a week as the teacher drives them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from lessons.models import Closure, Lesson, LessonStatus
from lessons.planning.travel import NO_ROAD, Road, RoadBook
from lessons.selectors.road import road_book, stop_of
from studio.local_time import day_bounds, local_date
from studio.models import Student, Studio

# A gap longer than this is drawn as free time of its own: common practice, no source.
FREE_GAP_MINUTES = 45
# How far back an unmarked lesson is still pointed out.
NOT_FORGOTTEN = timedelta(days=45)


@dataclass(frozen=True, slots=True)
class DayStop:
    """One lesson in its day, with the road that leads to it."""

    lesson: Lesson
    road: Road
    road_from: str
    leave_by: datetime | None
    gap_minutes: int | None
    is_late: bool
    overruled_reason: str
    is_same_place: bool

    @property
    def free_minutes(self) -> int | None:
        """Minutes between the lessons that the road does not need, if they are worth a word."""
        if self.gap_minutes is None:
            return None
        free = self.gap_minutes - (self.road.minutes or 0)
        return free if free >= FREE_GAP_MINUTES else None


@dataclass(frozen=True, slots=True)
class DayPlan:
    """A local day: its lessons in order, the roads between them, and those called off."""

    day: date
    stops: tuple[DayStop, ...]
    called_off: tuple[Lesson, ...]
    road_home: Road | None
    closed: tuple[str, ...]

    @property
    def students(self) -> list[Student]:
        """Everybody who has a lesson that day; uses the prefetched rows."""
        return [taker.student for stop in self.stops for taker in stop.lesson.takers.all()]

    @property
    def lesson_count(self) -> int:
        """How many lessons take place."""
        return len(self.stops)

    @property
    def teaching_minutes(self) -> int:
        """Minutes of lessons."""
        return sum(stop.lesson.minutes for stop in self.stops)

    @property
    def driving_minutes(self) -> int:
        """Minutes on the road that are known, from base and back to it."""
        roads = [stop.road for stop in self.stops] + ([self.road_home] if self.road_home else [])
        return sum(road.minutes or 0 for road in roads)

    @property
    def has_unknown_road(self) -> bool:
        """True when some road of the day is not known."""
        roads = [stop.road for stop in self.stops] + ([self.road_home] if self.road_home else [])
        return any(not road.is_known for road in roads)


def day_plan(*, day: date, studio: Studio) -> DayPlan:
    """Return one day."""
    return _days([day], studio)[0]


def not_marked_before(*, day: date, studio: Studio, most: int = 8) -> list[Lesson]:
    """Return lessons of the last weeks before the day that nobody has marked, latest first."""
    start, _ = day_bounds(day, studio.zone)
    lessons = Lesson.objects.filter(
        status=LessonStatus.PLANNED, starts_at__lt=start, starts_at__gte=start - NOT_FORGOTTEN
    )
    return list(lessons.with_people().order_by("-starts_at", "-pk")[:most])


def week_plan(*, monday: date, studio: Studio) -> tuple[DayPlan, ...]:
    """Return the seven days of a week."""
    return tuple(_days([monday + timedelta(days=n) for n in range(7)], studio))


def _days(days: Sequence[date], studio: Studio) -> list[DayPlan]:
    zone = studio.zone
    lessons = Lesson.objects.on_days(days[0], days[-1], zone).with_people().in_order()
    by_day: dict[date, list[Lesson]] = defaultdict(list)
    for lesson in lessons:
        by_day[local_date(lesson.starts_at, zone)].append(lesson)
    closures = list(Closure.objects.touching(days[0], days[-1]).in_order())
    roads = road_book(studio)
    return [
        _plan(
            day,
            by_day[day],
            tuple(closure.name for closure in closures if closure.closed_days().covers(day)),
            roads,
        )
        for day in days
    ]


def _plan(
    day: date, lessons: Sequence[Lesson], closed: tuple[str, ...], roads: RoadBook
) -> DayPlan:
    kept = [lesson for lesson in lessons if not lesson.is_called_off]
    stops: list[DayStop] = []
    for place, lesson in enumerate(kept):
        stops.append(_stop(lesson, kept[place - 1] if place else None, roads))
    return DayPlan(
        day=day,
        stops=tuple(stops),
        called_off=tuple(lesson for lesson in lessons if lesson.is_called_off),
        road_home=roads.to_base(stop_of(kept[-1].place)) if kept else None,
        closed=closed,
    )


def _stop(lesson: Lesson, before: Lesson | None, roads: RoadBook) -> DayStop:
    here = stop_of(lesson.place)
    if before is None:
        road = roads.from_base(here)
        road_from = roads.base.name if roads.base else "your base"
        gap, is_same = None, road == NO_ROAD
    else:
        road = roads.between(stop_of(before.place), here)
        road_from = "base, online" if before.place.is_online else before.place.name
        gap, is_same = before.when.minutes_until(lesson.when), before.place_id == lesson.place_id
    is_late = gap is not None and road.minutes is not None and road.minutes > gap
    leave_by = None
    if road.minutes and not is_late:
        leave_by = lesson.starts_at - timedelta(minutes=road.minutes)
    # Whichever of the two was booked later carries the teacher's reason.
    reason = lesson.road_overruled_reason or (before.road_overruled_reason if before else "")
    return DayStop(
        lesson=lesson,
        road=road,
        road_from=road_from,
        leave_by=leave_by,
        gap_minutes=gap,
        is_late=is_late,
        overruled_reason=reason if is_late else "",
        is_same_place=is_same,
    )
