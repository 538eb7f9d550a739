"""When one lesson of a term may begin, as far as its student and the calendar go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from lessons.planning.openings import Window
from lessons.planning.term.problem import Start
from lessons.selectors.booked import minute_of
from lessons.selectors.term_rows import WantedLesson
from studio.local_time import monday_of

GRID = 15


@dataclass(frozen=True, slots=True)
class Starts:
    """The starts, those liked best, the weeks that suit if not all do, and why there are none."""

    starts: tuple[Start, ...]
    preferred: frozenset[Start]
    week: int | None
    note: str


def starts_of(wanted: WantedLesson, dates: Sequence[date], week_of: date) -> Starts:
    """Return when a lesson may begin: within the student's times on every date it would be held.

    A lesson of every second week may be held in the weeks that suit, counted from ``week_of``.
    """
    weeks = range(wanted.every_weeks)
    by_week = {week: _in_weeks(wanted, dates, week_of, week) for week in weeks}
    now = _week_now(wanted, week_of)
    if now is not None and by_week[now]:
        best, is_any = now, False
    else:
        best = max(weeks, key=lambda week: (len(by_week[week]), -week))
        is_any = all(each == by_week[best] for each in by_week.values())
    found = by_week[best]
    liked = frozenset(start for start, is_liked in found.items() if is_liked)
    return Starts(
        starts=tuple(sorted(found)),
        # Liking all of them is liking none best.
        preferred=liked if len(liked) < len(found) else frozenset(),
        week=None if is_any else best,
        note="" if found else _why_none(wanted),
    )


def _week_now(wanted: WantedLesson, week_of: date) -> int | None:
    """The weeks in which they come now, if they do not come in all of them."""
    present = wanted.present
    if present is None or wanted.every_weeks == 1 or present.every_weeks != wanted.every_weeks:
        return None
    return (monday_of(present.first_date) - week_of).days // 7 % wanted.every_weeks


def _in_weeks(
    wanted: WantedLesson, dates: Sequence[date], week_of: date, week: int
) -> dict[Start, bool]:
    """The starts that are open on every date of these weeks, and whether they are liked best."""
    days: dict[int, list[date]] = defaultdict(list)
    for day in dates:
        number = (monday_of(day) - week_of).days // 7
        if number % wanted.every_weeks == week:
            days[day.weekday()].append(day)
    found: dict[Start, bool] = {}
    for weekday, here in days.items():
        open_all = [
            window
            for window in wanted.windows
            if window.weekday == weekday and all(window.is_open_on(day) for day in here)
        ]
        for window in open_all:
            for minute in _minutes(wanted, window):
                start = Start(weekday, minute)
                found[start] = found.get(start, False) or window.is_preferred
    return found


def _minutes(wanted: WantedLesson, window: Window) -> Iterable[int]:
    last = min(window.ends, wanted.latest_end) - wanted.minutes
    minutes = set(range(window.begins + -window.begins % GRID, last + 1, GRID))
    present = wanted.present
    # What they have now is a time they can come, also where it is not on the grid.
    if present is not None and present.first_date.weekday() == window.weekday:
        now = minute_of(present.at)
        minutes |= {now} if window.begins <= now <= last else set()
    spans = wanted.place_spans
    if spans is None:
        return minutes
    rooms = spans.get(window.weekday, ())
    return {
        minute
        for minute in minutes
        if any(opens <= minute and minute + wanted.minutes <= closes for opens, closes in rooms)
    }


def _why_none(wanted: WantedLesson) -> str:
    longest = max((window.ends - window.begins for window in wanted.windows), default=0)
    if longest < wanted.minutes:
        return f"none of their times is as long as the lesson ({wanted.minutes} minutes)"
    if all(window.begins + wanted.minutes > wanted.latest_end for window in wanted.windows):
        hour, minute = divmod(wanted.latest_end, 60)
        return f"the lesson has to be over by {hour}:{minute:02}, and their times begin too late"
    if all(window.every_weeks > wanted.every_weeks for window in wanted.windows):
        return "their times are open in some weeks only, and the lesson is wanted oftener"
    if wanted.place_spans is not None:
        return f"no time of theirs lies within the hours of {wanted.place.name}"
    return "no time of theirs is open on every date of the term"
