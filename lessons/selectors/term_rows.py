"""What a term's timetable is made from: who wants a lesson, what stays fixed, who told no times."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time, timedelta

from lessons.models import (
    Closure,
    DraftLesson,
    LessonKind,
    PlaceHours,
    Series,
    StudentWindow,
    StudentWishes,
    TeachingLimits,
    Term,
    WorkingHours,
)
from lessons.planning.openings import Span, Window
from lessons.selectors.booked import hours_on, minute_of
from lessons.selectors.finding import latest_end_of, window_of, wishes_of
from studio.models import Place, Student

USUAL_MINUTES = 30
DAY_MINUTES = 24 * 60
# How long a weekly lesson may have ended before a term and still be what the student is used to:
# a summer holiday lies between. Common practice, no source.
REMEMBERED = timedelta(weeks=16)


@dataclass(frozen=True, slots=True)
class WantedLesson:
    """One lesson a week that is to have a time; ``number`` counts those of one student from 0.

    ``present`` is the weekly lesson that the student has, or had last term; ``is_running`` says
    that it runs in this term. ``place_spans`` are the hours of its place by weekday, None if that
    is free whenever the teacher is.
    """

    student: Student
    number: int
    place: Place
    minutes: int
    every_weeks: int
    windows: tuple[Window, ...]
    latest_end: int
    least_days_between: int
    is_with_siblings: bool
    present: Series | None
    is_running: bool
    place_spans: Mapping[int, tuple[Span, ...]] | None = None


@dataclass(frozen=True, slots=True)
class FixedLesson:
    """A weekly lesson that stays where it is, and why."""

    series: Series
    label: str
    why: str


@dataclass(frozen=True, slots=True)
class TermRows:
    """Everything about people and times that goes into a term's timetable."""

    term: Term
    from_date: date
    wanted: tuple[WantedLesson, ...]
    fixed: tuple[FixedLesson, ...]
    no_times: tuple[Student, ...]
    hours: dict[int, tuple[Span, ...]]
    limits: TeachingLimits
    dates: tuple[date, ...]

    @property
    def students(self) -> int:
        """How many students are given a time."""
        return len({wanted.student.pk for wanted in self.wanted})

    @property
    def confirmed(self) -> tuple[FixedLesson, ...]:
        """Those that stay because they were accepted from an earlier draft."""
        return tuple(fixed for fixed in self.fixed if fixed.why == CONFIRMED)


CONFIRMED = "confirmed"
NO_TIMES = "no times known"
SHARED = "shared"


def term_rows(*, term: Term, from_date: date) -> TermRows:
    """Return what a timetable of this term from this day on is made from: a dozen queries."""
    limits = TeachingLimits.current()
    dates = open_dates(from_date, term.last_date)
    students = list(
        Student.objects.active()
        .select_related("family__home", "wishes__place")
        .prefetch_related("windows")
        .by_name()
    )
    running = _running(from_date, term.last_date)
    confirmed = _confirmed(term)
    present, shared = _by_student(running, confirmed)
    earlier = _earlier(from_date)
    known = [student for student in students if student.windows.all()]
    rooms = _place_spans()
    wanted = [
        replace(lesson, place_spans=rooms.get(lesson.place.pk))
        for student in known
        for lesson in _wanted(student, present, shared, earlier, confirmed, limits, from_date)
    ]
    moving = {lesson.present.pk for lesson in wanted if lesson.present and lesson.is_running}
    fixed = [_fixed(series, confirmed) for series in running if series.pk not in moving]
    return TermRows(
        term=term,
        from_date=from_date,
        wanted=tuple(wanted),
        fixed=tuple(fixed),
        no_times=tuple(student for student in students if not student.windows.all()),
        hours=_hours(dates),
        limits=limits,
        dates=dates,
    )


def _place_spans() -> dict[int, dict[int, tuple[Span, ...]]]:
    found: dict[int, dict[int, tuple[Span, ...]]] = defaultdict(dict)
    for row in PlaceHours.objects.order_by("weekday", "begins_at", "pk"):
        span = (minute_of(row.begins_at), minute_of(row.ends_at) or DAY_MINUTES)
        here = found[row.place_id]
        here[row.weekday] = (*here.get(row.weekday, ()), span)
    return found


def open_dates(first: date, last: date) -> tuple[date, ...]:
    """Return the days on which the studio is not closed, first and last included."""
    closures = Closure.objects.touching(first, last).filter(school=None)
    closed = [row.closed_days() for row in closures]
    days = (first + timedelta(days=n) for n in range((last - first).days + 1))
    return tuple(day for day in days if not any(each.covers(day) for each in closed))


def latest_end(student: Student, wishes: StudentWishes, limits: TeachingLimits, day: date) -> int:
    """Return the minute by which the student's lesson is over: their own, or every child's."""
    bound = latest_end_of(student, wishes, limits, day)
    return (minute_of(bound) if bound else 0) or DAY_MINUTES


def names_of(series: Series) -> str:
    """Return what a weekly lesson is called: its label, or who takes it."""
    names = " and ".join(student.name for student in series.students.all())
    return series.label or names or (str(series.school) if series.school else "a lesson")


