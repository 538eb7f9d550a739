"""What follows from a missed lesson: rights to make-ups, and the teacher's own judgement."""

from __future__ import annotations

from datetime import date, datetime

from lessons.models import (
    Lesson,
    LessonKind,
    LessonStudent,
    MakeUpRight,
    MissedLessonRules,
    Overruling,
)
from lessons.planning.policy import MissedLessonPolicy, Outcome
from lessons.services.booking import calendar_held
from lessons.services.revision import lesson_changed
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Student, Studio, User

# A trial lesson and a school's block are not owed again.
MADE_UP_KINDS = (LessonKind.LESSON, LessonKind.GROUP)


class CannotOverrule(Exception):
    """The lesson cannot count as that; the message says why."""


class MakeUpStands(Exception):
    """The make-up for this lesson is booked or given already."""


def make_ups_settle(
    lesson: Lesson,
    *,
    policy: MissedLessonPolicy,
    is_owed: bool,
    told_at: datetime,
    studio: Studio,
    now: datetime,
) -> int:
    """Give each student of a called-off lesson what is owed; return how many rights are new.

    A lesson that was itself a make-up gives its right back instead of making another; when the
    teacher called it off, the time to use the right begins anew. Call it in the transaction that
    calls the lesson off, once what it counts as is written down.
    """
    until = policy.make_up_until(local_date(lesson.starts_at, studio.zone), told_at, studio.zone)
    coming_back = {right.student_id: right for right in lesson.makes_up.standing()}
    if lesson.called_off_outcome == "called_off_by_teacher":
        for right in coming_back.values():
            if right.expires_on < until:
                right.expires_on = until
                right.save(update_fields=["expires_on"])
    if not is_owed or lesson.kind not in MADE_UP_KINDS:
        return 0
    new = 0
    for taker in lesson.takers.all():
        # Who had said before that they cannot come has lost nothing by it.
        if taker.student_id not in coming_back and not taker.is_away:
            _give(lesson, taker.student_id, until, now)
            new += 1
    return new


def make_ups_take_back(lesson: Lesson, *, why: str, now: datetime) -> None:
    """Take the rights back that came from this lesson, because it is no longer missed.

    :raises MakeUpStands: if one of them is used
    """
    rights = MakeUpRight.objects.select_related("used_by", "student").filter(lesson=lesson)
    standing = list(rights.standing())
    for right in standing:
        if right.is_used and right.used_by is not None:
            zone = Studio.current().zone
            day = local_date(right.used_by.starts_at, zone)
            raise MakeUpStands(
                f"{right.student.name}’s make-up for it is booked for {day:%-d %B %Y}. Call that "
                "lesson off first. Nothing was changed."
            )
    MakeUpRight.objects.filter(pk__in=[right.pk for right in standing]).update(
        withdrawn_at=now, withdrawn_reason=why[:200]
    )


def lesson_count_as(
    *,
    lesson: Lesson,
    counts_as: Outcome,
    is_make_up_owed: bool,
    reason: str,
    by: User,
    now: datetime,
    student: Student | None = None,
) -> Overruling:
    """Let a missed lesson count otherwise than the rules say; the reason stays with it.

    With a student it is that student's not turning up which is let off, or charged again.

    :raises CannotOverrule: without a reason, for a lesson that was not missed, or to charge for
        what the teacher called off
    :raises MakeUpStands: if a make-up that would be taken back is booked
    """
    if not reason.strip():
        raise CannotOverrule("Write down why: the reason stays with the lesson.")
    studio = Studio.current()
    with calendar_held():
        lesson = Lesson.objects.select_for_update().get(pk=lesson.pk)
        policy = MissedLessonRules.current().policy()
        if student is None:
            by_rules = _called_off_counts_as(lesson, counts_as, policy, studio)
            told_at = lesson.called_off_told_at or now
        else:
            by_rules = _no_show_counts_as(lesson, student, counts_as)
            told_at = now
        row = Overruling(
            lesson=lesson,
            student=student,
            by_the_rules=by_rules,
            counts_as=counts_as,
            is_make_up_owed=is_make_up_owed,
            reason=reason.strip()[:200],
            by=by,
            at=now,
        )
        row.full_clean()
        row.save()
        _make_ups_as_judged(lesson, student, policy, row, told_at, studio)
        event_record(
            kind="lesson_counts_as",
            subject=student.name if student else lesson.names,
            by=by,
            now=now,
            lesson=lesson.pk,
            by_the_rules=by_rules,
            counts_as=counts_as,
            make_up=is_make_up_owed,
            reason=row.reason,
        )
    return row


