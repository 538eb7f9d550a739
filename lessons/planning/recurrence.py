"""The dates of a weekly lesson: by the wall clock, within a term, without the closures.

A rule is anchored by its first date, not by the number of the week, so "every second week" goes on
over a closure, over the end of a year and over a year of 53 weeks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lessons.planning.intervals import Interval
from studio.local_time import LocalTimeTwice, NoSuchLocalTime, instant

LONGEST_SERIES = timedelta(days=366)
LONGEST_LESSON_MINUTES = 480
SHORTEST_LESSON_MINUTES = 5


class CannotRepeat(ValueError):
    """The rule makes no lessons that could be held; ``field`` says which part is to blame."""

    def __init__(self, message: str, *, field: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class ClosedDays:
    """Days without lessons, first and last included, and why."""

    first_date: date
    last_date: date
    name: str

    def covers(self, day: date) -> bool:
        """Return True for a day on which there are no lessons."""
        return self.first_date <= day <= self.last_date


@dataclass(frozen=True, slots=True)
class WeeklyRule:
    """Every ``every_weeks`` weeks from the first date on, at a time of the wall clock."""

    first_date: date
    last_date: date
    at: time
    minutes: int
    zone: ZoneInfo
    every_weeks: int = 1

    def dates(self) -> tuple[date, ...]:
        """Return every date of the rule, closures included.

        :raises CannotRepeat: if the rule makes no sense, or runs for longer than a year
        """
        if self.last_date < self.first_date:
            raise CannotRepeat("The last date is before the first.", field="last_date")
        if self.last_date - self.first_date > LONGEST_SERIES:
            raise CannotRepeat("A series can run for a year at most.", field="last_date")
        if not 1 <= self.every_weeks <= 8:
            raise CannotRepeat("Choose every 1 to 8 weeks.", field="every_weeks")
        step = timedelta(weeks=self.every_weeks)
        days = (self.last_date - self.first_date) // step
        return tuple(self.first_date + step * n for n in range(days + 1))


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One lesson of the series: its local date and its instants in UTC."""

    day: date
    when: Interval


@dataclass(frozen=True, slots=True)
class SkippedDate:
    """A date of the rule on which there is no lesson, and why."""

    day: date
    reason: str


@dataclass(frozen=True, slots=True)
class Expansion:
    """All dates of a rule, told apart into lessons and skipped dates."""

    occurrences: tuple[Occurrence, ...]
    skipped: tuple[SkippedDate, ...]


def lesson_interval(day: date, at: time, minutes: int, zone: ZoneInfo) -> Interval:
    """Return when a lesson happens: its start by the wall clock, its length in real minutes.

    :raises CannotRepeat: if the clock shows that time twice or never, the lesson would cross
        midnight, or its length makes no sense
    """
    if not SHORTEST_LESSON_MINUTES <= minutes <= LONGEST_LESSON_MINUTES:
        raise CannotRepeat(
            f"A lesson lasts {SHORTEST_LESSON_MINUTES} to {LONGEST_LESSON_MINUTES} minutes.",
            field="minutes",
        )
    try:
        starts_at = instant(day, at.replace(second=0, microsecond=0), zone)
    except (NoSuchLocalTime, LocalTimeTwice) as trouble:
        raise CannotRepeat(str(trouble), field="at") from trouble
    when = Interval.lasting(starts_at, minutes)
    midnight = datetime.combine(day + timedelta(days=1), time(), tzinfo=zone)
    if when.end > midnight.astimezone(when.end.tzinfo):
        raise CannotRepeat(
            f"The lesson would run past midnight on {day:%-d %B %Y}. Start earlier or shorten it.",
            field="at",
        )
    return when


def expand(rule: WeeklyRule, closures: Sequence[ClosedDays]) -> Expansion:
    """Return every date of the rule, each as a lesson or as skipped with its reason.

    A closed date asks nothing of the clock, so it is skipped before its time is looked at.

    :raises CannotRepeat: naming the first date whose time cannot be, or if no date is left
    """
    kept: list[Occurrence] = []
    skipped: list[SkippedDate] = []
    for day in rule.dates():
        reasons = [closure.name for closure in closures if closure.covers(day)]
        if reasons:
            skipped.append(SkippedDate(day, ", ".join(reasons)))
        else:
            kept.append(Occurrence(day, lesson_interval(day, rule.at, rule.minutes, rule.zone)))
    return Expansion(tuple(kept), tuple(skipped))
