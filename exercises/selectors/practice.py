"""Weeks of work and what came of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch

from exercises.models import Assignment, PracticeLog
from exercises.models.practice import AssignmentQuerySet
from studio.local_time import monday_of
from studio.models import Family, Student

MOST_CURVES = 8


@dataclass(frozen=True, slots=True)
class DayMark:
    """One day of the week and the minutes written down for it."""

    day: date
    minutes: int
    is_today: bool
    is_ahead: bool

    @property
    def said(self) -> str:
        """The mark in words."""
        if self.minutes:
            return f"{self.day:%A}: {self.minutes} minutes"
        return f"{self.day:%A}: {'still to come' if self.is_ahead else 'nothing written down'}"


@dataclass(frozen=True, slots=True)
class Work:
    """One assignment with what was logged for it."""

    assignment: Assignment
    logs: tuple[PracticeLog, ...]
    days: tuple[DayMark, ...]

    @property
    def minutes(self) -> int:
        """All minutes logged."""
        return sum(log.minutes for log in self.logs)

    @property
    def days_practised(self) -> int:
        """How many different days were logged."""
        return len({log.practised_date for log in self.logs})

    @property
    def clean_bpm(self) -> int | None:
        """The best clean tempo logged."""
        return max((log.clean_bpm for log in self.logs if log.clean_bpm), default=None)

    @property
    def has_reached_goal(self) -> bool:
        """True when the goal tempo was clean at least once."""
        return (self.clean_bpm or 0) >= self.assignment.goal_bpm

    @property
    def last_log(self) -> PracticeLog | None:
        """What was written down last."""
        return self.logs[-1] if self.logs else None

    @property
    def done_today(self) -> bool:
        """True when today's minutes are written down."""
        return any(mark.is_today and self.is_done_on(mark.day) for mark in self.days)

    def is_done_on(self, day: date) -> bool:
        """True when the minutes asked for were practised that day."""
        done = sum(log.minutes for log in self.logs if log.practised_date == day)
        return done >= self.assignment.minutes_per_day


@dataclass(frozen=True, slots=True)
class Week:
    """One week of one student."""

    monday: date
    works: tuple[Work, ...]
    today: date

    @property
    def last_date(self) -> date:
        """The Sunday."""
        return self.monday + timedelta(days=6)

    @property
    def is_this_week(self) -> bool:
        """True when today falls into it."""
        return self.monday <= self.today <= self.last_date

    @property
    def minutes(self) -> int:
        """All minutes logged for the week's work."""
        return sum(work.minutes for work in self.works)

    @property
    def minutes_a_day(self) -> int:
        """What the week asks for on each day."""
        return sum(work.assignment.minutes_per_day for work in self.works)

    @property
    def days(self) -> tuple[DayMark, ...]:
        """The week's days with the minutes of all its work."""
        every = [log for work in self.works for log in work.logs]
        return day_marks(self.monday, every, self.today)

    @property
    def days_practised(self) -> int:
        """On how many of its days something was logged."""
        return sum(mark.minutes > 0 for mark in self.days)


def day_marks(monday: date, logs: Iterable[PracticeLog], today: date) -> tuple[DayMark, ...]:
    """Return seven marks, Monday first."""
    minutes: dict[date, int] = {}
    for log in logs:
        minutes[log.practised_date] = minutes.get(log.practised_date, 0) + log.minutes
    days = (monday + timedelta(days=n) for n in range(7))
    return tuple(DayMark(day, minutes.get(day, 0), day == today, day > today) for day in days)


def student_week(*, student: Student, day: date, today: date) -> Week:
    """Return the work of the week that holds ``day``."""
    return _weeks(_worked(student.assignments.all()), [monday_of(day)], today)[0]


def one_work(*, assignment: Assignment, today: date) -> Work:
    """Return one assignment with its logs, withdrawn or not."""
    logs = tuple(PracticeLog.objects.filter(assignment=assignment).in_order())
    return Work(assignment, logs, day_marks(assignment.week_date, logs, today))


def weeks_up_to(*, student: Student, monday: date, count: int, today: date) -> list[Week]:
    """Return this many weeks, the given one first, then back in time."""
    mondays = [monday - timedelta(weeks=n) for n in range(count)]
    return _weeks(_worked(student.assignments.all()), mondays, today)


