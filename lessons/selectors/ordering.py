"""A day's visits as the re-ordering sees them: what may move, when, and what must stay.

Reading and reckoning are apart: :func:`day_question` asks the database, :func:`answered` only
computes, so that the calendar is never held while an order is looked for.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from lessons.models import DayRule, Lesson, LessonKind, TeachingLimits, WorkingHours
from lessons.planning.day_times import DayVisit
from lessons.planning.find_time import DAY_MINUTES
from lessons.planning.openings import Busy, Meal, Span, Ways, Window, has_meal
from lessons.planning.travel import RoadBook, Stop
from lessons.selectors.appointments import AppointmentTime, appointments_on
from lessons.selectors.booked import (
    ends_of,
    hours_on,
    meal_of,
    minute_of,
    place_key,
    ways_between,
)
from lessons.selectors.finding import latest_end_of, windows_by_student, wishes_of
from lessons.selectors.road import road_book, stop_of
from studio.models import Family, Student, Studio

MEAL = 0


@dataclass(frozen=True, slots=True)
class Visit:
    """One stretch of the day: a lesson or an appointment, where it is, and how far it may move.

    ``why_fixed`` is empty for a lesson that may move. Times are minutes of the local day.
    """

    key: int
    lesson: Lesson | None
    appointment: AppointmentTime | None
    stop: Stop
    at: int
    minutes: int
    opens: int
    latest: int
    why_fixed: str
    is_wish_known: bool

    @property
    def label(self) -> str:
        """Whose lesson, or what appointment."""
        if self.lesson is not None:
            return self.lesson.names or "a lesson"
        return self.appointment.label if self.appointment else ""

    @property
    def begins(self) -> time:
        """Today's start."""
        return clock(self.at)

    @property
    def families(self) -> tuple[Family, ...]:
        """Who would have to be asked; uses the prefetched rows."""
        if self.lesson is None:
            return ()
        found = {
            taker.student.family_id: taker.student.family for taker in self.lesson.takers.all()
        }
        return tuple(found.values())


@dataclass(frozen=True, slots=True)
class DayQuestion:
    """A day as it is, ready to be put in another order."""

    day: date
    visits: tuple[Visit, ...]
    ways: Ways
    book: RoadBook
    starts_from: int | None
    ends_at: int | None
    start: Stop | None
    end: Stop | None
    meal: DayVisit | None
    has_unknown_road: bool

    @property
    def day_visits(self) -> list[DayVisit]:
        """The visits as the search takes them."""
        return [
            DayVisit(
                visit.key,
                visit.minutes,
                place_key(visit.stop, self.book),
                visit.at,
                visit.opens,
                visit.latest,
            )
            for visit in self.visits
        ]

    @property
    def roads(self) -> dict[tuple[int, int], int]:
        """The roads with the minutes to spare that the teacher asks of each.

        A road that takes longer at some hours counts with its longest time: an order that keeps
        every promise then keeps it at any hour.
        """
        longest = {
            ends: max(minutes for _, _, minutes in hours)
            for ends, hours in self.ways.by_hour.items()
        }
        return {
            ends: max(road, longest.get(ends, 0)) + self.ways.buffer
            for ends, road in self.ways.minutes.items()
        }

    @property
    def seal(self) -> str:
        """Return a short word that changes when anything does that the order rests on."""
        parts = [repr(visit) for visit in self.day_visits]
        parts += [f"{v.lesson.pk}.{v.lesson.revision}" for v in self.visits if v.lesson]
        parts += [repr(self.starts_from), repr(self.ends_at), repr(self.meal)]
        parts += sorted(repr(road) for road in self.roads.items())
        return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]


def day_question(
    *, day: date, studio: Studio, now: datetime, staying: Collection[int] = ()
) -> DayQuestion:
    """Read a day: a fixed number of queries, whatever is in it.

    :param staying: numbers of lessons that the teacher wants to leave where they are
    """
    limits, book = TeachingLimits.current(), road_book(studio)
    lessons = _lessons(day, studio)
    appointments = appointments_on(day, day, studio.zone)
    rule = (
        DayRule.objects.filter(weekday=day.weekday())
        .select_related("starts_from", "ends_at_place")
        .first()
    )
    hours = hours_on(day, list(WorkingHours.objects.order_by("weekday", "begins_at", "pk")))
    students = [taker.student_id for lesson in lessons for taker in lesson.takers.all()]
    reader = _Reader(day, studio, now, limits, hours, windows_by_student(students), staying)
    visits = [reader.lesson(lesson) for lesson in lessons]
    visits += [reader.appointment(each) for each in appointments]
    visits.sort(key=lambda visit: (visit.at, visit.key))
    start = stop_of(rule.starts_from) if rule and rule.starts_from else book.base
    end = stop_of(rule.ends_at_place) if rule and rule.ends_at_place else book.base
    stops = [visit.stop for visit in visits] + [stop for stop in (start, end) if stop]
    ways, has_unknown = ways_between(stops, book, limits.buffer_minutes)
    base = book.base.key if book.base else None
    starts_from, ends_at = ends_of(rule, book) or (base, base)
    return DayQuestion(
        day=day,
        visits=tuple(visits),
        ways=ways,
        book=book,
        starts_from=starts_from,
        ends_at=ends_at,
        start=start,
        end=end,
        meal=_meal_visit(meal_of(rule), visits, ways, book),
        has_unknown_road=has_unknown,
    )


