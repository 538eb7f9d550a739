"""Answering what was asked: one press each, and each looks again under the calendar's lock.

A press that is repeated finds the state it made and changes nothing; an answer that comes after the
lesson was changed is refused in words, and the request is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import cast

from lessons.models import (
    CalledOffBy,
    Lesson,
    LessonRequest,
    RequestedTime,
    RequestKind,
    RequestState,
)
from lessons.planning.policy import Outcome
from lessons.selectors.asking import is_shared, students_of
from lessons.services.absences import NotInAGroup, group_stays_away
from lessons.services.booking import calendar_held
from lessons.services.changing import lesson_call_off, lesson_move
from lessons.services.mail_asking import tell_answered, tell_teacher
from lessons.services.request_rows import (
    CannotAsk,
    RequestOvertaken,
    RequestSettled,
    TimeTaken,
    refuse_times,
    request_close,
    request_locked,
    request_record,
    settled_words,
)
from studio.models import Studio, User


def request_move(
    *, request: LessonRequest, starts_at: datetime, by: User, now: datetime
) -> LessonRequest:
    """Say yes to one time: the teacher to a family's, the family to one that the teacher offers.

    :raises RequestSettled: if it was answered otherwise
    :raises RequestOvertaken: if the lesson is not what it was
    :raises TimeTaken: if that time is past, or was never named
    :raises LessonClash: if something stands in the way by now; the request stays open
    """
    studio = Studio.current()
    with calendar_held():
        request = request_locked(request)
        if request.state == RequestState.MOVED and request.agreed_starts_at == starts_at:
            return request
        lesson = _answerable(
            request, RequestState.OPEN if by.is_teacher else RequestState.OTHER_TIME
        )
        named = request.family_times if by.is_teacher else request.teacher_times
        if starts_at not in {one.starts_at for one in named} or starts_at <= now:
            raise TimeTaken("That time is past, or was taken back. Choose another.", [starts_at])
        local = starts_at.astimezone(studio.zone)
        lesson_move(
            lesson=lesson,
            day=local.date(),
            at=local.time(),
            minutes=lesson.minutes,
            place=lesson.place,
            by=by,
            now=now,
        )
        request.agreed_starts_at = starts_at
        request_close(request, RequestState.MOVED, now, request.answer)
        event = request_record(request, "request_granted", by, now)
        tell_answered(request=request, event=event, studio=studio, now=now)
        if not by.is_teacher:
            tell_teacher(request=request, event=event, studio=studio, now=now)
    return request


def request_call_off(*, request: LessonRequest, by: User, now: datetime) -> LessonRequest:
    """Say yes to calling off: it counts from the moment the family asked, as it was shown then.

    :raises RequestSettled: if it was answered otherwise
    A lesson that others take part in stands without them.

    :raises RequestOvertaken: if the lesson is not what it was, or nobody else would come
    """
    studio = Studio.current()
    with calendar_held():
        request = request_locked(request)
        if request.state == RequestState.CALLED_OFF:
            return request
        if request.kind != RequestKind.CALL_OFF:
            raise RequestSettled("The family asked for another time, not to call it off.")
        # Also while other times are offered: nobody has to wait for a family that does not answer.
        lesson = _answerable(request, RequestState.OPEN, RequestState.OTHER_TIME)
        if is_shared(lesson):
            _stay_away(request, lesson, by, now)
        else:
            lesson_call_off(
                lesson=lesson,
                called_off_by=CalledOffBy.FAMILY,
                told_at=request.asked_at,
                reason=request.words[:200],
                counts_as=_as_shown(request),
                by=by,
                now=now,
            )
        request.refresh_from_db(fields=["lesson"])
        request_close(request, RequestState.CALLED_OFF, now, request.answer)
        event = request_record(request, "request_granted", by, now)
        tell_answered(request=request, event=event, studio=studio, now=now)
    return request


def request_refuse(*, request: LessonRequest, words: str, by: User, now: datetime) -> LessonRequest:
    """Say no with a line; a request that was overtaken is answered in words instead.

    :raises CannotAsk: if an overtaken request would get no words at all
    :raises RequestSettled: if it was answered otherwise
    """
    studio, words = Studio.current(), " ".join(words.split())
    with calendar_held():
        request = request_locked(request)
        if request.state in {RequestState.REFUSED, RequestState.ANSWERED}:
            if request.answer == words:
                return request
            raise RequestSettled(settled_words(request))
        if not request.is_standing:
            raise RequestSettled(settled_words(request))
        if request.overtaken and not words:
            raise CannotAsk("Write a line: the lesson is not what it was when this was asked.")
        state = RequestState.ANSWERED if request.overtaken else RequestState.REFUSED
        request_close(request, state, now, words)
        event = request_record(request, "request_answered", by, now)
        tell_answered(request=request, event=event, studio=studio, now=now)
    return request


def request_other_times(
    *, request: LessonRequest, times: Sequence[datetime], words: str, by: User, now: datetime
) -> LessonRequest:
    """Offer the family other times; the lesson stays until they take one.

    :raises CannotAsk: without any time
    :raises TimeTaken: if one is not free
    :raises RequestSettled: if it was answered
    :raises RequestOvertaken: if the lesson is not what it was
    """
    studio, words = Studio.current(), " ".join(words.split())
    if not times:
        raise CannotAsk("Choose at least one time to offer.")
    with calendar_held():
        request = request_locked(request)
        if request.state == RequestState.OTHER_TIME and {
            one.starts_at for one in request.teacher_times
        } == set(times):
            return request
        lesson = _answerable(request, RequestState.OPEN)
        refuse_times(lesson, times, "offered", studio, now)
        RequestedTime.objects.filter(request=request, is_from_teacher=True).delete()
        RequestedTime.objects.bulk_create(
            RequestedTime(request=request, starts_at=moment, is_from_teacher=True)
            for moment in sorted(times)
        )
        request_close(request, RequestState.OTHER_TIME, now, words)
        event = request_record(request, "request_other_times", by, now)
        request = LessonRequest.objects.with_people().get(pk=request.pk)
        tell_answered(request=request, event=event, studio=studio, now=now)
    return request


def _answerable(request: LessonRequest, *states: RequestState) -> Lesson:
    """Return the request's lesson if it is in one of the states and its lesson is what it was."""
    if request.state not in states:
        raise RequestSettled(settled_words(request))
    if request.overtaken or request.lesson is None:
        raise RequestOvertaken(
            f"{request.overtaken} Nothing was changed, and what was asked is kept: "
            "the teacher answers it in words, or the family asks anew."
        )
    return request.lesson


def _stay_away(request: LessonRequest, lesson: Lesson, by: User, now: datetime) -> None:
    for student in students_of(lesson, request.family):
        try:
            group_stays_away(
                lesson=lesson,
                student=student,
                told_at=request.asked_at,
                reason=request.words[:200],
                counts_as=_as_shown(request),
                by=by,
                now=now,
            )
        except NotInAGroup as nobody:
            raise RequestOvertaken(
                "Nobody else would come. Nothing was changed: decide on the lesson’s own page "
                "whether it is called off, then answer in words."
            ) from nobody


def _as_shown(request: LessonRequest) -> Outcome:
    """What the family was told that it counts as; written from an outcome when they asked."""
    return cast(Outcome, request.counts_as)
