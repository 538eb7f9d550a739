"""The mileage log: what was driven to lessons that were held, day by day.

Days are put together from the lessons that are marked; lessons at one door after another are one
visit. Kilometres are those of the road model with today's settings, or a router's, and say so.
"""

from __future__ import annotations

import calendar
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from lessons.models import Lesson, LessonStatus
from lessons.planning.travel import RoadBook, Source, Stop
from lessons.selectors.day_routes import DayEnds, day_ends, route_of
from lessons.selectors.road import road_book, stop_of
from studio.local_time import day_bounds, local_date
from studio.models import Studio


@dataclass(frozen=True, slots=True)
class Period:
    """A month or a whole year."""

    year: int
    month: int | None = None

    @classmethod
    def named(cls, text: str) -> Period:
        """Read ``2026`` or ``2026-11``.

        :raises ValueError: for anything else, and outside 1990 to 2100
        """
        year, _, month = text.partition("-")
        if len(year) != 4 or not year.isascii() or not year.isdigit() or len(month) not in (0, 2):
            raise ValueError("no such period")
        if ("-" in text) != bool(month) or (month and not (month.isascii() and month.isdigit())):
            raise ValueError("no such period")
        found = cls(int(year), int(month) if month else None)
        if not 1990 <= found.year <= 2100 or not 1 <= (found.month or 1) <= 12:
            raise ValueError("no such period")
        return found

    @property
    def key(self) -> str:
        """The period as it stands in an address."""
        return f"{self.year}" if self.month is None else f"{self.year}-{self.month:02d}"

    @property
    def first_date(self) -> date:
        """Its first day."""
        return date(self.year, self.month or 1, 1)

    @property
    def last_date(self) -> date:
        """Its last day."""
        month = self.month or 12
        return date(self.year, month, calendar.monthrange(self.year, month)[1])

    @property
    def words(self) -> str:
        """As a person says it."""
        return f"{self.year}" if self.month is None else f"{self.first_date:%B %Y}"

    def step(self, count: int) -> Period:
        """Return the period so many months, or years, later."""
        if self.month is None:
            return Period(self.year + count)
        months = self.year * 12 + self.month - 1 + count
        return Period(months // 12, months % 12 + 1)


@dataclass(frozen=True, slots=True)
class DrivenLeg:
    """One road that was driven; ``km`` None is a distance that is not known, never 0."""

    start: str
    end: str
    km: float | None
    source: Source
    lessons: int

    @property
    def purpose(self) -> str:
        """What it was driven for."""
        if not self.lessons:
            return "back"
        return "1 lesson" if self.lessons == 1 else f"{self.lessons} lessons"

    @property
    def source_words(self) -> str:
        """What the kilometres rest on."""
        return {
            "own": "from your own minutes",
            "router": "road router",
            "estimate": "estimate",
        }.get(self.source, "distance unknown")


@dataclass(frozen=True, slots=True)
class DrivenDay:
    """A day's drive: from the base, or where that weekday begins, and back."""

    day: date
    legs: tuple[DrivenLeg, ...]

    @property
    def km(self) -> float:
        """The kilometres that are known, added up as they are shown."""
        return round(sum(round(leg.km, 1) for leg in self.legs if leg.km is not None), 1)

    @property
    def unknown(self) -> int:
        """How many roads have no known length."""
        return sum(leg.km is None for leg in self.legs)


@dataclass(frozen=True, slots=True)
class MonthSum:
    """A month of a year's log."""

    period: Period
    days: int
    km: float


@dataclass(frozen=True, slots=True)
class MileageLog:
    """The days of a period on which anybody was driven to."""

    period: Period
    days: tuple[DrivenDay, ...]
    not_marked: int
    factor: float

    @property
    def km(self) -> float:
        """All kilometres that are known."""
        return round(sum(day.km for day in self.days), 1)

    @property
    def unknown(self) -> int:
        """How many roads have no known length."""
        return sum(day.unknown for day in self.days)

    @property
    def months(self) -> tuple[MonthSum, ...]:
        """The sums by month, for a year."""
        days: Counter[int] = Counter(day.day.month for day in self.days)
        km: dict[int, float] = defaultdict(float)
        for day in self.days:
            km[day.day.month] += day.km
        return tuple(
            MonthSum(Period(self.period.year, month), days[month], round(km[month], 1))
            for month in sorted(days)
        )


def mileage(*, period: Period, studio: Studio, now: datetime) -> MileageLog:
    """Return the log of a month or a year: a constant number of queries."""
    start, _ = day_bounds(period.first_date, studio.zone)
    _, end = day_bounds(period.last_date, studio.zone)
    within = Lesson.objects.filter(starts_at__gte=start, starts_at__lt=end)
    held = within.filter(status=LessonStatus.DONE).select_related("place").in_order()
    by_day: dict[date, list[Stop]] = defaultdict(list)
    for lesson in held:
        by_day[local_date(lesson.starts_at, studio.zone)].append(stop_of(lesson.place))
    book = road_book(studio)
    ends = day_ends(book.base)
    days = (_day(day, stops, ends[day.weekday()], book) for day, stops in by_day.items())
    return MileageLog(
        period=period,
        days=tuple(day for day in days if day.legs),
        not_marked=within.filter(status=LessonStatus.PLANNED, ends_at__lte=now).count(),
        factor=book.model.circuity,
    )


def _day(day: date, stops: Iterable[Stop], ends: DayEnds, book: RoadBook) -> DrivenDay:
    stops = list(stops)
    legs: list[DrivenLeg] = []
    rest = list(stops)
    for leg in route_of(stops, ends, book):
        km, source = book.km_between(leg.start, leg.end)
        lessons = _lessons_at(leg.end, rest, book)
        legs.append(DrivenLeg(leg.start.name, leg.end.name, km, source, lessons))
    return DrivenDay(day, tuple(legs))


def _lessons_at(there: Stop, rest: list[Stop], book: RoadBook) -> int:
    """Count the lessons of this visit and take them off what is left of the day."""
    while rest and _key(rest[0], book) not in (there.key, None):
        rest.pop(0)
    count = 0
    while rest and _key(rest[0], book) in (there.key, None):
        count += _key(rest.pop(0), book) == there.key
    return count


def _key(stop: Stop, book: RoadBook) -> int | None:
    if book.is_anywhere(stop):
        return None
    if stop.is_online:
        return book.base.key if book.base else None
    return stop.key
