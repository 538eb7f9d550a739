"""Reading calendars back with other people's libraries, and the rules every calendar must keep."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import recurring_ical_events


@dataclass(frozen=True, order=True)
class Seen:
    """One event as somebody's calendar would show it; times by the clock on the wall."""

    begins: str
    minutes: int
    summary: str
    uid: str
    is_off: bool


def seen(text: bytes, first: date, last: date) -> list[Seen]:
    """Everything that a reader expands between two days (``recurring-ical-events``)."""
    calendar = icalendar.Calendar.from_ical(text)
    return sorted(
        Seen(
            f"{event['DTSTART'].dt:%Y-%m-%d %H:%M}",
            (event["DTEND"].dt - event["DTSTART"].dt) // timedelta(minutes=1),
            str(event["SUMMARY"]),
            str(event["UID"]),
            event["STATUS"] == "CANCELLED",
        )
        for event in recurring_ical_events.of(calendar).between(first, last + timedelta(days=1))
    )


def events_of(text: bytes) -> list[Any]:
    """The VEVENTs as they are written."""
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


def broken_rules(text: bytes) -> list[str]:
    """What of RFC 5545 a calendar does not keep; the sections are named beside each rule."""
    found = []
    lines = text.split(b"\r\n")
    # 3.1: lines end in CRLF and have at most 75 octets, and stay whole UTF-8 where they are folded.
    if b"\n" in text.replace(b"\r\n", b"") or not text.endswith(b"\r\n"):
        found.append("a line does not end in CRLF")
    found += [f"longer than 75 octets: {line[:40]!r}" for line in lines if len(line) > 75]
    text.decode("utf-8")
    calendar = icalendar.Calendar.from_ical(text)
    # 3.6 and 3.7: exactly one of each.
    for name in ("PRODID", "VERSION"):
        if isinstance(calendar.get(name, []), list):
            found.append(f"{name} is not there exactly once")
    zones = {str(zone["TZID"]) for zone in calendar.walk("VTIMEZONE")}
    # 3.2.19: every TZID has its VTIMEZONE in the same object.
    used = {
        part.params["TZID"]
        for event in calendar.walk("VEVENT")
        for _, part in event.property_items()
        if "TZID" in getattr(part, "params", {})
    }
    found += [f"no VTIMEZONE for {name}" for name in used - zones]
    # 3.8.4.7, 3.8.4.4: one component for a UID and RECURRENCE-ID, and one of them is the series.
    ids = [(str(event["UID"]), _id_of(event)) for event in calendar.walk("VEVENT")]
    found += [f"twice: {each}" for each in set(ids) if ids.count(each) > 1]
    masters = {uid for uid, recurrence in ids if recurrence is None}
    found += [f"{uid} has exceptions only" for uid, _ in ids if uid not in masters]
    for event in calendar.walk("VEVENT"):
        found += _broken_event(event)
    return found


def _id_of(event: Any) -> Any:
    return event["RECURRENCE-ID"].dt if "RECURRENCE-ID" in event else None


def _broken_event(event: Any) -> list[str]:
    uid, found = str(event["UID"]), []
    # 3.6.1: required, and at most once.
    for name in ("DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "SUMMARY", "STATUS"):
        if name not in event or isinstance(event[name], list):
            found.append(f"{uid}: {name} is not there exactly once")
    # 3.8.7.2: DTSTAMP in UTC.
    if event["DTSTAMP"].dt.utcoffset() != timedelta() or event["DTSTAMP"].dt.tzinfo is None:
        found.append(f"{uid}: DTSTAMP is not in UTC")
    if not event["DTEND"].dt > event["DTSTART"].dt:
        found.append(f"{uid}: it ends before it begins")
    if "RRULE" in event:
        # 3.3.10: UNTIL in UTC when DTSTART has a zone, and DTSTART is the first of the rule.
        until = event["RRULE"]["UNTIL"][0]
        if until.tzinfo is None or until.utcoffset() != timedelta():
            found.append(f"{uid}: UNTIL is not in UTC")
        if until < event["DTSTART"].dt.astimezone(UTC):
            found.append(f"{uid}: the rule ends before it begins")
    return found


def wall(year: int, month: int, day: int, hour: int, minute: int = 0) -> datetime:
    """A naive time of the wall clock."""
    return datetime(year, month, day, hour, minute)
