"""A VTIMEZONE that says what the time zone database says.

Written here and not by the ``icalendar`` library: that puts the spring change of zones with
"negative summer time", such as Europe/Dublin, an hour too late (its onset must be in the offset
that was in use before it, RFC 5545 section 3.6.5).
"""

from __future__ import annotations

from collections import defaultdict
from datetime import UTC, datetime, timedelta, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

_STEP = timedelta(days=7)
_SECOND = timedelta(seconds=1)


@lru_cache(maxsize=16)
def clock_changes(zone: ZoneInfo, first: datetime, last: datetime) -> tuple[datetime, ...]:
    """Return the UTC instants between two others at which the zone's offset changes.

    Changes are at least a week apart in every zone of this century.
    """
    found = []
    here = first
    while here < last:
        there = min(here + _STEP, last)
        if _offset(here, zone) != _offset(there, zone):
            found.append(_change_between(here, there, zone))
        here = there
    return tuple(found)


def timezone_component(zone: ZoneInfo, first: datetime, last: datetime) -> Timezone:
    """Return the zone's rules for the years that hold the two instants, and the year after."""
    begin = datetime(first.year - 1, 12, 31, tzinfo=UTC)
    end = datetime(last.year + 2, 1, 1, tzinfo=UTC)
    changes = clock_changes(zone, begin, end)
    least = min(_offset(moment, zone) for moment in (begin, *changes))
    component = Timezone()
    component.add("tzid", zone.key)
    groups: dict[tuple[timedelta, timedelta, str], list[datetime]] = defaultdict(list)
    groups[_key(begin, _offset(begin, zone), zone)].append(begin)
    for moment in changes:
        groups[_key(moment, _offset(moment - _SECOND, zone), zone)].append(moment)
    for (before, after, name), moments in groups.items():
        part = TimezoneStandard() if after == least else TimezoneDaylight()
        onsets = [(moment + before).replace(tzinfo=None) for moment in moments]
        part.add("dtstart", onsets[0])
        part.add("tzoffsetfrom", before)
        part.add("tzoffsetto", after)
        if onsets[1:]:
            part.add("rdate", onsets[1:])
        part.add("tzname", name)
        component.add_component(part)
    return component


def _key(moment: datetime, before: timedelta, zone: ZoneInfo) -> tuple[timedelta, timedelta, str]:
    return before, _offset(moment, zone), moment.astimezone(zone).tzname() or zone.key


def _offset(moment: datetime, zone: tzinfo) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta()


def _change_between(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    """Return the second at which the offset changes, by halving."""
    offset = _offset(before, zone)
    while after - before > _SECOND:
        middle = before + timedelta(seconds=(after - before) // _SECOND // 2)
        if _offset(middle, zone) == offset:
            before = middle
        else:
            after = middle
    return after
