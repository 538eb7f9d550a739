"""Why a lesson has no time, whom it collides with, and the nearest thing that would help.

All answers come from the packing model, so they are as true as it is: a set of lessons that cannot
all have a time is first read off a refused assumption, then thinned until every one left is needed
(deletion filter).
"""

from __future__ import annotations

from collections.abc import Sequence

from lessons.planning.term.blocks import Block
from lessons.planning.term.packing import SECONDS_TO_EXPLAIN, cp_solver, packing_model
from lessons.planning.term.placing import Placement
from lessons.planning.term.problem import Job, Start, TermProblem, Unplaced
from lessons.planning.term.relaxations import is_possible, relaxations
from lessons.planning.term.week import Week, week_of
from lessons.planning.term.words import limit_words, name_list, times

_MOST_SHOWN = 4


def explained(
    problem: TermProblem,
    placement: Placement,
    number: int,
    job: Job,
    *,
    why: str = "",
    seed: int = 0,
) -> Unplaced:
    """Return why one lesson of a block that was left out has no time.

    :param why: the reason if it is known without the others (no start at all)
    """
    out = set(placement.out)
    block = placement.week.blocks[number]
    beside = [one for at, one in enumerate(placement.week.blocks) if at not in out]
    asked = placement.week.problem
    others: list[Block] = []
    limits: list[str] = []
    if not why:
        core = _core(asked, [*beside, block], seed)
        if core is None:
            return Unplaced(
                job.key,
                f"No time was found for {job.name} beside the others; that there is none is not "
                "proven.",
            )
        others, limits = core
        others = [one for one in others if one is not block]
        why = _why(problem, block, others, limits)
    found = relaxations(asked, beside, block, others, limits, seed)
    found.sort(key=lambda one: (one.minutes, one.kind, one.key, one.start or Start(7, 0)))
    keys = tuple(other.key for one in others for other in one.jobs)
    return Unplaced(job.key, why, keys, tuple(found[:_MOST_SHOWN]))


def _core(
    problem: TermProblem, blocks: Sequence[Block], seed: int
) -> tuple[list[Block], list[str]] | None:
    """Return blocks, the last one among them, and limits that together cannot be, all needed."""
    first = _refused(week_of(problem, blocks), seed)
    if first is None:
        return None
    kept, limits = [blocks[number] for number in first[0]], first[1]
    if blocks[-1] not in kept:
        kept.append(blocks[-1])
    for one in list(kept[:-1]):
        fewer = [other for other in kept if other is not one]
        if is_possible(problem, fewer, limits, seed) is False:
            kept = fewer
    for limit in list(limits):
        others = [other for other in limits if other != limit]
        if is_possible(problem, kept, others, seed) is False:
            limits = others
    return kept, limits


def _refused(week: Week, seed: int) -> tuple[list[int], list[str]] | None:
    """Return the blocks and limits that the solver needed to see that not all can be."""
    from ortools.sat.python import cp_model

    packing = packing_model(week, is_guarded=True)
    wanted = [variable.negated() for variable in packing.out]
    packing.model.add_assumptions([*wanted, *packing.guards.values()])
    for _ in range(40):
        solver = cp_solver(SECONDS_TO_EXPLAIN, seed)
        status = solver.solve(packing.model)
        if status == cp_model.INFEASIBLE:
            used = set(solver.sufficient_assumptions_for_infeasibility())
            blocks = [at for at, literal in enumerate(wanted) if literal.index in used]
            limits = [name for name, guard in packing.guards.items() if guard.index in used]
            return blocks, limits
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        if not packing.cut(packing.routes(solver.value), packing.guards):
            return None
    return None


def _why(problem: TermProblem, block: Block, others: Sequence[Block], limits: Sequence[str]) -> str:
    """Say who collides, and over which times."""
    against = [job.name for one in others for job in one.jobs]
    against += [limit_words(limit, problem) for limit in limits]
    if not against:
        return f"{block.name}'s times cannot be kept on any day ({times(block.options)})."
    weekdays = {start.weekday for one in (block, *others) for start in one.options}
    if len(weekdays) == 1:
        every = [start for one in (block, *others) for start in one.options]
        can = f"all of them can only come {times(every)}" if others else ""
    else:
        can = f"{block.name} can come {times(block.options)}"
    tail = f": {can}." if can else f": {block.name} can come {times(block.options)}."
    return f"{block.name} cannot have a time together with {name_list(against)}{tail}"
