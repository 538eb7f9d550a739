"""The rows behind the road book: the teacher's own times, and what a router said."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from lessons.models import PlaceCorrection, RoutedRoad
from lessons.planning.travel import HourTime, Position, Routed

Pair = tuple[int, int]


def own_times(
    rows: Iterable[PlaceCorrection],
) -> tuple[dict[Pair, int], dict[Pair, tuple[HourTime, ...]]]:
    """Return the teacher's own minutes: those of any hour, and those of some hours, by pair.

    A time given for this very direction beats one that was given for the way back.
    """
    always_back: dict[Pair, int] = {}
    always: dict[Pair, int] = {}
    hours_back: dict[Pair, list[HourTime]] = defaultdict(list)
    hours: dict[Pair, list[HourTime]] = defaultdict(list)
    for row in rows:
        there, back = (row.from_place_id, row.to_place_id), (row.to_place_id, row.from_place_id)
        if row.from_time is None or row.until_time is None:
            always[there] = row.minutes
            if row.is_both_ways:
                always_back[back] = row.minutes
            continue
        hour = HourTime(
            row.from_time.hour * 60 + row.from_time.minute,
            row.until_time.hour * 60 + row.until_time.minute,
            row.minutes,
        )
        hours[there].append(hour)
        if row.is_both_ways:
            hours_back[back].append(hour)
    by_hour = {
        pair: (
            *sorted(hours.get(pair, ()), key=_begins),
            *sorted(hours_back.get(pair, ()), key=_begins),
        )
        for pair in hours.keys() | hours_back.keys()
    }
    return always_back | always, by_hour


def routed_roads() -> dict[Pair, Routed]:
    """Return everything a router ever said, by pair of places."""
    rows = RoutedRoad.objects.values_list(
        "from_place_id", "to_place_id", "from_position", "to_position", "minutes", "km"
    )
    return {
        (start, end): Routed(
            _position(here), _position(there), minutes, None if km is None else float(km)
        )
        for start, end, here, there, minutes, km in rows
    }


def position_key(position: Position) -> str:
    """Return a position as it is kept beside a router's answer."""
    return f"{position[0]:.6f} {position[1]:.6f}"


def _position(key: str) -> Position:
    latitude, longitude = key.split(" ")
    return float(latitude), float(longitude)


def _begins(hour: HourTime) -> int:
    return hour.begins