def current_week(*, student: Student, today: date) -> Week:
    """Return this week's work, or, while nothing is set for it, the latest earlier week's.

    A student goes on with last week's work until the next lesson: that is what a gap means.
    """
    monday = monday_of(today)
    latest = (
        student.assignments.standing()
        .filter(week_date__lte=monday, week_date__gt=monday - timedelta(weeks=4))
        .order_by("-week_date")
        .values_list("week_date", flat=True)
        .first()
    )
    return student_week(student=student, day=latest or monday, today=today)


def current_weeks(*, students: Iterable[Student], today: date) -> dict[int, Week]:
    """Return what :func:`current_week` says of each student, by number: two queries for all."""
    monday = monday_of(today)
    wanted = [student.pk for student in students]
    rows = _worked(
        Assignment.objects.standing().filter(
            student__in=wanted,
            week_date__lte=monday,
            week_date__gt=monday - timedelta(weeks=4),
        )
    )
    by_student: dict[int, list[Assignment]] = {}
    for row in rows:
        by_student.setdefault(row.student_id, []).append(row)
    weeks = {}
    for pk, assignments in by_student.items():
        latest = max(row.week_date for row in assignments)
        works = [_work(row, today) for row in assignments if row.week_date == latest]
        weeks[pk] = Week(latest, tuple(works), today)
    return weeks


@dataclass(frozen=True, slots=True)
class Curve:
    """The cleanest tempo of each practised day for one exercise."""

    title: str
    points: tuple[tuple[date, int], ...]
    start_bpm: int
    goal_bpm: int


def tempo_curves(*, student: Student) -> list[Curve]:
    """Return the curves of what was practised last, the latest first."""
    logs = (
        PracticeLog.objects.filter(assignment__student=student, clean_bpm__isnull=False)
        .select_related("assignment__exercise")
        .order_by("-practised_date", "-pk")[:400]
    )
    best: dict[int, dict[date, int]] = {}
    latest: dict[int, Assignment] = {}
    first: dict[int, Assignment] = {}
    for log in logs:
        key = log.assignment.exercise_id
        latest.setdefault(key, log.assignment)
        first[key] = log.assignment
        days = best.setdefault(key, {})
        days[log.practised_date] = max(days.get(log.practised_date, 0), log.clean_bpm or 0)
    return [
        Curve(
            latest[key].exercise.title,
            tuple(sorted(days.items())),
            first[key].start_bpm,
            latest[key].goal_bpm,
        )
        for key, days in list(best.items())[:MOST_CURVES]
    ]


@dataclass(frozen=True, slots=True)
class ChildsWeek:
    """A student of a family with their week."""

    student: Student
    week: Week


def family_weeks(*, family: Family, today: date) -> list[ChildsWeek]:
    """Return this week's work for each of the family's students."""
    monday = monday_of(today)
    standing = _worked(Assignment.objects.all()).in_week_of(monday)
    students = (
        Student.objects.filter(family=family)
        .active()
        .by_name()
        .prefetch_related(Prefetch("assignments", standing, to_attr="work_now"))
    )
    return [
        ChildsWeek(
            student, Week(monday, tuple(_work(row, today) for row in _work_now(student)), today)
        )
        for student in students
    ]


def _work_now(student: Student) -> list[Assignment]:
    return student.work_now  # type: ignore[attr-defined]


def last_clean_bpm(*, student: Student) -> dict[int, int]:
    """Return, by exercise, the cleanest tempo of the latest day on which one was logged."""
    logs = PracticeLog.objects.filter(assignment__student=student, clean_bpm__isnull=False)
    rows = logs.order_by("practised_date", "clean_bpm", "pk")
    found = rows.values_list("assignment__exercise_id", "clean_bpm")
    return {exercise: bpm for exercise, bpm in found if bpm is not None}


def _worked(rows: AssignmentQuerySet) -> AssignmentQuerySet:
    return (
        rows.standing()
        .in_order()
        .select_related("exercise")
        .prefetch_related(Prefetch("logs", PracticeLog.objects.in_order(), to_attr="logged"))
    )


def _work(row: Assignment, today: date) -> Work:
    logs = tuple(row.logged)  # type: ignore[attr-defined]
    return Work(row, logs, day_marks(row.week_date, logs, today))


def _weeks(rows: AssignmentQuerySet, mondays: list[date], today: date) -> list[Week]:
    by_monday: dict[date, list[Work]] = {monday: [] for monday in mondays}
    for row in rows.filter(week_date__in=mondays):
        by_monday[row.week_date].append(_work(row, today))
    return [Week(monday, tuple(works), today) for monday, works in by_monday.items()]
