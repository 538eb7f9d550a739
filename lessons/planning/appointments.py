"""The teacher's private appointments by the wall clock: once, or every few weeks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lessons.planning.intervals import Interval


@dataclass(frozen=True, slots=True)
class AppointmentRule:
    """On which days an appointment is, and at what time of the wall clock.

    ``every_weeks`` 0 is once only; ``last_date`` None goes on until further notice. An end of
    00:00 is midnight.
    """

    first_date: date
    last_date: date | None
    begins_at: time
    ends_at: time
    every_weeks: int = 0

    @property
    def begins(self) -> int:
        """The minute of the day at which it begins."""
        return self.begins_at.hour * 60 + self.begins_at.minute

    @property
    def ends(self) -> int:
        """The minute of the day at which it is over; 1440 is midnight."""
        return (self.ends_at.hour * 60 + self.ends_at.minute) or 24 * 60

    def is_on(self, day: date) -> bool:
        """Return True on its days."""
        if not self.every_weeks:
            return day == self.first_date
        if day < self.first_date or (self.last_date is not None and day > self.last_date):
            return False
        return (day - self.first_date).days % (7 * self.every_weeks) == 0

    def dates(self, first: date, last: date) -> tuple[date, ...]:
        """Return its dates between two days, both included."""
        if not self.every_weeks:
            return (self.first_date,) if first <= self.first_date <= last else ()
        step = 7 * self.every_weeks
        last = last if self.last_date is None else min(last, self.last_date)
        late = max(0, -(-(first - self.first_date).days // step))
        count = ((last - self.first_date).days // step) + 1
        return tuple(self.first_date + timedelta(days=step * n) for n in range(late, count))

    def when(self, day: date, zone: ZoneInfo) -> Interval:
        """Return the instants it takes on a day.

        Where the clock skips or repeats its beginning it keeps its length: a stretch that is only
        kept free needs no question asked.
        """
        start = datetime.combine(day, self.begins_at, tzinfo=zone).astimezone(UTC)
        over = day if self.ends_at != time() else day + timedelta(days=1)
        end = datetime.combine(over, self.ends_at, tzinfo=zone).astimezone(UTC)
        if end <= start:
            end = start + timedelta(minutes=self.ends - self.begins)
        return Interval(start, end)
