"""Requests, the waiting list and offers: a family sees its own; children ask, grown-ups settle."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.utils import timezone

from lessons.models import (
    FreeTime,
    LessonRequest,
    Offer,
    RequestedTime,
    RequestKind,
    RequestState,
    Waiting,
)
from tests.access.harness import (
    SIGN_IN,
    Answer,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)
from tests.factories.lessons import LessonFactory


def build(cast: Cast) -> None:
    """Add lessons to come, what is asked about them, somebody who waits, and an offer."""
    things, now = cast.things, timezone.now()
    noon = now.replace(hour=12, minute=0, second=0, microsecond=0) + timedelta(days=9)
    things.to_come = LessonFactory(
        place=cast.family.home, starts_at=noon + timedelta(days=2), student=cast.student
    )
    things.asked = _request(cast, noon, RequestState.OPEN)
    things.other_times = _request(cast, noon + timedelta(days=1), RequestState.OTHER_TIME)
    things.waiting = Waiting.objects.create(
        student=cast.student,
        name=cast.student.name,
        place=cast.family.home,
        since_date=now.date(),
        created_at=now,
    )
    free = FreeTime.objects.create(
        weekday=4,
        begins_at=time(9),
        ends_at=time(10),
        first_date=now.date(),
        last_date=now.date() + timedelta(days=60),
    )
    first = now.date() + timedelta(days=1)
    first += timedelta(days=(4 - first.weekday()) % 7)
    things.offer = Offer.objects.create(
        waiting=things.waiting,
        free_time=free,
        first_date=first,
        last_date=first + timedelta(days=21),
        at=time(9),
        minutes=30,
        offered_at=now,
        expires_at=now + timedelta(days=3),
    )


def _request(cast: Cast, starts_at: datetime, state: RequestState) -> LessonRequest:
    lesson = LessonFactory(place=cast.family.home, starts_at=starts_at, student=cast.student)
    request = LessonRequest.objects.create(
        lesson=lesson,
        family=cast.family,
        kind=RequestKind.MOVE,
        asked_by=cast.adult.user,
        asked_at=timezone.now(),
        was_names=cast.student.name,
        was_starts_at=starts_at,
        was_minutes=30,
        was_revision=0,
        state=state,
        answered_at=None if state == RequestState.OPEN else timezone.now(),
    )
    request.students.add(cast.student)
    RequestedTime.objects.create(
        request=request,
        starts_at=starts_at + timedelta(days=12),
        is_from_teacher=state != RequestState.OPEN,
    )
    return request


def _pk(name: str) -> Any:
    return lambda cast: (getattr(cast.things, name).pk,)


def _time(name: str) -> Any:
    return lambda cast: {"time": getattr(cast.things, name).times.get().pk}


def _next_tuesday() -> date:
    tomorrow = datetime.now(UTC).date() + timedelta(days=1)
    return tomorrow + timedelta(days=(1 - tomorrow.weekday()) % 7)


def _slot(_: Cast) -> dict[str, Any]:
    # Within the hours that the cast's teacher works.
    first = _next_tuesday()
    return {
        "weekday": 1,
        "begins_at": "18:00",
        "ends_at": "19:00",
        "first_date": f"{first}",
        "last_date": f"{first + timedelta(days=21)}",
    }


def _family_post(
    child: Answer, *, teacher: Answer = 403, parent: Answer = 302
) -> dict[str, Answer]:
    return {
        "anonymous": SIGN_IN,
        "teacher": teacher,
        "this_student": child,
        "this_parent": parent,
        "other_student": 404,
        "other_parent": 404,
    }


_OWN: dict[str, Answer] = _family_post(200, teacher=200, parent=200)
_POST_ONLY: dict[str, Answer] = {"anonymous": SIGN_IN, "everybody": 405}

EXPECTED: list[Expect] = [
    Expect(
        "lessons:request_ask",
        _pk("to_come"),
        get=_family_post(200, parent=200),
        post=_family_post(302),
        post_data=lambda cast: {"kind": "move", "words": "Later, please"},
    ),
    teacher_page("lessons:request_list"),
    Expect("lessons:request_detail", _pk("asked"), get=_OWN, post=_POST_ONLY),
    teacher_action(
        "lessons:request_answer", _pk("asked"), data=lambda cast: {"press": "no", "words": "No."}
    ),
    # No time is chosen.
    teacher_form("lessons:request_other", _pk("asked"), data=lambda cast: {}, done=422),
    Expect(
        "lessons:request_take",
        _pk("other_times"),
        get=_POST_ONLY,
        # Children ask; a grown-up of the family takes a time.
        post=_family_post(403),
        post_data=_time("other_times"),
    ),
    Expect(
        "lessons:request_take_back",
        _pk("asked"),
        get=_POST_ONLY,
        # It was the parent who asked.
        post=_family_post(403),
    ),
    Expect("lessons:request_insist", _pk("other_times"), get=_POST_ONLY, post=_family_post(403)),
    teacher_page("lessons:waiting_list"),
    teacher_form(
        "lessons:waiting_create",
        data=lambda cast: {
            "name": "Una Daly",
            "where": "home",
            "minutes": 30,
            "since_date": "2026-09-01",
            "day_0": 1,
        },
    ),
    teacher_form(
        "lessons:waiting_edit",
        _pk("waiting"),
        data=lambda cast: {
            "student": cast.student.pk,
            "where": "home",
            "minutes": 45,
            "since_date": "2026-09-01",
        },
    ),
    teacher_action("lessons:waiting_remove", _pk("waiting")),
    # Which time is not said.
    Expect(
        "lessons:free_time",
        get={"anonymous": SIGN_IN, "teacher": 422, "family": 403},
        post=_POST_ONLY,
    ),
    teacher_action(
        "lessons:offer_make",
        data=lambda cast: (
            _slot(cast)
            | {"waiting": cast.things.waiting.pk, "until": f"{datetime.now(UTC).date()}"}
        ),
    ),
    Expect("lessons:offer_detail", _pk("offer"), get=_OWN, post=_POST_ONLY),
    Expect("lessons:offer_yes", _pk("offer"), get=_POST_ONLY, post=_family_post(403, teacher=302)),
    Expect("lessons:offer_no", _pk("offer"), get=_POST_ONLY, post=_family_post(403, teacher=302)),
    Expect(
        "lessons:offer_other",
        _pk("offer"),
        get=_POST_ONLY,
        post=_family_post(403, teacher=302),
        post_data=lambda cast: {"time": "4-600"},
    ),
]
