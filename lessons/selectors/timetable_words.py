"""What a row of a draft changes, in words."""

from __future__ import annotations

from lessons.models import DraftLesson


def was_words(row: DraftLesson) -> str:
    """Return where a row's lesson comes from; empty for a new one, and for one that stays."""
    series = row.series
    if row.confirmed_at is not None:
        return row.was
    if series is None or row.is_same_time:
        return ""
    words = f"{series.first_date:%A} {series.at:%H:%M}"
    if series.minutes != row.minutes:
        words += f", {series.minutes} minutes"
    if series.every_weeks != row.every_weeks:
        words += f", {series.rhythm}"
    if series.place_id != row.place_id:
        words += f", {series.place.name}"
    return words
