"""Weekly dates against RFC 5545 and against dateutil.

Sources: RFC 5545 section 3.8.5.3, its weekly examples as printed; the Olson (IANA) time zone
database by way of zoneinfo; python-dateutil's rrule as an independent reckoner.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import WEEKLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from lessons.planning.policy import MissedLessonPolicy
from lessons.planning.recurrence import ClosedDays, WeeklyRule, expand

NEW_YORK = ZoneInfo("America/New_York")


def _entry(shared_checks: Path, name: str) -> dict[str, Any]:
    rows = json.loads((shared_checks / "checks.json").read_text(encoding="utf-8"))
    (row,) = [row for row in rows if row["id"] == name]
    assert row["status"] in {"reproduced", "computed"}
    return dict(row)


def _labels(rule: WeeklyRule) -> list[str]:
    found = expand(rule, ()).occurrences
    return [f"{each.when.start.astimezone(rule.zone):%Y-%m-%dT%H:%M %Z}" for each in found]


@pytest.mark.parametrize(("name", "every"), [("D.rrule.06", 1), ("D.rrule.08", 2)])
def test_one_weekday(shared_checks: Path, name: str, every: int) -> None:
    """ "Weekly for 10 occurrences" and "Every other week"."""
    printed = _entry(shared_checks, name)["expected"]["occurrences_local"]
    first, last = (date.fromisoformat(text[:10]) for text in (printed[0], printed[-1]))

    assert _labels(WeeklyRule(first, last, time(9), 60, NEW_YORK, every)) == printed


@pytest.mark.parametrize("name", ["D.rrule.09", "D.rrule.10"])
def test_two_weekdays_are_two_series(shared_checks: Path, name: str) -> None:
    """ "Weekly on Tuesday and Thursday for five weeks": a series of ours has one weekday."""
    printed = _entry(shared_checks, name)["expected"]["occurrences_local"]
    last = date.fromisoformat(printed[-1][:10])
    tuesdays = WeeklyRule(date(1997, 9, 2), last, time(9), 60, NEW_YORK)
    thursdays = WeeklyRule(date(1997, 9, 4), last, time(9), 60, NEW_YORK)

    assert sorted(_labels(tuesdays) + _labels(thursdays)) == printed


def test_a_closure_over_the_autumn_change(shared_checks: Path) -> None:
    """A weekly 16:00 in New York with one date left out; the moved one is a matter of the row."""
    printed = _entry(shared_checks, "D.weekly.dst")["expected"]
    rule = WeeklyRule(date(2026, 10, 19), date(2026, 11, 16), time(16), 30, NEW_YORK)
    closed = ClosedDays(date(2026, 10, 26), date(2026, 10, 26), "left out")

    starts = [each.when.start for each in expand(rule, [closed]).occurrences]

    ours = [f"{start:%Y-%m-%dT%H:%MZ}" for start in starts]
    moved = datetime(2026, 11, 10, 17, tzinfo=NEW_YORK).astimezone(UTC)
    assert [*ours[:2], f"{moved:%Y-%m-%dT%H:%MZ}", *ours[3:]] == printed


@given(
    first=st.dates(date(2026, 1, 1), date(2027, 12, 1)),
    weeks=st.integers(0, 52),
    every=st.integers(1, 8),
    zone=st.sampled_from(["Europe/Dublin", "Australia/Sydney", "America/Phoenix"]),
)
def test_agrees_with_dateutil(first: date, weeks: int, every: int, zone: str) -> None:
    last = first + timedelta(weeks=weeks)
    theirs = rrule(
        WEEKLY,
        dtstart=datetime.combine(first, time(16)),
        interval=every,
        until=datetime.combine(last, time(16)),
    )
    rule = WeeklyRule(first, last, time(16), 30, ZoneInfo(zone), every)

    ours = [
        each.when.start.astimezone(rule.zone).replace(tzinfo=None)
        for each in expand(rule, ()).occurrences
    ]

    assert ours == list(theirs)


@pytest.mark.parametrize(
    "zone", ["Europe/London", "Europe/Berlin", "Australia/Sydney", "Australia/Lord_Howe"]
)
def test_lessons_on_both_sides_of_a_change_of_offset(shared_checks: Path, zone: str) -> None:
    """IANA tzdata 2026: the lessons' own offsets change exactly at the printed instants."""
    printed = _entry(shared_checks, f"D.tz2026.{zone}")["expected"]
    for text in printed:
        change = datetime.strptime(text, "%Y-%m-%dT%H:%MZ").replace(tzinfo=UTC)
        here = ZoneInfo(zone)
        local = change.astimezone(here).date()
        rule = WeeklyRule(local - timedelta(days=7), local + timedelta(days=7), time(16), 30, here)
        before, on, after = (each.when.start for each in expand(rule, ()).occurrences)

        assert before < change < on < after
        assert after - on == timedelta(days=7)
        assert on - before != timedelta(days=7)
        limit = MissedLessonPolicy(24).last_free_moment(on, here)
        assert on - limit == (on - before) - timedelta(days=6)


def test_phoenix_never_changes(shared_checks: Path) -> None:
    assert _entry(shared_checks, "D.tz2026.America/Phoenix")["expected"] == []
    rule = WeeklyRule(
        date(2026, 1, 6), date(2026, 12, 29), time(16), 30, ZoneInfo("America/Phoenix")
    )

    assert {each.when.start.hour for each in expand(rule, ()).occurrences} == {23}
