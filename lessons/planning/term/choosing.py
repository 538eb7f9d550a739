"""Whole days chosen: dives from the linear master to a timetable, and the best of all columns."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lessons.planning.term.columns import DEAR, LEVELS, Master
from lessons.planning.term.pricing import Meter
from lessons.planning.term.week import Route, Routes


def dived(master: Master, meter: Meter, *, skip: int) -> Routes | None:
    """Fix one day after another where the master leans to, pricing anew; None if it got stuck.

    :param skip: on the way down, pass over this many of the first choices, for variety
    """
    prices = master.solve()
    try:
        while not meter.is_out():
            values = master.values()
            settled = {master.columns[column].day for column in master.fixed}
            row = sorted(
                (-value, column)
                for column, value in enumerate(values)
                if value > 1e-6 and master.columns[column].day not in settled
            )
            if not row:
                return _taken(master) if prices.value < DEAR else None
            split = [one for one in row if one[0] > -1 + 1e-6]
            choice = split[min(skip, len(split) - 1)] if skip and split else row[0]
            skip = 0
            master.fix(choice[1])
            prices = master.solve()
            for _ in range(4):
                added, _, _ = master.price_all(prices, LEVELS[0], meter)
                if not added:
                    break
                prices = master.solve()
        return None
    finally:
        master.free()


def _taken(master: Master) -> Routes:
    routes: list[Route] = [() for _ in master.week.days]
    for column in master.fixed:
        routes[master.columns[column].day] = master.columns[column].route
    return tuple(routes)


def chosen(master: Master, best: Routes, best_cost: int, *, seconds: float, seed: int) -> Routes:
    """Return the best choice of whole columns (CP-SAT), starting from the best that is known.

    Columns whose reduced cost alone lifts the bound above the best cost cannot be in a better one.
    """
    from ortools.sat.python import cp_model

    from lessons.planning.term.packing import cp_solver

    prices = master.solve()
    floor = min(prices.value, master.bound if master.bound is not None else -1e18)
    reduced = master.reduced_costs()
    hint = {(day, route) for day, route in enumerate(best)}
    keep = [
        number
        for number, column in enumerate(master.columns)
        if floor + reduced[number] < best_cost or (column.day, column.route) in hint
    ]
    model = cp_model.CpModel()
    take = {number: model.new_bool_var("") for number in keep}
    out = [model.new_bool_var("") for _ in master.week.blocks]
    _choice_rows(master, model, take, out)
    for number in keep:
        model.add_hint(
            take[number], (master.columns[number].day, master.columns[number].route) in hint
        )
    model.minimize(sum(master.columns[number].cost * take[number] for number in keep))
    solver = cp_solver(seconds, seed)
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return best
    routes: list[Route] = [() for _ in master.week.days]
    for number in keep:
        if solver.value(take[number]):
            routes[master.columns[number].day] = master.columns[number].route
    return tuple(routes)


def _choice_rows(master: Master, model: Any, take: Mapping[int, Any], out: Sequence[Any]) -> None:
    week = master.week
    for number, block in enumerate(week.blocks):
        row = [
            variable
            for column, variable in take.items()
            if any(visit.block == number for visit in master.columns[column].route)
        ]
        model.add_exactly_one([*row, out[number]])
        if block.is_fixed:
            model.add(out[number] == 0)
    model.add(
        sum(len(block.jobs) * one for block, one in zip(week.blocks, out, strict=True))
        <= master.most_out
    )
    for day in range(len(week.days)):
        model.add_at_most_one([v for c, v in take.items() if master.columns[c].day == day])
    late = [v for c, v in take.items() if week.is_evening(master.columns[c].route)]
    model.add(sum(late) <= week.problem.most_evenings)
    for apart in week.apart:
        for day in sorted({day for day, _ in apart.near}):
            near = {other for one, other in apart.near if one == day}
            model.add(
                sum(_with(master, take, apart.first, {day}))
                + sum(_with(master, take, apart.second, near))
                <= 1
            )


def _with(master: Master, take: Mapping[int, Any], block: int, days: Iterable[int]) -> list[Any]:
    days = set(days)
    return [
        variable
        for column, variable in take.items()
        if master.columns[column].day in days
        and any(visit.block == block for visit in master.columns[column].route)
    ]
