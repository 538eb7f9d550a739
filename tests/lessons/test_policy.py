"""Who called it off, and when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from lessons.planning.policy import MissedLessonPolicy

DUBLIN = ZoneInfo("Europe/Dublin")
POLICY = MissedLessonPolicy(24)


def _local(day: int, hour: int, minute: int = 0, month: int = 9) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=DUBLIN).astimezone(UTC)


@pytest.mark.parametrize(
    ("told_at", "outcome"),
    [
        (_local(7, 16), "called_off"),
        (_local(7, 16) + timedelta(seconds=1), "called_off_late"),
        (_local(6, 9), "called_off"),
        (_local(8, 15, 59), "called_off_late"),
        (_local(8, 17), "called_off_late"),
    ],
)
def test_a_day_of_notice(told_at: datetime, outcome: str) -> None:
    """Edge case 22: before, exactly on, and after the limit."""
    found = POLICY.outcome(by="family", told_at=told_at, starts_at=_local(8, 16), zone=DUBLIN)

    assert found == outcome


@pytest.mark.parametrize(("month", "day", "hours"), [(3, 29, 23), (10, 25, 25)])
def test_a_day_is_a_day_over_a_clock_change(month: int, day: int, hours: int) -> None:
    """Edge case 22: the same time the day before, whether 23 or 25 hours earlier."""
    starts_at = _local(day, 16, month=month)
    limit = POLICY.last_free_moment(starts_at, DUBLIN)

    assert starts_at - limit == timedelta(hours=hours)


def test_a_limit_in_the_doubled_hour_favours_the_family() -> None:
    starts_at = _local(26, 1, 30, month=10)

    assert POLICY.last_free_moment(starts_at, DUBLIN) == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_the_teacher_is_never_paid_for_calling_off() -> None:
    """Edge case 23; "a lesson called off by the teacher never is": common practice, no source."""
    found = POLICY.outcome(
        by="teacher", told_at=_local(8, 15), starts_at=_local(8, 16), zone=DUBLIN
    )

    assert found == "called_off_by_teacher"
