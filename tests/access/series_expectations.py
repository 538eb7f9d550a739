"""Changes to series, pauses, leaving and trials: only the teacher."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils import timezone

from lessons.models import PlaceHours
from tests.access.harness import SIGN_IN, Cast, Expect, teacher_action, teacher_form
from tests.factories.lessons import SeriesFactory


def build(cast: Cast) -> None:
    """Add a series that begins next week."""
    first = timezone.now().date() + timedelta(days=7)
    cast.things.room_hours = PlaceHours.objects.create(
        place=cast.studio.base, weekday=1, begins_at="14:00", ends_at="17:00"
    )
    cast.things.weekly = SeriesFactory(
        place=cast.other_family.home,
        students=[cast.other_student],
        first_date=first,
        last_date=first + timedelta(weeks=5),
    )


def _weekly(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.weekly.pk,)


def _lesson(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.lesson.pk,)


def _student(cast: Cast) -> tuple[Any, ...]:
    return (cast.student.pk,)


def _change(cast: Cast) -> dict[str, Any]:
    series = cast.things.weekly
    return {
        "from_date": series.first_date,
        "weekday": series.first_date.weekday(),
        "at": "11:00",
        "minutes": 30,
        "every_weeks": 1,
        "where": "same",
        "until_date": series.last_date,
        "students": [cast.other_student.pk],
        "press": "look",
    }


def _room_hours(cast: Cast) -> tuple[Any, ...]:
    return (cast.things.room_hours.pk,)


def _hours(cast: Cast) -> dict[str, Any]:
    return {
        "place": cast.studio.base_id, "weekday": 2, "begins_at": "15:00", "ends_at": "19:00",
    }  # fmt: skip


def _day(weeks: int) -> str:
    return str(timezone.now().date() + timedelta(weeks=weeks))


EXPECTED: list[Expect] = [
    # Each page first shows what would be done.
    teacher_form("lessons:series_change", _weekly, data=_change, done=200),
    teacher_form("lessons:series_swap", _weekly, data=lambda cast: {}, done=422),
    teacher_form(
        "lessons:student_pauses",
        _student,
        data=lambda cast: {
            "first_date": _day(1),
            "last_date": _day(2),
            "counts_as": "called_off",
            "look": "1",
        },
        done=200,
    ),
    teacher_form(
        "lessons:student_leaves",
        _student,
        data=lambda cast: {"last_date": _day(4), "look": "1"},
        done=200,
    ),
    teacher_form("lessons:student_returns", _student, data=lambda cast: {}),
    # Nobody else takes part in that lesson: it would have to be called off.
    teacher_form(
        "lessons:lesson_away",
        _lesson,
        data=lambda cast: {"student": cast.student.pk},
        done=422,
    ),
    teacher_action("lessons:lesson_comes", lambda cast: (*_lesson(cast), cast.student.pk)),
    Expect(
        "lessons:trial_goes_on",
        _lesson,
        get={"anonymous": SIGN_IN, "teacher": 302, "family": 403},
        post={"anonymous": SIGN_IN, "everybody": 405},
    ),
    teacher_form("lessons:place_hours_create", data=_hours),
    teacher_form("lessons:place_hours_edit", _room_hours, data=_hours),
    teacher_form("lessons:place_hours_delete", _room_hours, data=lambda cast: {}),
    teacher_action("lessons:trial_over", _lesson),
    teacher_action("lessons:block_mark", _lesson),
]
