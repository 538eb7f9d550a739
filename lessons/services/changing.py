"""Moving and calling off what is booked."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time

from django.db.models import Prefetch

from lessons.models import (
    CalledOffBy,
    Lesson,
    LessonStatus,
    LessonStudent,
    MissedLessonRules,
    Series,
)
from lessons.planning.policy import Outcome
from lessons.planning.recurrence import lesson_interval
from lessons.selectors.facts import band_of_lesson
from lessons.selectors.road import bands_now, road_book
from lessons.selectors.series_pages import planned_from
from lessons.services.booking import calendar_held, refuse_clashes
from lessons.services.mail import tell_called_off, tell_moved
from lessons.services.missed import (
    MakeUpStands,
    make_ups_settle,
    make_ups_take_back,
    overruling_note,
)
from lessons.services.revision import lesson_changed
from studio.events import event_record
from studio.models import Place, Studio, User


class LessonLocked(Exception):
    """The lesson was given or called off, so it cannot be changed in this way."""


def lesson_move(
    *,
    lesson: Lesson,
    day: date,
    at: time,
    minutes: int,
    place: Place,
    by: User,
    now: datetime,
    road_reason: str = "",
    is_family_told: bool = False,
) -> Lesson:
    """Give a planned lesson another time, length or place; its series stays as it is.

    :raises LessonLocked: if it was marked or called off
    :raises LessonClash: if it overlaps, or the road is too long and no reason is given
    :raises CannotRepeat: if that time cannot be
    """
    studio = Studio.current()
    when = lesson_interval(day, at, minutes, studio.zone)
    with calendar_held():
        lesson = _locked(lesson)
        if not lesson.is_planned:
            raise LessonLocked("Only a planned lesson can be moved. Nothing was changed.")
        is_tight = refuse_clashes(
            when=when,
            place=place,
            label=lesson.names,
            studio=studio,
            road_reason=road_reason,
            besides=lesson,
        )
        before = lesson.starts_at
        lesson.road_overruled_reason = road_reason if is_tight else ""
        if when.start != before and lesson.moved_from is None:
            lesson.moved_from = before
        lesson.starts_at, lesson.ends_at, lesson.minutes = when.start, when.end, minutes
        lesson.place = place
        lesson_changed(lesson)
        lesson.full_clean()
        lesson.save()
        event = event_record(
            kind="lesson_moved",
            subject=lesson.names,
            by=by,
            now=now,
            lesson=lesson.pk,
            before=before.isoformat(),
            after=when.start.isoformat(),
        )
        if is_family_told:
            tell_moved(lesson=lesson, before=before, event=event, studio=studio, now=now)
    return lesson


def lesson_call_off(
    *,
    lesson: Lesson,
    called_off_by: CalledOffBy,
    told_at: datetime,
    reason: str,
    by: User,
    now: datetime,
    counts_as: Outcome | None = None,
    is_make_up_owed: bool | None = None,
    overruled_because: str = "",
    is_family_told: bool = False,
) -> Lesson:
    """Call one lesson off; who asked and when decide what it counts as, unless overruled.

    A repeated press changes nothing. What the teacher calls off is never charged.

    :param is_make_up_owed: whether it is to be made up; None leaves it to the rules
    :param overruled_because: why it counts otherwise than the rules say; it stays with the lesson
    :raises LessonLocked: if attendance is marked
    """
    studio = Studio.current()
    with calendar_held():
        lesson = _locked(lesson)
        if lesson.is_called_off:
            return lesson
        if lesson.is_done:
            raise LessonLocked("Attendance is marked. Take the mark back first, then call it off.")
        policy = MissedLessonRules.current().policy()
        is_mine = called_off_by == CalledOffBy.TEACHER
        by_rules = policy.outcome(
            by="teacher" if is_mine else "family",
            told_at=told_at,
            starts_at=lesson.starts_at,
            zone=studio.zone,
        )
        outcome = by_rules if is_mine else counts_as or by_rules
        is_owed = policy.owes_make_up(outcome) if is_make_up_owed is None else is_make_up_owed
        _call_off(lesson, called_off_by, told_at, reason, outcome)
        fix_road_price(lesson, studio)
        lesson.full_clean()
        lesson.save()
        make_ups_settle(
            lesson, policy=policy, is_owed=is_owed, told_at=told_at, studio=studio, now=now
        )
        if overruled_because:
            overruling_note(
                lesson=lesson,
                by_the_rules=by_rules,
                counts_as=outcome,
                is_make_up_owed=is_owed,
                reason=overruled_because,
                by=by,
                now=now,
            )
        event = event_record(
            kind="lesson_called_off",
            subject=lesson.names,
            by=by,
            now=now,
            lesson=lesson.pk,
            called_off_by=called_off_by,
            by_the_rules=by_rules,
            counts_as=outcome,
        )
        if is_family_told:
            tell_called_off(lesson=lesson, event=event, studio=studio, now=now)
    return lesson


def lesson_reinstate(*, lesson: Lesson, by: User, now: datetime, road_reason: str = "") -> Lesson:
    """Put a called-off lesson back, if its time is still free.

    :raises LessonLocked: if it was not called off
    :raises LessonClash: if something else is there by now
    """
    studio = Studio.current()
    with calendar_held():
        lesson = _locked(lesson)
        if not lesson.is_called_off:
            raise LessonLocked("This lesson is not called off. Nothing was changed.")
        try:
            make_ups_take_back(lesson, why="The lesson was put back.", now=now)
        except MakeUpStands as stands:
            raise LessonLocked(str(stands)) from stands
        refuse_clashes(
            when=lesson.when,
            place=lesson.place,
            label=lesson.names,
            studio=studio,
            road_reason=road_reason or lesson.road_overruled_reason,
            besides=lesson,
        )
        lesson.status = LessonStatus.PLANNED
        lesson.called_off_by, lesson.called_off_told_at = "", None
        lesson.called_off_reason = lesson.called_off_outcome = ""
        lesson.fixed_surcharge, lesson.fixed_band_label = None, ""
        lesson_changed(lesson)
        lesson.full_clean()
        lesson.save()
        event_record(kind="lesson_put_back", subject=lesson.names, by=by, now=now, lesson=lesson.pk)
    return lesson


def series_stop(*, series: Series, from_date: date, by: User, now: datetime) -> int:
    """Call off what is still planned from this local day on; return how many lessons that were."""
    studio = Studio.current()
    with calendar_held():
        ending = planned_from(series=series, day=from_date, studio=studio)
        lessons = _with_names(lesson.pk for lesson in ending)
        for lesson in lessons:
            _call_off(lesson, CalledOffBy.TEACHER, now, "The series ends", "called_off_by_teacher")
            fix_road_price(lesson, studio)
            lesson.save()
        Series.objects.filter(pk=series.pk).update(stopped_from_date=from_date)
        event_record(
            kind="series_stopped",
            subject=str(series),
            by=by,
            now=now,
            series=series.pk,
            from_date=from_date.isoformat(),
            lessons=len(lessons),
        )
    return len(lessons)


def fix_road_price(lesson: Lesson, studio: Studio) -> None:
    """Write down band and surcharge as they are now; the caller saves."""
    band = band_of_lesson(lesson, road_book(studio), bands_now())
    lesson.fixed_band_label, lesson.fixed_surcharge = band.label[:60], band.surcharge


def _call_off(
    lesson: Lesson, called_off_by: CalledOffBy, told_at: datetime, reason: str, outcome: Outcome
) -> None:
    lesson.status = LessonStatus.CALLED_OFF
    lesson.called_off_by = called_off_by
    lesson.called_off_told_at = told_at
    lesson.called_off_reason = reason
    lesson.called_off_outcome = outcome
    lesson_changed(lesson)


def _locked(lesson: Lesson) -> Lesson:
    return _with_names([lesson.pk])[0]


def _with_names(pks: Iterable[int]) -> list[Lesson]:
    takers = Prefetch("takers", LessonStudent.objects.select_related("student__family"))
    rows = Lesson.objects.select_for_update(of=("self",)).filter(pk__in=list(pks))
    return list(rows.select_related("place").prefetch_related(takers).in_order())
