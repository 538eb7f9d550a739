"""The count that tells calendars elsewhere that a lesson changed (RFC 5545 SEQUENCE)."""

from __future__ import annotations

from lessons.models import Lesson


def lesson_changed(lesson: Lesson) -> None:
    """Count one more change of time, length, place, people or standing; the caller saves."""
    lesson.revision += 1
