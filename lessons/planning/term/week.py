"""A term's problem made ready for searching: blocks, days and roads by number, plain integers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from lessons.planning.term.blocks import Block
from lessons.planning.term.problem import Day, Meal, Placed, Start, TermProblem, Weights


class Visit(NamedTuple):
    """A block at a start of a day that is known from where it stands."""

    start: int
    block: int


Route = tuple[Visit, ...]
"""One day's visits in order of time."""

Routes = tuple[Route, ...]
"""A route for each day, in the order of the week's days."""


@dataclass(frozen=True, slots=True)
class Apart:
    """Two blocks of one person, and the pairs of days that are too near one another."""

    first: int
    second: int
    near: frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Week:
    """The problem by numbers.

    ``drive`` and ``need`` are tables of minutes by place: at the wheel, and between two lessons.
    The last place is nowhere in particular, from and to which no road counts. ``options[b][d]``
    are the starts of block b on day d.
    """

    problem: TermProblem
    blocks: tuple[Block, ...]
    days: tuple[Day, ...]
    minutes: tuple[int, ...]
    place: tuple[int, ...]
    options: tuple[tuple[tuple[int, ...], ...], ...]
    drive: tuple[tuple[int, ...], ...]
    need: tuple[tuple[int, ...], ...]
    leaves_from: tuple[int, ...]
    comes_to: tuple[int, ...]
    apart: tuple[Apart, ...]

    def penalties(self, weights: Weights) -> list[list[dict[int, int]]]:
        """Return what missed wishes and changes cost, by block, day and start."""
        table = []
        for block, per_day in zip(self.blocks, self.options, strict=True):
            row = []
            for day, starts in zip(self.days, per_day, strict=True):
                options = [block.options[Start(day.weekday, start)] for start in starts]
                row.append(
                    {
                        start: option.missed * weights.missed + option.changed * weights.changed
                        for start, option in zip(starts, options, strict=True)
                    }
                )
            table.append(row)
        return table

    def route_minutes(self, number: int, route: Sequence[Visit]) -> tuple[int, int]:
        """Return the minutes driven and idle of a day."""
        if not route:
            return 0, 0
        places = [self.place[visit.block] for visit in route]
        driven = self.drive[self.leaves_from[number]][places[0]]
        driven += self.drive[places[-1]][self.comes_to[number]]
        idle = 0
        for (start, block), (following, other) in pairwise(route):
            road = self.drive[self.place[block]][self.place[other]]
            driven += road
            idle += following - start - self.minutes[block] - road
        return driven, idle

    def is_kept(self, number: int, route: Sequence[Visit]) -> bool:
        """Return True if a day's route keeps the roads, the day's limit and the meal."""
        day = self.days[number]
        if sum(self.minutes[visit.block] for visit in route) > day.most_minutes:
            return False
        for (start, block), (following, other) in pairwise(route):
            need = self.need[self.place[block]][self.place[other]]
            if start + self.minutes[block] + need > following:
                return False
        return day.meal is None or self.has_meal(number, route)

    def has_meal(self, number: int, route: Sequence[Visit]) -> bool:
        """Return True if the meal fits before, between or after the day's lessons."""
        meal = self.days[number].meal
        if meal is None or not route:
            return True
        first, last = route[0], route[-1]
        road = self.drive[self.leaves_from[number]][self.place[first.block]]
        if meal.begins + meal.minutes <= min(meal.ends, first.start - road):
            return True
        if fits_after(meal, last.start + self.minutes[last.block]):
            return True
        return any(
            meal_fits(
                meal,
                start + self.minutes[block],
                following,
                self.need[self.place[block]][self.place[other]],
            )
            for (start, block), (following, other) in pairwise(route)
        )

    def is_evening(self, route: Sequence[Visit]) -> bool:
        """Return True if the day's last lesson ends in the evening."""
        if not route:
            return False
        start, block = route[-1]
        return start + self.minutes[block] > self.problem.evening_begins

    def is_whole_kept(self, routes: Routes) -> bool:
        """Return True if all days, the evenings and the distances between lessons are kept."""
        if not all(self.is_kept(number, route) for number, route in enumerate(routes)):
            return False
        if sum(map(self.is_evening, routes)) > self.problem.most_evenings:
            return False
        at = {visit.block: number for number, route in enumerate(routes) for visit in route}
        return all(
            (at.get(apart.first, -1), at.get(apart.second, -1)) not in apart.near
            for apart in self.apart
        )

    def lessons(self, routes: Routes) -> list[Placed]:
        """Return the lessons of the routes, by weekday, start, week and key."""
        found: list[Placed] = []
        for day, route in zip(self.days, routes, strict=True):
            for start, block in route:
                found += self.blocks[block].options[Start(day.weekday, start)].lessons
        return sorted(found, key=lambda one: (one.weekday, one.start, one.week, one.key))


