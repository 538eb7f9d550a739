"""Where a weekly lesson would fit: every start of the grid, with its weeks and its cost.

Many dates of a term share one schedule, so each different day is looked at once and its dates are
counted: a term of sixty lessons is searched in milliseconds. Best first: the fewest dates with
something in the way, then the least added driving plus ``IDLE_SHARE`` of the added idling, with a
little off for what the family likes best; equal ones by weekday and time, so that two searches give
the same list.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from lessons.planning.looking import (
    DAY_MINUTES,
    IDLE_SHARE,
    PREFERENCE_MINUTES,
    SHIFTS,
    TeachingDay,
    Wanted,
    cost_of,
    days_alike,
    label_if_it_helps,
    looked_at,
)
from lessons.planning.openings import Fit, Misfit, Ways

__all__ = [
    "DAY_MINUTES",
    "IDLE_SHARE",
    "PREFERENCE_MINUTES",
    "Found",
    "Opening",
    "Repair",
    "TeachingDay",
    "Wanted",
    "find_times",
]


@dataclass(frozen=True, slots=True)
class Opening:
    """One weekday and start: the dates it is free on, and what stands in the way on the others.

    ``added_driving`` and ``added_idle`` are means over the free dates, in minutes.
    """

    weekday: int
    start: int
    free: tuple[date, ...]
    blocked: tuple[tuple[date, Misfit], ...]
    added_driving: float
    added_idle: float
    is_preferred: bool

    @property
    def is_free_always(self) -> bool:
        """True when nothing stands in the way on any date."""
        return not self.blocked

    @property
    def cost(self) -> float:
        """What it is ranked by, in minutes of driving."""
        return cost_of(self.added_driving, self.added_idle, is_preferred=self.is_preferred)


@dataclass(frozen=True, slots=True)
class Repair:
    """A start that would be free in all weeks if one other lesson moved by ``shift`` minutes."""

    weekday: int
    start: int
    blocker: int
    label: str
    shift: int


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came to: openings best first, near misses, and why the others are none."""

    openings: tuple[Opening, ...]
    partial: tuple[Opening, ...]
    reasons: tuple[tuple[str, int], ...]
    repairs: tuple[Repair, ...] = field(default=())


@dataclass(slots=True)
class _Tally:
    """What one start comes to; the dates of days that are alike are kept together."""

    free: list[list[date]]
    blocked: list[tuple[list[date], Misfit]]
    free_count: int = 0
    blocked_count: int = 0
    driving: int = 0
    idle: int = 0
    is_preferred: bool = False

    def add(self, result: Fit | Misfit, dates: list[date]) -> None:
        """Count what days that are alike come to."""
        if isinstance(result, Misfit):
            self.blocked.append((dates, result))
            self.blocked_count += len(dates)
            return
        self.free.append(dates)
        self.free_count += len(dates)
        self.driving += result.added_driving * len(dates)
        self.idle += result.added_idle * len(dates)

    def opening(self, weekday: int, start: int) -> Opening:
        """Return the same, date by date."""
        count = self.free_count or 1
        return Opening(
            weekday,
            start,
            tuple(sorted(day for dates in self.free for day in dates)),
            tuple(sorted((day, misfit) for dates, misfit in self.blocked for day in dates)),
            self.driving / count,
            self.idle / count,
            self.is_preferred,
        )

    @property
    def cost(self) -> float:
        """What the opening is ranked by."""
        count = self.free_count or 1
        return cost_of(self.driving / count, self.idle / count, is_preferred=self.is_preferred)


def find_times(
    wanted: Wanted, days: Mapping[date, TeachingDay], ways: Ways, *, grid: int = 15
) -> Found:
    """Return where the wanted lesson fits into the term.

    :param days: every date of the term on which lessons can be; closed dates are not among them
    :param grid: starts are multiples of so many minutes
    """
    tallies: dict[tuple[int, int], _Tally] = {}
    reasons: Counter[str] = Counter()
    for teaching, windows, dates in days_alike(wanted, days):
        weekday = dates[0].weekday()
        for start, is_preferred, result in looked_at(wanted, teaching, windows, ways, grid):
            tally = tallies.get((weekday, start))
            if tally is None:
                tally = tallies[weekday, start] = _Tally([], [])
            tally.is_preferred |= is_preferred
            tally.add(result, dates)
            if isinstance(result, Misfit):
                reasons[result.kind] += len(dates)
    ranked = sorted(
        tallies.items(),
        key=lambda one: (one[1].blocked_count, one[1].cost, one[0]),
    )
    shown = [tally.opening(*at) for at, tally in ranked if tally.free_count]
    openings = tuple(one for one in shown if one.is_free_always)
    partial = tuple(one for one in shown if one.blocked)
    repairs: tuple[Repair, ...] = ()
    if not openings:
        everything = (tally.opening(*at) for at, tally in ranked)
        repairs = _repairs(wanted, days, ways, everything)
    return Found(openings, partial, tuple(reasons.most_common()), repairs)


def _repairs(
    wanted: Wanted,
    days: Mapping[date, TeachingDay],
    ways: Ways,
    ranked: Iterator[Opening],
    *,
    most: int = 5,
) -> tuple[Repair, ...]:
    """Starts that one other lesson, moved a little in all its weeks, would make free."""
    found: list[Repair] = []
    for opening in ranked:
        blockers = {misfit.blocker for _, misfit in opening.blocked}
        if len(blockers) != 1 or 0 in blockers:
            continue
        blocker = blockers.pop()
        dates = [day for day, _ in opening.blocked]
        for shift in SHIFTS:
            label = label_if_it_helps(wanted, days, ways, dates, opening.start, blocker, shift)
            if label:
                found.append(Repair(opening.weekday, opening.start, blocker, label, shift))
                break
        if len(found) == most:
            break
    return tuple(found)
