"""Who called it off, and when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from lessons.planning.policy import MissedLessonPolicy, Outcome, ahead_words, is_charged

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


@pytest.mark.parametrize(
    ("outcome", "owes_family", "owes_own", "is_owed"),
    [
        ("called_off", True, False, True),
        ("called_off", False, True, False),
        ("called_off_late", True, True, False),
        ("no_show", True, True, False),
        ("called_off_by_teacher", False, True, True),
        ("called_off_by_teacher", True, False, False),
    ],
)
def test_who_is_owed_a_make_up(
    outcome: Outcome, owes_family: bool, owes_own: bool, is_owed: bool
) -> None:
    """Edge case 23: credit or make-up by policy; what is charged is never owed again."""
    policy = MissedLessonPolicy(
        is_family_owed_make_up=owes_family, is_teacher_owing_make_up=owes_own
    )

    assert policy.owes_make_up(outcome) is is_owed
    assert not (is_owed and is_charged(outcome))


@pytest.mark.parametrize(
    ("told_at", "words"),
    [
        (
            _local(7, 16),
            "Told 24 h before: called off in time: not charged (free until Monday 7 September, "
            "16:00). To be made up by 22 September 2026.",
        ),
        (
            _local(8, 14, 30),
            "Told 1 h 30 min before: called off late: charged (free until Monday 7 September, "
            "16:00). Not to be made up.",
        ),
    ],
)
def test_the_rules_in_words(told_at: datetime, words: str) -> None:
    """Edge case 22: how long before, and until when it was free."""
    policy = MissedLessonPolicy(is_family_owed_make_up=True, make_up_weeks=2)

    found = policy.verdict(by="family", told_at=told_at, starts_at=_local(8, 16), zone=DUBLIN)

    assert found.words == words
    assert found.is_charged == (found.outcome == "called_off_late")


def test_the_weeks_to_make_up_begin_with_the_news_if_that_is_later() -> None:
    told_at = _local(20, 9)

    found = MissedLessonPolicy(make_up_weeks=1).verdict(
        by="teacher", told_at=told_at, starts_at=_local(8, 16), zone=DUBLIN
    )

    assert found.make_up_until == told_at.date() + timedelta(weeks=1)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (-5, "after it was to begin"),
        (0, "after it was to begin"),
        (45, "45 min before"),
        (60, "1 h before"),
        (71 * 60 + 59, "71 h 59 min before"),
        (96 * 60, "4 days before"),
    ],
)
def test_how_long_before(minutes: int, words: str) -> None:
    starts_at = _local(8, 16)

    assert ahead_words(starts_at - timedelta(minutes=minutes), starts_at) == words
