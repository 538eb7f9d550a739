"""At the lesson and right after it: attendance and the note."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from lessons.models import Attendance, Lesson, LessonStatus, ProgressNote
from lessons.services.changing import LessonLocked, fix_road_price
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Adult, Student, Studio, User
from studio.outbox import mail_queue


class LessonNotYet(Exception):
    """The lesson's day has not come."""


class NoteEmpty(Exception):
    """There is nothing to send."""


@dataclass(frozen=True, slots=True)
class SentNote:
    """Who gets a note by e-mail, who has no address, and whether it went out before as it is."""

    note: ProgressNote
    mailed: tuple[str, ...]
    without_address: tuple[str, ...]
    was_sent_before: bool


def lesson_mark(
    *, lesson: Lesson, attendance: Mapping[int, str], by: User, now: datetime
) -> Lesson:
    """Mark who was there, by student's id; taking a mark back leaves its trace in the record.

    The lesson is done once every student is marked, and planned again while one is not.

    :raises LessonLocked: if it was called off
    :raises LessonNotYet: before the lesson's local day
    """
    studio = Studio.current()
    with transaction.atomic():
        lesson = (
            Lesson.objects.select_for_update(of=("self",)).select_related("place").get(pk=lesson.pk)
        )
        if lesson.is_called_off:
            raise LessonLocked("This lesson is called off. Put it back first, then mark it.")
        if local_date(now, studio.zone) < local_date(lesson.starts_at, studio.zone):
            raise LessonNotYet("This lesson is still to come. Mark it on its day.")
        takers = list(lesson.takers.select_related("student").order_by("pk"))
        for taker in takers:
            wanted = attendance.get(taker.student_id, taker.attendance)
            if wanted == taker.attendance:
                continue
            event_record(
                kind="attendance_marked",
                subject=taker.student.name,
                by=by,
                now=now,
                lesson=lesson.pk,
                before=taker.attendance,
                after=wanted,
            )
            taker.attendance = wanted
            taker.marked_at = None if wanted == Attendance.UNMARKED else now
            taker.full_clean()
            taker.save()
        coming = [taker for taker in takers if not taker.is_away]
        is_done = all(taker.attendance != Attendance.UNMARKED for taker in coming)
        is_done = is_done and (bool(coming) or not takers)
        if is_done != lesson.is_done:
            _set_done(lesson, studio, is_done=is_done)
    return lesson


def block_mark(*, lesson: Lesson, is_given: bool, by: User, now: datetime) -> Lesson:
    """Mark that a block without students of our own took place, or take that back.

    :raises LessonLocked: if it was called off, or has students whose attendance says it
    :raises LessonNotYet: before the lesson's local day
    """
    studio = Studio.current()
    with transaction.atomic():
        lesson = (
            Lesson.objects.select_for_update(of=("self",)).select_related("place").get(pk=lesson.pk)
        )
        if lesson.is_called_off:
            raise LessonLocked("This lesson is called off. Put it back first, then mark it.")
        if lesson.takers.exists():
            raise LessonLocked("Mark who was there: that says whether it took place.")
        if local_date(now, studio.zone) < local_date(lesson.starts_at, studio.zone):
            raise LessonNotYet("This lesson is still to come. Mark it on its day.")
        if is_given != lesson.is_done:
            _set_done(lesson, studio, is_done=is_given)
            event_record(
                kind="block_marked",
                subject=lesson.label,
                by=by,
                now=now,
                lesson=lesson.pk,
                is_given=is_given,
            )
    return lesson


def note_write(
    *, lesson: Lesson, student: Student, body: str, by: User, now: datetime
) -> ProgressNote:
    """Keep the draft of a note; an empty one removes a draft that was never sent."""
    body = body.strip()
    with transaction.atomic():
        # Two presses at once would otherwise both find no note and both write one.
        Lesson.objects.select_for_update().get(pk=lesson.pk)
        note = (
            ProgressNote.objects.select_for_update().filter(lesson=lesson, student=student).first()
        )
        if note is None:
            note = ProgressNote(lesson=lesson, student=student)
        elif not body and note.sent_at is None:
            note.delete()
            return ProgressNote(lesson=lesson, student=student)
        if not body:
            return note
        if note.body != body:
            note.body, note.written_at = body, now
            note.full_clean()
            note.save()
            event_record(
                kind="note_written", subject=student.name, by=by, now=now, lesson=lesson.pk
            )
    return note


def note_send(*, note: ProgressNote, by: User, now: datetime) -> SentNote:
    """Give the note to the family: they see it signed in, and those who wish get it by e-mail.

    The same text a second time sends nothing; a changed text is sent as a correction.

    :raises NoteEmpty: if there is no text
    """
    if not note.body.strip():
        raise NoteEmpty("Write the note first; there is nothing to send yet.")
    studio = Studio.current()
    with transaction.atomic():
        note = (
            ProgressNote.objects.select_for_update(of=("self",))
            .select_related("lesson", "student")
            .get(pk=note.pk)
        )
        adults = list(
            Adult.objects.filter(family=note.student.family_id, receives_notes=True).order_by("pk")
        )
        mailed = tuple(adult.name for adult in adults if adult.email)
        without = tuple(adult.name for adult in adults if not adult.email)
        if note.is_sent:
            return SentNote(note, mailed, without, was_sent_before=True)
        note.sent_body, note.sent_at = note.body, now
        note.times_sent += 1
        note.full_clean()
        note.save()
        for adult in adults:
            if adult.email:
                _mail_note(note, adult, studio, now)
        event_record(
            kind="note_sent",
            subject=note.student.name,
            by=by,
            now=now,
            note=note.pk,
            times=note.times_sent,
        )
    return SentNote(note, mailed, without, was_sent_before=False)


def _set_done(lesson: Lesson, studio: Studio, *, is_done: bool) -> None:
    if is_done:
        lesson.status = LessonStatus.DONE
        fix_road_price(lesson, studio)
    else:
        lesson.status = LessonStatus.PLANNED
        lesson.fixed_surcharge, lesson.fixed_band_label = None, ""
    lesson.full_clean()
    lesson.save()


def _mail_note(note: ProgressNote, adult: Adult, studio: Studio, now: datetime) -> None:
    is_correction = note.times_sent > 1
    with timezone.override(studio.zone):
        body = render_to_string(
            "emails/progress_note.txt",
            {"note": note, "adult": adult, "studio": studio, "is_correction": is_correction},
        )
    what = "corrected note" if is_correction else "how the lesson went"
    mail_queue(
        key=f"note:{note.pk}:{note.times_sent}:{adult.pk}",
        to=adult.email,
        subject=f"{note.student.name}: {what}",
        body=body,
        now=now,
    )
