"""The rest of a day, begun so many minutes late: who is affected, and where it cannot give."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from lessons.planning.clashes import Visit
from lessons.planning.intervals import Interval
from lessons.planning.travel import RoadBook


@dataclass(frozen=True, slots=True)
class Later:
    """A visit that begins later than it was to."""

    visit: Visit
    when: Interval

    @property
    def minutes(self) -> int:
        """By how much."""
        return int((self.when.start - self.visit.when.start).total_seconds() // 60)


@dataclass(frozen=True, slots=True)
class LateDay:
    """The rest of the day: what begins later, what a gap saves, and what stands in the way."""

    moved: tuple[Later, ...]
    stays: tuple[Visit, ...]
    in_the_way: tuple[str, ...]


def shift_rest(
    visits: Sequence[Visit],
    *,
    first: int,
    minutes: int,
    roads: RoadBook,
    movable: Collection[int],
    zone: ZoneInfo,
) -> LateDay:
    """Begin the visit ``first`` so many minutes late and push on only what must give way.

    A gap longer than its road is used up before the next visit moves. Lengths stay. What is not
    ``movable`` (a school's block, an appointment) keeps its time and stands in the way of what
    would run into it or could not be reached from it in time.

    :param visits: the day's visits; those before ``first`` are left alone
    """
    ordered = sorted(visits, key=lambda visit: (visit.when, visit.key or 0))
    at = next(place for place, visit in enumerate(ordered) if visit.key == first)
    moved = [_later(ordered[at], ordered[at].when.start + timedelta(minutes=minutes))]
    stays: list[Visit] = []
    in_the_way: list[str] = []
    before, begun = ordered[at], moved[0].when
    for visit in ordered[at + 1 :]:
        earliest = begun.end + _needed(before, visit, roads)
        if earliest <= visit.when.start:
            stays.append(visit)
            before, begun = visit, visit.when
        elif visit.key in movable:
            moved.append(_later(visit, earliest))
            before, begun = visit, moved[-1].when
        else:
            in_the_way.append(_words(visit, before, earliest, zone))
            stays.append(visit)
            before, begun = visit, visit.when
    return LateDay(tuple(moved), tuple(stays), tuple(in_the_way))


def _later(visit: Visit, start: datetime) -> Later:
    return Later(visit, Interval.lasting(start, visit.when.minutes))


def _needed(before: Visit, after: Visit, roads: RoadBook) -> timedelta:
    """The road, or the gap that was planned where that is shorter or the road is not known."""
    gap = max(timedelta(), after.when.start - before.when.end)
    road = roads.between(before.stop, after.stop).minutes
    return gap if road is None else min(gap, timedelta(minutes=road))


def _words(visit: Visit, before: Visit, earliest: datetime, zone: ZoneInfo) -> str:
    return (
        f"{visit.label} at {visit.when.start.astimezone(zone):%H:%M} cannot move, and after "
        f"{before.label} you would be there at {earliest.astimezone(zone):%H:%M}. Call "
        f"{before.label} off, or make up the minutes."
    )
