"""Who can have a time at all: blocks packed into the week, without asking in which order.

A 0/1 model for OR-Tools' CP-SAT: each block at one start or left out; at every minute at most one
lesson; after a lesson nobody elsewhere before the road is done; the days' limits, evenings, meals
and the distances between two lessons of one person. It says nothing of who follows whom. The road
between any two lessons is put in as what it takes at least, a lesson in between included; whatever
the model then allows that a day cannot keep is forbidden by a cut, and the model solved again. So
what it proves holds for the real days.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from lessons.planning.term.packing_limits import add_apart, add_limits
from lessons.planning.term.week import Route, Routes, Visit, Week

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Choice = tuple[int, int, int]
"""A block on a day (by number) at a start."""

MOST_CUTS = 80
SECONDS_TO_EXPLAIN = 4.0
_SECONDS_FOR_ALL = 3.0


@dataclass(frozen=True, slots=True)
class Packed:
    """A placement; ``out`` are the blocks without a time. Proven: no fewer can be left out.

    ``routes`` is None when nothing was found, which is a proof of impossibility if ``is_proven``.
    """

    routes: Routes | None
    out: tuple[int, ...]
    is_proven: bool


@dataclass(slots=True)
class PackingModel:
    """The model with its variables. ``guards`` switch the teacher's own limits on."""

    week: Week
    model: cp_model.CpModel
    chosen: dict[Choice, cp_model.IntVar]
    out: list[cp_model.IntVar]
    guards: dict[str, cp_model.IntVar]
    cuts: int = field(default=0)

    def routes(self, value: Any) -> Routes:
        """Return the days of a solution; ``value`` gives a variable's value."""
        days: list[list[Visit]] = [[] for _ in self.week.days]
        for (block, day, start), variable in self.chosen.items():
            if value(variable):
                days[day].append(Visit(start, block))
        return tuple(tuple(sorted(route)) for route in days)

    def cut(self, routes: Routes, limits: Collection[str]) -> bool:
        """Forbid every day of a solution that cannot be kept; return False if all can."""
        was = self.cuts
        for number, route in enumerate(routes):
            if roads_kept(self.week, number, route):
                if f"meal {number}" in limits and not self.week.has_meal(number, route):
                    self._forbid(number, route, [self.guards[f"meal {number}"]])
            else:
                self._forbid(number, route, [])
        return self.cuts > was

    def _forbid(self, number: int, route: Route, guards: list[cp_model.IntVar]) -> None:
        """Forbid exactly this day: another lesson in between may make another road of it."""
        if guards and _is_metric(self.week):
            self._forbid_round_meal(number, route, guards)
            return
        inside = [self.chosen[visit.block, number, visit.start] for visit in route]
        taken = {(visit.block, visit.start) for visit in route}
        others = [
            variable
            for (block, day, start), variable in self.chosen.items()
            if day == number and (block, start) not in taken
        ]
        constraint = self.model.add(sum(inside) - sum(others) <= len(inside) - 1)
        if guards:
            constraint.only_enforce_if(guards)
        self.cuts += 1

    def _forbid_round_meal(self, number: int, route: Route, guards: list[cp_model.IntVar]) -> None:
        """Forbid the few lessons that leave no room for the meal: one lesson more makes none."""
        few = list(route)
        for visit in route:
            fewer = [other for other in few if other != visit]
            if not self.week.has_meal(number, fewer):
                few = fewer
        row = [self.chosen[visit.block, number, visit.start] for visit in few]
        self.model.add(sum(row) <= len(row) - 1).only_enforce_if(guards)
        self.cuts += 1


def roads_kept(week: Week, number: int, route: Route) -> bool:
    """Return True if a day's roads are kept, whatever its limits."""
    for (start, block), (following, other) in pairwise(route):
        need = week.need[week.place[block]][week.place[other]]
        if start + week.minutes[block] + need > following:
            return False
    return True


