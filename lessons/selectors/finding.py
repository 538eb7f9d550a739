"""Looking for a time: weekly or once, for somebody with wishes, in the days as they are booked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta

from lessons.models import StudentWindow, StudentWishes, TeachingLimits
from lessons.planning.find_once import FoundOnce, find_once
from lessons.planning.find_time import DAY_MINUTES, Found, TeachingDay, Wanted, find_times
from lessons.planning.openings import Window
from lessons.selectors.booked import (
    USUAL_HOURS,
    BookedDays,
    booked_days,
    hours_on,
    minute_of,
    place_key,
)
from lessons.selectors.road import stop_of
from studio.models import Place, Student, Studio

ALL_DAYS = tuple(Window(weekday, 0, DAY_MINUTES) for weekday in range(7))


@dataclass(frozen=True, slots=True)
class TimeWish:
    """What is looked for: whose lesson, where, how long, between which dates and within what."""

    student: Student
    place: Place
    minutes: int
    first_date: date
    last_date: date
    windows: tuple[Window, ...]
    every_weeks: int = 1
    grid: int = 15


@dataclass(frozen=True, slots=True)
class FoundTimes:
    """What the search came to, and the hour by which the lesson had to be over, if there is one."""

    found: Found
    dates: int
    latest_end: time | None
    has_unknown_road: bool


@dataclass(frozen=True, slots=True)
class FoundOnceTimes:
    """What the search for a single lesson came to."""

    found: FoundOnce
    latest_end: time | None
    has_unknown_road: bool


def times_for(
    *,
    wish: TimeWish,
    studio: Studio,
    besides: Sequence[int] = (),
    besides_lessons: Sequence[int] = (),
) -> FoundTimes:
    """Look for a weekly time.

    :param besides: numbers of series whose lessons do not count (the one that is to be moved)
    :param besides_lessons: numbers of single lessons that do not count
    """
    return times_in(_booked(wish, studio, besides, besides_lessons), wish)


def once_for(
    *,
    wish: TimeWish,
    studio: Studio,
    besides: Sequence[int] = (),
    besides_lessons: Sequence[int] = (),
) -> FoundOnceTimes:
    """Look for a time for one single lesson between the wish's dates, best first."""
    return once_in(_booked(wish, studio, besides, besides_lessons), wish)


def times_in(booked: BookedDays, wish: TimeWish) -> FoundTimes:
    """Look for a weekly time in days that are read already."""
    days, wanted, latest_end = looked_for(booked, wish)
    found = find_times(wanted, days, booked.ways, grid=wish.grid)
    return FoundTimes(found, len(days), latest_end, booked.has_unknown_road)


def once_in(booked: BookedDays, wish: TimeWish) -> FoundOnceTimes:
    """Look for a time for one single lesson in days that are read already."""
    days, wanted, latest_end = looked_for(booked, replace(wish, every_weeks=1))
    found = find_once(wanted, days, booked.ways, grid=wish.grid)
    return FoundOnceTimes(found, latest_end, booked.has_unknown_road)


def windows_of(student: Student) -> tuple[Window, ...]:
    """Return when a student can come, as written down; empty when nothing is."""
    return windows_by_student([student.pk]).get(student.pk, ())


def windows_by_student(students: Sequence[int]) -> dict[int, tuple[Window, ...]]:
    """Return the windows of several students: one query."""
    found: dict[int, list[Window]] = {}
    rows = StudentWindow.objects.filter(student__in=students)
    for row in rows.order_by("weekday", "begins_at", "pk"):
        found.setdefault(row.student_id, []).append(window_of(row))
    return {student: tuple(windows) for student, windows in found.items()}


def window_of(row: StudentWindow) -> Window:
    """Return a window as a value."""
    return Window(
        row.weekday,
        minute_of(row.begins_at),
        minute_of(row.ends_at) or DAY_MINUTES,
        row.every_weeks,
        row.anchor_date,
        row.is_preferred,
    )


def wishes_of(student: Student) -> StudentWishes:
    """Return what a student asks of a timetable, or unsaved defaults; no query if prefetched."""
    return getattr(student, "wishes", None) or StudentWishes(student=student)


def latest_end_of(
    student: Student, wishes: StudentWishes, limits: TeachingLimits, day: date
) -> time | None:
    """Return the hour by which the student's lesson is over: their own, or every child's."""
    is_child = student.birth_year is not None and day.year - student.birth_year <= limits.child_age
    bounds = [wishes.latest_end, limits.child_latest_end if is_child else None]
    return min((bound for bound in bounds if bound), default=None)


def _booked(
    wish: TimeWish, studio: Studio, besides: Sequence[int], besides_lessons: Sequence[int]
) -> BookedDays:
    return booked_days(
        first_date=wish.first_date,
        last_date=wish.last_date,
        places=[wish.place],
        studio=studio,
        besides=besides,
        besides_lessons=besides_lessons,
    )


def looked_for(
    booked: BookedDays, wish: TimeWish
) -> tuple[dict[date, TeachingDay], Wanted, time | None]:
    """The days that count for this wish, and the lesson as the search sees it."""
    wishes = wishes_of(wish.student)
    latest_end = latest_end_of(wish.student, wishes, booked.limits, wish.first_date)
    closed = booked.closed_places.get(wish.place.pk, frozenset())
    near = _too_near(booked, wish.student, wishes)
    days = {
        day: replace(teaching, is_too_near=True) if day in near else teaching
        for day, teaching in booked.teaching.items()
        # Every second week is counted from each weekday's own first date, as a series would be.
        if wish.first_date <= day <= wish.last_date
        and ((day - wish.first_date).days // 7) % wish.every_weeks == 0
        and day not in closed
    }
    wanted = Wanted(
        wish.minutes,
        place_key(stop_of(wish.place), booked.roads),
        wish.windows,
        minute_of(latest_end) or DAY_MINUTES if latest_end else DAY_MINUTES,
    )
    return days, wanted, latest_end


def _too_near(booked: BookedDays, student: Student, wishes: StudentWishes) -> frozenset[date]:
    """The dates that leave too few days to another lesson of the same student.

    Asked for only by those who take several lessons a week.
    """
    if wishes.lessons_per_week == 1:
        return frozenset()
    apart = range(-wishes.least_days_between, wishes.least_days_between + 1)
    dates = booked.student_dates.get(student.pk, frozenset())
    return frozenset(day + timedelta(days=n) for day in dates for n in apart)


__all__ = [
    "ALL_DAYS",
    "USUAL_HOURS",
    "BookedDays",
    "FoundOnceTimes",
    "FoundTimes",
    "TimeWish",
    "booked_days",
    "hours_on",
    "once_for",
    "once_in",
    "times_for",
    "times_in",
    "windows_of",
    "wishes_of",
]
