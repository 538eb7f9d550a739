"""A calendar written down as RFC 5545 wants it.

A series is one recurring event: its rule, the rule's dates without a lesson left out (EXDATE), and
every lesson that is not like the others as an event of its own with the same UID and the date it
stands for (RECURRENCE-ID). So a moved lesson moves, one that is called off says so, and none is
there twice. The recurring event is worked out from the lessons that there are: whatever closed,
moved or split the series, what a reader expands is exactly the lessons, no more and no fewer. A
lesson that its series' rule does not know has an event, and a UID, of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, Timezone

from lessons.feed.entries import Details, Feed, LessonEntry, SeriesEntry
from lessons.feed.zone import timezone_component
from lessons.planning.recurrence import CannotRepeat

PRODUCT = "-//Drum studio//Lessons//EN"
# How often a reader should look again (RFC 7986 section 5.7).
LOOK_AGAIN = timedelta(hours=1)


def feed_text(feed: Feed) -> bytes:
    """Return the calendar as UTF-8 text with folded lines; the same feed is the same bytes."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", feed.name)
    # What readers looked for before RFC 7986 gave these two their names.
    calendar.add("x-wr-calname", feed.name)
    calendar.add("refresh-interval", LOOK_AGAIN, parameters={"value": "DURATION"})
    calendar.add("x-published-ttl", "PT1H")
    events = list(_events(feed))
    for component in _zones(feed):
        calendar.add_component(component)
    for event in events:
        calendar.add_component(event)
    return bytes(calendar.to_ical(sorted=True))


def _zones(feed: Feed) -> Iterator[Timezone]:
    """Every zone that some event names, for the years of the calendar."""
    entries = [*feed.singles, *(lesson for each in feed.series for lesson in each.lessons)]
    if not entries:
        return
    first = min(min(entry.slot, entry.starts_at) for entry in entries)
    last = max(max(entry.slot, entry.starts_at) for entry in entries)
    zones = {feed.zone.key, *(each.rule.zone.key for each in feed.series)}
    for key in sorted(zones):
        yield timezone_component(ZoneInfo(key), first, last)


def _events(feed: Feed) -> Iterator[Event]:
    for series in feed.series:
        yield from _series_events(series, feed)
    for lesson in feed.singles:
        yield _single(lesson, feed)


def _series_events(series: SeriesEntry, feed: Feed) -> Iterator[Event]:
    zone = series.rule.zone
    held: dict[datetime, LessonEntry] = {}
    others: list[LessonEntry] = []
    dates = _rule_starts(series)
    known = set(dates)
    for lesson in series.lessons:
        if lesson.slot in known and lesson.slot not in held:
            held[lesson.slot] = lesson
        else:
            others.append(lesson)
    if held:
        used = dates[dates.index(min(held)) : dates.index(max(held)) + 1]
        common = _common(list(held.values()))
        uid = f"series-{series.key}@{feed.domain}"
        yield _master(series, used, held, common, uid)
        for lesson in held.values():
            if not lesson.is_at_its_slot or lesson.details != common:
                event = _event(lesson, uid, zone, series.revision + lesson.revision)
                event.add("recurrence-id", lesson.slot.astimezone(zone))
                yield event
    for lesson in others:
        yield _single(lesson, feed)


def _master(
    series: SeriesEntry,
    dates: Sequence[datetime],
    held: dict[datetime, LessonEntry],
    common: Details,
    uid: str,
) -> Event:
    zone = series.rule.zone
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", series.changed_at.replace(microsecond=0))
    event.add("sequence", series.revision)
    _when(event, dates[0], common.minutes, zone)
    rule = {"freq": "weekly", "until": dates[-1].astimezone(UTC)}
    if series.rule.every_weeks > 1:
        rule["interval"] = series.rule.every_weeks
    event.add("rrule", rule)
    missing = [each.astimezone(zone) for each in dates if each not in held]
    if missing:
        event.add("exdate", missing)
    _say(event, common)
    event.add("status", "CONFIRMED")
    return event


def _single(lesson: LessonEntry, feed: Feed) -> Event:
    return _event(lesson, f"lesson-{lesson.key}@{feed.domain}", feed.zone, lesson.revision)


def _event(lesson: LessonEntry, uid: str, zone: ZoneInfo, sequence: int) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", lesson.changed_at.replace(microsecond=0))
    event.add("sequence", sequence)
    _when(event, lesson.starts_at, lesson.details.minutes, zone)
    _say(event, lesson.details)
    event.add("status", "CANCELLED" if lesson.is_called_off else "CONFIRMED")
    if lesson.is_called_off:
        event.add("transp", "TRANSPARENT")
    return event


def _when(event: Event, starts_at: datetime, minutes: int, zone: ZoneInfo) -> None:
    """An end, not a duration: some readers know only ends."""
    event.add("dtstart", starts_at.astimezone(zone))
    event.add("dtend", (starts_at + timedelta(minutes=minutes)).astimezone(zone))


def _say(event: Event, details: Details) -> None:
    event.add("summary", details.summary)
    if details.location:
        event.add("location", details.location)
    if details.description:
        event.add("description", details.description)
    event.add("class", "PRIVATE")


def _common(lessons: Sequence[LessonEntry]) -> Details:
    """What most lessons have in common; of equals, what the earliest lesson has."""
    settled = [lesson for lesson in lessons if lesson.is_at_its_slot] or list(lessons)
    settled.sort(key=lambda lesson: lesson.slot)
    return Counter(lesson.details for lesson in settled).most_common(1)[0][0]


def _rule_starts(series: SeriesEntry) -> list[datetime]:
    """The starts of the rule in UTC, closed dates among them."""
    rule = series.rule
    try:
        dates = rule.dates()
    except CannotRepeat:
        return []
    return [datetime.combine(day, rule.at, tzinfo=rule.zone).astimezone(UTC) for day in dates]
