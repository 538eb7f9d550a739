"""The times of a day whose order is settled: late leaving, little waiting, few changes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

# Minutes of waiting that one is ready to bear rather than ask a family for another time: common
# practice, no source.
A_CHANGE_IS_WORTH = 30


@dataclass(frozen=True, slots=True)
class DayVisit:
    """One visit of a day: its length, its place, today's start, and the starts that are promised.

    ``opens`` and ``latest`` are the first and the last minute of the day at which it may *start*;
    a fixed visit has the same in both. ``place`` None is a stretch of time without a place.
    """

    key: int
    minutes: int
    place: int | None
    at: int
    opens: int
    latest: int

    @property
    def is_fixed(self) -> bool:
        """True when it cannot move."""
        return self.opens == self.latest


@dataclass(frozen=True, slots=True)
class Timed:
    """A visit with its new start, the road that leads to it, and the wait before it, in minutes."""

    visit: DayVisit
    start: int
    road: int
    waiting: int

    @property
    def leave_by(self) -> int:
        """The minute at which one must set off for it."""
        return self.start - self.road


@dataclass(frozen=True, slots=True)
class Roads:
    """The day's roads and its two ends; see :func:`lessons.planning.reorder.best_order`."""

    minutes: Mapping[tuple[int, int], int]
    starts_from: int | None
    ends_at: int | None
    begins: int
    grid: int

    def road(self, here: int | None, there: int | None) -> int:
        """Return the minutes of a road; none from or to a stretch without a place."""
        if here is None or there is None or here == there:
            return 0
        return self.minutes[here, there]

    def start(self, arrival: int, visit: DayVisit) -> int | None:
        """Return the first start that is allowed from that arrival on; None when it is too late."""
        if arrival > visit.latest:
            return None
        start = max(arrival, visit.opens)
        if not visit.is_fixed and start % self.grid:
            start += self.grid - start % self.grid
        return start if start <= visit.latest else None

    def closure(self, visits: Sequence[DayVisit]) -> list[list[int]]:
        """Return the least minutes from visit to visit by any way round (Floyd and Warshall).

        The teacher's own times may break the triangle inequality; what must be reachable is judged
        by the best way round, so that nothing possible is ruled out.
        """
        count = len(visits)
        ways = [[self.road(a.place, b.place) for b in visits] for a in visits]
        for middle in range(count):
            for a in range(count):
                for b in range(count):
                    ways[a][b] = min(ways[a][b], ways[a][middle] + ways[middle][b])
        return ways


def drive(order: Iterable[DayVisit], day: Roads) -> int:
    """Return the minutes driven, from the day's beginning to its end."""
    places = [day.starts_from, *(visit.place for visit in order if visit.place is not None)]
    return sum(day.road(a, b) for a, b in pairwise([*places, day.ends_at]))


def is_kept(order: Sequence[DayVisit], day: Roads) -> bool:
    """Return True if every visit of the order can start within its promise."""
    return _earliest(order, day) is not None


def best_times(order: Sequence[DayVisit], day: Roads) -> list[Timed]:
    """Return the times of a settled order: little waiting, and few of today's times changed.

    A changed time weighs as much as ``A_CHANGE_IS_WORTH`` minutes of waiting. The wait before the
    first visit is spent at home and counts nothing: one sets off late. Exact: for every visit and
    every start that it may have, the best way to have got there (each from the running minimum of
    the visit before it).

    :raises ValueError: if the order keeps not all promises
    """
    roads = _roads(order, day)
    stages: list[dict[int, _Way]] = []
    for number, visit in enumerate(order):
        before = stages[-1] if stages else None
        least = day.begins + roads[0]
        length = order[number - 1].minutes + roads[number] if number else 0
        stages.append(_ways(_starts(visit, day), visit, before, length, least))
    if order and not stages[-1]:
        raise ValueError("the order does not keep every promise")
    start = min(stages[-1], key=lambda each: (stages[-1][each].cost, each)) if order else 0
    starts = [0] * len(order)
    for number in range(len(order) - 1, -1, -1):
        starts[number] = start
        start = stages[number][start].came_from
    return [
        Timed(visit, starts[n], roads[n], _wait(starts, order, roads, n))
        for n, visit in enumerate(order)
    ]


def unkindness(times: Sequence[Timed]) -> int:
    """Return what :func:`best_times` makes small: minutes of waiting, and the changed times."""
    changed = sum(timed.start != timed.visit.at for timed in times)
    return sum(timed.waiting for timed in times) + A_CHANGE_IS_WORTH * changed


class _Way(NamedTuple):
    """What the best way to a start costs, and the start of the visit before on it."""

    cost: int
    came_from: int


def _ways(
    starts: Sequence[int],
    visit: DayVisit,
    before: Mapping[int, _Way] | None,
    length: int,
    least: int,
) -> dict[int, _Way]:
    """Return the best way to every start; ``length`` is the visit before and the road from it."""
    ways: dict[int, _Way] = {}
    if before is None:
        for start in starts:
            if start >= least:
                ways[start] = _Way(0 if start == visit.at else A_CHANGE_IS_WORTH, 0)
        return ways
    waiting_there = iter(sorted(before))
    following = next(waiting_there, None)
    best: tuple[int, int] | None = None
    for start in starts:
        while following is not None and following + length <= start:
            # Cost so far, less the minute it was: what is added later is the minute it is.
            here = (before[following].cost - following, following)
            best = here if best is None else min(best, here)
            following = next(waiting_there, None)
        if best is not None:
            cost = best[0] + start - length + (0 if start == visit.at else A_CHANGE_IS_WORTH)
            ways[start] = _Way(cost, best[1])
    return ways


def _starts(visit: DayVisit, day: Roads) -> list[int]:
    """Every start that a visit may have: the grid's, and today's."""
    if visit.is_fixed:
        return [visit.opens]
    first = visit.opens + -visit.opens % day.grid
    starts = set(range(first, visit.latest + 1, day.grid))
    if visit.opens <= visit.at <= visit.latest:
        starts.add(visit.at)
    return sorted(starts)


def _wait(
    starts: Sequence[int], order: Sequence[DayVisit], roads: Sequence[int], number: int
) -> int:
    if number == 0:
        return 0
    return starts[number] - roads[number] - starts[number - 1] - order[number - 1].minutes


def _roads(order: Sequence[DayVisit], day: Roads) -> list[int]:
    """The road that leads to each visit; a stretch without a place leaves one where one is."""
    roads, place = [], day.starts_from
    for visit in order:
        roads.append(day.road(place, visit.place))
        place = place if visit.place is None else visit.place
    return roads


def _earliest(order: Sequence[DayVisit], day: Roads) -> list[int] | None:
    """The earliest starts; None when one comes too late."""
    starts: list[int] = []
    for number, (visit, road) in enumerate(zip(order, _roads(order, day), strict=True)):
        over = starts[-1] + order[number - 1].minutes if number else day.begins
        start = day.start(over + road, visit)
        if start is None:
            return None
        starts.append(start)
    return starts
