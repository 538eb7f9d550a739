"""Make-ups and upset days are the teacher's; a family's adult may decline a lesson online."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone

from lessons.services.booking import online_place
from tests.access.harness import (
    SIGN_IN,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)
from tests.factories.lessons import LessonFactory
from tests.factories.missed import MakeUpRightFactory, UpsetFactory, UpsetLessonFactory

DUBLIN = ZoneInfo("Europe/Dublin")


def build(cast: Cast) -> None:
    """Add a right that is open, an upset, and a lesson of tomorrow that it put online."""
    home = cast.family.home
    today = timezone.now().astimezone(DUBLIN).date()
    noon = datetime.combine(today, time(12), tzinfo=DUBLIN)
    missed = LessonFactory(
        place=home,
        student=cast.student,
        starts_at=noon - timedelta(days=20),
        status="called_off",
        called_off_by="family",
        called_off_told_at=noon - timedelta(days=25),
        called_off_outcome="called_off",
    )
    cast.things.missed = missed
    cast.things.right = MakeUpRightFactory(
        student=cast.student, lesson=missed, expires_on=today + timedelta(days=30)
    )
    cast.things.upset = UpsetFactory(
        kind="online", at=timezone.now(), tells_at=timezone.now(), by=cast.teacher
    )
    cast.things.online = LessonFactory(
        place=online_place(), student=cast.student, starts_at=noon + timedelta(days=50)
    )
    UpsetLessonFactory(upset=cast.things.upset, lesson=cast.things.online, before_place=home)


def _pk(name: str) -> Any:
    return lambda cast: (getattr(cast.things, name).pk,)


def _in_days(days: int) -> str:
    return f"{datetime.now(UTC).date() + timedelta(days=days)}"


EXPECTED: list[Expect] = [
    teacher_page("lessons:make_up_list"),
    teacher_page("lessons:make_up_detail", _pk("right")),
    teacher_action(
        "lessons:make_up_book",
        _pk("right"),
        data=lambda cast: {"where": "same", "day": _in_days(25), "at": "16:00"},
    ),
    teacher_action(
        "lessons:make_up_until", _pk("right"), data=lambda cast: {"expires_on": _in_days(60)}
    ),
    teacher_action(
        "lessons:make_up_withdraw", _pk("right"), data=lambda cast: {"reason": "as agreed"}
    ),
    teacher_form(
        "lessons:lesson_counts_as",
        _pk("missed"),
        data=lambda cast: {
            "counts_as": "called_off_late",
            "is_make_up_owed": "on",
            "reason": "as agreed",
        },
    ),
    # No lesson is shown, so none is ticked.
    teacher_form("lessons:away", data=lambda cast: {}, done=422),
    teacher_form("lessons:online_day", data=lambda cast: {}, done=422),
    teacher_form("lessons:late", data=lambda cast: {}, done=422),
    teacher_page("lessons:upset_detail", _pk("upset")),
    teacher_action("lessons:upset_undo", _pk("upset")),
    teacher_action("lessons:upset_apologise", _pk("upset"), data=lambda cast: {"words": "Sorry."}),
    Expect(
        "lessons:online_decline",
        _pk("online"),
        get={
            "anonymous": SIGN_IN,
            "teacher": 403,
            "family": 403,
            "this_parent": 200,
            "other_parent": 404,
        },
        post={
            "anonymous": SIGN_IN,
            "teacher": 403,
            "family": 403,
            "this_parent": 302,
            "other_parent": 404,
        },
    ),
]
