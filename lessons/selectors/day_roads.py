"""The roads of one day, stop by stop: where each begins, when to leave, whether there is time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from lessons.models import Lesson
from lessons.planning.intervals import Interval
from lessons.planning.travel import NO_ROAD, Road, RoadBook, Stop
from lessons.selectors.appointments import AppointmentTime


@dataclass(frozen=True, slots=True)
class Taken:
    """A stretch of the teacher's day and what it is."""

    when: Interval
    stop: Stop
    what: Lesson | AppointmentTime


@dataclass(frozen=True, slots=True)
class Leg:
    """The road to one stretch of the day."""

    road: Road
    road_from: str
    leave_by: datetime | None
    gap_minutes: int | None
    is_late: bool
    is_same_place: bool


class DayRoads:
    """Walks a day in order of time and remembers where it has come to.

    A stretch without a place (an appointment anywhere, an online lesson that needs no desk) leaves
    the teacher where they were; its minutes are not there for the road, which may be driven before
    or after it.
    """

    def __init__(
        self,
        book: RoadBook,
        start: Stop | None,
        end: Stop | None,
        zone: ZoneInfo | None = None,
    ) -> None:
        self.book, self.zone = book, zone
        self.start, self.end = start or book.base, end or book.base
        self.last: Taken | None = None
        self.before: Taken | None = None
        self.between: list[Taken] = []

    @property
    def start_name(self) -> str:
        """Where the day begins."""
        return self.start.name if self.start else "your base"

    @property
    def end_name(self) -> str:
        """Where the day ends."""
        if self.end is None or (self.book.base and self.end.key == self.book.base.key):
            return "base"
        return self.end.name

    def lead_to(self, there: Taken) -> Leg:
        """Return the road to the next stretch of the day, and go there."""
        gap = self.before.when.minutes_until(there.when) if self.before else None
        if self.book.is_anywhere(there.stop):
            leg = Leg(NO_ROAD, "", None, gap, is_late=False, is_same_place=True)
            self.before = there
            self.between.append(there)
            return leg
        road = self._road(there.stop, self._minute(there.when.start))
        is_late, leave_by = False, None
        free = self._free(there)
        if free is not None and road.minutes is not None:
            is_late = road.minutes > free
        if road.minutes and not is_late:
            leave_by = self._leave_by(there, road.minutes)
        leg = Leg(
            road=road,
            road_from=self._from(),
            leave_by=leave_by,
            gap_minutes=gap if free is None else free,
            is_late=is_late,
            is_same_place=self._is_here(there.stop, road),
        )
        self.last = self.before = there
        self.between = []
        return leg

    def home(self) -> Road | None:
        """Return the road that ends the day; None on a day without anywhere to drive from."""
        if self.before is None:
            return None
        here = self.last.stop if self.last else self.start
        if here is None:
            return None
        ends = self._minute(self.before.when.end)
        if self.end is None:
            return self.book.to_base(here)
        return way_back(here, self.end, ends, self.book)

    def _minute(self, moment: datetime) -> int | None:
        """The minute of the local day, for roads that take longer at some hours."""
        if self.zone is None:
            return None
        local = moment.astimezone(self.zone)
        return local.hour * 60 + local.minute

    def _road(self, there: Stop, at: int | None) -> Road:
        if self.last is not None:
            return self.book.between(self.last.stop, there, at)
        base = self.book.base
        if self.start is None or (base and self.start.key == base.key):
            return self.book.from_base(there, at)
        return self.book.between(self.start, there, at)

    def _from(self) -> str:
        if self.last is None:
            return self.start_name
        return "base, online" if self.last.stop.is_online else self.last.stop.name

    def _is_here(self, there: Stop, road: Road) -> bool:
        if self.last is None:
            return road == NO_ROAD
        return self.last.stop.key == there.key

    def _free(self, there: Taken) -> int | None:
        """Minutes that are free for the road since the last place; None before the first."""
        if self.last is None:
            return None
        gap = self.last.when.minutes_until(there.when)
        return gap - sum(one.when.minutes for one in self.between)

    def _leave_by(self, there: Taken, minutes: int) -> datetime | None:
        """The last moment to set off so that the road fits between two other things."""
        road = timedelta(minutes=minutes)
        arrive = there.when.start
        for one in reversed(self.between):
            if arrive - road >= one.when.end:
                return arrive - road
            arrive = one.when.start
        if self.last is not None and arrive - road < self.last.when.end:
            return None
        return arrive - road


def way_back(here: Stop, end: Stop, ends: int | None, book: RoadBook) -> Road:
    """Return the road that ends a day: the hour that counts is the arrival's, as on every road.

    :param ends: the minute of the day at which the last stretch is over
    """
    is_base = book.base is not None and end.key == book.base.key
    road = book.to_base(here) if is_base else book.between(here, end)
    if ends is None or not road.minutes:
        return road
    arrival = ends + road.minutes
    return book.to_base(here, arrival) if is_base else book.between(here, end, arrival)


def driving_of(
    visits: Sequence[tuple[Stop, int, int]], start: Stop | None, end: Stop | None, book: RoadBook
) -> Road:
    """Return a whole day's road in this order: kilometres and minutes, None where not known.

    The kilometres are those that the pages show of each road, so that they add up.

    :param visits: where, and from and until which minute of the day
    """
    here, home = start or book.base, end or book.base
    found: list[Road] = []
    for stop, at, _ in visits:
        if book.is_anywhere(stop):
            continue
        if here is not None:
            found.append(book.between(here, stop, at))
        here = stop
    if here is not None and home is not None:
        found.append(way_back(here, home, visits[-1][2] if visits else None, book))
    minutes = [road.minutes for road in found]
    kilometres = [road.km for road in found]
    return Road(
        None if None in kilometres else sum(round(km or 0.0, 1) for km in kilometres),
        None if None in minutes else sum(minute or 0 for minute in minutes),
        "estimate",
    )
