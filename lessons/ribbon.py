"""A day drawn as a ribbon: lessons and appointments as blocks, the road before them dotted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from lessons.selectors.day_order import DayProposal, OrderRow
from lessons.selectors.days import DayAppointment, DayPlan, DayStop

# The hours that a diary's page shows when nothing lies outside them.
OPENS, CLOSES = 9 * 60, 20 * 60


@dataclass(frozen=True, slots=True)
class Ribbon:
    """Minutes from the left edge; ``width`` is the whole ribbon."""

    width: int
    hours: tuple[int, ...]
    lessons: tuple[tuple[int, int], ...]
    roads: tuple[tuple[int, int], ...]
    appointments: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class _Block:
    start: int
    minutes: int
    road: tuple[int, int] | None
    is_lesson: bool


def ribbon(plan: DayPlan, zone: ZoneInfo) -> Ribbon:
    """Return what to draw; the edges move outwards for an early or late lesson."""
    blocks = [_block(item, zone) for item in plan.items]
    return _drawn(blocks, *_edges(blocks))


def order_ribbons(proposal: DayProposal) -> tuple[Ribbon, Ribbon]:
    """Return a day as it is and as it would be, with the same edges."""
    both = [[_row_block(row) for row in rows] for rows in (proposal.today, proposal.rows)]
    edges = _edges([*both[0], *both[1]])
    return _drawn(both[0], *edges), _drawn(both[1], *edges)


def _edges(blocks: Sequence[_Block]) -> tuple[int, int]:
    """The first and the last minute that is drawn, both whole hours."""
    begins = [block.road[0] if block.road else block.start for block in blocks]
    left = min([OPENS, *(max(0, begin) // 60 * 60 for begin in begins)])
    right = max([CLOSES, *(-(-(block.start + block.minutes) // 60) * 60 for block in blocks)])
    return left, right


def _drawn(blocks: Sequence[_Block], left: int, right: int) -> Ribbon:
    return Ribbon(
        width=right - left,
        hours=tuple(hour - left for hour in range(left + 60, right, 60)),
        lessons=tuple((one.start - left, one.minutes) for one in blocks if one.is_lesson),
        roads=tuple((max(0, one.road[0] - left), one.road[1] - left) for one in blocks if one.road),
        appointments=tuple((one.start - left, one.minutes) for one in blocks if not one.is_lesson),
    )


def _row_block(row: OrderRow) -> _Block:
    road = (row.new_start - row.road, row.new_start) if row.road else None
    return _Block(row.new_start, row.visit.minutes, road, row.visit.lesson is not None)


def _block(item: DayStop | DayAppointment, zone: ZoneInfo) -> _Block:
    when = item.lesson.when if isinstance(item, DayStop) else item.time.when
    start = _minute(when.start, zone)
    minutes = item.road.minutes or 0
    road = None
    if minutes:
        # A road that is driven before something else lies there, not at the door.
        leaves = _minute(item.leave_by, zone) if item.leave_by else start - minutes
        road = (leaves, leaves + minutes)
    return _Block(start, when.minutes, road, isinstance(item, DayStop))


def _minute(moment: datetime, zone: ZoneInfo) -> int:
    local = moment.astimezone(zone)
    return local.hour * 60 + local.minute
