"""A term's question and answer as JSON, so that a process of its own can be handed a file."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from lessons.planning.term.problem import (
    Budget,
    Day,
    Job,
    Meal,
    Placed,
    Relaxation,
    Start,
    TermAnswer,
    TermPlan,
    TermProblem,
    TermRefused,
    Unplaced,
    Weights,
)


def problem_record(problem: TermProblem) -> dict[str, Any]:
    """Return the question as what JSON can hold."""
    return {
        "jobs": [_job_record(job) for job in problem.jobs],
        "days": [
            {**asdict(day), "spans": [list(span) for span in day.spans]} for day in problem.days
        ],
        "roads": [[a, b, minutes] for (a, b), minutes in sorted(problem.roads.items())],
        "buffer": problem.buffer,
        "weights": asdict(problem.weights),
        "evening_begins": problem.evening_begins,
        "most_evenings": problem.most_evenings,
        "grid": problem.grid,
    }


def problem_read(record: dict[str, Any]) -> TermProblem:
    """Return the question that was written.

    :raises TermRefused: for anything else
    """
    try:
        return TermProblem(
            jobs=tuple(_job_read(one) for one in record["jobs"]),
            days=tuple(_day_read(one) for one in record["days"]),
            roads={(int(a), int(b)): int(minutes) for a, b, minutes in record["roads"]},
            buffer=int(record["buffer"]),
            weights=Weights(**record["weights"]),
            evening_begins=int(record["evening_begins"]),
            most_evenings=int(record["most_evenings"]),
            grid=int(record["grid"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise TermRefused("This is not a term's question as it was written here.") from error


def answer_record(answer: TermAnswer) -> dict[str, Any]:
    """Return the answer as what JSON can hold."""
    return asdict(answer)


def answer_read(record: dict[str, Any]) -> TermAnswer:
    """Return the answer that was written.

    :raises TermRefused: for anything else
    """
    try:
        return TermAnswer(
            plans=tuple(_plan_read(one) for one in record["plans"]),
            unplaced=tuple(_unplaced_read(one) for one in record["unplaced"]),
            **{
                name: record[name]
                for name in ("is_placement_proven", "has_solver", "stopped_by_clock", "seed")
            },
            words=tuple(record["words"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise TermRefused("This is not a term's answer as it was written here.") from error


def budget_read(record: dict[str, Any]) -> Budget:
    """Return the budget written as its fields."""
    return Budget(**record)


def _job_record(job: Job) -> dict[str, Any]:
    return {
        **asdict(job),
        "names": list(job.names),
        "starts": [list(start) for start in job.starts],
        "preferred": [list(start) for start in sorted(job.preferred)],
        "present": list(job.present) if job.present else None,
    }


def _start(record: Any) -> Start:
    weekday, minute = record
    return Start(int(weekday), int(minute))


def _job_read(record: dict[str, Any]) -> Job:
    present = record["present"]
    return Job(
        **{
            **record,
            "names": tuple(record["names"]),
            "starts": tuple(_start(one) for one in record["starts"]),
            "preferred": frozenset(_start(one) for one in record["preferred"]),
            "present": None if present is None else _start(present),
        }
    )


def _day_read(record: dict[str, Any]) -> Day:
    meal = record["meal"]
    spans = tuple((int(begins), int(ends)) for begins, ends in record["spans"])
    return Day(**{**record, "spans": spans, "meal": None if meal is None else Meal(**meal)})


def _plan_read(record: dict[str, Any]) -> TermPlan:
    return TermPlan(
        **{
            **record,
            "placed": tuple(Placed(**one) for one in record["placed"]),
            **{name: tuple(record[name]) for name in ("missed", "changed", "words")},
        }
    )


def _unplaced_read(record: dict[str, Any]) -> Unplaced:
    relaxations = []
    for one in record["relaxations"]:
        start = None if one["start"] is None else _start(one["start"])
        relaxations.append(Relaxation(**{**one, "start": start}))
    return Unplaced(
        **{
            **record,
            "collides_with": tuple(record["collides_with"]),
            "relaxations": tuple(relaxations),
        }
    )
