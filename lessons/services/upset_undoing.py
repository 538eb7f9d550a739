"""Taking an upset back: in silence while the messages wait, with an apology afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from lessons.models import Lesson, Upset, UpsetKind, UpsetLesson
from lessons.selectors.addressees import addressees
from lessons.selectors.upsets import Told, told_of, upset_changes
from lessons.services.booking import LessonClash, calendar_held, refuse_clashes
from lessons.services.changing import LessonLocked, lesson_reinstate
from lessons.services.mail_missed import tell_apology, tell_upset
from lessons.services.upsetting import lesson_save, lessons_locked
from studio.events import event_record
from studio.models import Studio, User
from studio.outbox import mail_take_back

AS_BEFORE = "as it was before"


@dataclass(frozen=True, slots=True)
class Undone:
    """What taking back came to: lessons as before, those that are not and why, silent messages."""

    put_back: tuple[Lesson, ...]
    kept: tuple[tuple[Lesson, str], ...]
    stopped: int
    told: tuple[Told, ...]


def upset_undo(*, upset: Upset, by: User, now: datetime) -> Undone:
    """Put everything back that still is as the press left it, and stop what was not sent.

    A repeated press changes nothing. Whoever was told already is named: an apology is theirs.
    """
    studio = Studio.current()
    with calendar_held():
        upset = Upset.objects.select_for_update().get(pk=upset.pk)
        changes = upset_changes(upset)
        if upset.undone_at is not None:
            told = tuple(each for each in told_of(upset, changes) if each.has_gone)
            return Undone((), (), 0, told)
        stopped = mail_take_back([each.one.key for each in told_of(upset, changes)])
        put_back: list[Lesson] = []
        kept: list[tuple[Lesson, str]] = []
        for change in changes:
            try:
                put_back.append(_restore(upset, change, by, now, studio))
            except (LessonClash, LessonLocked) as refusal:
                kept.append((change.lesson, str(refusal)))
        upset.undone_at = now
        upset.save(update_fields=["undone_at"])
        event_record(
            kind="upset_undone",
            subject=str(upset),
            by=by,
            now=now,
            upset=upset.pk,
            put_back=len(put_back),
            kept=len(kept),
            messages_stopped=len(stopped),
        )
        told = tuple(each for each in told_of(upset, changes) if each.has_gone)
    return Undone(tuple(put_back), tuple(kept), len(stopped), told)


def upset_apologise(*, upset: Upset, words: str, by: User, now: datetime) -> int:
    """Tell those who had been told that it was taken back; return how many. Once only."""
    studio = Studio.current()
    with calendar_held():
        upset = Upset.objects.select_for_update().get(pk=upset.pk)
        if upset.undone_at is None or upset.apology_at is not None:
            return 0
        gone = [each.one for each in told_of(upset, upset_changes(upset)) if each.has_gone]
        count = tell_apology(upset=upset, told=gone, words=words, studio=studio, now=now)
        upset.apology_at = now
        upset.save(update_fields=["apology_at"])
        event_record(kind="upset_apology", subject=str(upset), by=by, now=now, messages=count)
    return count


def lesson_put_back(*, lesson: Lesson, by: User, now: datetime) -> Lesson:
    """Put one called-off lesson back; a message of an upset that still waits forgets it.

    :raises LessonLocked: if it was not called off, or is made up already
    :raises LessonClash: if its time is taken by now
    """
    studio = Studio.current()
    with calendar_held():
        lesson = lesson_reinstate(lesson=lesson, by=by, now=now)
        waiting = UpsetLesson.objects.filter(
            lesson=lesson,
            upset__kind=UpsetKind.AWAY,
            upset__undone_at__isnull=True,
            upset__tells_at__gt=now,
        )
        for change in waiting.select_related("upset"):
            upset = change.upset
            mail_take_back([one.key for one in addressees(upset, upset_changes(upset))])
            change.delete()
            # What was offered to the mail server already keeps its key, and is not written twice.
            tell_upset(upset=upset, changes=upset_changes(upset), studio=studio)
    return lesson


def _restore(upset: Upset, change: UpsetLesson, by: User, now: datetime, studio: Studio) -> Lesson:
    """Put one lesson back, if nobody changed it since.

    :raises LessonLocked: if somebody did
    :raises LessonClash: if its time is taken by now
    """
    lesson = lessons_locked([change.lesson_id])[0]
    if upset.kind == UpsetKind.AWAY:
        if lesson.is_called_off and lesson.called_off_told_at == upset.at:
            return lesson_reinstate(lesson=lesson, by=by, now=now, road_reason=AS_BEFORE)
        raise LessonLocked("It was changed since, and stays as it is.")
    is_as_left = lesson.is_planned and lesson.starts_at == change.after_starts_at
    if upset.kind == UpsetKind.ONLINE:
        is_as_left = is_as_left and lesson.place.is_online
    if not is_as_left:
        raise LessonLocked("It was changed since, and stays as it is.")
    lesson.place = change.before_place
    lesson.starts_at = change.before_starts_at
    lesson.ends_at = lesson.starts_at + timedelta(minutes=lesson.minutes)
    refuse_clashes(
        when=lesson.when,
        place=lesson.place,
        label=lesson.names,
        studio=studio,
        road_reason=AS_BEFORE,
        besides=lesson,
    )
    lesson.moved_from = change.before_moved_from
    lesson.road_overruled_reason = change.before_road_reason
    lesson_save(lesson, "lesson_as_before", by, now)
    return lesson
