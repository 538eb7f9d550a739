"""Many lessons changed in one press, each family told once.

The lessons change at once, so that no booking walks into them; only the messages wait.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, timedelta

from django.db.models import Prefetch

from lessons.models import (
    CalledOffBy,
    Lesson,
    LessonStudent,
    MissedLessonRules,
    Upset,
    UpsetKind,
    UpsetLesson,
)
from lessons.selectors.asking import comes_with_others, family_of, students_of
from lessons.selectors.series import single_clashes
from lessons.selectors.upsets import late_plan, online_offered, rest_of_day, upset_changes
from lessons.services.absences import group_stays_away
from lessons.services.booking import calendar_held, online_place
from lessons.services.changing import lesson_call_off
from lessons.services.mail_missed import tell_declined, tell_upset
from lessons.services.revision import lesson_changed
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Studio, User

# Why a lesson, or one of a group, is off that a family does not want online.
NOT_ONLINE = "not wanted online"


class NothingToChange(Exception):
    """None of the lessons can be changed in this way."""


class CannotBeLate(Exception):
    """The rest of the day does not give so many minutes; the message says why."""


def away_call_off(
    *, lesson_ids: Iterable[int], reason: str, press: str, by: User, now: datetime
) -> Upset:
    """Call these lessons off as the teacher; whatever is not planned any more is left alone.

    :raises NothingToChange: if none is planned
    """

    def change(lesson: Lesson) -> None:
        lesson_call_off(
            lesson=lesson,
            called_off_by=CalledOffBy.TEACHER,
            told_at=now,
            reason=reason,
            by=by,
            now=now,
        )

    return _upset(UpsetKind.AWAY, lesson_ids, change, reason=reason, press=press, by=by, now=now)


def online_turn(
    *, lesson_ids: Iterable[int], reason: str, press: str, by: User, now: datetime
) -> Upset:
    """Give these home lessons online at their own times; each family may decline.

    :raises NothingToChange: if none is planned
    """
    studio = Studio.current()

    def change(lesson: Lesson) -> None:
        lesson.place = online_place()
        tight = single_clashes(
            when=lesson.when,
            place=lesson.place,
            label=lesson.names,
            studio=studio,
            besides=lesson,
        )
        lesson.road_overruled_reason = f"Online that day: {reason}"[:200] if tight else ""
        lesson_save(lesson, "lesson_online", by, now)

    return _upset(UpsetKind.ONLINE, lesson_ids, change, reason=reason, press=press, by=by, now=now)


def late_tell(
    *, first: int, minutes: int, reason: str, press: str, by: User, now: datetime
) -> Upset:
    """Begin today's lesson ``first`` so many minutes late, push on what must give way, and tell.

    These messages do not wait. The series stays as it is.

    :raises NothingToChange: if that lesson is not planned for the rest of today
    :raises CannotBeLate: if something that cannot move stands in the way
    """
    studio = Studio.current()
    with calendar_held():
        known = Upset.objects.filter(press=press).first()
        if known is not None:
            return known
        rest = rest_of_day(now=now, studio=studio)
        begun = next((lesson for lesson in rest if lesson.pk == first), None)
        if begun is None:
            raise NothingToChange("That lesson is not planned for the rest of today.")
        plan = late_plan(rest=rest, first=begun, minutes=minutes, now=now, studio=studio)
        if plan.refusals:
            raise CannotBeLate(" ".join(plan.refusals))
        starts = {lesson.pk: later.when.start for lesson, later in plan.lessons}

        def change(lesson: Lesson) -> None:
            if lesson.moved_from is None:
                lesson.moved_from = lesson.starts_at
            lesson.starts_at = starts[lesson.pk]
            lesson.ends_at = lesson.starts_at + timedelta(minutes=lesson.minutes)
            lesson_save(lesson, "lesson_late", by, now)

        # The last one first: each moves into time that is free by then.
        return _upset(
            UpsetKind.LATE,
            starts,
            change,
            reason=reason,
            press=press,
            by=by,
            now=now,
            minutes=minutes,
            is_backwards=True,
        )


def online_decline(*, lesson: Lesson, by: User, now: datetime) -> Lesson:
    """Take a family's no to an online lesson: it is called off as the teacher's, never charged.

    If another family takes part, the lesson stands for it, and whoever says no stays away.

    :raises NothingToChange: if it is not online in place of a home visit, or has begun
    """
    studio = Studio.current()
    with calendar_held():
        change = online_offered(lesson=lesson)
        lesson = lessons_locked([lesson.pk])[0]
        if change is not None and change.declined_at is not None:
            return lesson
        if change is None or not lesson.is_planned or lesson.starts_at <= now:
            raise NothingToChange("This lesson cannot be declined any more. Please ring up.")
        family = family_of(by)
        if family is not None and comes_with_others(lesson, family):
            ours = students_of(lesson, family)
            for student in ours:
                group_stays_away(
                    lesson=lesson,
                    student=student,
                    told_at=now,
                    reason=NOT_ONLINE,
                    counts_as="called_off_by_teacher",
                    by=by,
                    now=now,
                )
            if ours:
                tell_declined(change=change, lesson=lesson, family=family, studio=studio, now=now)
            return lesson
        lesson = lesson_call_off(
            lesson=lesson,
            called_off_by=CalledOffBy.TEACHER,
            told_at=now,
            reason=NOT_ONLINE,
            by=by,
            now=now,
        )
        change.declined_at = now
        change.save(update_fields=["declined_at"])
        tell_declined(change=change, lesson=lesson, family=None, studio=studio, now=now)
    return lesson


def _upset(
    kind: UpsetKind,
    lesson_ids: Iterable[int],
    change: Callable[[Lesson], None],
    *,
    reason: str,
    press: str,
    by: User,
    now: datetime,
    minutes: int | None = None,
    is_backwards: bool = False,
) -> Upset:
    studio = Studio.current()
    with calendar_held():
        known = Upset.objects.filter(press=press).first()
        if known is not None:
            return known
        lessons = [lesson for lesson in lessons_locked(lesson_ids) if lesson.is_planned]
        if not lessons:
            raise NothingToChange("None of these lessons is planned any more. Nothing was changed.")
        days = [local_date(lesson.starts_at, studio.zone) for lesson in lessons]
        upset = _row(kind, days, reason, minutes, press, by, now)
        for lesson in reversed(lessons) if is_backwards else lessons:
            row = UpsetLesson(
                upset=upset,
                lesson_id=lesson.pk,
                before_starts_at=lesson.starts_at,
                before_place=lesson.place,
                before_moved_from=lesson.moved_from,
                before_road_reason=lesson.road_overruled_reason,
            )
            change(lesson)
            row.after_starts_at = lesson.starts_at
            row.save()
        changes = upset_changes(upset)
        told = tell_upset(upset=upset, changes=changes, studio=studio)
        event_record(
            kind=f"upset_{kind}",
            subject=str(upset),
            by=by,
            now=now,
            upset=upset.pk,
            lessons=len(lessons),
            messages=told,
        )
    return upset


def _row(
    kind: UpsetKind,
    days: Sequence[date],
    reason: str,
    minutes: int | None,
    press: str,
    by: User,
    now: datetime,
) -> Upset:
    # Who is late is waited for now: those messages go at once.
    wait = 0 if kind == UpsetKind.LATE else MissedLessonRules.current().undo_minutes
    upset = Upset(
        kind=kind,
        reason=reason[:200],
        minutes=minutes,
        first_date=min(days),
        last_date=max(days),
        by=by,
        at=now,
        tells_at=now + timedelta(minutes=wait),
        press=press,
    )
    upset.full_clean()
    upset.save()
    return upset


def lesson_save(lesson: Lesson, kind: str, by: User, now: datetime) -> None:
    """Save a changed lesson, with its count for calendars and its line in the record."""
    lesson_changed(lesson)
    lesson.full_clean()
    lesson.save()
    event_record(
        kind=kind,
        subject=lesson.names,
        by=by,
        now=now,
        lesson=lesson.pk,
        starts_at=lesson.starts_at.isoformat(),
    )


def lessons_locked(pks: Iterable[int]) -> list[Lesson]:
    """Return these lessons as they are now, locked, in order of time."""
    takers = Prefetch("takers", LessonStudent.objects.select_related("student__family"))
    rows = Lesson.objects.select_for_update(of=("self",)).filter(pk__in=list(pks))
    return list(rows.select_related("place").prefetch_related(takers).in_order())
