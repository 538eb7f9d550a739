"""The starts a lesson can really have, or why it has none before anything is searched."""

from __future__ import annotations

from collections import Counter

from lessons.planning.term.problem import Day, Job, Start, TermProblem, TermRefused


def usable(job: Job, problem: TermProblem) -> tuple[Start, ...]:
    """Return the starts within the teacher's hours, in order; of a settled lesson its own."""
    if job.is_fixed and job.present is not None:
        return (job.present,)
    days = {day.weekday: day for day in problem.days}
    return tuple(
        start
        for start in sorted(set(job.starts))
        if start.weekday in days and has_room(days[start.weekday], start.minute, job.minutes)
    )


def has_room(day: Day, start: int, minutes: int) -> bool:
    """Return True if a lesson lies within the day's hours and is no longer than its limit."""
    if minutes > day.most_minutes:
        return False
    return any(begins <= start and start + minutes <= ends for begins, ends in day.spans)


def static_reason(job: Job, problem: TermProblem) -> str:
    """Return why a lesson has no usable start, in words; "" when it has one."""
    if usable(job, problem):
        return ""
    if not job.starts:
        return job.note or f"{job.name} has given no time."
    weekdays = {day.weekday: day for day in problem.days}
    working = [start for start in job.starts if start.weekday in weekdays]
    if not working:
        return f"{job.name} can only come on days on which you do not teach."
    if all(job.minutes > weekdays[start.weekday].most_minutes for start in working):
        return f"{job.name}'s lesson is longer than all you teach on those days."
    return f"None of {job.name}'s times lies within your hours."


def problem_check(problem: TermProblem) -> None:
    """Look for what no timetable could be right about.

    :raises TermRefused: in words, for the first thing found
    """
    doubled = [key for key, count in Counter(job.key for job in problem.jobs).items() if count > 1]
    if doubled:
        raise TermRefused(f"The lesson {doubled[0]} is in the list twice.")
    if len({day.weekday for day in problem.days}) != len(problem.days):
        raise TermRefused("A weekday is in the list twice.")
    for job in problem.jobs:
        _job_check(job)
        if job.is_fixed and all(
            job.present is None or day.weekday != job.present.weekday for day in problem.days
        ):
            raise TermRefused(f"{job.name}'s settled time is on no day on which you teach.")
    places = {job.place for job in problem.jobs}
    for day in problem.days:
        places |= {place for place in (day.starts_from, day.ends_at) if place is not None}
    for here in sorted(places):
        for there in sorted(places):
            if here != there and problem.roads.get((here, there), -1) < 0:
                raise TermRefused(f"The road from place {here} to place {there} is not known.")


def _job_check(job: Job) -> None:
    if not 1 <= job.minutes <= 24 * 60:
        raise TermRefused(f"{job.name}'s lesson has no sensible length.")
    if job.every_weeks < 1 or (job.week is not None and not 0 <= job.week < job.every_weeks):
        raise TermRefused(f"{job.name}'s lesson is in no sensible week.")
    if job.is_fixed and job.present is None:
        raise TermRefused(f"{job.name}'s time is settled, but there is none.")
    for weekday, minute in (*job.starts, *((job.present,) if job.present else ())):
        if not (0 <= weekday <= 6 and minute >= 0 and minute + job.minutes <= 24 * 60):
            raise TermRefused(f"{job.name}'s lesson would cross midnight.")
