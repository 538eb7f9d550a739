"""The order that a day could have: what it would save, who would have to be asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

from lessons.planning.day_times import DayVisit, Roads, is_kept
from lessons.planning.reorder import DayOrder, NoOrder, best_order
from lessons.planning.travel import Road
from lessons.selectors.day_roads import driving_of
from lessons.selectors.ordering import MEAL, DayQuestion, Visit, clock
from studio.local_time import instant
from studio.models import Family

GRID = 5
"""Lessons are proposed at multiples of so many minutes: common practice, no source."""


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One stretch of the proposed day."""

    visit: Visit
    new_start: int
    road: int
    day: date

    @property
    def at(self) -> time:
        """Today's start."""
        return clock(self.visit.at)

    @property
    def new_at(self) -> time:
        """The proposed start."""
        return clock(self.new_start)

    @property
    def new_ends(self) -> time:
        """The proposed end."""
        return clock(self.new_start + self.visit.minutes)

    @property
    def leave_by(self) -> time | None:
        """When to set off for it, without a road None."""
        return clock(self.new_start - self.road) if self.road else None

    @property
    def is_moved(self) -> bool:
        """True when its time would be another."""
        return self.visit.at != self.new_start

    def starts_at(self, zone: ZoneInfo) -> datetime:
        """Return the proposed start as an instant."""
        return instant(self.day, self.new_at, zone)


@dataclass(frozen=True, slots=True)
class DayProposal:
    """A day in the order that drives least, beside the day as it is; or why there is none."""

    question: DayQuestion
    rows: tuple[OrderRow, ...]
    now_road: Road
    new_road: Road
    is_proven: bool
    refusal: str
    is_meal_lost: bool
    is_today_kept: bool

    @property
    def today(self) -> tuple[OrderRow, ...]:
        """The day as it is, with the road that leads to each stretch."""
        places = {visit.key: visit.place for visit in self.question.day_visits}
        rows, here = [], self.question.starts_from
        for visit in self.question.visits:
            there = places[visit.key]
            road = self.question.ways.road(here, there, visit.at)
            rows.append(OrderRow(visit, visit.at, road, self.question.day))
            here = here if there is None else there
        return tuple(rows)

    @property
    def shown(self) -> tuple[OrderRow, ...]:
        """The day to look at: the new one if it is worth asking for, else the day as it is."""
        return self.rows if self.is_better else self.today

    @property
    def moved(self) -> tuple[OrderRow, ...]:
        """What would move, in order of the new times."""
        return tuple(row for row in self.rows if row.is_moved)

    @property
    def saved_minutes(self) -> int:
        """Minutes at the wheel that the new order saves."""
        return (self.now_road.minutes or 0) - (self.new_road.minutes or 0)

    @property
    def saved_km(self) -> float | None:
        """Kilometres that the new order saves; None when one of the two is not known."""
        if self.now_road.km is None or self.new_road.km is None:
            return None
        return self.now_road.km - self.new_road.km

    @property
    def is_better(self) -> bool:
        """True when there is something to gain."""
        return bool(self.moved) and (self.saved_minutes > 0 or not self.is_today_kept)

    @property
    def to_ask(self) -> tuple[tuple[Family, tuple[OrderRow, ...]], ...]:
        """Each family that would have to agree, with its lessons that move."""
        found: dict[int, tuple[Family, list[OrderRow]]] = {}
        for row in self.moved:
            for family in row.visit.families:
                found.setdefault(family.pk, (family, []))[1].append(row)
        return tuple((family, tuple(rows)) for family, rows in found.values())


def answered(question: DayQuestion) -> DayProposal:
    """Look for the order that drives least; asks the database nothing.

    The meal is kept if the day as it is keeps it and some order can.
    """
    visits = question.day_visits
    roads = Roads(question.roads, question.starts_from, question.ends_at, 0, 1)
    today = sorted(visits, key=lambda visit: (visit.at, visit.key))
    at_hand = replace(roads, minutes={**question.roads, **_roads_as_they_are(question, today)})
    is_today_kept = is_kept([_standing(visit) for visit in today], at_hand)
    now_road = _road(question, {visit.key: visit.at for visit in today})
    order, refusal, is_meal_lost = None, "", False
    try:
        order, is_meal_lost = _order(question, visits)
    except NoOrder as nothing:
        refusal = str(nothing)
    if order is None:
        rows = tuple(OrderRow(visit, visit.at, 0, question.day) for visit in question.visits)
        return DayProposal(question, rows, now_road, now_road, False, refusal, False, is_today_kept)
    by_key = {visit.key: visit for visit in question.visits}
    rows = tuple(
        OrderRow(
            by_key[timed.visit.key],
            timed.start,
            max(0, timed.road - question.ways.buffer),
            question.day,
        )
        for timed in order.visits
        if timed.visit.key != MEAL
    )
    new_road = _road(question, {row.visit.key: row.new_start for row in rows})
    return DayProposal(
        question, rows, now_road, new_road, order.is_proven, "", is_meal_lost, is_today_kept
    )


def _order(question: DayQuestion, visits: list[DayVisit]) -> tuple[DayOrder, bool]:
    """The best order with the meal; without it, when no order has room for it."""

    def best(chosen: list[DayVisit]) -> DayOrder:
        return best_order(
            chosen,
            question.roads,
            starts_from=question.starts_from,
            ends_at=question.ends_at,
            grid=GRID,
        )

    if question.meal is not None:
        try:
            return best([*visits, question.meal]), False
        except NoOrder:
            return best(visits), True
    return best(visits), False


def _standing(visit: DayVisit) -> DayVisit:
    """The visit at today's time and no other."""
    return DayVisit(visit.key, visit.minutes, visit.place, visit.at, visit.at, visit.at)


def _roads_as_they_are(
    question: DayQuestion, today: Sequence[DayVisit]
) -> dict[tuple[int, int], int]:
    """The roads that the day drives now, each with the minutes of its own hour."""
    found: dict[tuple[int, int], int] = {}
    here = question.starts_from
    for visit in today:
        if visit.place is None:
            continue
        if here is not None and here != visit.place:
            road = question.ways.road(here, visit.place, visit.at) + question.ways.buffer
            found[here, visit.place] = max(road, found.get((here, visit.place), 0))
        here = visit.place
    return found


def _road(question: DayQuestion, starts: dict[int, int]) -> Road:
    """What is driven with these starts; a road that is not known counts as in the search."""
    by_key = {visit.key: visit for visit in question.visits}
    keys = sorted(starts, key=lambda key: (starts[key], key))
    timed = [(by_key[key].stop, starts[key], starts[key] + by_key[key].minutes) for key in keys]
    road = driving_of(timed, question.start, question.end, question.book)
    if road.minutes is not None:
        return road
    place_of = {visit.key: visit.place for visit in question.day_visits}
    places = [question.starts_from, *(place_of.get(key) for key in keys), question.ends_at]
    known = [place for place in places if place is not None]
    minutes = sum(question.ways.road(a, b) for a, b in pairwise(known))
    return Road(road.km, minutes, "unknown")
