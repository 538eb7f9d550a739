"""Changing series from a day on: what is past stays, and all of it is done or none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from lessons.models import CalledOffBy, Lesson, LessonStatus, LessonStudent, Series
from lessons.selectors.facts import band_of_lesson
from lessons.selectors.road import bands_now, road_book
from lessons.selectors.series_change_parts import ChangedDate, ChangePart, ChangesPlan, SeriesChange
from lessons.selectors.series_changes import changes_plan
from lessons.selectors.series_wish import SeriesWish
from lessons.services.booking import (
    LessonClash,
    NothingToBook,
    PlanChanged,
    calendar_held,
    lesson_fields,
    series_write,
    take,
)
from lessons.services.mail_series import tell_dates_off, tell_series_changed
from lessons.services.revision import lesson_changed
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Studio, User

CHANGED = "The calendar changed while you were looking. Nothing was changed; look once more."
_OWN_FIELDS = ["starts_at", "ends_at", "moved_from", "road_overruled_reason", "revision"]
_SHARED_FIELDS = [
    "series", "kind", "school", "label", "place", "minutes", "status", "called_off_by",
    "called_off_told_at", "called_off_reason", "called_off_outcome",
]  # fmt: skip

_ENDED_FIELDS = [
    "status", "called_off_by", "called_off_told_at", "called_off_reason", "called_off_outcome",
    "fixed_band_label", "fixed_surcharge", "revision",
]  # fmt: skip


class ChangeInThePast(Exception):
    """The change would begin before today; what is past never changes."""


def series_change_from(
    *,
    series: Series,
    from_date: date,
    wish: SeriesWish,
    by: User,
    now: datetime,
    seal: str = "",
    road_reason: str = "",
    moves_apart: bool = False,
    are_families_told: bool = False,
) -> Series:
    """Give a series another time, weekday, length, place or people from a local day on.

    The series ends the day before and another begins that is split from it. Lessons that were
    moved, changed or called off by themselves stay as they are, unless ``moves_apart``.

    :param seal: what the page showed (:attr:`ChangesPlan.seal`); empty changes without looking
    :raises PlanChanged: if a seal is given and the calendar is another by now
    :raises LessonClash: naming every date in the way
    :raises NothingToBook: if no lesson would be left
    :raises ChangeInThePast: for a day before today
    :raises CannotRepeat: if the rule makes no sense
    """
    change = SeriesChange(from_date, series, wish, road_reason, moves_apart)
    return series_replace_many(
        [change], by=by, now=now, seal=seal, are_families_told=are_families_told
    )[0]


def series_replace_many(
    changes: Sequence[SeriesChange],
    *,
    by: User,
    now: datetime,
    seal: str = "",
    are_families_told: bool = False,
) -> tuple[Series, ...]:
    """Stop, change and begin series in one transaction; only the end result is checked.

    Returns the series that goes on for each change: the new one, or the one that ends.

    :raises: as :func:`series_change_from`
    """
    studio = Studio.current()
    today = local_date(now, studio.zone)
    if any(change.from_date < today for change in changes):
        raise ChangeInThePast("What is past never changes. Choose today or a later day.")
    with calendar_held():
        held = [change.series.pk for change in changes if change.series is not None]
        list(Series.objects.select_for_update().filter(pk__in=held).order_by("pk"))
        plan = changes_plan(changes=changes, studio=studio, now=now)
        _refuse(plan, seal)
        _set_aside(plan, now)
        series = tuple(_apply(part, studio, by, now) for part in plan.parts)
        if are_families_told:
            for part, each in zip(plan.parts, series, strict=True):
                _tell(part, each, studio, now)
    return series


def _refuse(plan: ChangesPlan, seal: str) -> None:
    if seal and seal != plan.seal:
        raise PlanChanged(CHANGED)
    for part in plan.parts:
        if part.change.wish is not None and not part.dates and not part.kept:
            raise NothingToBook("No lesson would be left from that day on. Nothing was changed.")
    standing = plan.in_the_way
    if standing:
        found_clashes = [clash for found in standing for clash in found.clashes]
        raise LessonClash(found_clashes, outcome="Not changed")


def _set_aside(plan: ChangesPlan, now: datetime) -> None:
    """Free every old time first: two lessons that change places would meet half-way."""
    leaving = {each.lesson.pk for part in plan.parts for each in part.dates if each.lesson}
    leaving |= {lesson.pk for part in plan.parts for lesson in part.ending}
    Lesson.objects.filter(pk__in=leaving).update(
        status=LessonStatus.CALLED_OFF,
        called_off_by=CalledOffBy.TEACHER,
        called_off_told_at=now,
        called_off_outcome="called_off_by_teacher",
    )


def _apply(part: ChangePart, studio: Studio, by: User, now: datetime) -> Series:
    change = part.change
    end_lessons(part.ending, change.reason or "The series changes", studio, now)
    if change.wish is None:
        series = _ended(change)
    else:
        series = _going_on(part, change.wish, now)
        _write_lessons(part, change.wish, series)
    event_record(
        kind=_kind_of(change),
        subject=_subject(part),
        by=by,
        now=now,
        series=series.pk,
        before=change.series.pk if change.series else None,
        from_date=change.from_date.isoformat(),
        lessons=len(part.dates),
        ended=len(part.ending),
        road_reason=change.road_reason,
        reason=change.reason,
    )
    return series


def _tell(part: ChangePart, series: Series, studio: Studio, now: datetime) -> None:
    change = part.change
    if change.wish is not None:
        tell_series_changed(series=series, from_date=change.from_date, studio=studio, now=now)
        return
    for student in series.students.all():
        tell_dates_off(
            student=student, lessons=part.ending, reason=change.reason, studio=studio, now=now
        )


def _kind_of(change: SeriesChange) -> str:
    if change.wish is None:
        return "series_stopped"
    return "series_booked" if change.series is None else "series_changed"


def _subject(part: ChangePart) -> str:
    if part.change.wish is not None:
        return part.change.wish.names
    return part.ending[0].names if part.ending else str(part.change.series)


def _ended(change: SeriesChange) -> Series:
    if change.series is None:
        raise ValueError("a change without a series and without a wish changes nothing")
    Series.objects.filter(pk=change.series.pk).update(stopped_from_date=change.from_date)
    change.series.refresh_from_db()
    return change.series


def _going_on(part: ChangePart, wish: SeriesWish, now: datetime) -> Series:
    """The series after the change: a new one, or the same if none of its lessons come before."""
    old = part.change.series
    if old is None:
        return series_write(Series(created_at=now), wish)
    earlier = Series.objects.get(pk=old.pk)
    mine = {each.lesson.pk for each in part.dates if each.lesson}
    mine |= {each.lesson.pk for each in part.kept} | {lesson.pk for lesson in part.ending}
    if not earlier.lessons.exclude(pk__in=mine).exists():
        earlier.stopped_from_date = None
        return series_write(earlier, wish)
    Series.objects.filter(pk=old.pk).update(stopped_from_date=part.change.from_date)
    series = series_write(Series(created_at=now, split_from=earlier), wish)
    # Those that stay as they are belong to the rhythm that goes on.
    after = {each.lesson.pk for each in part.kept} | {lesson.pk for lesson in part.ending}
    Lesson.objects.filter(pk__in=after).update(series=series)
    return series


def _write_lessons(part: ChangePart, wish: SeriesWish, series: Series) -> None:
    tight = {found.occurrence.day for found in part.too_tight}
    reason = part.change.road_reason
    moved, new = [], []
    for each in part.dates:
        fields = lesson_fields(wish, each.occurrence)
        fields["road_overruled_reason"] = reason if each.occurrence.day in tight else ""
        if each.lesson is not None and each.is_as_before(wish):
            fields["road_overruled_reason"] = each.lesson.road_overruled_reason
        if each.lesson is None:
            new.append(Lesson(series=series, **fields))
        else:
            moved.append(_moved(each, each.lesson, wish, series, fields))
    _write_moved(moved)
    take(Lesson.objects.bulk_create(new), wish.students)
    _take_over(moved, wish)


def _write_moved(moved: Sequence[Lesson]) -> None:
    """Write each lesson's time while all are set aside, then what they share: far quicker."""
    if not moved:
        return
    Lesson.objects.bulk_update(moved, _OWN_FIELDS, batch_size=50)
    shared = {name: getattr(moved[0], name) for name in _SHARED_FIELDS}
    Lesson.objects.filter(pk__in=[lesson.pk for lesson in moved]).update(**shared)


