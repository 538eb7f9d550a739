"""Weekly stretches that fell free: where a series ended, and what was offered round before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time, timedelta
from urllib.parse import urlencode

from lessons.models import FreeTime, Series
from lessons.models.calendar import WEEKDAYS
from lessons.planning.find_time import DAY_MINUTES
from lessons.selectors.booked import minute_of

MOST_SLOTS = 12


@dataclass(frozen=True, slots=True)
class FreeSlot:
    """A weekly stretch that may be free, from one date to another; minutes of the local day."""

    weekday: int
    begins: int
    ends: int
    first_date: date
    last_date: date
    series: int | None = None
    whose: str = ""

    @property
    def begins_at(self) -> time:
        """When it begins, by the clock."""
        return clock(self.begins)

    @property
    def ends_at(self) -> time:
        """When it ends, by the clock; midnight is 00:00."""
        return clock(self.ends)

    @property
    def day(self) -> str:
        """The weekday's name."""
        return dict(WEEKDAYS)[self.weekday]

    @property
    def key(self) -> tuple[int, int, int, date]:
        """What tells one stretch from another: its beginning moves with the days that pass."""
        return self.weekday, self.begins, self.ends, self.last_date

    @property
    def fields(self) -> list[tuple[str, str]]:
        """What a form or an address sends for it."""
        return [
            ("weekday", str(self.weekday)),
            ("begins_at", f"{self.begins_at:%H:%M}"),
            ("ends_at", f"{self.ends_at:%H:%M}"),
            ("first_date", f"{self.first_date:%Y-%m-%d}"),
            ("last_date", f"{self.last_date:%Y-%m-%d}"),
            *([("series", str(self.series))] if self.series else []),
        ]

    @property
    def query(self) -> str:
        """The same as the end of an address."""
        return urlencode(self.fields)


def clock(minute: int) -> time:
    """Return a minute of the day as a time of the wall clock."""
    return time(minute // 60 % 24, minute % 60)


def slots_known(*, today: date) -> list[FreeSlot]:
    """Return the stretches that a stopped series left, and those that were offered round.

    Whether they are still free is not looked at here.
    """
    tomorrow = today + timedelta(days=1)
    found: dict[tuple[int, int, int, date], FreeSlot] = {}
    stopped = Series.objects.filter(stopped_from_date__isnull=False, last_date__gte=tomorrow)
    for series in stopped.prefetch_related("students").order_by("-stopped_from_date", "pk"):
        slot = slot_of_series(series, tomorrow)
        if slot is not None:
            found.setdefault(slot.key, slot)
    for row in FreeTime.objects.filter(last_date__gte=tomorrow).order_by("-pk")[:MOST_SLOTS]:
        slot = slot_of_row(row, tomorrow)
        found.setdefault(slot.key, slot)
    return list(found.values())[: 2 * MOST_SLOTS]


def slot_of_series(series: Series, tomorrow: date) -> FreeSlot | None:
    """Return what a stopped series leaves free; None if its end came before."""
    if series.stopped_from_date is None:
        return None
    first = max(series.stopped_from_date, tomorrow)
    if first > series.last_date:
        return None
    begins = minute_of(series.at)
    return FreeSlot(
        series.first_date.weekday(),
        begins,
        begins + series.minutes,
        first,
        series.last_date,
        series.pk,
        " and ".join(student.name for student in series.students.all()),
    )


def slot_of_row(row: FreeTime, tomorrow: date) -> FreeSlot:
    """Return an offered stretch as a value."""
    first = min(max(row.first_date, tomorrow), row.last_date)
    ends = minute_of(row.ends_at) or DAY_MINUTES
    return FreeSlot(
        row.weekday, minute_of(row.begins_at), ends, first, row.last_date, row.series_id
    )
