"""The VTIMEZONE that we write says what the zone database says."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical

from lessons.feed.zone import timezone_component

FIRST, LAST = datetime(2026, 1, 5, tzinfo=UTC), datetime(2027, 12, 20, tzinfo=UTC)


def _read_back(zone: ZoneInfo, tmp_path: Any) -> Any:
    """The zone as dateutil, which knows nothing of ours, understands it."""
    path = tmp_path / "zone.ics"
    path.write_bytes(timezone_component(zone, FIRST, LAST).to_ical())
    return tzical(str(path)).get(zone.key)


@pytest.mark.parametrize(
    "name",
    [
        "Europe/Dublin",
        "Europe/Warsaw",
        "Asia/Kolkata",
        "Australia/Lord_Howe",
        "America/St_Johns",
        "Africa/Casablanca",
        "UTC",
    ],
)
def test_every_day_of_two_years_has_the_databases_offset(name: str, tmp_path: Any) -> None:
    zone = ZoneInfo(name)
    ours = _read_back(zone, tmp_path)

    wrong = []
    day = FIRST.replace(tzinfo=None)
    while day < LAST.replace(tzinfo=None):
        for hour in (0, 4, 12, 16, 23):
            at = day.replace(hour=hour, minute=30)
            if ours.utcoffset(at) != at.replace(tzinfo=zone).utcoffset():
                wrong.append(at)
        day += timedelta(days=1)

    assert wrong == []


def test_the_onset_is_in_the_offset_that_was_in_use_before_it() -> None:
    """RFC 5545, 3.6.5. In Ireland the clocks change at 01:00 UTC (Directive 2000/84/EC, art. 2-3):
    01:00 by the winter clock, 02:00 by the summer clock."""
    text = timezone_component(ZoneInfo("Europe/Dublin"), FIRST, LAST).to_ical().decode()

    assert "DTSTART:20260329T010000" in text
    assert "DTSTART:20261025T020000" in text
    assert "TZNAME:IST" in text
