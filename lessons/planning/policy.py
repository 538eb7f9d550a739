"""What a missed lesson counts as: who called it off, and how long before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

CalledOffBy = Literal["teacher", "family"]
Outcome = Literal[
    "planned", "held", "no_show", "called_off_late", "called_off", "called_off_by_teacher"
]

# "A missed lesson with less than 24 hours' notice is usually paid": common practice, no source.
NOTICE_HOURS = 24


@dataclass(frozen=True, slots=True)
class MissedLessonPolicy:
    """How much notice a family must give for a lesson to be free of charge."""

    notice_hours: int = NOTICE_HOURS

    def last_free_moment(self, starts_at: datetime, zone: ZoneInfo) -> datetime:
        """Return the last instant at which calling off is still in time.

        Reckoned on the wall clock: 24 hours before Sunday 16:00 is Saturday 16:00, also in the
        night in which the clocks change, because that is how a family reckons. Where the wall
        clock shows that moment twice, the later one counts, in the family's favour.
        """
        wall = starts_at.astimezone(zone).replace(tzinfo=None) - timedelta(hours=self.notice_hours)
        candidates = [wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)]
        return max(candidates)

    def outcome(
        self, *, by: CalledOffBy, told_at: datetime, starts_at: datetime, zone: ZoneInfo
    ) -> Outcome:
        """Return what a called-off lesson counts as; exactly on the limit is in time."""
        if by == "teacher":
            return "called_off_by_teacher"
        if told_at <= self.last_free_moment(starts_at, zone):
            return "called_off"
        return "called_off_late"
