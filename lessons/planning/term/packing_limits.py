"""What the packing model knows of limits: days apart, minutes, evenings and meals."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lessons.planning.term.problem import Meal

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from lessons.planning.term.packing import PackingModel


def add_apart(packing: PackingModel) -> None:
    """At most one of: the first lesson on a day, the second on a day too near that one."""
    for apart in packing.week.apart:
        for day in sorted({day for day, _ in apart.near}):
            near = {other for one, other in apart.near if one == day}
            first = [v for (b, d, _), v in packing.chosen.items() if (b, d) == (apart.first, day)]
            second = [
                v for (b, d, _), v in packing.chosen.items() if b == apart.second and d in near
            ]
            packing.model.add_at_most_one(first + second)


def add_limits(packing: PackingModel) -> None:
    """The teacher's own: minutes a day, evenings a week, meals; each behind its guard."""
    week, model = packing.week, packing.model
    evenings = []
    for number, day in enumerate(week.days):
        row = [(b, s, v) for (b, d, s), v in packing.chosen.items() if d == number]
        if sum(week.minutes[b] for b in {b for b, _, _ in row}) > day.most_minutes:
            guard = packing.guards[f"minutes {number}"] = model.new_bool_var(f"minutes {number}")
            taught = sum(week.minutes[b] * v for b, _, v in row)
            model.add(taught <= day.most_minutes).only_enforce_if(guard)
        late = [v for b, s, v in row if s + week.minutes[b] > week.problem.evening_begins]
        if late:
            evening = model.new_bool_var(f"evening {number}")
            for variable in late:
                model.add_implication(variable, evening)
            evenings.append(evening)
        if day.meal is not None:
            _add_meal(packing, number, day.meal, row)
    if len(evenings) > week.problem.most_evenings:
        guard = packing.guards["evenings"] = model.new_bool_var("evenings")
        model.add(sum(evenings) <= week.problem.most_evenings).only_enforce_if(guard)


def _add_meal(
    packing: PackingModel, number: int, meal: Meal, row: list[tuple[int, int, cp_model.IntVar]]
) -> None:
    week = packing.week
    guard = packing.guards[f"meal {number}"] = packing.model.new_bool_var(f"meal {number}")
    last = meal.ends - meal.minutes
    # A meal can be shifted to its earliest: as the window opens, or when a lesson or a road ends.
    # Without roads it is enough to try the ends of lessons; roads are what the cuts see to.
    moments = {meal.begins} | {
        start + week.minutes[block]
        for block, start, _ in row
        if meal.begins <= start + week.minutes[block] <= last
    }
    eaten = {m: packing.model.new_bool_var(f"meal {number} {m}") for m in sorted(moments)}
    packing.model.add_bool_or([*eaten.values(), guard.negated()])
    for moment, variable in eaten.items():
        for block, start, choice in row:
            if start < moment + meal.minutes and moment < start + week.minutes[block]:
                packing.model.add_at_most_one([variable, choice])
