"""What asking and answering share: the refusals, and the rows under the calendar's lock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from lessons.models import Lesson, LessonRequest, RequestState
from lessons.selectors.asking import MOST_TIMES, free_starts
from studio.events import event_record
from studio.models import Event, Studio, User


class CannotAsk(Exception):
    """The lesson is not one that this person can ask about, or the question is empty."""


class AskedAlready(Exception):
    """Something else is asked about this lesson and not answered yet."""


class CountsOtherwise(Exception):
    """By now it would count as something else than the page said; nothing was asked."""


class TimeTaken(Exception):
    """A chosen time is no longer free; ``times`` says which."""

    def __init__(self, message: str, times: Iterable[datetime] = ()) -> None:
        super().__init__(message)
        self.times = frozenset(times)


class RequestOvertaken(Exception):
    """The lesson was changed since it was asked about: only words will do."""


class RequestSettled(Exception):
    """It was answered otherwise, or taken back, a moment ago."""


def request_locked(request: LessonRequest) -> LessonRequest:
    """Return the row as it is now; call it while the calendar is held."""
    rows = LessonRequest.objects.select_for_update(of=("self",)).with_people()
    return rows.get(pk=request.pk)


def refuse_times(
    lesson: Lesson, times: Sequence[datetime], words: str, studio: Studio, now: datetime
) -> None:
    """Refuse too many times, ones that are not free, and a question without anything in it."""
    if not times and not words:
        raise CannotAsk("Choose a time, or say in words what would suit.")
    if len(set(times)) > MOST_TIMES:
        raise CannotAsk(f"Choose up to {MOST_TIMES} times.")
    if not times:
        return
    free = {one.starts_at for one in free_starts(lesson=lesson, studio=studio, now=now)}
    taken = sorted(moment for moment in times if moment not in free)
    if taken:
        named = " and ".join(
            f"{moment.astimezone(studio.zone):%A %-d %B, %H:%M}" for moment in taken
        )
        raise TimeTaken(
            f"{named} is not free any more. Nothing was sent yet; choose another.", taken
        )


def request_close(request: LessonRequest, state: RequestState, now: datetime, words: str) -> None:
    """Give the request its next state."""
    request.state, request.answered_at, request.answer = state, now, words
    request.full_clean(exclude=["lesson"])
    request.save()


def request_record(request: LessonRequest, kind: str, by: User, now: datetime) -> Event:
    """Write down that something was asked or answered."""
    return event_record(
        kind=kind,
        subject=request.was_names,
        by=by,
        now=now,
        request=request.pk,
        lesson=request.lesson_id,
        state=request.state,
    )


def settled_words(request: LessonRequest) -> str:
    """Return the sentence for a press that came too late."""
    return f"This is settled already: {request.get_state_display()}. Nothing was changed."