def meal_fits(meal: Meal, end: int, following: int, road: int) -> bool:
    """Return True if the meal fits between two lessons, before the road or after it."""
    before = max(end, meal.begins) + meal.minutes <= min(following - road, meal.ends)
    return before or max(end + road, meal.begins) + meal.minutes <= min(following, meal.ends)


def fits_after(meal: Meal, end: int) -> bool:
    """Return True if the meal still fits after the last lesson, where it ended."""
    return max(end, meal.begins) + meal.minutes <= meal.ends


def cost(
    week: Week, weights: Weights, penalties: Sequence[Sequence[Mapping[int, int]]], routes: Routes
) -> int:
    """Return what a plan costs, lessons without a time not counted."""
    total = 0
    for number, route in enumerate(routes):
        driven, idle = week.route_minutes(number, route)
        total += weights.drive * driven + weights.idle * idle
        total += sum(penalties[visit.block][number][visit.start] for visit in route)
    return total


def week_of(problem: TermProblem, blocks: Iterable[Block]) -> Week:
    """Return the problem by numbers. Blocks that have no start at all stay in, without options."""
    row = tuple(blocks)
    days = tuple(sorted(problem.days, key=lambda day: day.weekday))
    known = {block.place for block in row}
    for day in days:
        known |= {place for place in (day.starts_from, day.ends_at) if place is not None}
    number = {place: at for at, place in enumerate(sorted(known))}
    drive = _table(problem, sorted(known), buffer=0)
    options = tuple(
        tuple(
            tuple(start.minute for start in sorted(block.options) if start.weekday == day.weekday)
            for day in days
        )
        for block in row
    )
    nowhere = len(known)
    return Week(
        problem=problem,
        blocks=row,
        days=days,
        minutes=tuple(block.minutes for block in row),
        place=tuple(number[block.place] for block in row),
        options=options,
        drive=drive,
        need=_table(problem, sorted(known), buffer=problem.buffer),
        leaves_from=tuple(_numbered(number, day.starts_from, nowhere) for day in days),
        comes_to=tuple(_numbered(number, day.ends_at, nowhere) for day in days),
        apart=_aparts(row, days),
    )


def with_block(week: Week, number: int, block: Block) -> Week:
    """Return the week with another block, of the same length and place, instead of one."""
    return week_of(week.problem, (*week.blocks[:number], block, *week.blocks[number + 1 :]))


def _numbered(number: Mapping[int, int], place: int | None, nowhere: int) -> int:
    return nowhere if place is None else number[place]


def _table(
    problem: TermProblem, places: Sequence[int], *, buffer: int
) -> tuple[tuple[int, ...], ...]:
    rows = []
    for here in places:
        roads = [0 if here == there else problem.roads[here, there] for there in places]
        rows.append((*(road + buffer if road else 0 for road in roads), 0))
    return (*rows, (0,) * (len(places) + 1))


def _aparts(blocks: Sequence[Block], days: Sequence[Day]) -> tuple[Apart, ...]:
    """Every two blocks of one person, with the pairs of days that lie too near."""
    found = []
    for first, block in enumerate(blocks):
        for second in range(first + 1, len(blocks)):
            least = _least_between(block, blocks[second])
            near = frozenset(
                (a, b)
                for a, one in enumerate(days)
                for b, other in enumerate(days)
                if _days_between(one.weekday, other.weekday) < least
            )
            if near:
                found.append(Apart(first, second, near))
    return tuple(found)


def _least_between(a: Block, b: Block) -> int:
    return max(
        (
            max(one.least_days_between, other.least_days_between)
            for one in a.jobs
            for other in b.jobs
            if one.student and one.student == other.student
        ),
        default=0,
    )


def _days_between(a: int, b: int) -> int:
    """Days from one to the other, over the end of the week too where that is nearer."""
    return min(abs(a - b), 7 - abs(a - b))
