"""A day drawn as a ribbon: lessons as blocks, the road before them as a dotted line."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from lessons.selectors.days import DayPlan

# The hours that a diary's page shows when nothing lies outside them.
OPENS, CLOSES = 9 * 60, 20 * 60


@dataclass(frozen=True, slots=True)
class Ribbon:
    """Minutes from the left edge; ``width`` is the whole ribbon."""

    width: int
    hours: tuple[int, ...]
    lessons: tuple[tuple[int, int], ...]
    roads: tuple[tuple[int, int], ...]


def ribbon(plan: DayPlan, zone: ZoneInfo) -> Ribbon:
    """Return what to draw; the edges move outwards for an early or late lesson."""
    spans = [
        (
            _minute(stop.lesson.starts_at, zone),
            _minute(stop.lesson.starts_at, zone) + stop.lesson.minutes,
            stop.road.minutes or 0,
        )
        for stop in plan.stops
    ]
    left = min([OPENS, *(max(0, start - road) // 60 * 60 for start, _, road in spans)])
    right = max([CLOSES, *(-(-end // 60) * 60 for _, end, _ in spans)])
    return Ribbon(
        width=right - left,
        hours=tuple(hour - left for hour in range(left + 60, right, 60)),
        lessons=tuple((start - left, end - start) for start, end, _ in spans),
        roads=tuple(
            (max(0, start - road - left), start - left) for start, _, road in spans if road
        ),
    )


def _minute(moment: datetime, zone: ZoneInfo) -> int:
    local = moment.astimezone(zone)
    return local.hour * 60 + local.minute
