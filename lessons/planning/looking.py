"""Looking at the days of a term for one lesson: what every search for a time does.

Days that are alike are looked at once (:func:`days_alike`), start by start (:func:`looked_at`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from lessons.planning.openings import (
    Busy,
    Ends,
    Fit,
    Meal,
    Misfit,
    Schedule,
    Span,
    Ways,
    Window,
    fit_in,
    gap_at,
    has_meal,
    placed,
)

IDLE_SHARE = 0.4
PREFERENCE_MINUTES = 5
"""What a time that the family likes best is worth, in minutes of driving."""

DAY_MINUTES = 24 * 60
# By how many minutes another lesson might move to make room: common practice, no source.
SHIFTS = (15, -15, 30, -30)


@dataclass(frozen=True, slots=True)
class Wanted:
    """The lesson that is looked for. ``latest_end`` is the hour by which it must be over."""

    minutes: int
    place: int | None
    windows: tuple[Window, ...]
    latest_end: int = DAY_MINUTES
    key: int = 0


@dataclass(frozen=True, slots=True)
class TeachingDay:
    """One date: what is booked, when the teacher works, how much is enough.

    ``ends`` are the places where the day begins and ends if they are not the usual ones;
    ``evening_from`` is the minute after which no lesson may run because the week has its evenings;
    a day that is ``too_near`` another lesson of the same student is none at all.
    """

    schedule: Schedule
    hours: tuple[Span, ...]
    most_minutes: int = DAY_MINUTES
    ends: Ends | None = None
    meal: Meal | None = None
    evening_from: int = DAY_MINUTES
    is_too_near: bool = False


def cost_of(driving: float, idle: float, *, is_preferred: bool) -> float:
    """Return what a start is ranked by, in minutes of driving."""
    return driving + IDLE_SHARE * idle - (PREFERENCE_MINUTES if is_preferred else 0)


def days_alike(
    wanted: Wanted, days: Mapping[date, TeachingDay]
) -> list[tuple[TeachingDay, tuple[Window, ...], list[date]]]:
    """Return the different days on which somebody could come, each with its dates in order."""
    alike: dict[tuple[int, TeachingDay, tuple[Window, ...]], list[date]] = {}
    for day in sorted(days):
        windows = tuple(window for window in wanted.windows if window.is_open_on(day))
        if windows:
            alike.setdefault((day.weekday(), days[day], windows), []).append(day)
    return [(teaching, windows, dates) for (_, teaching, windows), dates in alike.items()]


def looked_at(
    wanted: Wanted, teaching: TeachingDay, windows: Sequence[Window], ways: Ways, grid: int
) -> Iterator[tuple[int, bool, Fit | Misfit]]:
    """Go over every start of a day: whether it is liked best, and how it fits."""
    day, minutes = teaching.schedule, wanted.minutes
    out = _ruled_out(wanted, teaching)
    meal = teaching.meal
    if meal is not None and not has_meal(day, meal, ways):
        meal = None
    at, gap = -1, None
    for start, is_preferred in _starts(wanted, teaching, windows, grid):
        if out is not None:
            yield start, is_preferred, out
            continue
        if start + minutes > teaching.evening_from:
            yield start, is_preferred, Misfit("evening")
            continue
        if gap is None or ways.by_hour or (gap.after is not None and gap.after.start <= start):
            at = max(at, 0)
            while at < len(day) and day[at].start <= start:
                at += 1
            gap = gap_at(day, at, minutes, wanted.place, ways, teaching.ends, start)
        result = fit_in(gap, start, minutes)
        if meal is not None and isinstance(result, Fit):
            with_it = (*day[:at], Busy(start, start + minutes, wanted.place, ""), *day[at:])
            if not has_meal(with_it, meal, ways):
                result = Misfit("meal", "", meal.minutes)
        yield start, is_preferred, result


def _ruled_out(wanted: Wanted, teaching: TeachingDay) -> Misfit | None:
    """Why no start of the day will do, whatever the hour."""
    if teaching.is_too_near:
        return Misfit("apart")
    taught = sum(busy.end - busy.start for busy in teaching.schedule if not busy.is_private)
    if taught + wanted.minutes > teaching.most_minutes:
        return Misfit("full", "", taught)
    return None


def _starts(
    wanted: Wanted, teaching: TeachingDay, windows: Sequence[Window], grid: int
) -> list[tuple[int, bool]]:
    """Every start within the teacher's and the family's hours, and whether it is liked best."""
    starts: dict[int, bool] = {}
    for begins, ends in teaching.hours:
        for window in windows:
            first = max(begins, window.begins)
            last = min(ends, window.ends, wanted.latest_end) - wanted.minutes
            for start in range(first + -first % grid, last + 1, grid):
                starts[start] = starts.get(start, False) or window.is_preferred
    return sorted(starts.items())


def label_if_it_helps(
    wanted: Wanted,
    days: Mapping[date, TeachingDay],
    ways: Ways,
    dates: Sequence[date],
    at: int,
    blocker: int,
    shift: int,
) -> str:
    """Return the blocker's name if moving it lets the wanted lesson in on every date."""
    label = ""
    for day in dates:
        teaching = days[day]
        other = next(busy for busy in teaching.schedule if busy.key == blocker)
        rest = tuple(busy for busy in teaching.schedule if busy.key != blocker)
        start, end = other.start + shift, other.end + shift
        if not any(begins <= start and end <= ends for begins, ends in teaching.hours):
            return ""
        if isinstance(placed(rest, start, end - start, other.place, ways), Misfit):
            return ""
        moved = tuple(sorted((*rest, other._replace(start=start, end=end))))
        if isinstance(placed(moved, at, wanted.minutes, wanted.place, ways), Misfit):
            return ""
        label = other.label
    return label
