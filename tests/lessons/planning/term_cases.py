"""Short ways to ask for a term in tests, and one that is built once for all of them."""

from __future__ import annotations

from functools import cache
from typing import Any

from lessons.planning.term.build import build_term
from lessons.planning.term.checker import measured
from lessons.planning.term.problem import (
    Budget,
    Day,
    Job,
    Placed,
    Start,
    TermAnswer,
    TermProblem,
)
from tests.lessons.planning.term_instances import planted

QUICK = Budget(search_rounds=40, dives=2, choosing_seconds=1.0, packing_seconds=5.0)
ROADS = {(a, b): 4 + 7 * abs(a - b) for a in range(4) for b in range(4) if a != b}


def built(problem: TermProblem, budget: Budget = QUICK, **more: Any) -> TermAnswer:
    return build_term(problem, tell=lambda _: None, is_stopped=lambda: False, budget=budget, **more)


@cache
def ten() -> tuple[TermProblem, dict[str, Start], TermAnswer]:
    """Ten students with a present timetable, built once."""
    problem, hidden = planted(10, 4, share_with_present=0.6)
    return problem, hidden, built(problem)


def price(problem: TermProblem, placed: tuple[Placed, ...], changed_weight: int) -> int:
    numbers, weights = measured(problem, placed), problem.weights
    return (
        weights.drive * numbers.driving
        + weights.idle * numbers.idle
        + weights.missed * len(numbers.missed)
        + changed_weight * len(numbers.changed)
    )


def job(key: str, place: int, *starts: Start, minutes: int = 30, **more: Any) -> Job:
    return Job(key, (key.title(),), minutes, place, starts, **more)


def at(weekday: int, *hours: float) -> tuple[Start, ...]:
    return tuple(Start(weekday, round(hour * 60)) for hour in hours)


def week(*jobs: Job, **more: Any) -> TermProblem:
    days = more.pop("days", (Day(0, ((840, 1200),), starts_from=0, ends_at=0),
                             Day(2, ((840, 1200),), starts_from=0, ends_at=0)))  # fmt: skip
    return TermProblem(jobs, days, ROADS, **more)
