"""A day's way through the town: which road leads from which stop to which."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lessons.models import DayRule
from lessons.planning.travel import Road, RoadBook, Stop
from lessons.selectors.days import DayPlan, DayStop
from lessons.selectors.road import stop_of


@dataclass(frozen=True, slots=True)
class RouteLeg:
    """One road that is driven: between two different places, never within one."""

    start: Stop
    end: Stop
    road: Road


@dataclass(frozen=True, slots=True)
class DayEnds:
    """Where a weekday begins and ends; None where it is not known, not even as the base."""

    start: Stop | None
    end: Stop | None


def day_ends(base: Stop | None) -> dict[int, DayEnds]:
    """Return where each weekday begins and ends: one query."""
    rules = DayRule.objects.select_related("starts_from", "ends_at_place")
    ends = dict.fromkeys(range(7), DayEnds(base, base))
    for rule in rules:
        start = stop_of(rule.starts_from) if rule.starts_from else base
        end = stop_of(rule.ends_at_place) if rule.ends_at_place else base
        ends[rule.weekday] = DayEnds(start, end)
    return ends


def planned_route(plan: DayPlan, ends: DayEnds, book: RoadBook) -> tuple[RouteLeg, ...]:
    """Return the roads of a planned day with the minutes that the day's own page shows."""
    legs: list[RouteLeg] = []
    here = ends.start
    for item in plan.items:
        stop = stop_of(item.lesson.place) if isinstance(item, DayStop) else item.time.stop
        there = place_on_road(stop, book)
        if there is None:
            continue
        if here is not None and here.key != there.key:
            legs.append(RouteLeg(here, there, item.road))
        here = there
    if here is not None and ends.end is not None and plan.road_home and here.key != ends.end.key:
        legs.append(RouteLeg(here, ends.end, plan.road_home))
    return tuple(legs)


def route_of(stops: Iterable[Stop], ends: DayEnds, book: RoadBook) -> tuple[RouteLeg, ...]:
    """Return the roads through these stops; stops at one place after another are one visit."""
    legs: list[RouteLeg] = []
    here = ends.start
    for stop in stops:
        there = place_on_road(stop, book)
        if there is None:
            continue
        if here is not None and here.key != there.key:
            legs.append(RouteLeg(here, there, book.between(here, there)))
        here = there
    if here is not None and ends.end is not None and legs and here.key != ends.end.key:
        legs.append(RouteLeg(here, ends.end, book.between(here, ends.end)))
    return tuple(legs)


def place_on_road(stop: Stop, book: RoadBook) -> Stop | None:
    """Return where one is for a stop: online at the base, None where any place will do."""
    if book.is_anywhere(stop):
        return None
    return book.base if stop.is_online else stop
