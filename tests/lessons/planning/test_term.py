"""Build a term: everybody placed, nothing overlapping, never worse than its own bound says."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.planning.term import placing
from lessons.planning.term.build import NO_SOLVER, build_term
from lessons.planning.term.checker import breaches
from lessons.planning.term.problem import (
    Day,
    Job,
    Meal,
    Placed,
    Start,
    TermProblem,
    TermProgress,
    TermRefused,
    TermStopped,
)
from lessons.planning.term.records import (
    answer_read,
    answer_record,
    problem_read,
    problem_record,
)
from tests.lessons.planning.term_cases import QUICK, ROADS, built, price, ten

# A road that is quicker by way of a lesson in between: what no map has and a teacher may type in.
BENT = ROADS | {(0, 3): 100, (3, 0): 100}
ROOT = Path(__file__).parents[3]


def every_timetable(problem: TermProblem) -> Iterator[tuple[Placed, ...]]:
    """Every way to give each lesson one of its starts or none, sound or not."""
    rows = [
        [None, *(Placed(job.key, *start) for start in sorted(set(job.starts)))]
        for job in problem.jobs
    ]
    for choice in product(*rows):
        yield tuple(one for one in choice if one is not None)


@st.composite
def tiny(draw: st.DrawFn) -> TermProblem:
    """Four lessons or fewer on two days, with or without limits, meals and evenings."""
    jobs = []
    for number in range(draw(st.integers(1, 4))):
        offered = draw(
            st.lists(
                st.tuples(st.sampled_from([0, 2]), st.sampled_from([840, 870, 885, 900, 930, 960])),
                min_size=1,
                max_size=4,
                unique=True,
            )
        )
        starts = tuple(Start(*one) for one in offered)
        jobs.append(
            Job(
                f"L{number}",
                (f"Lesson {number}",),
                draw(st.sampled_from([30, 45])),
                draw(st.integers(0, 3)),
                starts,
                preferred=frozenset(starts[:1]) if draw(st.booleans()) else frozenset(),
                present=draw(st.sampled_from([None, starts[-1]])),
            )
        )
    meal = draw(st.sampled_from([None, Meal(860, 960, 30)]))
    most = draw(st.sampled_from([1440, 75]))
    days = (
        Day(0, ((840, 1000),), most, 0, 0, meal),
        Day(2, ((840, 1020),), most, draw(st.sampled_from([None, 2])), 0),
    )
    return TermProblem(
        tuple(jobs),
        days,
        draw(st.sampled_from([ROADS, BENT])),
        buffer=draw(st.sampled_from([0, 5])),
        evening_begins=draw(st.sampled_from([1440, 940])),
        most_evenings=draw(st.sampled_from([1, 7])),
    )


class TestAgainstEveryTimetable:
    @settings(max_examples=12)
    @given(tiny())
    def test_places_as_many_and_costs_no_more(self, problem: TermProblem) -> None:
        answer = built(problem)

        sound = [one for one in every_timetable(problem) if not breaches(problem, one)]
        most = max(map(len, sound))
        assert answer.is_placement_proven
        for plan in answer.plans:
            assert len(plan.placed) == most
            assert not breaches(problem, plan.placed)
            assert plan.cost == price(problem, plan.placed, plan.changed_weight)
            placed = {one.key for one in plan.placed}
            same = [one for one in sound if {lesson.key for lesson in one} == placed]
            best = min(price(problem, one, plan.changed_weight) for one in same)
            assert plan.lower_bound is not None
            assert plan.lower_bound <= best + 1e-6
            assert plan.cost == best

    @settings(max_examples=12)
    @given(tiny())
    def test_is_sound_without_the_solver(self, problem: TermProblem) -> None:
        answer = built(problem, replace(QUICK, is_solver_wanted=False))

        assert not answer.has_solver
        for plan in answer.plans:
            assert not breaches(problem, plan.placed)
            assert plan.gap is None
            assert plan.is_placement_proven or answer.unplaced


@st.composite
def mixed(draw: st.DrawFn) -> TermProblem:
    """Ten lessons of all kinds: siblings, alternating weeks, twice a week, settled ones."""
    jobs = []
    for number in range(10):
        weekdays = draw(st.sampled_from([(0,), (2,), (0, 2), (0, 2, 3)]))
        first = draw(st.integers(56, 68)) * 15
        starts = tuple(
            Start(weekday, first + step * 15) for weekday in weekdays for step in range(5)
        )
        kind = number % 5
        jobs.append(
            Job(
                f"L{number}",
                (f"Lesson {number}",),
                draw(st.sampled_from([30, 45])),
                number // 5 if kind < 2 else 0 if kind == 3 else draw(st.integers(0, 3)),
                starts,
                every_weeks=2 if kind == 3 else 1,
                week=draw(st.sampled_from([None, 0, 1])) if kind == 3 else None,
                siblings=f"family {number // 5}" if kind < 2 else "",
                student="twice" if kind == 4 else "",
                least_days_between=2,
                present=starts[0] if number == 2 else None,
                is_fixed=number == 2,
            )
        )
    days = tuple(Day(w, ((840, 1140),), 240, 0, 1, Meal(960, 1080, 20)) for w in (0, 2, 3))
    return TermProblem(tuple(jobs), days, ROADS, buffer=5, evening_begins=1080, most_evenings=2)


class TestAWholeTerm:
    @settings(max_examples=3)
    @given(mixed())
    def test_nothing_overlaps_and_every_road_is_kept(self, problem: TermProblem) -> None:
        answer = built(problem)

        for plan in answer.plans:
            assert not breaches(problem, plan.placed)
            assert plan.cost == price(problem, plan.placed, plan.changed_weight)
            assert len(plan.placed) + len(answer.unplaced) == len(problem.jobs)

    def test_places_everybody_a_hidden_timetable_does(self) -> None:
        problem, hidden, answer = ten()

        assert not breaches(problem, [Placed(key, *start) for key, start in hidden.items()])
        assert answer.is_placement_proven
        assert answer.unplaced == ()
        for plan in answer.plans:
            assert len(plan.placed) == len(problem.jobs)
            assert not breaches(problem, plan.placed)
            assert plan.gap is not None
            assert plan.gap <= 0.02

    def test_goes_from_few_changes_to_little_driving(self) -> None:
        _, _, answer = ten()

        assert answer.plans[0].name == "keep nearly all"
        assert answer.plans[-1].name == "least driving"
        changed = [len(plan.changed) for plan in answer.plans]
        besides = [plan.cost - plan.changed_weight * len(plan.changed) for plan in answer.plans]
        assert changed == sorted(changed)
        assert changed[0] < changed[-1]
        assert besides == sorted(besides, reverse=True)

    def test_says_the_same_in_two_processes(self, tmp_path: Path) -> None:
        problem, _, answer = ten()
        question = tmp_path / "question.json"
        budget = {"search_rounds": 40, "dives": 2, "choosing_seconds": 1.0, "packing_seconds": 5.0}
        question.write_text(json.dumps({"problem": problem_record(problem), "budget": budget}))

        texts = []
        for name in ("first", "second"):
            file = tmp_path / name
            subprocess.run(
                [sys.executable, "-m", "lessons.planning.term", str(question), str(file)],
                check=True,
                cwd=ROOT,
                env={"PYTHONHASHSEED": "1" if name == "first" else "2", "PATH": ""},
            )
            texts.append(file.read_text())

        assert texts[0] == texts[1]
        assert answer_read(json.loads(texts[0])) == answer

    def test_can_be_written_down_and_read(self) -> None:
        problem, _, answer = ten()

        assert problem_read(json.loads(json.dumps(problem_record(problem)))) == problem
        assert answer_read(json.loads(json.dumps(answer_record(answer)))) == answer
        with pytest.raises(TermRefused):
            problem_read({"jobs": [{"key": "x"}]})

    def test_is_found_without_the_solver_too(self, monkeypatch: pytest.MonkeyPatch) -> None:
        problem, _, answer = ten()
        monkeypatch.setattr("importlib.util.find_spec", lambda _: None)

        assert not placing.has_solver()
        other = built(problem)
        assert NO_SOLVER in other.words
        for plan in other.plans:
            assert not breaches(problem, plan.placed)
        # It promises nothing; that the solver is never behind it is what the bound means.
        assert other.plans[-1].cost >= (answer.plans[-1].lower_bound or 0)

    def test_tells_how_far_it_is_and_stops_when_asked(self) -> None:
        problem, _, _ = ten()
        told: list[TermProgress] = []

        with pytest.raises(TermStopped):
            build_term(problem, tell=told.append, is_stopped=lambda: len(told) > 6, budget=QUICK)

        assert [one.done for one in told] == sorted(one.done for one in told)
        assert told[0].words == "Finding a time for everybody"

    def test_says_when_the_clock_stopped_it(self) -> None:
        problem, _, _ = ten()

        answer = built(problem, replace(QUICK, wall_seconds=0.0))

        assert answer.stopped_by_clock
        assert any("clock" in words for words in answer.words)
        for plan in answer.plans:
            assert not breaches(problem, plan.placed)
