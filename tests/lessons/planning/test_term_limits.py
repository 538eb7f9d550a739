"""Build a term: siblings, alternating weeks, days apart, meals, evenings, what is settled."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from lessons.planning.term.checker import breaches
from lessons.planning.term.problem import (
    Day,
    Job,
    Meal,
    Start,
    TermPlan,
    TermProblem,
    TermRefused,
    Weights,
)
from tests.lessons.planning.term_cases import at, built, job, ten, week


def plan_of(*jobs: Job, **more: Any) -> TermPlan:
    problem = week(*jobs, **more)
    answer = built(problem)
    assert not answer.unplaced
    assert not breaches(problem, answer.plans[-1].placed)
    return answer.plans[-1]


class TestWhatADayMustKeep:
    def test_brothers_and_sisters_come_back_to_back(self) -> None:
        plan = plan_of(
            job("ana", 1, *at(0, 15, 16, 17), siblings="m"),
            job("ben", 1, *at(0, 14.75, 15.5), minutes=45, siblings="m"),
            job("col", 0, *at(0, 15.5, 16.5)),
        )

        times = {one.key: one.start for one in plan.placed}
        assert times["ben"] == times["ana"] + 30

    def test_brothers_and_sisters_who_cannot_are_placed_apart_and_that_is_said(self) -> None:
        problem = week(
            job("ana", 1, *at(0, 15), siblings="m"), job("ben", 1, *at(2, 15), siblings="m")
        )

        answer = built(problem)

        assert not answer.unplaced
        assert "Ana and Ben have no common time back to back, so each has one alone." in (
            answer.words
        )

    def test_alternating_weeks_share_one_time(self) -> None:
        plan = plan_of(
            job("ana", 0, *at(0, 15), every_weeks=2),
            job("ben", 0, *at(0, 15), every_weeks=2, week=0),
        )

        assert {one.key: one.week for one in plan.placed} == {"ana": 1, "ben": 0}

    def test_alternating_weeks_at_other_places_do_not(self) -> None:
        problem = week(
            job("ana", 0, *at(0, 15), every_weeks=2), job("ben", 1, *at(0, 15), every_weeks=2)
        )

        answer = built(problem)

        assert len(answer.unplaced) == 1
        assert not answer.is_placement_proven

    def test_two_lessons_of_one_student_lie_apart(self) -> None:
        """Edge case 41: a student with two lessons a week wants at least two days between."""
        monday_and_tuesday = (Day(0, ((840, 1200),)), Day(1, ((840, 1200),)))
        days = (*monday_and_tuesday, Day(3, ((840, 1200),)))
        both = [
            job(key, 0, *at(0, 15), *at(1, 15), *at(3, 15), student="ana", least_days_between=2)
            for key in ("one", "two")
        ]

        apart = plan_of(*both, days=days)
        answer = built(week(*both, days=monday_and_tuesday))

        assert {one.weekday for one in apart.placed} in ({0, 3}, {1, 3})
        assert not answer.unplaced
        assert any("nearer to each other" in words for words in answer.words)

    def test_meal_and_most_minutes_and_evenings_are_kept(self) -> None:
        """Edge case 42: the lunch, the hours of teaching a day, the evenings a week."""
        day = Day(0, ((840, 1200),), 60, 0, 0, Meal(870, 960, 30))
        jobs = [job(key, 0, *at(0, 14, 14.5, 15, 15.5, 16)) for key in ("ana", "ben", "col")]
        late = [job(key, 0, Start(weekday, 1140)) for weekday, key in ((0, "dee"), (2, "eve"))]

        answer = built(week(*jobs, days=(day,)))
        evenings = built(week(*late, evening_begins=1140, most_evenings=1))

        assert len(answer.unplaced) == 1
        assert "your limit of 60 minutes on Monday" in answer.unplaced[0].why
        assert {one.kind for one in answer.unplaced[0].relaxations} == {"longer day"}
        assert len(evenings.unplaced) == 1
        assert "your limit of 1 evenings a week" in evenings.unplaced[0].why

    def test_the_settled_ones_stay_and_only_the_rest_moves(self) -> None:
        """Edge case 56: what is confirmed of a new timetable is fixed, the rest moves round it."""
        problem, _, answer = ten()
        first = answer.plans[-1]
        confirmed = {one.key: Start(one.weekday, one.start) for one in first.placed[::2]}
        dropped = next(one.key for one in problem.jobs if one.key not in confirmed)
        jobs = [
            replace(one, present=confirmed[one.key], is_fixed=True) if one.key in confirmed else one
            for one in problem.jobs
            if one.key != dropped
        ]

        again = built(replace(problem, jobs=tuple(jobs)))

        assert not again.unplaced
        for plan in again.plans:
            times = {one.key: Start(one.weekday, one.start) for one in plan.placed}
            assert {key: times[key] for key in confirmed} == confirmed
            assert not breaches(replace(problem, jobs=tuple(jobs)), plan.placed)

    def test_settled_ones_that_collide_are_refused_in_words(self) -> None:
        both = [
            job(key, place, *at(0, 15), present=Start(0, 900), is_fixed=True)
            for key, place in (("ana", 0), ("ben", 1))
        ]

        with pytest.raises(TermRefused, match=r"settled time of (Ana|Ben) cannot be kept"):
            built(week(*both))

    @pytest.mark.parametrize(
        ("question", "words"),
        [
            (week(job("ana", 9, *at(0, 15))), "road from place 0 to place 9 is not known"),
            (week(job("ana", 0), job("ana", 0)), "in the list twice"),
            (week(job("ana", 0, *at(0, 23.75))), "cross midnight"),
            (week(job("ana", 0, *at(0, 15), minutes=0)), "no sensible length"),
            (week(job("ana", 0, *at(0, 15), every_weeks=2, week=2)), "no sensible week"),
        ],
    )
    def test_a_question_that_cannot_be_right_is_refused(
        self, question: TermProblem, words: str
    ) -> None:
        with pytest.raises(TermRefused, match=words):
            built(question)

    def test_nothing_wanted_is_nothing_given(self) -> None:
        answer = built(week())

        assert answer.plans[0].placed == ()
        assert answer.is_placement_proven

    def test_weights_decide_between_waiting_and_driving(self) -> None:
        jobs = (
            job("ana", 1, *at(0, 15)),
            job("ben", 0, *at(0, 15.75, 18)),
            job("col", 1, *at(0, 16.5)),
        )

        waits = plan_of(*jobs, weights=Weights(drive=9, idle=0))
        drives = plan_of(*jobs, weights=Weights(drive=0, idle=9))

        assert waits.driving <= drives.driving
        assert drives.idle < waits.idle
