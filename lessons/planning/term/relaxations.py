"""The nearest thing that would have to give so that one lesson more has a time.

A relaxation is the cheapest start, of those that are not offered, with which everybody placed
keeps a time and the lesson has one too; or one of the teacher's limits, a little wider; or brothers
and sisters who come apart.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from lessons.planning.term.blocks import Block, Option, lone_block
from lessons.planning.term.candidates import has_room, usable
from lessons.planning.term.packing import SECONDS_TO_EXPLAIN, Choice, packing_model, solved
from lessons.planning.term.problem import Day, Job, Placed, Relaxation, Start, TermProblem
from lessons.planning.term.week import week_of
from lessons.planning.term.words import clock, day_name

_OTHER_DAY = 24 * 60
_LONGER = (15, 30, 45, 60, 90, 120, 180)


def relaxed(problem: TermProblem, relaxation: Relaxation) -> TermProblem:
    """Return the question with a relaxation granted."""
    kind, start = relaxation.kind, relaxation.start

    def with_start(job: Job) -> Job:
        if job.key != relaxation.key or start is None:
            return job
        return replace(job, starts=tuple(sorted({*job.starts, start})))

    if kind in ("time", "other"):
        return replace(problem, jobs=tuple(map(with_start, problem.jobs)))
    if kind == "apart":
        mark = next(job.siblings for job in problem.jobs if job.key == relaxation.key)
        jobs = tuple(replace(job, siblings="") if job.siblings == mark else job
                     for job in problem.jobs)  # fmt: skip
        return replace(problem, jobs=jobs)
    if kind == "evening":
        return replace(problem, most_evenings=problem.most_evenings + 1)
    job = next((job for job in problem.jobs if job.key == relaxation.key), None)
    days = tuple(
        day if day.weekday != relaxation.weekday else _relaxed_day(day, relaxation, job)
        for day in problem.days
    )
    return replace(problem, days=days)


def _relaxed_day(day: Day, relaxation: Relaxation, job: Job | None) -> Day:
    if relaxation.kind == "longer day":
        return replace(day, most_minutes=day.most_minutes + relaxation.minutes)
    if relaxation.start is None or job is None:
        return day
    span = (relaxation.start.minute, relaxation.start.minute + job.minutes)
    return replace(day, spans=tuple(sorted({*day.spans, span})))


def is_possible(
    problem: TermProblem, blocks: Sequence[Block], limits: Collection[str] | None, seed: int = 0
) -> bool | None:
    """Return whether all the blocks can have a time under some of the limits; None: not known."""
    packing = packing_model(week_of(problem, blocks), is_guarded=True)
    held = set(packing.guards) if limits is None else set(packing.guards) & set(limits)
    for variable in packing.out:
        packing.model.add(variable == 0)
    for name, guard in packing.guards.items():
        packing.model.add(guard == int(name in held))
    packed = solved(packing, seconds=SECONDS_TO_EXPLAIN, seed=seed, limits=held, effort=0)
    if packed.routes is not None:
        return True
    return False if packed.is_proven else None


def relaxations(
    problem: TermProblem,
    beside: Sequence[Block],
    block: Block,
    others: Sequence[Block],
    limits: Sequence[str],
    seed: int,
) -> list[Relaxation]:
    """Return what would help a block that was left out, each checked by the packing model.

    :param beside: the blocks that have a time
    :param others: those of them that it collides with
    :param limits: the teacher's limits that it collides with
    """
    found: list[Relaxation | None] = []
    if len(block.jobs) == 1:
        job = block.jobs[0]
        found.append(_by_start(problem, beside, [(block, _unoffered(job, problem))], "time", seed))
        found.append(
            _by_start(problem, beside, [(block, _after_hours(job, problem))], "hours", seed)
        )
        movable = [
            (one, _unoffered(one.jobs[0], problem))
            for one in others
            if len(one.jobs) == 1 and not one.is_fixed
        ]
        rest = [one for one in beside if all(one is not other for other, _ in movable)]
        if movable:
            found.append(_by_start(problem, [*rest, block], movable, "other", seed))
    for one in (block, *others):
        if len(one.jobs) > 1 and one.jobs[0].siblings:
            rest = [other for other in (*beside, block) if other is not one]
            found.append(_by_parting(problem, rest, one, seed))
    found += _by_limits(problem, [*beside, block], limits, seed)
    return [one for one in found if one is not None]


def _unoffered(job: Job, problem: TermProblem) -> dict[Start, int]:
    """Starts within the teacher's hours that the family did not offer, by how far they are off."""
    offered = usable(job, problem) or job.starts
    prices = {}
    for day in problem.days:
        own = [start.minute for start in offered if start.weekday == day.weekday]
        for begins, ends in day.spans:
            first = begins + -begins % problem.grid
            for minute in range(first, ends - job.minutes + 1, problem.grid):
                start = Start(day.weekday, minute)
                if start in offered or not has_room(day, minute, job.minutes):
                    continue
                near = own or [other.minute for other in offered] or [minute]
                away = min(abs(minute - other) for other in near)
                prices[start] = away if own else _OTHER_DAY + away
    return prices


