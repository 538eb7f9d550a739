"""Where a weekly lesson would fit: every start of the grid, with its weeks and its cost.

Many dates of a term share one schedule, so each different day is looked at once and its dates are
counted: a term of forty lessons is searched in milliseconds. Best first: free in all weeks, then
the least added driving plus ``IDLE_SHARE`` of the added idling, then what the family likes best;
equal ones by weekday and time, so that two searches give the same list.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from lessons.planning.openings import Fit, Misfit, Schedule, Span, Ways, Window, placed

IDLE_SHARE = 0.4
PREFERENCE_MINUTES = 5
"""What a time that the family likes best is worth, in minutes of driving."""

_SHIFTS = (15, -15, 30, -30)


@dataclass(frozen=True, slots=True)
class Wanted:
    """The lesson that is looked for. ``latest_end`` is the hour by which it must be over."""

    minutes: int
    place: int | None
    windows: tuple[Window, ...]
    latest_end: int = 24 * 60
    key: int = 0


@dataclass(frozen=True, slots=True)
class TeachingDay:
    """One date of the term: what is booked, when the teacher works, how much is enough."""

    schedule: Schedule
    hours: tuple[Span, ...]
    most_minutes: int = 24 * 60


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
        liked = PREFERENCE_MINUTES if self.is_preferred else 0
        return self.added_driving + IDLE_SHARE * self.added_idle - liked


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
    """What one start comes to, date by date."""

    free: list[date]
    blocked: list[tuple[date, Misfit]]
    driving: int = 0
    idle: int = 0
    is_preferred: bool = False


def find_times(
    wanted: Wanted, days: Mapping[date, TeachingDay], ways: Ways, *, grid: int = 15
) -> Found:
    """Return where the wanted lesson fits into the term.

    :param days: every date of the term on which lessons can be; closed dates are not among them
    :param grid: starts are multiples of so many minutes
    """
    alike: dict[tuple[int, TeachingDay, tuple[Window, ...]], list[date]] = {}
    for day in sorted(days):
        windows = tuple(window for window in wanted.windows if window.is_open_on(day))
        if windows:
            alike.setdefault((day.weekday(), days[day], windows), []).append(day)
    tallies: dict[tuple[int, int], _Tally] = {}
    reasons: Counter[str] = Counter()
    for (weekday, teaching, windows), dates in alike.items():
        for start, is_preferred in _starts(wanted, teaching, windows, grid):
            result = _looked_at(wanted, teaching, start, ways)
            tally = tallies.setdefault((weekday, start), _Tally([], []))
            tally.is_preferred |= is_preferred
            if isinstance(result, Misfit):
                tally.blocked += [(day, result) for day in dates]
                reasons[result.kind] += len(dates)
            else:
                tally.free += dates
                tally.driving += result.added_driving * len(dates)
                tally.idle += result.added_idle * len(dates)
    ranked = sorted(
        (_opening(weekday, start, tally) for (weekday, start), tally in tallies.items()),
        key=lambda one: (not one.is_free_always, -len(one.free), one.cost, one.weekday, one.start),
    )
    openings = tuple(one for one in ranked if one.is_free_always)
    partial = tuple(one for one in ranked if one.blocked and one.free)
    repairs = () if openings else _repairs(wanted, days, ways, ranked)
    return Found(openings, partial, tuple(reasons.most_common()), repairs)


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


def _looked_at(wanted: Wanted, teaching: TeachingDay, start: int, ways: Ways) -> Fit | Misfit:
    taught = sum(busy.end - busy.start for busy in teaching.schedule)
    if taught + wanted.minutes > teaching.most_minutes:
        return Misfit("full", f"the day has {taught} minutes of teaching already")
    return placed(teaching.schedule, start, wanted.minutes, wanted.place, ways)


def _opening(weekday: int, start: int, tally: _Tally) -> Opening:
    count = len(tally.free) or 1
    return Opening(
        weekday,
        start,
        tuple(sorted(tally.free)),
        tuple(sorted(tally.blocked)),
        tally.driving / count,
        tally.idle / count,
        tally.is_preferred,
    )


def _repairs(
    wanted: Wanted,
    days: Mapping[date, TeachingDay],
    ways: Ways,
    ranked: Sequence[Opening],
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
        for shift in _SHIFTS:
            label = _label_if_it_helps(wanted, days, ways, opening, blocker, shift)
            if label:
                found.append(Repair(opening.weekday, opening.start, blocker, label, shift))
                break
        if len(found) == most:
            break
    return tuple(found)


def _label_if_it_helps(
    wanted: Wanted,
    days: Mapping[date, TeachingDay],
    ways: Ways,
    opening: Opening,
    blocker: int,
    shift: int,
) -> str:
    """Return the blocker's name if moving it lets the wanted lesson in on every date."""
    label = ""
    for day, _ in opening.blocked:
        teaching = days[day]
        other = next(busy for busy in teaching.schedule if busy.key == blocker)
        rest = tuple(busy for busy in teaching.schedule if busy.key != blocker)
        start, end = other.start + shift, other.end + shift
        if not any(begins <= start and end <= ends for begins, ends in teaching.hours):
            return ""
        if isinstance(placed(rest, start, end - start, other.place, ways), Misfit):
            return ""
        moved = tuple(sorted((*rest, other._replace(start=start, end=end))))
        if isinstance(placed(moved, opening.start, wanted.minutes, wanted.place, ways), Misfit):
            return ""
        label = other.label
    return label