def _running(first: date, last: date) -> list[Series]:
    """Weekly lessons with dates in the term from the day on, in order of weekday and time."""
    rows = (
        Series.objects.filter(first_date__lte=last, last_date__gte=first)
        .exclude(stopped_from_date__lte=first)
        .select_related("place", "school")
        .prefetch_related("students")
    )
    return sorted(rows, key=lambda row: (row.first_date.weekday(), row.at, row.pk))


def _earlier(first: date) -> dict[int, list[Series]]:
    """What each student had last before the day, though it had ended by then."""
    rows = (
        Series.objects.filter(
            kind=LessonKind.LESSON,
            stopped_from_date=None,
            last_date__lt=first,
            last_date__gte=first - REMEMBERED,
        )
        .select_related("place")
        .prefetch_related("students")
        .order_by("-last_date", "pk")
    )
    found: dict[int, list[Series]] = defaultdict(list)
    for series in rows:
        people = list(series.students.all())
        if len(people) != 1:
            continue
        mine = found[people[0].pk]
        # Only those that ended together with the last one: others had been given up before.
        if not mine or mine[0].last_date - series.last_date < timedelta(weeks=2):
            mine.append(series)
    return found


def _confirmed(term: Term) -> frozenset[int]:
    rows = DraftLesson.objects.filter(
        draft__term=term, confirmed_at__isnull=False, confirmed_series__isnull=False
    )
    return frozenset(rows.values_list("confirmed_series", flat=True))


def _by_student(
    running: Iterable[Series], confirmed: frozenset[int]
) -> tuple[dict[int, list[Series]], dict[int, int]]:
    """Each student's own weekly lessons that may move, and how many others they take part in."""
    own: dict[int, list[Series]] = defaultdict(list)
    other: dict[int, int] = defaultdict(int)
    for series in running:
        people = list(series.students.all())
        may_move = len(people) == 1 and series.kind == LessonKind.LESSON
        for student in people:
            if may_move and series.pk not in confirmed:
                own[student.pk].append(series)
            else:
                other[student.pk] += 1
    return own, other


def _wanted(
    student: Student,
    present: dict[int, list[Series]],
    shared: dict[int, int],
    earlier: dict[int, list[Series]],
    confirmed: frozenset[int],
    limits: TeachingLimits,
    day: date,
) -> list[WantedLesson]:
    wishes: StudentWishes | None = getattr(student, "wishes", None)
    running = present.get(student.pk, [])
    a_week = wishes.lessons_per_week if wishes else 1
    # What runs is never dropped without a word, and what is shared or confirmed counts as had.
    count = max(a_week - shared.get(student.pk, 0), len(running))
    had = running or ([] if shared.get(student.pk) else earlier.get(student.pk, []))
    windows = tuple(window_of(row) for row in sorted(student.windows.all(), key=_window_order))
    lessons = []
    for number in range(count):
        series = had[number] if number < len(had) else None
        lessons.append(
            WantedLesson(
                student=student,
                number=number,
                place=_place(student, wishes, series),
                minutes=_minutes(wishes, series),
                every_weeks=wishes.every_weeks if wishes else (series.every_weeks if series else 1),
                windows=windows,
                latest_end=latest_end(student, wishes_of(student), limits, day),
                least_days_between=wishes.least_days_between if wishes else 1,
                is_with_siblings=wishes.is_with_siblings if wishes else True,
                present=series,
                is_running=series is not None and bool(running),
            )
        )
    return lessons


def _place(student: Student, wishes: StudentWishes | None, series: Series | None) -> Place:
    if wishes is not None and wishes.place is not None:
        return wishes.place
    return series.place if series is not None else student.family.home


def _minutes(wishes: StudentWishes | None, series: Series | None) -> int:
    if wishes is not None:
        return wishes.minutes
    return series.minutes if series is not None else USUAL_MINUTES


def _fixed(series: Series, confirmed: frozenset[int]) -> FixedLesson:
    if series.pk in confirmed:
        why = CONFIRMED
    elif series.kind != LessonKind.LESSON or len(series.students.all()) != 1:
        why = SHARED
    else:
        why = NO_TIMES
    return FixedLesson(series, names_of(series), why)


def _window_order(row: StudentWindow) -> tuple[int, time, int]:
    return row.weekday, row.begins_at, row.pk


def _hours(dates: Sequence[date]) -> dict[int, tuple[Span, ...]]:
    """The hours that hold on every open date of a weekday: a summer timetable may cut into some."""
    rows = list(WorkingHours.objects.order_by("weekday", "begins_at", "pk"))
    found: dict[int, tuple[Span, ...]] = {}
    for day in dates:
        here = hours_on(day, rows)
        weekday = day.weekday()
        found[weekday] = _both(found[weekday], here) if weekday in found else here
    return found


def _both(a: Sequence[Span], b: Sequence[Span]) -> tuple[Span, ...]:
    spans = [(max(start, begins), min(end, ends)) for start, end in a for begins, ends in b]
    return tuple(sorted((start, end) for start, end in spans if start < end))
