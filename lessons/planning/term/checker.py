"""A timetable looked at again from the raw question, by nothing that made it.

Every plan passes through here before anybody sees it. It knows neither blocks nor routes: it lays
the lessons of each week beside one another and looks for what must not be.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lessons.planning.term.problem import Day, Job, Meal, Placed, Start, TermProblem


class PlanBroken(Exception):
    """A plan that breaks a promise was about to be shown: a fault of ours, never shown."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What a week of the timetable comes to; lessons of alternating weeks as if in every week."""

    driving: int
    idle: int
    missed: tuple[str, ...]
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Stop:
    job: Job
    start: int

    @property
    def end(self) -> int:
        return self.start + self.job.minutes


def breaches(problem: TermProblem, placed: Sequence[Placed]) -> list[str]:
    """Return every promise that a timetable breaks, in words; none for a sound one.

    Wishes that may be missed (preferred times, days between two lessons) are none of these.
    """
    jobs = {job.key: job for job in problem.jobs}
    found = []
    seen: set[str] = set()
    for one in placed:
        if one.key not in jobs or one.key in seen:
            found.append(f"{one.key} is unknown or has two times")
            continue
        seen.add(one.key)
        found += _own_breaches(problem, jobs[one.key], one)
    found += [f"{job.name} was settled and has no time" for job in problem.jobs
              if job.is_fixed and job.key not in seen]  # fmt: skip
    if found:
        return found
    cycle = math.lcm(1, *(jobs[one.key].every_weeks for one in placed))
    for week in range(cycle):
        here = [one for one in placed if week % jobs[one.key].every_weeks == one.week]
        found += _week_breaches(problem, jobs, here)
    return list(dict.fromkeys(found))


def measured(problem: TermProblem, placed: Sequence[Placed]) -> Measured:
    """Return the minutes driven and idle of a week, and whose wishes and times it changes."""
    jobs = {job.key: job for job in problem.jobs}
    driving = idle = 0
    for day in problem.days:
        stops: dict[tuple[int, int], int] = {}
        for one in placed:
            if one.weekday == day.weekday:
                job = jobs[one.key]
                slot = (one.start, job.place)
                stops[slot] = max(stops.get(slot, 0), one.start + job.minutes)
        row = [(start, end, place) for (start, place), end in sorted(stops.items())]
        if not row:
            continue
        driving += _road(problem, day.starts_from, row[0][2])
        driving += _road(problem, row[-1][2], day.ends_at)
        for (_, end, here), (start, _, there) in pairwise(row):
            road = _road(problem, here, there)
            driving += road
            idle += start - end - road
    at = {one.key: Start(one.weekday, one.start) for one in placed}
    return Measured(
        driving,
        idle,
        tuple(k for k, s in at.items() if jobs[k].preferred and s not in jobs[k].preferred),
        tuple(k for k, s in at.items() if jobs[k].present is not None and s != jobs[k].present),
    )


def _own_breaches(problem: TermProblem, job: Job, one: Placed) -> list[str]:
    at = Start(one.weekday, one.start)
    if job.is_fixed:
        return [] if at == job.present else [f"{job.name}'s settled time was changed"]
    found = []
    if at not in job.starts:
        found.append(f"{job.name} cannot come then")
    day = next((day for day in problem.days if day.weekday == one.weekday), None)
    if day is None or not any(
        begins <= one.start and one.start + job.minutes <= ends for begins, ends in day.spans
    ):
        found.append(f"{job.name}'s lesson is outside the teacher's hours")
    if not 0 <= one.week < job.every_weeks or job.week not in (None, one.week):
        found.append(f"{job.name}'s lesson is in a wrong week")
    return found


def _week_breaches(
    problem: TermProblem, jobs: Mapping[str, Job], placed: Sequence[Placed]
) -> list[str]:
    found, evenings = [], 0
    for day in problem.days:
        stops = sorted(
            (_Stop(jobs[one.key], one.start) for one in placed if one.weekday == day.weekday),
            key=lambda stop: (stop.start, stop.job.key),
        )
        for before, after in pairwise(stops):
            road = _road(problem, before.job.place, after.job.place)
            if before.end + (road + problem.buffer if road else 0) > after.start:
                found.append(f"{before.job.name} and {after.job.name} are too close")
        if sum(stop.job.minutes for stop in stops) > day.most_minutes:
            found.append(f"weekday {day.weekday} has too many minutes")
        if stops and day.meal is not None and not _can_eat(problem, day, day.meal, stops):
            found.append(f"weekday {day.weekday} has no time for the meal")
        evenings += any(stop.end > problem.evening_begins for stop in stops)
    if evenings > problem.most_evenings:
        found.append("there are too many evenings")
    return found


def _can_eat(problem: TermProblem, day: Day, meal: Meal, stops: Sequence[_Stop]) -> bool:
    """Try every minute at which the meal could begin."""
    first, last = stops[0], stops[-1]
    for begins in range(meal.begins, meal.ends - meal.minutes + 1):
        ends = begins + meal.minutes
        if ends + _road(problem, day.starts_from, first.job.place) <= first.start:
            return True
        if begins >= last.end:
            return True
        for before, after in pairwise(stops):
            road = _road(problem, before.job.place, after.job.place)
            road += problem.buffer if road else 0
            if before.end <= begins and ends + road <= after.start:
                return True
            if before.end + road <= begins and ends <= after.start:
                return True
    return False


def _road(problem: TermProblem, here: int | None, there: int | None) -> int:
    if here is None or there is None or here == there:
        return 0
    return problem.roads[here, there]
