"""Building terms of twenty, forty and sixty students, without and beside a present timetable."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from lessons.planning.term.build import build_term
from lessons.planning.term.problem import Budget, TermAnswer, TermProblem
from tests.bench.timing import heading, line
from tests.lessons.planning.term_instances import planted

SIZES = (20, 40, 60)
SEEDS = (1, 2, 3)
# A machine that others use at the same time is what the processor's own time is shown for.


@dataclass(frozen=True)
class Run:
    """One term built: the answer, and seconds by the wall clock and of the processor."""

    problem: TermProblem
    answer: TermAnswer
    wall: float
    processor: float
    placed_processor: float


def run() -> None:
    """Build terms, and show what is promised of them: all placed, and how far from the bound."""
    for size in SIZES:
        heading(f"Build a term: {size} students, one plan, terms with a full timetable hidden")
        _show([_built(planted(size, seed)[0], Budget()) for seed in SEEDS])
    heading("Build a term: 40 students beside a present timetable, three plans")
    problem, _ = planted(40, 1, share_with_present=0.6)
    made = _built(problem, Budget())
    line("seconds for all three", f"{made.wall:6.1f} wall   {made.processor:6.1f} processor")
    for plan in made.answer.plans:
        line(
            plan.name,
            f"{len(plan.changed):3} changed   {plan.driving:4} min driving   {plan.idle:4} idle   "
            f"gap {100 * (plan.gap or 0):.1f} %",
        )
    heading("The same 40 students without the solver")
    alone = _built(
        replace(problem, jobs=tuple(replace(job, present=None) for job in problem.jobs)),
        Budget(is_solver_wanted=False),
    )
    line("seconds", f"{alone.wall:6.1f} wall   {alone.processor:6.1f} processor")
    line("left out", f"{len(alone.answer.unplaced)} of {len(problem.jobs)}")


def _built(problem: TermProblem, budget: Budget) -> Run:
    begun, used = time.perf_counter(), time.process_time()
    placed: list[float] = []

    def tell(progress: object) -> None:
        if not placed and "plan 1 of" in str(progress).lower():
            placed.append(time.process_time() - used)

    answer = build_term(problem, tell=tell, is_stopped=lambda: False, budget=budget)
    return Run(
        problem,
        answer,
        time.perf_counter() - begun,
        time.process_time() - used,
        placed[0] if placed else 0.0,
    )


def _show(runs: list[Run]) -> None:
    for made in runs:
        plan = made.answer.plans[-1]
        proven = "proven" if made.answer.is_placement_proven else "not proven"
        gap = "no bound" if plan.gap is None else f"gap {100 * plan.gap:4.1f} %"
        line(
            f"{len(plan.placed)} of {len(made.problem.jobs)} placed ({proven})",
            f"{made.placed_processor:5.1f} s to place   {made.processor:5.1f} s processor   "
            f"{made.wall:5.1f} s wall   {gap}",
        )
