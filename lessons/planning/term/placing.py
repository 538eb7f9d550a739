"""Everybody first: which lessons can have a time at all, before any of them gets a good one."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from dataclasses import dataclass, replace

from lessons.planning.term.blocks import blocks_of
from lessons.planning.term.problem import Budget, Job, TermProblem
from lessons.planning.term.search import searched
from lessons.planning.term.week import Routes, Week, week_of

_QUICK_ROUNDS = 200
_ROUNDS_WITHOUT_SOLVER = 4
_SHARES = (0.5, 0.0, None)


@dataclass(frozen=True, slots=True)
class Placement:
    """A week, days that place what can be placed in it, and the blocks that are left out."""

    week: Week
    routes: Routes
    out: tuple[int, ...]
    is_proven: bool
    words: tuple[str, ...] = ()

    @property
    def lessons_out(self) -> int:
        """How many lessons have no time."""
        return sum(len(self.week.blocks[block].jobs) for block in self.out)


def has_solver() -> bool:
    """Return True if OR-Tools is installed; it is not imported for that."""
    return importlib.util.find_spec("ortools") is not None


def placed_most(
    problem: TermProblem,
    *,
    budget: Budget,
    seed: int,
    is_solving: bool,
    look: Callable[[int], bool] = lambda _: True,
) -> Placement:
    """Return the placement that leaves out the fewest lessons, first with every wish kept.

    Lessons of alternating weeks share times in up to three ways; days between two lessons of one
    person are given up, and that is said, only when somebody has no time otherwise.
    """
    best = _best_sharing(problem, budget, seed, is_solving=is_solving, look=look)
    if not best.out or not best.week.apart:
        return best
    soft = replace(problem, jobs=tuple(_any_other_day(job) for job in problem.jobs))
    other = _best_sharing(soft, budget, seed, is_solving=is_solving, look=look)
    if other.lessons_out >= best.lessons_out:
        return best
    words = "Two lessons of one student come nearer to each other than was wished: else fewer fit."
    return replace(other, words=(*other.words, words))


def _any_other_day(job: Job) -> Job:
    return replace(job, least_days_between=min(job.least_days_between, 1))


def _best_sharing(
    problem: TermProblem,
    budget: Budget,
    seed: int,
    *,
    is_solving: bool,
    look: Callable[[int], bool],
) -> Placement:
    best: Placement | None = None
    has_pairs = sum(job.every_weeks > 1 for job in problem.jobs) > 1
    for share in _SHARES if has_pairs else (None,):
        blocks, words = blocks_of(problem, shared_share=share)
        week = week_of(problem, blocks)
        placement = _placed(week, budget, seed, is_solving=is_solving, look=look)
        placement = replace(
            placement,
            words=words,
            # With lessons left out, another sharing of the weeks might have done better.
            is_proven=placement.is_proven and not (has_pairs and placement.out),
        )
        if best is None or placement.lessons_out < best.lessons_out:
            best = placement
        if not best.out:
            break
    if best is None:  # pragma: no cover  (there is always one way)
        raise AssertionError("no way of sharing was tried")
    return best


def _placed(
    week: Week, budget: Budget, seed: int, *, is_solving: bool, look: Callable[[int], bool]
) -> Placement:
    """Search first: whoever finds a time for all has proven it. Else ask the solver."""
    weights = week.problem.weights
    penalties = week.penalties(weights)
    rounds = _QUICK_ROUNDS if is_solving else _ROUNDS_WITHOUT_SOLVER * budget.search_rounds
    routes = searched(
        week, weights, penalties, rounds=rounds, seed=seed, look=look, until_all_placed=True
    )
    out = _left_out(week, routes)
    could = [block for block in out if any(week.options[block])]
    if not could or not is_solving:
        return Placement(week, routes, out, is_proven=not could)
    from lessons.planning.term.packing import pack

    packed = pack(week, seconds=budget.packing_seconds, seed=seed, known=routes)
    if packed.routes is None or sum(map(len, packed.routes)) < sum(map(len, routes)):
        return Placement(week, routes, out, is_proven=False)
    return Placement(week, packed.routes, packed.out, packed.is_proven)


def _left_out(week: Week, routes: Routes) -> tuple[int, ...]:
    at = {visit.block for route in routes for visit in route}
    return tuple(block for block in range(len(week.blocks)) if block not in at)
