"""Stretches of time that contain their beginning and not their end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True, slots=True, order=True)
class Interval:
    """From ``start`` up to, and without, ``end``; both aware. Neighbours that touch do not overlap.

    :raises ValueError: for naive times or an end that is not after the start
    """

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        if self.start.tzinfo is None or self.end.tzinfo is None:
            raise ValueError("an interval needs aware times")
        if self.end <= self.start:
            raise ValueError("an interval must end after it begins")

    @classmethod
    def lasting(cls, start: datetime, minutes: int) -> Interval:
        """Return the interval of this many real minutes, whatever the wall clock does meanwhile."""
        return cls(start, start + timedelta(minutes=minutes))

    @property
    def minutes(self) -> int:
        """Whole minutes between start and end."""
        return int((self.end - self.start).total_seconds() // 60)

    def overlaps(self, other: Interval) -> bool:
        """Return True when some instant lies in both."""
        return self.start < other.end and other.start < self.end

    def contains(self, moment: datetime) -> bool:
        """Return True for the start, False for the end."""
        return self.start <= moment < self.end

    def minutes_until(self, later: Interval) -> int:
        """Return the whole minutes from this end to the other's start; below 0 if it overlaps."""
        return int((later.start - self.end).total_seconds() // 60)
