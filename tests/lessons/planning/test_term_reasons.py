"""Why somebody has no time in a new timetable, and what would really help."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any

from lessons.planning.term.blocks import blocks_of
from lessons.planning.term.build import build_term
from lessons.planning.term.checker import breaches
from lessons.planning.term.problem import (
    Budget,
    Day,
    Job,
    Placed,
    Start,
    TermAnswer,
    TermProblem,
    Unplaced,
)
from lessons.planning.term.relaxations import is_possible, relaxed
from tests.lessons.planning.term_instances import ROOM, planted

QUICK = Budget(search_rounds=30, labels=0, dives=0, choosing_seconds=0.5, packing_seconds=8.0)
ROADS = {(a, b): 20 for a in range(3) for b in range(3) if a != b}
WEDNESDAY = Day(2, ((840, 1080),), starts_from=0, ends_at=0)
FRIDAY = Day(4, ((840, 1080),), starts_from=0, ends_at=0)


def built(problem: TermProblem) -> TermAnswer:
    return build_term(problem, tell=lambda _: None, is_stopped=lambda: False, budget=QUICK)


def job(key: str, starts: list[Start], minutes: int = 60, place: int = 0, **more: Any) -> Job:
    return Job(key.lower(), (key,), minutes, place, tuple(starts), **more)


def between(weekday: int, first: int, last: int) -> list[Start]:
    return [Start(weekday, minute) for minute in range(first, last + 1, 15)]


def can_all_be(problem: TermProblem, keys: set[str]) -> bool:
    """Try every timetable of a few lessons; the checker judges."""
    jobs = [one for one in problem.jobs if one.key in keys]
    rows = [[Placed(one.key, *start) for start in one.starts] for one in jobs]
    return any(not breaches(problem, choice) for choice in product(*rows))


def check_relaxations(problem: TermProblem, unplaced: Unplaced) -> None:
    """Nothing fits without them, everybody does with any one of them."""
    assert unplaced.relaxations
    assert is_possible(problem, blocks_of(problem)[0], None) is False
    for relaxation in unplaced.relaxations:
        granted = relaxed(problem, relaxation)
        assert is_possible(granted, blocks_of(granted)[0], None) is True, relaxation


def test_three_in_two_hours_collide_and_no_fewer_do() -> None:
    window = between(2, 840, 900)
    problem = TermProblem(
        (
            job("Aoife", window),
            job("Brian", window),
            job("Ciara", window),
            job("Dara", between(2, 960, 1020)),
        ),
        (WEDNESDAY, FRIDAY),
        ROADS,
    )

    answer = built(problem)

    (left_out,) = answer.unplaced
    core = {left_out.key, *left_out.collides_with}
    assert core == {"aoife", "brian", "ciara"}
    assert not can_all_be(problem, core)
    for key in core:
        assert can_all_be(problem, core - {key})
    assert "all of them can only come Wednesday from 14:00 to 15:00" in left_out.why
    check_relaxations(problem, left_out)
    nearest = left_out.relaxations[0]
    assert nearest.minutes == 60
    assert nearest.start == Start(2, 960)


def test_the_teacher_s_own_hours_can_be_what_gives() -> None:
    problem = TermProblem(
        (job("Aoife", [Start(2, 840)]), job("Brian", [Start(2, 840), Start(2, 1050)])),
        (WEDNESDAY,),
        ROADS,
    )

    (left_out,) = built(problem).unplaced

    assert left_out.key == "brian" or left_out.collides_with == ("brian",)
    check_relaxations(problem, left_out)


def test_brothers_who_need_not_be_back_to_back() -> None:
    problem = TermProblem(
        (
            job("Aoife", [Start(2, 840), Start(2, 960)], siblings="m"),
            job("Brian", [Start(2, 900), Start(2, 1020)], siblings="m"),
            job("Ciara", [Start(2, 900)]),
            job("Dara", [Start(2, 960)]),
        ),
        (WEDNESDAY,),
        ROADS,
    )

    (left_out,) = built(problem).unplaced

    assert left_out.key in ("ciara", "dara")
    assert "apart" in {one.kind for one in left_out.relaxations}
    check_relaxations(problem, left_out)


def test_a_lesson_without_a_time_says_why_before_any_search() -> None:
    problem = TermProblem(
        (
            job("Aoife", [], note="Aoife lives outside the radius."),
            job("Brian", [Start(0, 900)]),
            job("Ciara", [Start(2, 600)]),
            job("Dara", [Start(2, 900)], minutes=120),
        ),
        (replace(WEDNESDAY, most_minutes=60),),
        ROADS,
    )

    reasons = {one.key: one.why for one in built(problem).unplaced}

    assert reasons["aoife"] == "Aoife lives outside the radius."
    assert reasons["brian"] == "Brian can only come on days on which you do not teach."
    assert reasons["ciara"] == "None of Ciara's times lies within your hours."
    assert reasons["dara"] == "Dara's lesson is longer than all you teach on those days."


def test_forty_students_one_of_whom_cannot_be_placed() -> None:
    """Edge case 44: who has no time, with whom they collide, and the nearest relaxation."""
    problem, hidden = planted(39, 1)
    other = next(one for one in problem.jobs if one.place == ROOM)
    at = hidden[other.key]
    jobs = [replace(one, starts=(at,)) if one is other else one for one in problem.jobs]
    late = Job("new", ("Sorcha Daly",), other.minutes, ROOM, (at,))
    problem = replace(problem, jobs=(*jobs, late))

    answer = built(problem)

    assert len(problem.jobs) == 40
    assert answer.is_placement_proven
    (left_out,) = answer.unplaced
    assert {left_out.key, *left_out.collides_with} == {"new", other.key}
    assert "cannot have a time together with" in left_out.why
    check_relaxations(problem, left_out)
    for plan in answer.plans:
        assert len(plan.placed) == 39
        assert not breaches(problem, plan.placed)