def overruling_note(
    *,
    lesson: Lesson,
    by_the_rules: Outcome,
    counts_as: Outcome,
    is_make_up_owed: bool,
    reason: str,
    by: User,
    now: datetime,
) -> Overruling:
    """Write down, with the calling off itself, that the teacher counted it otherwise."""
    row = Overruling(
        lesson=lesson,
        by_the_rules=by_the_rules,
        counts_as=counts_as,
        is_make_up_owed=is_make_up_owed,
        reason=reason.strip()[:200],
        by=by,
        at=now,
    )
    row.full_clean()
    row.save()
    return row


def make_up_extend(*, right: MakeUpRight, expires_on: date, by: User, now: datetime) -> MakeUpRight:
    """Give a right another last day; what was withdrawn stays withdrawn."""
    with calendar_held():
        right = MakeUpRight.objects.select_for_update().get(pk=right.pk)
        before = right.expires_on
        if not right.is_withdrawn and before != expires_on:
            right.expires_on = expires_on
            right.save(update_fields=["expires_on"])
            event_record(
                kind="make_up_extended",
                subject=str(right),
                by=by,
                now=now,
                before=before.isoformat(),
                after=expires_on.isoformat(),
            )
    return right


def make_up_withdraw(*, right: MakeUpRight, reason: str, by: User, now: datetime) -> MakeUpRight:
    """Take a right back that is not used; a repeated press changes nothing.

    :raises MakeUpStands: if a lesson is booked for it
    """
    with calendar_held():
        MakeUpRight.objects.select_for_update().get(pk=right.pk)
        right = MakeUpRight.objects.select_related("used_by").get(pk=right.pk)
        if right.is_withdrawn:
            return right
        if right.is_used:
            raise MakeUpStands("A lesson is booked for it. Call that lesson off first.")
        right.withdrawn_at, right.withdrawn_reason = now, reason.strip()[:200]
        right.full_clean()
        right.save()
        event_record(
            kind="make_up_withdrawn",
            subject=str(right),
            by=by,
            now=now,
            reason=right.withdrawn_reason,
        )
    return right


def _give(lesson: Lesson, student: int, until: date, now: datetime) -> MakeUpRight:
    right, is_new = MakeUpRight.objects.get_or_create(
        lesson=lesson,
        student_id=student,
        defaults={"minutes": lesson.minutes, "expires_on": until, "created_at": now},
    )
    if not is_new and right.is_withdrawn:
        right.withdrawn_at, right.withdrawn_reason = None, ""
        right.minutes, right.expires_on = lesson.minutes, until
        right.save()
    return right


def _called_off_counts_as(
    lesson: Lesson, counts_as: Outcome, policy: MissedLessonPolicy, studio: Studio
) -> Outcome:
    if not lesson.is_called_off or lesson.called_off_told_at is None:
        raise CannotOverrule("This lesson is not called off.")
    by_rules = policy.outcome(
        by="teacher" if lesson.called_off_by == "teacher" else "family",
        told_at=lesson.called_off_told_at,
        starts_at=lesson.starts_at,
        zone=studio.zone,
    )
    if lesson.called_off_by == "teacher" and counts_as != "called_off_by_teacher":
        raise CannotOverrule("You called it off: it is never charged. A make-up can still be owed.")
    if lesson.called_off_by != "teacher" and counts_as not in ("called_off", "called_off_late"):
        raise CannotOverrule("The family called it off: it was in time, or it was late.")
    if lesson.called_off_outcome != counts_as:
        lesson.called_off_outcome = counts_as
        lesson_changed(lesson)
        lesson.full_clean()
        lesson.save()
    return by_rules


def _no_show_counts_as(lesson: Lesson, student: Student, counts_as: Outcome) -> Outcome:
    taker = LessonStudent.objects.filter(lesson=lesson, student=student).first()
    if taker is None or lesson.is_called_off or not taker.is_no_show:
        raise CannotOverrule(f"{student.name} is not marked as missing from this lesson.")
    if counts_as not in ("no_show", "excused"):
        raise CannotOverrule("Somebody who did not come is charged, or let off.")
    return "no_show"


def _make_ups_as_judged(
    lesson: Lesson,
    student: Student | None,
    policy: MissedLessonPolicy,
    row: Overruling,
    told_at: datetime,
    studio: Studio,
) -> None:
    """Give or take back rights as the teacher decided."""
    rights = MakeUpRight.objects.select_related("used_by").filter(lesson=lesson).standing()
    if student is not None:
        rights = rights.filter(student=student)
    if not row.is_make_up_owed:
        for right in rights:
            if right.is_used:
                raise MakeUpStands("A make-up is booked for it. Call that lesson off first.")
        rights.update(withdrawn_at=row.at, withdrawn_reason=row.reason)
        return
    until = policy.make_up_until(local_date(lesson.starts_at, studio.zone), told_at, studio.zone)
    for taker in lesson.takers.all():
        if student is None or taker.student_id == student.pk:
            _give(lesson, taker.student_id, until, row.at)