def _lessons(day: date, studio: Studio) -> list[Lesson]:
    lessons = Lesson.objects.taking_time().on_days(day, day, studio.zone)
    people = "takers__student__family__adults", "takers__student__wishes"
    return list(lessons.select_related("place").prefetch_related(*people).in_order())


@dataclass(frozen=True, slots=True)
class _Reader:
    """Turns rows into visits, with all that decides how far each may move."""

    day: date
    studio: Studio
    now: datetime
    limits: TeachingLimits
    hours: tuple[Span, ...]
    windows: dict[int, tuple[Window, ...]]
    staying: Collection[int]

    def appointment(self, each: AppointmentTime) -> Visit:
        """The teacher's own time stays."""
        rule = each.appointment.rule()
        at, minutes = rule.begins, rule.ends - rule.begins
        why = "your own appointment"
        return Visit(
            -each.appointment.pk,
            None,
            each,
            each.stop,
            at,
            minutes,
            at,
            at,
            why,
            is_wish_known=True,
        )

    def lesson(self, lesson: Lesson) -> Visit:
        """A lesson may move within its students' times and the teacher's hours."""
        at = minute_of(lesson.starts_at.astimezone(self.studio.zone))
        opens, latest, why = at, at, self._why_fixed(lesson)
        students = [taker.student for taker in lesson.takers.all()]
        is_known = all(self.windows.get(student.pk) for student in students)
        if not why:
            spans = [self._span(self.hours, at, lesson.minutes)]
            for student in students:
                windows = self.windows.get(student.pk)
                if windows:
                    open_today = [
                        (one.begins, one.ends) for one in windows if one.is_open_on(self.day)
                    ]
                    spans.append(self._span(open_today, at, lesson.minutes))
            if None in spans:
                why = "outside the times written down"
            else:
                opens = max(span[0] for span in spans if span)
                latest = min(span[1] for span in spans if span) - lesson.minutes
                latest = max(at, min([latest, *self._bounds(students, lesson.minutes)]))
        stop = stop_of(lesson.place)
        return Visit(
            lesson.pk, lesson, None, stop, at, lesson.minutes, opens, latest, why, is_known
        )

    def _why_fixed(self, lesson: Lesson) -> str:
        if not lesson.is_planned:
            return "attendance is marked"
        if lesson.starts_at <= self.now:
            return "it has begun"
        if lesson.kind == LessonKind.SCHOOL:
            return "a school block"
        if not lesson.takers.all():
            return "nobody is in it whom one could ask"
        if lesson.pk in self.staying:
            return "you said that it stays"
        return ""

    def _span(self, spans: Sequence[Span], at: int, minutes: int) -> Span | None:
        """The stretch that today's time lies in."""
        return next((s for s in spans if s[0] <= at and at + minutes <= s[1]), None)

    def _bounds(self, students: Sequence[Student], minutes: int) -> list[int]:
        """The last starts that keep each student's hour."""
        found = []
        for student in students:
            end = latest_end_of(student, wishes_of(student), self.limits, self.day)
            if end is not None:
                found.append((minute_of(end) or DAY_MINUTES) - minutes)
        return found


def _meal_visit(
    meal: Meal | None, visits: Sequence[Visit], ways: Ways, book: RoadBook
) -> DayVisit | None:
    """The meal as a stretch without a place, if the day as it is has room for it."""
    if meal is None:
        return None
    schedule = tuple(Busy(v.at, v.at + v.minutes, place_key(v.stop, book), v.label) for v in visits)
    if not has_meal(schedule, meal, ways):
        return None
    for at in range(meal.begins, meal.ends - meal.minutes + 1):
        if not any(busy.start < at + meal.minutes and at < busy.end for busy in schedule):
            return DayVisit(MEAL, meal.minutes, None, at, meal.begins, meal.ends - meal.minutes)
    return None


def clock(minute: int) -> time:
    """Return the time of day of a minute."""
    return time(minute // 60 % 24, minute % 60)
