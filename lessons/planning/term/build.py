"""A term's timetable from its question: place everybody, then make three plans of it.

First who can have a time at all (:mod:`.placing`), then for each weight of a changed lesson the
best plan that can be found with its own lower bound (:mod:`.improving`), each looked at by the
:mod:`.checker`, and for whoever has no time the reason (:mod:`.explaining`). Run it in a worker
process: OR-Tools is imported on the way, where it is installed. The same question, budget and seed
give the same answer on the same versions, unless the safety net of the clock cut in, which the
answer then says.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from lessons.planning.term.candidates import problem_check, static_reason
from lessons.planning.term.checker import PlanBroken, breaches, measured
from lessons.planning.term.improving import Improved, improved
from lessons.planning.term.placing import Placement, has_solver, placed_most
from lessons.planning.term.problem import (
    PLAN_CHANGES,
    Budget,
    TermAnswer,
    TermPlan,
    TermProblem,
    TermProgress,
    TermRefused,
    TermStopped,
    Unplaced,
)
from lessons.planning.term.week import Route, Routes, Visit, Week, week_of

NO_SOLVER = (
    "OR-Tools is not installed, so this was searched without it: somebody may be left out who "
    "could have a time, and nothing is known of how much better a plan could be."
)
BY_CLOCK = "The clock stopped the search before its end: another run may give another timetable."
_TOTAL = 1000


@dataclass(slots=True)
class _Watch:
    """Tells how far it is, listens for a stop, and keeps the safety net."""

    progress: Callable[[TermProgress], None]
    is_stopped: Callable[[], bool]
    ends_at: float
    was_late: bool = False
    done: int = 0
    part: tuple[int, int] = (0, _TOTAL)
    title: str = ""

    def enter(self, begin: int, end: int, title: str) -> None:
        self.part, self.title = (begin, end), title
        self.tell(0.0, "")

    def is_late(self) -> bool:
        if self.is_stopped():
            raise TermStopped
        if time.monotonic() > self.ends_at:
            self.was_late = True
        return self.was_late

    def tell(self, share: float, words: str) -> None:
        if self.is_stopped():
            raise TermStopped
        begin, end = self.part
        self.done = max(self.done, round(begin + share * (end - begin)))
        text = f"{self.title}: {words}" if words else self.title
        self.progress(TermProgress(self.done, _TOTAL, text))

    def look(self, _: int) -> bool:
        self.tell(0.0, "")
        return not self.is_late()


def build_term(
    problem: TermProblem,
    *,
    tell: Callable[[TermProgress], None],
    is_stopped: Callable[[], bool],
    budget: Budget,
    seed: int = 0,
) -> TermAnswer:
    """Return up to three timetables, from the one that keeps nearly all to the least driving.

    :param tell: told how far it is, many times a second; whatever it raises ends the work
    :param is_stopped: asked as often
    :raises TermRefused: when the question cannot be right, in words
    :raises TermStopped: when ``is_stopped`` said so
    """
    problem_check(problem)
    is_solving = budget.is_solver_wanted and has_solver()
    watch = _Watch(tell, is_stopped, time.monotonic() + budget.wall_seconds)
    watch.enter(0, 150, "Finding a time for everybody")
    placement = _placement(problem, budget, seed, is_solving=is_solving, watch=watch)
    plans = _plans(problem, placement, budget, seed, is_solving=is_solving, watch=watch)
    watch.enter(900, 990, "Finding out what would help")
    unplaced = _explained(problem, placement, is_solving=is_solving, watch=watch, seed=seed)
    watch.enter(_TOTAL, _TOTAL, "Done")
    words = list(placement.words)
    if not is_solving:
        words.append(NO_SOLVER)
    if watch.was_late:
        words.append(BY_CLOCK)
    return TermAnswer(
        plans=plans,
        unplaced=unplaced,
        is_placement_proven=placement.is_proven,
        has_solver=is_solving,
        stopped_by_clock=watch.was_late,
        seed=seed,
        words=tuple(words),
    )


def _placement(
    problem: TermProblem, budget: Budget, seed: int, *, is_solving: bool, watch: _Watch
) -> Placement:
    """Place the most; the settled ones must all be among them."""
    alone = replace(problem, jobs=tuple(replace(job, siblings="") for job in problem.jobs))
    for question in (problem, alone):
        placement = placed_most(
            question, budget=budget, seed=seed, is_solving=is_solving, look=watch.look
        )
        if not any(placement.week.blocks[block].is_fixed for block in placement.out):
            return placement
    names = [
        placement.week.blocks[block].name
        for block in placement.out
        if placement.week.blocks[block].is_fixed
    ]
    raise TermRefused(
        f"The settled time of {', '.join(names)} cannot be kept beside the other settled ones. "
        "Nothing was changed: let one of them go, then build again."
    )


def _plans(
    problem: TermProblem,
    placement: Placement,
    budget: Budget,
    seed: int,
    *,
    is_solving: bool,
    watch: _Watch,
) -> tuple[TermPlan, ...]:
    """Make the three plans, each from the best days of those before; equal ones once."""
    week, routes = _without(placement)
    found: list[TermPlan] = []
    starts: list[Routes] = [routes]
    known: tuple[tuple[int, Route], ...] = ()
    changes = PLAN_CHANGES if any(job.present for job in problem.jobs) else PLAN_CHANGES[-1:]
    told = _so_far(problem, week)
    for number, (name, changed) in enumerate(changes):
        begin = 150 + number * 750 // len(changes)
        title = f"{told}; plan {number + 1} of {len(changes)}"
        watch.enter(begin, begin + 750 // len(changes), title)
        weights = replace(problem.weights, changed=changed)
        result = improved(
            week, weights, starts, known,
            budget=budget, seed=seed, is_solving=is_solving, watch=watch,
        )  # fmt: skip
        starts.append(result.routes)
        known = result.known
        plan = _plan(problem, placement, week, result, name, changed, seed, watch)
        told = _so_far(problem, week, plan)
        if all(set(plan.placed) != set(other.placed) for other in found):
            found.append(plan)
    return tuple(found)


def _so_far(problem: TermProblem, week: Week, plan: TermPlan | None = None) -> str:
    """How many have a time, and what the plan just made drives, in words."""
    wanted = sum(not job.is_fixed for job in problem.jobs)
    placed = sum(not job.is_fixed for block in week.blocks for job in block.jobs)
    words = f"Placed {placed} of {wanted}"
    if plan is not None:
        words += f", {plan.driving} min driving"
    if plan is not None and plan.gap is not None:
        words += f", {100 * plan.gap:.1f} % from the best at most"
    return words


def _without(placement: Placement) -> tuple[Week, Routes]:
    """Return the week of those who have a time, so that every plan places the same people."""
    week = placement.week
    if not placement.out:
        return week, placement.routes
    kept = [block for block in range(len(week.blocks)) if block not in placement.out]
    number = {block: at for at, block in enumerate(kept)}
    routes = tuple(
        tuple(sorted(Visit(visit.start, number[visit.block]) for visit in route))
        for route in placement.routes
    )
    return week_of(week.problem, [week.blocks[block] for block in kept]), routes


def _plan(
    problem: TermProblem,
    placement: Placement,
    week: Week,
    result: Improved,
    name: str,
    changed: int,
    seed: int,
    watch: _Watch,
) -> TermPlan:
    placed = tuple(week.lessons(result.routes))
    broken = breaches(problem, placed)
    if broken:
        raise PlanBroken("; ".join(broken))
    numbers = measured(problem, placed)
    bound = result.bound
    # A bound that rounding lifted above the cost says no more than the cost itself.
    gap = None if bound is None else max(0.0, result.cost - bound) / max(1, result.cost)
    return TermPlan(
        name=name,
        changed_weight=changed,
        placed=placed,
        driving=numbers.driving,
        idle=numbers.idle,
        missed=numbers.missed,
        changed=numbers.changed,
        cost=result.cost,
        lower_bound=bound,
        gap=gap,
        is_placement_proven=placement.is_proven,
        stopped_by_clock=watch.was_late,
        seed=seed,
        words=_words(problem, len(placed), gap, placement, watch),
    )


def _words(
    problem: TermProblem, count: int, gap: float | None, placement: Placement, watch: _Watch
) -> tuple[str, ...]:
    total = len(problem.jobs)
    if count == total:
        first = f"All {total} lessons have a time."
    elif placement.is_proven:
        first = f"{count} of {total} lessons have a time; no timetable has more."
    else:
        first = f"{count} of {total} lessons have a time; that no more fit is not proven."
    words = [first]
    if gap is not None and gap < 0.0005:
        words.append("No timetable of these lessons is better by these weights.")
    elif gap is not None:
        words.append(f"No timetable of these lessons is better by more than {100 * gap:.1f} %.")
    if watch.was_late:
        words.append(BY_CLOCK)
    return tuple(words)


def _explained(
    problem: TermProblem, placement: Placement, *, is_solving: bool, watch: _Watch, seed: int
) -> tuple[Unplaced, ...]:
    answers: list[Unplaced] = []
    for block in placement.out:
        watch.tell(len(answers) / len(placement.out), placement.week.blocks[block].name)
        for job in placement.week.blocks[block].jobs:
            reason = static_reason(job, problem)
            if not is_solving or watch.is_late():
                words = reason or f"No time was found for {job.name} beside the others."
                answers.append(Unplaced(job.key, words))
                continue
            from lessons.planning.term.explaining import explained

            answers.append(explained(problem, placement, block, job, why=reason, seed=seed))
    return tuple(answers)
