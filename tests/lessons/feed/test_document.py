"""Whatever happened to a series, a reader sees exactly its lessons."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.feed.document import feed_text
from lessons.feed.entries import Details, Feed, LessonEntry, SeriesEntry
from lessons.planning.recurrence import WeeklyRule
from tests.lessons.feed.reading import broken_rules, events_of, seen

DUBLIN = ZoneInfo("Europe/Dublin")
CHANGED = datetime(2026, 9, 1, 9, tzinfo=UTC)
AT_ITS_TIME = Details(30, "Tadhg L.", "Far door", "Leave by 15:30.")


def _feed(series: SeriesEntry | None, *singles: LessonEntry) -> Feed:
    return Feed("Lessons", "studio.example", DUBLIN, (series,) if series else (), singles)


def _rule(last: date = date(2027, 4, 13), every_weeks: int = 1) -> WeeklyRule:
    return WeeklyRule(date(2026, 9, 8), last, time(16), 30, DUBLIN, every_weeks)


def _lesson(
    key: int,
    slot: datetime,
    *,
    later: timedelta = timedelta(),
    details: Details = AT_ITS_TIME,
    is_off: bool = False,
) -> LessonEntry:
    is_changed = bool(later) or is_off
    return LessonEntry(key, slot, slot + later, details, is_off, int(is_changed), CHANGED)


def _slots(rule: WeeklyRule) -> list[datetime]:
    return [datetime.combine(day, rule.at, tzinfo=DUBLIN).astimezone(UTC) for day in rule.dates()]


@st.composite
def _series(draw: st.DrawFn) -> SeriesEntry:
    """A series of which lessons are missing, moved (at times onto each other's dates) or off."""
    rule = _rule(every_weeks=draw(st.integers(1, 3)))
    lessons = []
    for key, slot in enumerate(_slots(rule)):
        fate = draw(st.sampled_from(["as booked"] * 5 + ["missing", "moved", "off", "longer"]))
        if fate == "missing":
            continue
        later = timedelta(hours=draw(st.integers(-200, 200))) if fate == "moved" else timedelta()
        details = Details(45, "Tadhg L.") if fate == "longer" else AT_ITS_TIME
        lessons.append(_lesson(key, slot, later=later, details=details, is_off=fate == "off"))
    if draw(st.booleans()):
        # One that the rule does not know.
        lessons.append(_lesson(999, _slots(rule)[0] + timedelta(days=2, minutes=5)))
    return SeriesEntry(7, rule, tuple(lessons), 0, CHANGED)


@settings(max_examples=40)
@given(_series())
def test_a_reader_expands_exactly_the_lessons(series: SeriesEntry) -> None:
    text = feed_text(_feed(series))

    assert broken_rules(text) == []
    assert [
        (each.begins, each.minutes, each.is_off)
        for each in seen(text, date(2026, 8, 1), date(2027, 6, 1))
    ] == sorted(
        (
            f"{lesson.starts_at.astimezone(DUBLIN):%Y-%m-%d %H:%M}",
            lesson.details.minutes,
            lesson.is_called_off,
        )
        for lesson in series.lessons
    )


def test_a_plain_series_is_one_event_over_both_clock_changes() -> None:
    """Edge case 1: in calendars elsewhere, 16:00 stays 16:00 from October to April."""
    rule = _rule()
    lessons = tuple(_lesson(key, slot) for key, slot in enumerate(_slots(rule)))
    text = feed_text(_feed(SeriesEntry(7, rule, lessons, 0, CHANGED)))

    (event,) = events_of(text)
    assert event["RRULE"]["UNTIL"] == [datetime(2027, 4, 13, 15, tzinfo=UTC)]
    shown = seen(text, date(2026, 9, 1), date(2027, 5, 1))
    assert len(shown) == 32
    assert {each.begins[-5:] for each in shown} == {"16:00"}
    # By the world's clock it is not always the same.
    assert {slot.hour for slot in _slots(rule)} == {15, 16}


def test_dates_without_a_lesson_are_left_out_and_the_rule_ends_with_the_last_lesson() -> None:
    rule = _rule(last=date(2026, 10, 13))
    slots = _slots(rule)
    lessons = tuple(_lesson(key, slots[key]) for key in (1, 2, 4))
    text = feed_text(_feed(SeriesEntry(7, rule, lessons, 0, CHANGED)))

    (event,) = events_of(text)
    assert event["DTSTART"].dt.date() == date(2026, 9, 15)
    assert event["RRULE"]["UNTIL"] == [slots[4]]
    assert "EXDATE;TZID=Europe/Dublin:20260929T160000" in text.decode()


def test_what_most_lessons_say_is_said_once() -> None:
    rule = _rule(last=date(2026, 10, 13))
    odd = Details(30, "Tadhg L.", "Far door", "Leave by 15:10.")
    lessons = tuple(
        _lesson(key, slot, details=odd if key == 2 else AT_ITS_TIME)
        for key, slot in enumerate(_slots(rule))
    )
    text = feed_text(_feed(SeriesEntry(7, rule, lessons, 0, CHANGED)))

    assert [str(event["DESCRIPTION"]) for event in events_of(text)] == [
        "Leave by 15:30.",
        "Leave by 15:10.",
    ]


def test_long_and_foreign_words_are_folded_and_escaped() -> None:
    """RFC 5545, 3.1 and 3.3.11."""
    where = "Żółty dom; drzwi, po lewej \\ Παπαδάκη, Ó Súilleabháin\n" + "drabhlás " * 20
    lesson = _lesson(3, CHANGED, details=Details(30, "Łukasz, Νίκος; Éanna", where.strip()))
    text = feed_text(_feed(None, lesson))

    assert broken_rules(text) == []
    unfolded = text.replace(b"\r\n ", b"").decode()
    assert "SUMMARY:Łukasz\\, Νίκος\\; Éanna" in unfolded
    assert "dom\\; drzwi\\, po lewej \\\\ Παπαδάκη\\, Ó Súilleabháin\\ndrabhlás" in unfolded
    (event,) = events_of(text)
    assert str(event["LOCATION"]) == where.strip()


def test_an_empty_calendar_is_a_calendar() -> None:
    text = feed_text(_feed(None))

    assert broken_rules(text) == []
    assert events_of(text) == []