def _moved(
    each: ChangedDate, lesson: Lesson, wish: SeriesWish, series: Series, fields: dict[str, object]
) -> Lesson:
    was = (lesson.starts_at, lesson.minutes, lesson.place_id, lesson.label, _people(lesson))
    people = frozenset(student.pk for student in wish.students)
    now = (each.occurrence.when.start, wish.rule.minutes, wish.place.pk, wish.label, people)
    if was != now:
        lesson_changed(lesson)
    lesson.series = series
    for name, value in fields.items():
        setattr(lesson, name, value)
    return lesson


def _people(lesson: Lesson) -> frozenset[int]:
    return frozenset(taker.student_id for taker in lesson.takers.all())


def _take_over(lessons: Sequence[Lesson], wish: SeriesWish) -> None:
    """Let the lessons have the wish's students; nobody who was marked is taken out."""
    people = {student.pk for student in wish.students}
    pks = [lesson.pk for lesson in lessons]
    gone = LessonStudent.objects.filter(lesson__in=pks, attendance="unmarked")
    gone.exclude(student__in=people).delete()
    LessonStudent.objects.bulk_create(
        LessonStudent(lesson=lesson, student_id=pk)
        for lesson in lessons
        for pk in sorted(people - _people(lesson))
    )


def end_lessons(
    lessons: Iterable[Lesson],
    reason: str,
    studio: Studio,
    now: datetime,
    *,
    called_off_by: str = CalledOffBy.TEACHER,
    outcome: str = "called_off_by_teacher",
) -> None:
    """Call several planned lessons off, as their series changes or ends: free unless said."""
    lessons = list(lessons)
    roads, bands = road_book(studio), bands_now()
    for lesson in lessons:
        band = band_of_lesson(lesson, roads, bands)
        lesson.fixed_band_label, lesson.fixed_surcharge = band.label[:60], band.surcharge
        lesson.status = LessonStatus.CALLED_OFF
        lesson.called_off_by, lesson.called_off_told_at = called_off_by, now
        lesson.called_off_reason, lesson.called_off_outcome = reason[:200], outcome
        lesson_changed(lesson)
    Lesson.objects.bulk_update(lessons, _ENDED_FIELDS, batch_size=50)
