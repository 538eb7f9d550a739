"""A day as a planner sees it: what is taken, when one may, and how a lesson fits between.

Times are minutes of the local day, roads whole minutes between place numbers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

Span = tuple[int, int]
"""From a minute of the day up to, and without, another."""


@dataclass(frozen=True, slots=True)
class Window:
    """When somebody can come: a stretch of a weekday, in every week or every few weeks.

    Weeks are counted from that of ``anchor``, never told apart by their number: some years have 53.
    """

    weekday: int
    begins: int
    ends: int
    every_weeks: int = 1
    anchor: date | None = None
    is_preferred: bool = False

    def is_open_on(self, day: date) -> bool:
        """Return True on its weekday, in its weeks."""
        if day.weekday() != self.weekday:
            return False
        if self.every_weeks == 1 or self.anchor is None:
            return True
        weeks = (day.toordinal() - day.weekday() - _monday(self.anchor)) // 7
        return weeks % self.every_weeks == 0


class Busy(NamedTuple):
    """A stretch that is taken. ``place`` None is somewhere that no road leads to or from."""

    start: int
    end: int
    place: int | None
    label: str
    key: int = 0


Schedule = tuple[Busy, ...]
"""One day's busy stretches in order of time, none overlapping another."""


@dataclass(frozen=True, slots=True)
class Ways:
    """The roads of the day: minutes from place to place, and the place it begins and ends at."""

    minutes: Mapping[tuple[int, int], int]
    base: int | None = None
    buffer: int = 0

    def road(self, here: int | None, there: int | None) -> int:
        """Return the minutes of a road; none within a place, or from or to no place at all."""
        if here is None or there is None or here == there:
            return 0
        return self.minutes[here, there]


class Fit(NamedTuple):
    """How a lesson fits into a day: minutes at the wheel and minutes idle that it adds."""

    added_driving: int
    added_idle: int


class Misfit(NamedTuple):
    """Why a lesson does not fit: a kind to count by, the words, and whose stretch is in the way."""

    kind: str
    words: str
    blocker: int = 0


def placed(day: Schedule, start: int, minutes: int, place: int | None, ways: Ways) -> Fit | Misfit:
    """Put a lesson into a day, or say what it meets there."""
    end = start + minutes
    at = bisect_right(day, start, key=lambda busy: busy.start)
    before = day[at - 1] if at else None
    after = day[at] if at < len(day) else None
    for busy in (before, after):
        if busy is not None and busy.start < end and start < busy.end:
            return Misfit("taken", f"{busy.label} is then", busy.key)
    if before is not None:
        missing = before.end + _needed(before.place, place, ways) - start
        if missing > 0:
            return Misfit("road", f"the road from {before.label} lacks {missing} min", before.key)
    if after is not None:
        missing = end + _needed(place, after.place, ways) - after.start
        if missing > 0:
            return Misfit("road", f"the road to {after.label} lacks {missing} min", after.key)
    return _cost(before, after, start, end, place, ways)


def _needed(here: int | None, there: int | None, ways: Ways) -> int:
    road = ways.road(here, there)
    return road + ways.buffer if road else 0


def _cost(
    before: Busy | None, after: Busy | None, start: int, end: int, place: int | None, ways: Ways
) -> Fit:
    came_from = before.place if before else ways.base
    goes_to = after.place if after else ways.base
    there, on = ways.road(came_from, place), ways.road(place, goes_to)
    driving = there + on - ways.road(came_from, goes_to)
    idle = 0
    if before is not None:
        idle += start - before.end - there
    if after is not None:
        idle += after.start - end - on
    if before is not None and after is not None:
        idle -= after.start - before.end - ways.road(came_from, goes_to)
    return Fit(driving, idle)


def _monday(day: date) -> int:
    return day.toordinal() - day.weekday()
