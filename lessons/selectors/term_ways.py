"""The roads of a term's places, as minutes from place to place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lessons.models import DayRule
from lessons.planning.openings import Ends, Meal, Ways
from lessons.planning.travel import RoadBook
from lessons.selectors.booked import ends_of, meal_of, place_key, ways_between
from lessons.selectors.road import stop_of
from studio.models import Place


@dataclass(frozen=True, slots=True)
class TermWays:
    """The roads, where each weekday begins and ends, its meal, and places without a known road."""

    ways: Ways
    roads: RoadBook
    ends: dict[int, Ends | None]
    meals: dict[int, Meal | None]
    unknown: tuple[str, ...]

    def key(self, place: Place) -> int | None:
        """Return a place's number; None where the teacher may be anywhere."""
        return place_key(stop_of(place), self.roads)


def term_ways(places: Iterable[Place], roads: RoadBook, *, buffer: int = 0) -> TermWays:
    """Return the minutes between all of these places, the base, and where the days begin and end.

    Roads that are not known are taken as an hour.
    """
    rules = list(DayRule.objects.select_related("starts_from", "ends_at_place"))
    all_places = {place.pk: place for place in places}
    for rule in rules:
        for place in (rule.starts_from, rule.ends_at_place):
            if place is not None:
                all_places[place.pk] = place
    stops = [stop_of(place) for place in all_places.values() if not place.is_online]
    ways, _ = ways_between(stops, roads, buffer)
    base = roads.base
    unknown = sorted(
        stop.name for stop in stops if base is None or not roads.between(base, stop).is_known
    )
    return TermWays(
        ways,
        roads,
        {rule.weekday: ends_of(rule, roads) for rule in rules},
        {rule.weekday: meal_of(rule) for rule in rules},
        tuple(dict.fromkeys(unknown)),
    )
