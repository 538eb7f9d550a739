"""Whether a lesson can be where it is wanted: what it overlaps, what the road forbids."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal
from zoneinfo import ZoneInfo

from lessons.planning.intervals import Interval
from lessons.planning.travel import UNKNOWN_ROAD_MINUTES, RoadBook, Stop

ClashKind = Literal["overlap", "road", "road_unknown"]


@dataclass(frozen=True, slots=True)
class Visit:
    """A lesson as the calendar sees it: when, where, and what to call it in a sentence."""

    when: Interval
    stop: Stop
    label: str
    key: int | None = None


@dataclass(frozen=True, slots=True)
class Clash:
    """Why a lesson cannot be there. An overlap is final; the road can be overruled."""

    kind: ClashKind
    wanted: Visit
    other: Visit
    minutes_missing: int
    words: str

    @property
    def can_be_overruled(self) -> bool:
        """True when the teacher may say that it works all the same."""
        return self.kind != "overlap"


def clashes(
    wanted: Visit, booked: Iterable[Visit], roads: RoadBook, zone: ZoneInfo
) -> tuple[Clash, ...]:
    """Return everything that stands in the way, in order of time; empty when it fits.

    Only the lesson before and the lesson after matter for the road: that is how it is driven.
    Stretches without a place lie on the way; their minutes are not there for the road.
    """
    others = sorted(booked, key=lambda visit: (visit.when, visit.key or 0))
    found = [_overlap(wanted, other, zone) for other in others if other.when.overlaps(wanted.when)]
    with_place = [other for other in others if not roads.is_anywhere(other.stop)]
    before = [other for other in with_place if other.when.end <= wanted.when.start]
    after = [other for other in with_place if other.when.start >= wanted.when.end]
    last = max(before, key=lambda visit: visit.when.end, default=None)
    following = min(after, key=lambda visit: visit.when.start, default=None)
    anywhere = [other for other in others if roads.is_anywhere(other.stop)]
    if roads.is_anywhere(wanted.stop):
        if last is not None and following is not None:
            between = [wanted, *anywhere]
            found += _road(wanted, last, following, roads, zone, between)
    else:
        if last is not None:
            found += _road(wanted, last, wanted, roads, zone, anywhere)
        if following is not None:
            found += _road(wanted, wanted, following, roads, zone, anywhere)
    return tuple(sorted(found, key=lambda clash: (clash.other.when, clash.other.key or 0)))


def all_clashes(visits: Sequence[Visit], roads: RoadBook, zone: ZoneInfo) -> tuple[Clash, ...]:
    """Return what is wrong with a whole calendar, each pair once; the checker of the tests."""
    ordered = sorted(visits, key=lambda visit: (visit.when, visit.key or 0))
    found: list[Clash] = []
    for place, visit in enumerate(ordered):
        for later in ordered[place + 1 :]:
            if later.when.start >= visit.when.end:
                break
            found.append(_overlap(visit, later, zone))
    anywhere = [visit for visit in ordered if roads.is_anywhere(visit.stop)]
    for earlier, later in pairwise(v for v in ordered if not roads.is_anywhere(v.stop)):
        if not earlier.when.overlaps(later.when):
            found += _road(later, earlier, later, roads, zone, anywhere)
    return tuple(found)


def _overlap(wanted: Visit, other: Visit, zone: ZoneInfo) -> Clash:
    shared = min(wanted.when.end, other.when.end) - max(wanted.when.start, other.when.start)
    minutes = int(shared.total_seconds() // 60)
    words = f"overlaps {_named(other, zone)} by {_minutes(minutes)}"
    return Clash("overlap", wanted, other, minutes, words)


def _road(
    wanted: Visit,
    earlier: Visit,
    later: Visit,
    roads: RoadBook,
    zone: ZoneInfo,
    anywhere: Sequence[Visit] = (),
) -> list[Clash]:
    other = earlier if later is wanted else later
    gap = earlier.when.minutes_until(later.when) - _minutes_within(earlier, later, anywhere)
    arrival = later.when.start.astimezone(zone)
    road = roads.between(earlier.stop, later.stop, arrival.hour * 60 + arrival.minute)
    way = f"the road {'from' if other is earlier else 'to'} {_named(other, zone)}"
    if road.minutes is None:
        if gap >= UNKNOWN_ROAD_MINUTES:
            return []
        words = f"{way} is not known, and there are only {_minutes(gap)} for it"
        return [Clash("road_unknown", wanted, other, 0, words)]
    missing = road.minutes - gap
    if missing <= 0:
        return []
    there = f"there are {_minutes(gap)}" if gap else "there is no time between"
    words = f"{way} takes {_minutes(road.minutes)} ({road.source_words}) and {there}: "
    words += f"{_minutes(missing)} missing"
    return [Clash("road", wanted, other, missing, words)]


def _minutes_within(earlier: Visit, later: Visit, anywhere: Sequence[Visit]) -> int:
    """Minutes between two visits that are spent on something else, wherever that is."""
    return sum(
        other.when.minutes
        for other in anywhere
        if other.when.start >= earlier.when.end and other.when.end <= later.when.start
    )


def _named(visit: Visit, zone: ZoneInfo) -> str:
    start, end = visit.when.start.astimezone(zone), visit.when.end.astimezone(zone)
    return f"{visit.label}, {start:%H:%M}-{end:%H:%M}"


def _minutes(count: int) -> str:
    return "1 minute" if count == 1 else f"{count} minutes"
