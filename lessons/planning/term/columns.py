"""Whole days to choose from: the linear master problem, its prices, and the bound they prove.

Every column is one day's route. The master (linear, OR-Tools' GLOP) takes each lesson once and at
most one route a day; its dual prices tell the pricer what each lesson is worth. When no day has a
route left below zero, the master's value is a lower bound on every timetable's cost; before that,
the value plus each day's least reduced cost is one (the Lagrangian bound), so there is always
something proven to say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from lessons.planning.term.pricing import ALL, DayPricer, Meter
from lessons.planning.term.problem import Weights
from lessons.planning.term.week import Route, Week

if TYPE_CHECKING:
    from ortools.linear_solver import pywraplp

DEAR = 20_000.0
LEVELS = (3, 12, 60, ALL)
# The last half per cent of the bound costs more time than all before it (measured).
_CLOSE = 0.006


@dataclass(frozen=True, slots=True)
class Column:
    """One day's route and its cost."""

    day: int
    route: Route
    cost: int


@dataclass(frozen=True, slots=True)
class _Prices:
    """Dual prices: by block, by day, of an evening, and of the two sides of each keep-apart row."""

    value: float
    block: Sequence[float]
    day: Sequence[float]
    evening: float
    apart: Sequence[tuple[int, int, float]]


class Master:
    """The linear master problem; columns are added as they are found."""

    def __init__(
        self,
        week: Week,
        weights: Weights,
        penalties: Sequence[Sequence[Mapping[int, int]]],
        most_out: int,
    ) -> None:
        from ortools.linear_solver import pywraplp

        self.week, self.weights, self.penalties = week, weights, penalties
        self.most_out = most_out
        self.columns: list[Column] = []
        self.variables: list[Any] = []
        self.known: set[tuple[int, Route]] = set()
        self.fixed: list[int] = []
        self.bound: float | None = None
        self.pricers = [DayPricer(week, day, weights, penalties) for day in range(len(week.days))]
        self.solver: pywraplp.Solver = pywraplp.Solver.CreateSolver("GLOP")
        self._rows()

    def _rows(self) -> None:
        solver, infinity = self.solver, self.solver.infinity()
        self.objective = solver.Objective()
        self.objective.SetMinimization()
        self.cover = [solver.Constraint(1, 1) for _ in self.week.blocks]
        self.one_a_day = [solver.Constraint(-infinity, 1) for _ in self.week.days]
        self.evenings = solver.Constraint(-infinity, self.week.problem.most_evenings)
        self.outside = solver.Constraint(-infinity, self.most_out)
        self.apart_rows = [
            (apart, day, solver.Constraint(-infinity, 1))
            for apart in self.week.apart
            for day in sorted({day for day, _ in apart.near})
        ]
        for block, row in zip(self.week.blocks, self.cover, strict=True):
            if not block.is_fixed:
                out = solver.NumVar(0, 1, "")
                row.SetCoefficient(out, 1)
                self.outside.SetCoefficient(out, len(block.jobs))
            dear = solver.NumVar(0, infinity, "")
            row.SetCoefficient(dear, 1)
            self.objective.SetCoefficient(dear, DEAR)

    def add(self, day: int, route: Route) -> bool:
        """Add a route; return False if it is known already."""
        if (day, route) in self.known or not route:
            return False
        self.known.add((day, route))
        driven, idle = self.week.route_minutes(day, route)
        cost = self.weights.drive * driven + self.weights.idle * idle
        cost += sum(self.penalties[visit.block][day][visit.start] for visit in route)
        variable = self.solver.NumVar(0, self.solver.infinity(), "")
        self.objective.SetCoefficient(variable, cost)
        blocks = {visit.block for visit in route}
        for block in blocks:
            self.cover[block].SetCoefficient(variable, 1)
        self.one_a_day[day].SetCoefficient(variable, 1)
        if self.week.is_evening(route):
            self.evenings.SetCoefficient(variable, 1)
        for apart, near_day, row in self.apart_rows:
            is_first = apart.first in blocks and day == near_day
            is_second = apart.second in blocks and (near_day, day) in apart.near
            if is_first or is_second:
                row.SetCoefficient(variable, int(is_first) + int(is_second))
        self.columns.append(Column(day, route, cost))
        self.variables.append(variable)
        return True

    def solve(self) -> _Prices:
        """Solve the master as it is and return its prices."""
        self.solver.Solve()
        apart = []
        for one, day, row in self.apart_rows:
            dual = min(0.0, row.dual_value())
            if dual:
                apart.append((one.first, day, dual))
                apart += [(one.second, other, dual) for first, other in one.near if first == day]
        return _Prices(
            self.objective.Value(),
            [row.dual_value() for row in self.cover],
            [min(0.0, row.dual_value()) for row in self.one_a_day],
            max(0.0, -self.evenings.dual_value()),
            apart,
        )

    def values(self) -> list[float]:
        """Return how much of each column the last solution takes."""
        return [variable.solution_value() for variable in self.variables]

    def reduced_costs(self) -> list[float]:
        """Return each column's reduced cost in the last solution."""
        return [variable.reduced_cost() for variable in self.variables]

    def fix(self, column: int) -> None:
        """Take a column for good, until :meth:`free`."""
        self.variables[column].SetLb(1)
        self.fixed.append(column)

    def free(self) -> None:
        """Let all columns go."""
        for column in self.fixed:
            self.variables[column].SetLb(0)
        self.fixed = []

    def price_all(
        self,
        prices: _Prices,
        kept: int,
        meter: Meter,
        *,
        below: float = -1e-6,
        most: int = 24,
    ) -> tuple[int, float, bool]:
        """Add routes for every day; return how many, the sum of least costs, and if exact."""
        settled = {self.columns[column].day for column in self.fixed}
        taken = {visit.block for column in self.fixed for visit in self.columns[column].route}
        added, total, is_exact = 0, 0.0, True
        for day, pricer in enumerate(self.pricers):
            if day in settled:
                continue
            gains = list(prices.block)
            for block, near_day, dual in prices.apart:
                if near_day == day:
                    gains[block] += dual
            for block in taken:
                gains[block] = -1e9
            found = pricer.price(
                gains,
                evening=prices.evening,
                fixed_price=-prices.day[day],
                kept=kept,
                most=most,
                below=below,
                meter=meter,
            )
            total += found.least
            is_exact &= found.is_exact
            added += sum(self.add(day, route) for _, route in found.routes)
        return added, total, is_exact

    def generate(self, meter: Meter) -> _Prices:
        """Add columns until none helps, or there is no more to spend; keep the best bound."""
        level = 0
        prices = self.solve()
        while not meter.is_out():
            added, total, is_exact = self.price_all(prices, LEVELS[level], meter)
            if is_exact:
                bound = prices.value + total
                self.bound = bound if self.bound is None else max(self.bound, bound)
                if prices.value - self.bound <= _CLOSE * max(1.0, prices.value):
                    break
            if added:
                prices = self.solve()
                level = min(level, len(LEVELS) - 2)
            elif level + 1 < len(LEVELS):
                level += 1
            else:
                break
        return prices
