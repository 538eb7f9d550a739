"""Wall-clock times in the studio's zone, right over clock changes."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


class NoSuchLocalTime(ValueError):
    """The clock never shows this time: it falls in the hour that spring skips."""


class LocalTimeTwice(ValueError):
    """The clock shows this time twice, when autumn repeats an hour."""


def instant(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Return the aware UTC instant at which the wall clock shows this time.

    :raises NoSuchLocalTime: in the hour that spring skips
    :raises LocalTimeTwice: in the hour that autumn repeats
    """
    first = datetime.combine(day, at, tzinfo=zone)
    second = first.replace(fold=1)
    back = first.astimezone(UTC).astimezone(zone).replace(tzinfo=None)
    if back != first.replace(tzinfo=None):
        raise NoSuchLocalTime(
            f"{at:%H:%M} does not exist on {day:%-d %B %Y}: the clocks go forward then."
        )
    if first.utcoffset() != second.utcoffset():
        raise LocalTimeTwice(
            f"{at:%H:%M} happens twice on {day:%-d %B %Y}: the clocks go back then. "
            "Choose a time outside that hour."
        )
    return first.astimezone(UTC)


def day_bounds(day: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Return the half-open interval of instants that are this local day (23 to 25 hours)."""
    start = datetime.combine(day, time(), tzinfo=zone).astimezone(UTC)
    end = datetime.combine(day + timedelta(days=1), time(), tzinfo=zone).astimezone(UTC)
    return start, end


def local_date(moment: datetime, zone: ZoneInfo) -> date:
    """Return the date that the wall clock shows at this instant."""
    return moment.astimezone(zone).date()


def monday_of(day: date) -> date:
    """Return the Monday of this day's week."""
    return day - timedelta(days=day.weekday())
