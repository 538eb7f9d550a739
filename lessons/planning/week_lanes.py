"""Two timetables of a week beside each other, weekday by weekday: as numbers to draw.

Minutes are of the local day; inside a lane they count from its left edge.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

from lessons.planning.openings import Ends, Ways

# The hours that a lane shows when nothing lies outside them.
OPENS, CLOSES = 14 * 60, 20 * 60

Mark = Literal["stays", "changes", "new", "fixed"]


class Block(NamedTuple):
    """A weekly lesson: when and where, what to call it, and what becomes of it."""

    weekday: int
    start: int
    minutes: int
    place: int | None
    label: str
    mark: Mark

    @property
    def end(self) -> int:
        """The minute at which it is over."""
        return self.start + self.minutes


class Drawn(NamedTuple):
    """A block or a road in a lane: from its left edge, and how wide."""

    x: int
    width: int
    mark: str

    @property
    def right(self) -> int:
        """Its right edge."""
        return self.x + self.width


@dataclass(frozen=True, slots=True)
class Row:
    """One timetable's part of a weekday."""

    blocks: tuple[Drawn, ...]
    roads: tuple[Drawn, ...]


@dataclass(frozen=True, slots=True)
class Lane:
    """One weekday: as it is now above, as it would be below."""

    weekday: int
    width: int
    hours: tuple[int, ...]
    now: Row
    then: Row


@dataclass(frozen=True, slots=True)
class WeekFigures:
    """What a week of lessons costs, in minutes; days begin and end at the base."""

    lessons: int
    teaching: int
    driving: int
    idle: int


def week_lanes(now: Sequence[Block], then: Sequence[Block], ways: Ways) -> tuple[Lane, ...]:
    """Return a lane for every weekday with a lesson in either timetable, on one scale."""
    left, right = edges([*now, *then])
    hours = tuple(hour - left for hour in range(left + 60, right, 60))
    days_now, days_then = _by_weekday(now), _by_weekday(then)
    return tuple(
        Lane(
            weekday,
            right - left,
            hours,
            _row(days_now[weekday], ways, left),
            _row(days_then[weekday], ways, left),
        )
        for weekday in range(7)
        if days_now[weekday] or days_then[weekday]
    )


def edges(blocks: Iterable[Block]) -> tuple[int, int]:
    """Return the first and the last minute that is drawn: whole hours round everything."""
    spans = [(block.start, block.end) for block in blocks]
    left = min([OPENS, *(max(0, start - 30) // 60 * 60 for start, _ in spans)])
    right = max([CLOSES, *(-(-end // 60) * 60 for _, end in spans)])
    return left, right


def week_figures(
    blocks: Sequence[Block], ways: Ways, ends: Mapping[int, Ends | None] | None = None
) -> WeekFigures:
    """Return what the week costs: the roads of its days, and the waiting between the lessons.

    A lesson without a place leaves the teacher where the one before was.
    """
    driving = idle = 0
    for weekday, day in _by_weekday(blocks).items():
        begins, over = (ends or {}).get(weekday) or (ways.base, ways.base)
        route = [begins, *(block.place for block in day if block.place is not None), over]
        road = [ways.road(here, there) for here, there in pairwise(route)]
        driving += sum(road)
        inner = sum(road[1:-1])
        taught = sum(block.minutes for block in day)
        if day:
            idle += max(0, max(block.end for block in day) - day[0].start - taught - inner)
    return WeekFigures(len(blocks), sum(block.minutes for block in blocks), driving, idle)


def _by_weekday(blocks: Iterable[Block]) -> dict[int, list[Block]]:
    days: dict[int, list[Block]] = defaultdict(list)
    for block in sorted(blocks, key=lambda one: (one.weekday, one.start, one.minutes, one.label)):
        days[block.weekday].append(block)
    return days


def _row(day: Sequence[Block], ways: Ways, left: int) -> Row:
    roads = []
    came_from, free_from = ways.base, 0
    for block in day:
        road = min(ways.road(came_from, block.place), block.start - max(left, free_from))
        if road > 0:
            roads.append(Drawn(block.start - road - left, road, "road"))
        came_from = came_from if block.place is None else block.place
        free_from = block.end
    return Row(
        tuple(Drawn(block.start - left, block.minutes, block.mark) for block in day),
        tuple(roads),
    )
