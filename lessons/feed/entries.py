"""What a calendar elsewhere is told of a lesson and of the series it belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from lessons.planning.recurrence import WeeklyRule


@dataclass(frozen=True, slots=True)
class Details:
    """What most lessons of a series have in common."""

    minutes: int
    summary: str
    location: str = ""
    description: str = ""


@dataclass(frozen=True, slots=True)
class LessonEntry:
    """One lesson. ``slot`` is when it was first booked for, which a move does not change.

    ``revision`` counts its own changes; ``changed_at`` is when the last of them was.
    """

    key: int
    slot: datetime
    starts_at: datetime
    details: Details
    is_called_off: bool
    revision: int
    changed_at: datetime

    @property
    def is_at_its_slot(self) -> bool:
        """True for a lesson that is where its series has it."""
        return self.starts_at == self.slot and not self.is_called_off


@dataclass(frozen=True, slots=True)
class SeriesEntry:
    """A weekly habit with its lessons; ``revision`` counts changes of the habit itself."""

    key: int
    rule: WeeklyRule
    lessons: tuple[LessonEntry, ...]
    revision: int
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Feed:
    """A whole calendar."""

    name: str
    domain: str
    zone: ZoneInfo
    series: tuple[SeriesEntry, ...]
    singles: tuple[LessonEntry, ...]
