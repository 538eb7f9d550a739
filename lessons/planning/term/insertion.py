"""A timetable in the making: put a block in where it costs least, take one out, set times anew."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lessons.planning.term.problem import Weights
from lessons.planning.term.week import Routes, Visit, Week

NEVER = 10**9


class Spot(NamedTuple):
    """Where a block could come on a day: what it adds, and its start."""

    added: int
    start: int


NO_SPOT = Spot(NEVER, -1)


class Draft:
    """The days as they stand. ``day_of[block]`` is -1 for one that has no time yet."""

    def __init__(
        self,
        week: Week,
        weights: Weights,
        penalties: Sequence[Sequence[Mapping[int, int]]],
        routes: Routes | None = None,
    ) -> None:
        self.week, self.weights, self.penalties = week, weights, penalties
        count = len(week.days)
        self.routes = [list(route) for route in routes] if routes else [[] for _ in range(count)]
        self.day_of = [-1] * len(week.blocks)
        self.taught = [0] * count
        for day, route in enumerate(self.routes):
            for visit in route:
                self.day_of[visit.block] = day
                self.taught[day] += week.minutes[visit.block]
        self.near: dict[int, list[tuple[int, frozenset[tuple[int, int]]]]] = {}
        for apart in week.apart:
            mirrored = frozenset((b, a) for a, b in apart.near)
            self.near.setdefault(apart.first, []).append((apart.second, apart.near))
            self.near.setdefault(apart.second, []).append((apart.first, mirrored))

    def copied(self) -> Draft:
        """Return another draft that can be changed by itself."""
        other = object.__new__(Draft)
        other.week, other.weights, other.penalties = self.week, self.weights, self.penalties
        other.routes = [list(route) for route in self.routes]
        other.day_of, other.taught = list(self.day_of), list(self.taught)
        other.near = self.near
        return other

    def frozen(self) -> Routes:
        """Return the routes as a value."""
        return tuple(tuple(route) for route in self.routes)

    def left_out(self) -> list[int]:
        """Return the blocks without a time."""
        return [block for block, day in enumerate(self.day_of) if day < 0]

    def day_cost(self, day: int) -> int:
        """Return what one day costs."""
        driven, idle = self.week.route_minutes(day, self.routes[day])
        missed = sum(self.penalties[visit.block][day][visit.start] for visit in self.routes[day])
        return self.weights.drive * driven + self.weights.idle * idle + missed

    def put(self, block: int, day: int, start: int) -> None:
        """Put a block in."""
        route = self.routes[day]
        route.insert(bisect_left(route, (start, block)), Visit(start, block))
        self.day_of[block] = day
        self.taught[day] += self.week.minutes[block]

    def take(self, block: int) -> None:
        """Take a block out."""
        day = self.day_of[block]
        self.routes[day] = [visit for visit in self.routes[day] if visit.block != block]
        self.day_of[block] = -1
        self.taught[day] -= self.week.minutes[block]

    def spot(self, block: int, day: int) -> Spot:
        """Return the cheapest start of a block on a day, or NO_SPOT."""
        week = self.week
        starts = week.options[block][day]
        minutes = week.minutes[block]
        if not starts or self.taught[day] + minutes > week.days[day].most_minutes:
            return NO_SPOT
        for other, near in self.near.get(block, ()):
            if (day, self.day_of[other]) in near:
                return NO_SPOT
        latest = self._latest_end(day)
        best = NO_SPOT
        for start in starts:
            if start + minutes > latest:
                break
            added = self._added(block, day, start)
            if added < best.added and self._keeps_meal(block, day, start):
                best = Spot(added, start)
        return best

    def _latest_end(self, day: int) -> int:
        """When lessons of a day must be over: by the evening, if it may not become one."""
        begins = self.week.problem.evening_begins
        is_evening = [self.week.is_evening(route) for route in map(tuple, self.routes)]
        if is_evening[day] or sum(is_evening) < self.week.problem.most_evenings:
            return 24 * 60
        return begins

    def _added(self, block: int, day: int, start: int) -> int:
        week, weights, route = self.week, self.weights, self.routes[day]
        place, end = week.place[block], start + week.minutes[block]
        drive = week.drive
        at = bisect_left(route, (start, -1))
        penalty = self.penalties[block][day][start]
        came_from, goes_to = week.leaves_from[day], week.comes_to[day]
        idle = 0
        if at:
            before, other = route[at - 1]
            came_from = week.place[other]
            gap = start - before - week.minutes[other]
            if gap < week.need[came_from][place]:
                return NEVER
            idle += gap - drive[came_from][place]
        if at < len(route):
            after, other = route[at]
            goes_to = week.place[other]
            gap = after - end
            if gap < week.need[place][goes_to]:
                return NEVER
            idle += gap - drive[place][goes_to]
        driven = drive[came_from][place] + drive[place][goes_to]
        if route:
            driven -= drive[came_from][goes_to]
            if 0 < at < len(route):
                before, other = route[at - 1]
                gap = route[at].start - before - week.minutes[other]
                idle -= gap - drive[came_from][goes_to]
        return penalty + weights.drive * driven + weights.idle * idle

    def _keeps_meal(self, block: int, day: int, start: int) -> bool:
        if self.week.days[day].meal is None:
            return True
        return self.week.has_meal(day, sorted([*self.routes[day], Visit(start, block)]))

    def retime(self, day: int) -> None:
        """Give the day's visits, in their order, the starts that cost least."""
        route = self.routes[day]
        if len(route) < 2:
            return
        starts = self._best_starts(day)
        if starts is None:
            return
        anew = [Visit(start, visit.block) for start, visit in zip(starts, route, strict=True)]
        if self.week.has_meal(day, anew):
            self.routes[day] = anew

    def _best_starts(self, day: int) -> list[int] | None:
        """The cheapest starts for a settled order, each from the running best of the one before."""
        week, route, idle = self.week, self.routes[day], self.weights.idle
        latest = self._latest_end(day)
        ways: list[dict[int, tuple[int, int]]] = []
        for number, (_, block) in enumerate(route):
            penalties = self.penalties[block][day]
            row: dict[int, tuple[int, int]] = {}
            if number == 0:
                row = {start: (penalties[start], -1) for start in week.options[block][day]}
            else:
                other = route[number - 1].block
                there, here = week.place[other], week.place[block]
                least = week.minutes[other] + week.need[there][here]
                following = iter(ways[-1].items())
                waiting = next(following, None)
                best: tuple[int, int] | None = None
                for start in week.options[block][day]:
                    while waiting is not None and waiting[0] + least <= start:
                        so_far = (waiting[1][0] - idle * waiting[0], waiting[0])
                        best = so_far if best is None else min(best, so_far)
                        waiting = next(following, None)
                    if best is not None and start + week.minutes[block] <= latest:
                        row[start] = (best[0] + idle * start + penalties[start], best[1])
            if not row:
                return None
            ways.append(row)
        start = min(ways[-1], key=lambda one: (ways[-1][one][0], one))
        starts: list[int] = []
        for row in reversed(ways):
            starts.append(start)
            start = row[start][1]
        return starts[::-1]
