"""Who stays away for a while, leaves, or comes back: what it comes to before it is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from lessons.models import Lesson, LessonKind, LessonStatus, Series, Term
from lessons.planning.recurrence import CannotRepeat, WeeklyRule
from lessons.selectors.series import SeriesPlan, SeriesWish, series_plan
from lessons.selectors.series_change_parts import SeriesChange
from lessons.selectors.series_changes import rule_from
from lessons.selectors.series_pages import planned_from
from lessons.selectors.series_wish import seal_of
from studio.local_time import day_bounds
from studio.models import Student, Studio


@dataclass(frozen=True, slots=True)
class Absence:
    """A student's planned lessons of a stretch: their own, and those of groups without them."""

    alone: tuple[Lesson, ...]
    in_groups: tuple[Lesson, ...]

    @property
    def count(self) -> int:
        """How many lessons there are."""
        return len(self.alone) + len(self.in_groups)

    @property
    def seal(self) -> str:
        """Return a short word that changes when any of the lessons does."""
        both = [*self.alone, *self.in_groups]
        return seal_of(f"{lesson.pk} {lesson.starts_at}" for lesson in both)


def absence_of(
    *, student: Student, first_date: date, last_date: date | None, studio: Studio, now: datetime
) -> Absence:
    """Return the student's lessons that are still planned from the first day to the last."""
    start, _ = day_bounds(first_date, studio.zone)
    rows = Lesson.objects.filter(
        takers__student=student, status=LessonStatus.PLANNED, starts_at__gte=max(start, now)
    )
    if last_date is not None:
        rows = rows.filter(starts_at__lt=day_bounds(last_date, studio.zone)[1])
    lessons = list(rows.with_people().in_order())
    # Whoever has said already that they cannot come is not counted twice.
    mine = [lesson for lesson in lessons if not _is_away(lesson, student)]
    return Absence(
        tuple(lesson for lesson in mine if not is_for_others(lesson, student)),
        tuple(lesson for lesson in mine if is_for_others(lesson, student)),
    )


def is_for_others(lesson: Lesson, student: Student) -> bool:
    """Return True if the lesson stands without this student: somebody else takes part."""
    others = [taker for taker in lesson.takers.all() if taker.student_id != student.pk]
    return lesson.kind == LessonKind.SCHOOL or any(not taker.is_away for taker in others)


def _is_away(lesson: Lesson, student: Student) -> bool:
    return any(taker.student_id == student.pk and taker.is_away for taker in lesson.takers.all())


def leaving_changes(
    *, student: Student, last_date: date, reason: str, studio: Studio
) -> list[SeriesChange]:
    """Return what becomes of the student's series after the last day: ended, or without them."""
    after = last_date + timedelta(days=1)
    running = Series.objects.filter(students=student, last_date__gte=after)
    running = running.filter(Q(stopped_from_date=None) | Q(stopped_from_date__gt=after))
    rows = running.select_related("place", "term", "school").prefetch_related("students")
    changes = []
    for series in rows.order_by("first_date__iso_week_day", "at", "pk"):
        others = tuple(each for each in series.students.by_name() if each.pk != student.pk)
        wish = _without(series, others, after, studio) if others else None
        changes.append(SeriesChange(after, series, wish, reason=reason))
    return changes


def _without(
    series: Series, others: tuple[Student, ...], after: date, studio: Studio
) -> SeriesWish | None:
    if not planned_from(series=series, day=after, studio=studio):
        return None
    try:
        rule = rule_from(series, after, zone=studio.zone)
    except CannotRepeat:
        return None
    return SeriesWish(
        students=others,
        place=series.place,
        rule=rule,
        term=series.term,
        kind=series.kind,
        school=series.school,
        label=series.label,
    )


@dataclass(frozen=True, slots=True)
class OldTime:
    """A time that a student had, and what it comes to in the term ahead."""

    series: Series
    term: Term
    plan: SeriesPlan | None
    trouble: str = ""

    @property
    def is_free(self) -> bool:
        """True when every date can be booked as it was."""
        return self.plan is not None and bool(self.plan.to_book) and not self.plan.in_the_way

    @property
    def first_date(self) -> date:
        """The first date of the term on that weekday."""
        return self.plan.wish.rule.first_date if self.plan else self.term.first_date


def old_times(*, student: Student, term: Term, today: date, studio: Studio) -> list[OldTime]:
    """Return the times that the student had last, each looked at in the calendar of the term."""
    begin = max(term.first_date, today)
    had = Series.objects.filter(students=student, kind=LessonKind.LESSON)
    rows = had.select_related("place", "term").order_by("-last_date", "-created_at", "-pk")
    found: list[OldTime] = []
    for series in _newest_of_each_time(list(rows[:20])):
        first = begin + timedelta(days=(series.first_date.weekday() - begin.weekday()) % 7)
        if first > term.last_date:
            continue
        rule = WeeklyRule(
            first, term.last_date, series.at, series.minutes, studio.zone, series.every_weeks
        )
        wish = SeriesWish((student,), series.place, rule, term)
        try:
            found.append(OldTime(series, term, series_plan(wish=wish, studio=studio)))
        except CannotRepeat as trouble:
            found.append(OldTime(series, term, None, str(trouble)))
    return found


def _newest_of_each_time(rows: Sequence[Series]) -> list[Series]:
    """Of series that went on from each other only the last; two at most, as students have."""
    continued = {row.split_from_id for row in rows}
    seen: dict[tuple[int, object], Series] = {}
    for row in rows:
        if row.pk not in continued:
            seen.setdefault((row.first_date.weekday(), row.at), row)
    return list(seen.values())[:2]
