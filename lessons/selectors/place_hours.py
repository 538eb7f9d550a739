"""When places can be used, for whoever books or looks for a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, time

from lessons.models import PlaceHours
from studio.models import Place


def place_hours_words(place: Place, day: date, at: time, minutes: int) -> str:
    """Return when the place can be used, if the lesson lies outside that; else nothing."""
    windows = list(PlaceHours.objects.filter(place=place).order_by("weekday", "begins_at", "pk"))
    if not windows or any(window.holds(day, at, minutes) for window in windows):
        return ""
    return f"{place.name} can be used {', '.join(str(window) for window in windows)}"


def shut_days(days: Sequence[date]) -> dict[int, frozenset[date]]:
    """Return, for each place that has hours of its own, the dates on whose weekday it has none."""
    open_on: dict[int, set[int]] = defaultdict(set)
    for place, weekday in PlaceHours.objects.values_list("place_id", "weekday"):
        open_on[place].add(weekday)
    return {
        place: frozenset(day for day in days if day.weekday() not in weekdays)
        for place, weekdays in open_on.items()
    }
