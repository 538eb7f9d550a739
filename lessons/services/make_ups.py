"""Booking the lesson that makes up for a missed one."""

from __future__ import annotations

from datetime import date, datetime, time

from lessons.models import Lesson, MakeUpRight
from lessons.services.booking import calendar_held, lesson_book
from lessons.services.mail_missed import tell_make_up
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Place, Studio, User


class MakeUpGone(Exception):
    """The right is used, taken back or over; the message says which."""


def make_up_book(
    *,
    right: MakeUpRight,
    place: Place,
    day: date,
    at: time,
    by: User,
    now: datetime,
    road_reason: str = "",
    is_family_told: bool = False,
) -> Lesson:
    """Book the make-up, in term or out of it; the same press again finds it booked.

    :raises MakeUpGone: if the right is used for another lesson, was taken back, or ends before
    :raises LessonClash: if something is in the way
    :raises CannotRepeat: if the clock never or twice shows that time
    """
    studio = Studio.current()
    with calendar_held():
        MakeUpRight.objects.select_for_update().get(pk=right.pk)
        right = MakeUpRight.objects.with_lessons().get(pk=right.pk)
        made = right.used_by
        if made is not None and right.is_used:
            starts = made.starts_at.astimezone(studio.zone)
            if (starts.date(), starts.time()) == (day, at):
                return made
            raise MakeUpGone(f"It is booked already, for {starts:%A %-d %B, %H:%M}.")
        if right.is_withdrawn:
            raise MakeUpGone("This make-up was taken back. Nothing was booked.")
        if max(day, local_date(now, studio.zone)) > right.expires_on:
            raise MakeUpGone(
                f"It was to be used by {right.expires_on:%-d %B %Y}. Give it a later day first."
            )
        lesson = lesson_book(
            students=[right.student],
            place=place,
            day=day,
            at=at,
            minutes=right.minutes,
            by=by,
            now=now,
            road_reason=road_reason,
        )
        right.used_by = lesson
        right.full_clean()
        right.save()
        event = event_record(
            kind="make_up_booked",
            subject=right.student.name,
            by=by,
            now=now,
            lesson=lesson.pk,
            missed=right.lesson_id,
        )
        if is_family_told:
            tell_make_up(right=right, lesson=lesson, event=event, studio=studio, now=now)
    return lesson
