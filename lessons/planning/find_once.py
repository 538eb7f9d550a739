"""Where one single lesson would fit: every date and start, best first.

The same looking as for a weekly lesson (:mod:`lessons.planning.find_time`), date by date. Equal
ones come by date and time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from lessons.planning.looking import (
    SHIFTS,
    TeachingDay,
    Wanted,
    cost_of,
    days_alike,
    label_if_it_helps,
    looked_at,
)
from lessons.planning.openings import Misfit, Ways


@dataclass(frozen=True, slots=True)
class OnceOpening:
    """One date and start that is free, with the minutes it adds to the day."""

    day: date
    start: int
    added_driving: int
    added_idle: int
    is_preferred: bool

    @property
    def cost(self) -> float:
        """What it is ranked by, in minutes of driving."""
        return cost_of(self.added_driving, self.added_idle, is_preferred=self.is_preferred)


@dataclass(frozen=True, slots=True)
class OnceRepair:
    """A date and start that would be free if one other lesson moved by ``shift`` minutes."""

    day: date
    start: int
    blocker: int
    label: str
    shift: int


@dataclass(frozen=True, slots=True)
class FoundOnce:
    """What a search came to: openings best first, why the others are none, what would help."""

    openings: tuple[OnceOpening, ...]
    reasons: tuple[tuple[str, int], ...]
    repairs: tuple[OnceRepair, ...] = ()


def find_once(
    wanted: Wanted, days: Mapping[date, TeachingDay], ways: Ways, *, grid: int = 15
) -> FoundOnce:
    """Return where the wanted lesson fits once.

    :param days: every date that would do; closed dates are not among them
    :param grid: starts are multiples of so many minutes
    """
    openings: list[OnceOpening] = []
    blocked: list[tuple[date, int, Misfit]] = []
    reasons: Counter[str] = Counter()
    for teaching, windows, dates in days_alike(wanted, days):
        for start, is_preferred, result in looked_at(wanted, teaching, windows, ways, grid):
            if isinstance(result, Misfit):
                blocked += [(day, start, result) for day in dates]
                reasons[result.kind] += len(dates)
                continue
            openings += [OnceOpening(day, start, *result, is_preferred) for day in dates]
    openings.sort(key=lambda one: (one.cost, one.day, one.start))
    repairs = () if openings else _repairs(wanted, days, ways, sorted(blocked))
    return FoundOnce(tuple(openings), tuple(reasons.most_common()), repairs)


def _repairs(
    wanted: Wanted,
    days: Mapping[date, TeachingDay],
    ways: Ways,
    blocked: list[tuple[date, int, Misfit]],
    *,
    most: int = 5,
) -> tuple[OnceRepair, ...]:
    """Starts that one other lesson, moved a little that day, would make free."""
    found: list[OnceRepair] = []
    for day, start, misfit in blocked:
        if len(found) == most:
            break
        if not misfit.blocker:
            continue
        for shift in SHIFTS:
            label = label_if_it_helps(wanted, days, ways, [day], start, misfit.blocker, shift)
            if label:
                found.append(OnceRepair(day, start, misfit.blocker, label, shift))
                break
    return tuple(found)
