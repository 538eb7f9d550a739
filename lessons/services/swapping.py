"""Two lessons change places: for one week the lessons, for good their series."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from lessons.models import Lesson, LessonStatus, Series
from lessons.planning.clashes import Clash, Visit
from lessons.planning.intervals import Interval
from lessons.selectors.road import road_book, stop_of
from lessons.selectors.series import all_in_the_way, visits_between
from lessons.selectors.series_change_parts import SeriesChange
from lessons.selectors.series_changes import rule_from
from lessons.selectors.series_wish import SeriesWish, seal_of
from lessons.services.booking import LessonClash, PlanChanged, calendar_held
from lessons.services.mail import tell_moved
from lessons.services.revision import lesson_changed
from lessons.services.series_changing import CHANGED
from studio.events import event_record
from studio.local_time import day_bounds, monday_of
from studio.models import Studio, User


class NothingToSwap(Exception):
    """One of the two has no planned lesson in that week."""


def lessons_to_swap(
    *, first: Series, second: Series, week_of: date, studio: Studio, now: datetime
) -> tuple[Lesson, Lesson]:
    """Return the two lessons of that week that would change places.

    :raises NothingToSwap: naming the one that has none
    """
    found = []
    for series in (first, second):
        start, _ = day_bounds(monday_of(week_of), studio.zone)
        end, _ = day_bounds(monday_of(week_of) + timedelta(days=7), studio.zone)
        planned = Lesson.objects.filter(
            series=series, starts_at__gte=max(start, now), starts_at__lt=end
        ).filter(status=LessonStatus.PLANNED)
        lesson = planned.with_people().in_order().first()
        if lesson is None:
            names = series.label or " and ".join(s.name for s in series.students.by_name())
            raise NothingToSwap(f"{names} has no planned lesson left in that week.")
        found.append(lesson)
    return found[0], found[1]


def swap_clashes(*, lessons: Sequence[Lesson], studio: Studio) -> list[Clash]:
    """Return what stands in the way once both have changed places."""
    wanted = [
        Visit(when, stop_of(lesson.place), lesson.names)
        for lesson, when in zip(lessons, _swapped(lessons), strict=True)
    ]
    pks = {lesson.pk for lesson in lessons}
    first = min(visit.when.start for visit in wanted)
    last = max(visit.when.end for visit in wanted)
    booked = [visit for visit in visits_between(first, last) if visit.key not in pks]
    found = all_in_the_way(wanted, booked, road_book(studio), studio)
    return [clash for each in found for clash in each]


def swap_seal(lessons: Sequence[Lesson], clashes: Sequence[Clash]) -> str:
    """Return a short word that changes when the lessons or what is in their way do."""
    words = [f"{lesson.pk} {lesson.starts_at} {lesson.minutes}" for lesson in lessons]
    return seal_of(words + [clash.words for clash in clashes])


def lessons_swap(
    *,
    first: Series,
    second: Series,
    week_of: date,
    by: User,
    now: datetime,
    road_reason: str = "",
    seal: str = "",
    are_families_told: bool = False,
) -> tuple[Lesson, Lesson]:
    """Let the two lessons of one week begin at each other's time; each keeps length and place.

    :raises NothingToSwap: if one has no planned lesson in that week
    :raises LessonClash: naming what is in the way once both have moved
    :raises PlanChanged: if a seal is given and the calendar is another by now
    """
    studio = Studio.current()
    with calendar_held():
        lessons = lessons_to_swap(
            first=first, second=second, week_of=week_of, studio=studio, now=now
        )
        list(Lesson.objects.select_for_update().filter(pk__in=[each.pk for each in lessons]))
        clashes = swap_clashes(lessons=lessons, studio=studio)
        if seal and seal != swap_seal(lessons, clashes):
            raise PlanChanged(CHANGED)
        if any(not clash.can_be_overruled for clash in clashes) or (clashes and not road_reason):
            raise LessonClash(clashes, outcome="Not swapped")
        _change_places(lessons, road_reason if clashes else "")
        event = event_record(
            kind="lessons_swapped",
            subject=" and ".join(lesson.names for lesson in lessons),
            by=by,
            now=now,
            lessons=[lesson.pk for lesson in lessons],
        )
        if are_families_told:
            for lesson, other in zip(lessons, reversed(lessons), strict=True):
                tell_moved(
                    lesson=lesson,
                    before=other.starts_at,
                    event=event,
                    studio=studio,
                    now=now,
                )
    return lessons


def swap_changes(
    *,
    first: Series,
    second: Series,
    week_of: date,
    today: date,
    road_reason: str,
    studio: Studio,
) -> tuple[SeriesChange, SeriesChange]:
    """Return the two changes that let each have the other's weekday and time for good."""
    start = max(monday_of(week_of), today)
    return (
        _takes_time_of(first, second, start, road_reason, studio),
        _takes_time_of(second, first, start, road_reason, studio),
    )


def _takes_time_of(
    series: Series, other: Series, from_date: date, road_reason: str, studio: Studio
) -> SeriesChange:
    rule = rule_from(
        series,
        from_date,
        weekday=other.first_date.weekday(),
        at=other.at,
        zone=studio.zone,
    )
    wish = SeriesWish(
        students=tuple(series.students.by_name()),
        place=series.place,
        rule=rule,
        term=series.term,
        kind=series.kind,
        school=series.school,
        label=series.label,
    )
    return SeriesChange(from_date, series, wish, road_reason)


def _swapped(lessons: Sequence[Lesson]) -> tuple[Interval, Interval]:
    first, second = lessons
    return (
        Interval.lasting(second.starts_at, first.minutes),
        Interval.lasting(first.starts_at, second.minutes),
    )


def _change_places(lessons: Sequence[Lesson], road_reason: str) -> None:
    times = _swapped(lessons)
    # Both leave their old time before either takes the other's: they would meet half-way.
    first = lessons[0]
    Lesson.objects.filter(pk=first.pk).update(
        status=LessonStatus.CALLED_OFF,
        called_off_by="teacher",
        called_off_told_at=first.starts_at,
        called_off_outcome="called_off_by_teacher",
    )
    for lesson, when in zip(reversed(lessons), reversed(times), strict=True):
        if lesson.moved_from is None:
            lesson.moved_from = lesson.starts_at
        elif lesson.moved_from == when.start:
            lesson.moved_from = None
        lesson.starts_at, lesson.ends_at = when.start, when.end
        lesson.road_overruled_reason = road_reason
        lesson_changed(lesson)
        lesson.full_clean()
        lesson.save()
