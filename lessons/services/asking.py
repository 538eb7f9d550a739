"""Asking about a lesson. A press that is repeated finds what it asked, and changes nothing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Prefetch

from lessons.models import (
    Lesson,
    LessonRequest,
    LessonStudent,
    RequestedTime,
    RequestKind,
    RequestState,
)
from lessons.selectors.asking import counting_of, family_of, is_grown_up, names_for, students_of
from lessons.services.booking import calendar_held
from lessons.services.mail_asking import tell_parents_asked, tell_teacher
from lessons.services.request_rows import (
    AskedAlready,
    CannotAsk,
    CountsOtherwise,
    RequestSettled,
    refuse_times,
    request_close,
    request_locked,
    request_record,
    settled_words,
)
from studio.local_time import local_date
from studio.models import Family, Studio, User


def request_ask(
    *,
    lesson: Lesson,
    kind: RequestKind,
    words: str,
    times: Sequence[datetime],
    shown: str,
    by: User,
    now: datetime,
) -> LessonRequest:
    """Write down what a family asks; calling off counts from this moment.

    The same question a second time is the first one.

    :param times: up to three times at which the lesson could be instead
    :param shown: what the page said that calling off counts as
    :raises CannotAsk: for a lesson that is given, called off or not theirs, or an empty question
    :raises AskedAlready: if another question about the lesson waits for its answer
    :raises CountsOtherwise: if the rules' limit passed since the page was drawn
    :raises TimeTaken: if a time is not free
    """
    studio, words = Studio.current(), " ".join(words.split())
    family = family_of(by)
    if family is None:
        raise CannotAsk("Only a family or a student can ask about a lesson.")
    with calendar_held():
        lesson = _lesson_locked(lesson)
        standing = _standing(lesson, family)
        if standing is not None:
            if standing.is_alike(kind, words, frozenset(times)):
                return standing
            if not standing.overtaken:
                raise AskedAlready("You have asked about this lesson. Take that back first.")
            request_close(standing, RequestState.TAKEN_BACK, now, "Asked anew.")
        _refuse_unaskable(lesson, family, now)
        counts = counting_of(lesson=lesson, now=now, zone=studio.zone)
        if kind == RequestKind.CALL_OFF:
            times = ()
            if counts.outcome != shown:
                raise CountsOtherwise(
                    "While you were looking, the time for calling off free of charge ran out. "
                    "Nothing was asked yet: read what it counts as now, then press again."
                )
        else:
            refuse_times(lesson, times, words, studio, now)
        return _written(lesson, family, kind, words, times, counts.outcome, by, studio, now)


def request_take_back(*, request: LessonRequest, by: User, now: datetime) -> LessonRequest:
    """Take a question back, or leave the teacher's other times: the lesson stays as it is.

    :raises RequestSettled: if it was answered
    """
    with calendar_held():
        request = request_locked(request)
        if request.state == RequestState.TAKEN_BACK:
            return request
        if not request.is_standing:
            raise RequestSettled(settled_words(request))
        was_offered = request.state == RequestState.OTHER_TIME
        request_close(request, RequestState.TAKEN_BACK, now, request.answer)
        event = request_record(request, "request_taken_back", by, now)
        if was_offered or request.kind == RequestKind.CALL_OFF:
            tell_teacher(request=request, event=event, studio=Studio.current(), now=now)
    return request


def request_insist(*, request: LessonRequest, by: User, now: datetime) -> LessonRequest:
    """Leave the other times that were offered: the lesson is to be called off all the same.

    It still counts from the moment of asking. A repeated press changes nothing.

    :raises RequestSettled: if it was answered, or if another time was what was asked for
    """
    with calendar_held():
        request = request_locked(request)
        if request.is_open and request.kind == RequestKind.CALL_OFF:
            return request
        if request.state != RequestState.OTHER_TIME or request.is_move:
            raise RequestSettled(settled_words(request))
        request.state, request.answered_at = RequestState.OPEN, None
        request.full_clean(exclude=["lesson"])
        request.save()
        event = request_record(request, "request_insisted", by, now)
        tell_teacher(request=request, event=event, studio=Studio.current(), now=now)
    return request


def _lesson_locked(lesson: Lesson) -> Lesson:
    takers = Prefetch("takers", LessonStudent.objects.select_related("student__family"))
    rows = Lesson.objects.select_for_update(of=("self",)).select_related("place")
    return rows.prefetch_related(takers).get(pk=lesson.pk)


def _standing(lesson: Lesson, family: Family) -> LessonRequest | None:
    rows = LessonRequest.objects.standing().filter(lesson=lesson, family=family)
    return rows.with_people().first()


def _refuse_unaskable(lesson: Lesson, family: Family, now: datetime) -> None:
    if not students_of(lesson, family):
        raise CannotAsk("Nobody of your family comes to this lesson, as it is written down.")
    if not lesson.is_planned:
        raise CannotAsk("This lesson is called off or was given: there is nothing to change.")
    if lesson.starts_at <= now:
        raise CannotAsk("This lesson has begun. Please ring your teacher.")


def _written(
    lesson: Lesson,
    family: Family,
    kind: RequestKind,
    words: str,
    times: Sequence[datetime],
    counts_as: str,
    by: User,
    studio: Studio,
    now: datetime,
) -> LessonRequest:
    request = LessonRequest(
        lesson=lesson,
        family=family,
        kind=kind,
        words=words,
        asked_by=by,
        asked_at=now,
        was_names=names_for(lesson, family)[:200],
        was_starts_at=lesson.starts_at,
        was_minutes=lesson.minutes,
        was_revision=lesson.revision,
        counts_as=counts_as if kind == RequestKind.CALL_OFF else "",
    )
    request.full_clean()
    request.save()
    request.students.set(students_of(lesson, family))
    RequestedTime.objects.bulk_create(
        RequestedTime(request=request, starts_at=moment) for moment in sorted(set(times))
    )
    event = request_record(request, "request_asked", by, now)
    request = LessonRequest.objects.with_people().get(pk=request.pk)
    if not is_grown_up(by, local_date(now, studio.zone)):
        tell_parents_asked(request=request, event=event, studio=studio, now=now)
    tell_teacher(request=request, event=event, studio=studio, now=now)
    return request
