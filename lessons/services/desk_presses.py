"""Presses at the lesson desk that carry a key: done once, however often they arrive.

A telephone that loses its connection between press and answer does not know whether the press
arrived, and sends it again later with the same key. The key is written down in the transaction of
what the press does, so that both are there or neither.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from lessons.models import Attendance, DeskPress, Lesson, ProgressNote
from lessons.services.desk import SentNote, lesson_mark, note_send, note_write
from studio.models import Student, User

# Far longer than anybody leaves a telephone without a connection.
KEPT_FOR = timedelta(days=120)


class ChangedElsewhere(Exception):
    """What the press was meant for is not what it was when it was pressed."""

    def __init__(self, message: str, now_there: str = "") -> None:
        super().__init__(message)
        self.now_there = now_there


@dataclass(frozen=True, slots=True)
class PressedNote:
    """What a press on a note came to; ``sent`` is None for a draft or a repeated press."""

    note: ProgressNote | None
    sent: SentNote | None
    is_repeated: bool


def mark_pressed(
    *,
    lesson: Lesson,
    student: int,
    attendance: str,
    by: User,
    now: datetime,
    key: str = "",
    seen: Sequence[str] = (),
) -> bool:
    """Mark one student unless this very press was done before; return whether it was not.

    :param seen: what stood there when it was pressed; empty does not ask
    :raises ChangedElsewhere: if another mark was set meanwhile
    :raises LessonLocked, LessonNotYet: as :func:`lesson_mark`
    """
    with transaction.atomic():
        if _was_done(key, "mark", lesson.pk, student, attendance, now=now):
            return False
        if seen:
            Lesson.objects.select_for_update().get(pk=lesson.pk)
            taker = lesson.takers.filter(student=student).first()
            if taker is not None and taker.attendance not in {attendance, *seen}:
                label = Attendance(taker.attendance).label.lower()
                raise ChangedElsewhere(
                    f"It was marked as “{label}” elsewhere after you pressed. That was kept: "
                    "press again if it is wrong."
                )
        lesson_mark(lesson=lesson, attendance={student: attendance}, by=by, now=now)
    return True


def note_pressed(
    *,
    lesson: Lesson,
    student: Student,
    body: str,
    is_to_be_sent: bool,
    by: User,
    now: datetime,
    key: str = "",
    seen: Sequence[str] = (),
) -> PressedNote:
    """Keep a note, and send it if asked, unless this very press was done before.

    :param seen: the text that stood there when it was pressed; empty does not ask
    :raises ChangedElsewhere: if another text was written meanwhile; nothing is overwritten
    :raises NoteEmpty: if there is nothing to send; a draft that is there stays
    """
    with transaction.atomic():
        if _was_done(key, "note", lesson.pk, student.pk, body, is_to_be_sent, now=now):
            note = ProgressNote.objects.filter(lesson=lesson, student=student).first()
            return PressedNote(note, None, is_repeated=True)
        if seen:
            Lesson.objects.select_for_update().get(pk=lesson.pk)
            there = ProgressNote.objects.filter(lesson=lesson, student=student).first()
            text = there.body if there else ""
            if _plain(text) not in {_plain(body), *(_plain(each) for each in seen)}:
                raise ChangedElsewhere(
                    "This note was changed elsewhere after you wrote yours. Yours is below and "
                    "nothing was overwritten; press again to put it in the place of the other, "
                    "which reads:",
                    text,
                )
        note = note_write(lesson=lesson, student=student, body=body, by=by, now=now)
        sent = note_send(note=note, by=by, now=now) if is_to_be_sent else None
    return PressedNote(note, sent, is_repeated=False)


def presses_forget(*, now: datetime) -> int:
    """Drop keys that nobody will send again."""
    return DeskPress.objects.filter(done_at__lt=now - KEPT_FOR).delete()[0]


def _was_done(key: str, *what: object, now: datetime) -> bool:
    """Write a press down; True if it stands there already.

    The same key with other content is another press: a page that was gone back to, say.
    """
    if not key:
        return False
    digest = hashlib.sha256(repr((key, what)).encode()).hexdigest()
    _, is_new = DeskPress.objects.get_or_create(key=digest, defaults={"done_at": now})
    return not is_new


def _plain(text: str) -> str:
    return "\n".join(text.split("\r\n")).strip()