def _after_hours(job: Job, problem: TermProblem) -> dict[Start, int]:
    """Starts that the family offers outside the teacher's hours, by how far they are outside."""
    days = {day.weekday: day for day in problem.days}
    offered, prices = set(usable(job, problem)), {}
    for start in job.starts:
        day = days.get(start.weekday)
        if start in offered or day is None or job.minutes > day.most_minutes:
            continue
        end = start.minute + job.minutes
        prices[start] = min(
            max(0, begins - start.minute) + max(0, end - ends) for begins, ends in day.spans
        )
    return prices


def _by_start(
    problem: TermProblem,
    beside: Sequence[Block],
    movable: Sequence[tuple[Block, dict[Start, int]]],
    kind: str,
    seed: int,
) -> Relaxation | None:
    """Return the nearest start not offered, of one of the blocks, that makes room for everybody."""
    wider = [_wider(block, extra) for block, extra in movable]
    blocks = [*beside, *wider]
    week = week_of(problem, blocks)
    number = {day.weekday: at for at, day in enumerate(week.days)}
    prices: dict[Choice, int] = {}
    for at, (_, extra) in enumerate(movable):
        for start, price in extra.items():
            prices[len(beside) + at, number[start.weekday], start.minute] = price
    if not prices:
        return None
    packing = packing_model(week)
    for variable in packing.out:
        packing.model.add(variable == 0)
    packing.model.add(sum(packing.chosen[choice] for choice in prices) <= 1)
    packed = solved(packing, seconds=SECONDS_TO_EXPLAIN, seed=seed, prices=prices)
    if packed.routes is None:
        return None
    for day, route in enumerate(packed.routes):
        for visit in route:
            choice = (visit.block, day, visit.start)
            if choice in prices:
                start = Start(week.days[day].weekday, visit.start)
                job = blocks[visit.block].jobs[0]
                return _start_relaxation(kind, job, start, prices[choice], problem)
    return None


def _wider(block: Block, extra: Iterable[Start]) -> Block:
    job = block.jobs[0]
    more = {start: Option((Placed(job.key, *start, job.week or 0),), 0, 0) for start in extra}
    return replace(block, options=dict(sorted({**more, **block.options}.items())))


def _start_relaxation(
    kind: str, job: Job, at: Start, price: int, problem: TermProblem
) -> Relaxation:
    when = f"{day_name(at.weekday)} {clock(at.minute)}"
    if kind == "hours":
        words = f"If you taught {price} min outside your hours, {job.name} could come {when}."
        return Relaxation("hours", job.key, at, at.weekday, price, words)
    own = [start.minute for start in usable(job, problem) if start.weekday == at.weekday]
    if not own:
        off = "a day on which they have given no time"
    else:
        nearest = min(own, key=lambda minute: (abs(minute - at.minute), minute))
        side = "earlier" if at.minute < nearest else "later"
        off = f"{price} min {side} than they have said"
    words = f"If {job.name} came {when}, {off}, everybody would fit."
    return Relaxation("time" if kind == "time" else "other", job.key, at, at.weekday, price, words)


def _by_parting(
    problem: TermProblem, beside: Sequence[Block], block: Block, seed: int
) -> Relaxation | None:
    parts = [lone_block(job, problem) for job in block.jobs]
    if not is_possible(problem, [*beside, *parts], None, seed):
        return None
    words = f"If {block.name} did not have to be back to back, everybody would fit."
    return Relaxation("apart", block.jobs[0].key, None, None, 0, words)


def _by_limits(
    problem: TermProblem, blocks: Sequence[Block], limits: Sequence[str], seed: int
) -> list[Relaxation | None]:
    found: list[Relaxation | None] = []
    days = sorted(problem.days, key=lambda day: day.weekday)
    for limit in limits:
        kind, _, number = limit.partition(" ")
        if kind == "minutes":
            found.append(_first_longer(problem, blocks, days[int(number)], seed))
        elif kind == "evenings":
            words = "If you taught on one evening more, everybody would fit."
            more = Relaxation("evening", "", None, None, 0, words)
            if is_possible(relaxed(problem, more), blocks, None, seed):
                found.append(more)
    return found


def _first_longer(
    problem: TermProblem, blocks: Sequence[Block], day: Day, seed: int
) -> Relaxation | None:
    for minutes in _LONGER:
        words = f"If you taught {minutes} min more on {day_name(day.weekday)}, everybody would fit."
        more = Relaxation("longer day", "", None, day.weekday, minutes, words)
        if is_possible(relaxed(problem, more), blocks, None, seed):
            return more
    return None