def packing_model(week: Week, *, is_guarded: bool = False) -> PackingModel:
    """Return the model. When guarded, blocks and limits hold only under assumptions."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    chosen = {
        (block, day, start): model.new_bool_var(f"{block} {day} {start}")
        for block, days in enumerate(week.options)
        for day, starts in enumerate(days)
        for start in starts
    }
    out = [model.new_bool_var(f"out {block}") for block in range(len(week.blocks))]
    packing = PackingModel(week, model, chosen, out, {})
    of_block: list[list[cp_model.IntVar]] = [[variable] for variable in out]
    for (block, _, _), variable in chosen.items():
        of_block[block].append(variable)
    for block, row in enumerate(of_block):
        model.add_exactly_one(row)
        if week.blocks[block].is_fixed and not is_guarded:
            model.add(out[block] == 0)
    ways = _least_ways(week)
    for day in range(len(week.days)):
        for clique in _cliques(week, day, ways):
            model.add_at_most_one([chosen[choice] for choice in clique])
    add_apart(packing)
    add_limits(packing)
    if not is_guarded:
        for guard in packing.guards.values():
            model.add(guard == 1)
    return packing


def pack(week: Week, *, seconds: float, seed: int, known: Routes = ()) -> Packed:
    """Return a placement that leaves out as few lessons as can be.

    First it is tried to place everybody, which is mostly possible and then found much sooner; only
    else is it counted how few must be left out.

    :param seconds: the solver's own deterministic seconds
    :param known: days to begin from
    """
    if all(any(options) for options in week.options):
        everybody = packing_model(week)
        for variable in everybody.out:
            everybody.model.add(variable == 0)
        packed = solved(everybody, seconds=min(_SECONDS_FOR_ALL, seconds), seed=seed, effort=0)
        if packed.routes is not None:
            return packed
    packing = packing_model(week)
    have = {(visit.block, day, visit.start) for day, row in enumerate(known) for visit in row}
    for choice, variable in packing.chosen.items() if known else ():
        packing.model.add_hint(variable, choice in have)
    weight = [len(block.jobs) for block in week.blocks]
    objective = sum(w * variable for w, variable in zip(weight, packing.out, strict=True))
    packing.model.minimize(objective)
    return solved(packing, seconds=seconds, seed=seed, effort=2)


def solved(
    packing: PackingModel,
    *,
    seconds: float,
    seed: int,
    limits: Collection[str] | None = None,
    prices: Mapping[Choice, int] | None = None,
    effort: int = 1,
) -> Packed:
    """Solve, and cut what no day can keep, until all days can be kept.

    :param limits: the limits that hold; None: all
    :param prices: what some choices cost; the cheapest solution is looked for
    :param effort: how much of the model the solver hands to its linear part: 0 is best where only
        some solution is wanted, 2 where few must be left out (measured)
    """
    from ortools.sat.python import cp_model

    if prices is not None:
        packing.model.minimize(
            sum(price * packing.chosen[choice] for choice, price in prices.items())
        )
    is_proven = True
    for _ in range(MOST_CUTS):
        solver = cp_solver(seconds, seed)
        solver.parameters.linearization_level = effort
        status = solver.solve(packing.model)
        if status == cp_model.INFEASIBLE:
            return Packed(None, (), is_proven=True)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Packed(None, (), is_proven=False)
        is_proven = status == cp_model.OPTIMAL
        routes = packing.routes(solver.value)
        if not packing.cut(routes, packing.guards if limits is None else limits):
            out = tuple(b for b, variable in enumerate(packing.out) if solver.value(variable))
            return Packed(routes, out, is_proven)
    return Packed(None, (), is_proven=False)


def cp_solver(seconds: float, seed: int) -> cp_model.CpSolver:
    """Return a solver that answers the same every time: one worker, its own deterministic clock."""
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = seconds
    return solver


def _is_metric(week: Week) -> bool:
    return _least_ways(week) == [list(row) for row in week.need]


def _least_ways(week: Week) -> list[list[int]]:
    """Least minutes between two lessons, with other lessons in between or without."""
    shortest: dict[int, int] = {}
    for place, minutes in zip(week.place, week.minutes, strict=True):
        shortest[place] = min(minutes, shortest.get(place, minutes))
    ways = [list(row) for row in week.need]
    for middle, minutes in shortest.items():
        for here in range(len(ways)):
            for there in range(len(ways)):
                round_about = ways[here][middle] + minutes + ways[middle][there]
                ways[here][there] = min(ways[here][there], round_about)
    return ways


def _cliques(week: Week, day: int, ways: list[list[int]]) -> Iterator[list[Choice]]:
    """Sets of choices of a day of which at most one can be: lessons at once, roads too short."""
    choices = [
        (block, day, start) for block, days in enumerate(week.options) for start in days[day]
    ]
    by_place: dict[int, list[Choice]] = {}
    for choice in choices:
        by_place.setdefault(week.place[choice[0]], []).append(choice)
    moments = {start for _, _, start in choices}
    for moment in sorted(moments | {start + week.minutes[block] for block, _, start in choices}):
        running = [c for c in choices if c[2] <= moment < c[2] + week.minutes[c[0]]]
        if len(running) > 1:
            yield running
        # Lessons that ran until now, or still do, exclude one another; each excludes a start
        # elsewhere before its road is done.
        until = [c for c in choices if c[2] < moment <= c[2] + week.minutes[c[0]]]
        for place, row in by_place.items():
            yield from _road_cliques(week, moment, until, place, row, ways)


def _road_cliques(
    week: Week,
    moment: int,
    until: list[Choice],
    place: int,
    row: list[Choice],
    ways: list[list[int]],
) -> Iterator[list[Choice]]:
    """Lessons that end at the moment or later, with the starts at a place that come too soon."""
    shortest = min(week.minutes[choice[0]] for choice in row)
    for last in sorted({start for _, _, start in row if start >= moment}):
        before = [
            choice
            for choice in until
            if choice[2] + week.minutes[choice[0]] + ways[week.place[choice[0]]][place] > last
        ]
        if not before:
            return
        # Starts less than the shortest lesson apart exclude one another too.
        first = max(moment, last - shortest + 1)
        yield before + [choice for choice in row if first <= choice[2] <= last]
