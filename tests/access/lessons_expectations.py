"""Lessons: only the teacher books, moves and marks; families read on their own page."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from django.utils import timezone

from lessons.models import LessonStatus
from tests.access import (
    asking_expectations,
    missed_expectations,
    out_expectations,
    places_expectations,
    series_expectations,
)
from tests.access.harness import (
    SIGN_IN,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)
from tests.factories.lessons import (
    AppointmentFactory,
    ClosureFactory,
    LessonFactory,
    PlaceCorrectionFactory,
    SeriesFactory,
    StudentWindowFactory,
    TermFactory,
    TimetableDraftFactory,
    TravelBandFactory,
    WorkingHoursFactory,
)


def build(cast: Cast) -> None:
    """Add a term's frame, a series, a lesson of last week, and one called off."""
    past = timezone.now().replace(minute=0, second=0, microsecond=0) - timedelta(days=7)
    home = cast.family.home
    asking_expectations.build(cast)
    missed_expectations.build(cast)
    out_expectations.build(cast)
    series_expectations.build(cast)
    things = cast.things
    things.term = TermFactory(first_date=past.date(), last_date=past.date() + timedelta(days=120))
    things.closure = ClosureFactory()
    things.timetable = TimetableDraftFactory(term=things.term)
    things.hours = WorkingHoursFactory()
    # Everybody lives inside it, wherever the factories put them.
    things.band = TravelBandFactory(up_to_km="60")
    places_expectations.build(cast)
    things.correction = PlaceCorrectionFactory()
    things.appointment = AppointmentFactory()
    things.window = StudentWindowFactory(student=cast.student)
    things.series = SeriesFactory(place=home, students=[cast.student])
    things.lesson = LessonFactory(place=home, starts_at=past, student=cast.student)
    things.off = LessonFactory(
        place=home,
        starts_at=past + timedelta(days=1),
        student=cast.student,
        status=LessonStatus.CALLED_OFF,
        called_off_by="family",
        called_off_told_at=past,
        called_off_outcome="called_off",
    )


def _pk(name: str) -> Any:
    return lambda cast: (getattr(cast.things, name).pk,)


def _period(_: Cast) -> dict[str, Any]:
    return {"name": "Spring", "first_date": "2027-01-11", "last_date": "2027-03-19"}


def _hours(_: Cast) -> dict[str, Any]:
    return {"weekday": 2, "begins_at": "15:00", "ends_at": "19:00"}


def _correction(cast: Cast) -> dict[str, Any]:
    return {
        "from_place": cast.studio.base_id,
        "to_place": cast.other_family.home_id,
        "minutes": 20,
        "is_both_ways": "on",
    }


def _appointment(_: Cast) -> dict[str, Any]:
    return {
        "label": "Rehearsal",
        "first_date": "2026-10-01",
        "begins_at": "10:00",
        "ends_at": "11:00",
        "every_weeks": 0,
    }


def _window(_: Cast) -> dict[str, Any]:
    return {"weekday": 2, "begins_at": "15:00", "ends_at": "17:00", "every_weeks": 1}


def _day(_: Cast) -> tuple[str]:
    return ("2026-09-08",)


EXPECTED: list[Expect] = [
    *asking_expectations.EXPECTED,
    *missed_expectations.EXPECTED,
    *out_expectations.EXPECTED,
    *places_expectations.EXPECTED,
    *series_expectations.EXPECTED,
    teacher_page("lessons:day", _day),
    teacher_page("lessons:day_sheet", _day),
    # Nothing is booked that day, so nothing can be taken over.
    teacher_form("lessons:day_order", _day, data=lambda cast: {"seal": "none"}, done=422),
    teacher_page("lessons:appointment_list"),
    teacher_form("lessons:appointment_create", data=_appointment),
    teacher_form("lessons:appointment_edit", _pk("appointment"), data=_appointment),
    teacher_form("lessons:appointment_delete", _pk("appointment"), data=lambda cast: {}),
    teacher_page("lessons:wishes_list"),
    teacher_form(
        "lessons:wishes",
        lambda cast: (cast.student.pk,),
        data=lambda cast: {
            "minutes": 45,
            "lessons_per_week": 1,
            "least_days_between": 1,
            "every_weeks": 1,
        },
    ),
    Expect(
        "lessons:own_times",
        lambda cast: (cast.student.pk,),
        get={"anonymous": "sign-in", "this_parent": 200, "other_parent": 404, "everybody": 403},
        post={"anonymous": "sign-in", "this_parent": 302, "other_parent": 404, "everybody": 403},
        post_data=_window,
    ),
    Expect(
        "lessons:own_time_delete",
        _pk("window"),
        get={"anonymous": "sign-in", "everybody": 405},
        post={"anonymous": "sign-in", "this_parent": 302, "other_parent": 404, "everybody": 403},
    ),
    teacher_form("lessons:window_create", lambda cast: (cast.student.pk,), data=_window),
    teacher_form("lessons:window_edit", _pk("window"), data=_window),
    teacher_action("lessons:window_delete", _pk("window")),
    teacher_form(
        "lessons:limits",
        data=lambda cast: {
            "most_minutes_a_day": 360,
            "evening_begins_at": "19:00",
            "most_evenings_a_week": 1,
            "buffer_minutes": 5,
            "child_age": 10,
            "child_latest_end": "19:30",
        },
    ),
    teacher_form("lessons:day_rule", lambda cast: (1,), data=lambda cast: {"meal_minutes": 30}),
    teacher_page("lessons:today"),
    teacher_page("lessons:week"),
    teacher_page("lessons:lesson_detail", _pk("lesson")),
    teacher_page("lessons:series_list"),
    teacher_page("lessons:series_detail", _pk("series")),
    teacher_page("lessons:term_list"),
    teacher_form(
        "lessons:lesson_create",
        data=lambda cast: {
            "student": cast.student.pk,
            "where": "home",
            "day": f"{datetime.now(UTC).date() + timedelta(days=40)}",
            "at": "16:00",
            "minutes": 30,
        },
    ),
    teacher_form(
        "lessons:series_book",
        done=200,
        data=lambda cast: {
            "student": cast.student.pk,
            "where": "home",
            "weekday": 1,
            "at": "16:00",
            "minutes": 30,
            "every_weeks": 1,
            "term": cast.things.term.pk,
            "press": "look",
        },
    ),
    teacher_page("lessons:time_find"),
    # Nothing was found that could be booked.
    teacher_action("lessons:time_book", done=422),
    # What would be called off is shown first.
    teacher_form(
        "lessons:series_stop",
        _pk("series"),
        data=lambda cast: {"from_date": "2026-11-01"},
        done=200,
    ),
    teacher_action(
        "lessons:lesson_mark",
        _pk("lesson"),
        data=lambda cast: {"student": cast.student.pk, "attendance": "present"},
    ),
    teacher_action(
        "lessons:lesson_note",
        lambda cast: (cast.things.lesson.pk, cast.student.pk),
        data=lambda cast: {"body": "Well done.", "press": "send"},
    ),
    teacher_form(
        "lessons:lesson_move",
        _pk("lesson"),
        data=lambda cast: {
            "day": f"{datetime.now(UTC).date() + timedelta(days=41)}",
            "at": "16:00",
            "minutes": 30,
            "where": "same",
        },
    ),
    teacher_form(
        "lessons:lesson_call_off",
        _pk("lesson"),
        data=lambda cast: {"called_off_by": "family", "reason": "ill"},
    ),
    teacher_action("lessons:lesson_reinstate", _pk("off")),
    teacher_page("lessons:timetable"),
    # Nobody has told any times.
    teacher_action("lessons:timetable_build", done=422, data=lambda cast: {"term": 0}),
    teacher_page("lessons:timetable_draft", _pk("timetable")),
    # Nothing is ticked.
    Expect(
        "lessons:timetable_part",
        _pk("timetable"),
        get={"anonymous": SIGN_IN, "teacher": 422, "family": 403},
        post={"anonymous": SIGN_IN, "teacher": 422, "family": 403},
    ),
    teacher_action("lessons:timetable_free", _pk("timetable")),
    teacher_form("lessons:term_create", data=_period),
    teacher_form("lessons:term_edit", _pk("term"), data=_period),
    teacher_form("lessons:term_delete", _pk("term"), data=lambda cast: {}),
    teacher_form("lessons:holidays", data=lambda cast: {}),
    teacher_form("lessons:closure_create", data=_period),
    teacher_form("lessons:closure_edit", _pk("closure"), data=_period),
    teacher_form("lessons:closure_delete", _pk("closure"), data=lambda cast: {}),
    teacher_form(
        "lessons:road",
        data=lambda cast: {
            "circuity": "1.4",
            "first_kmh": 20,
            "middle_kmh": 40,
            "far_kmh": 60,
            "parking_minutes": 5,
        },
    ),
    teacher_form("lessons:band_create", data=lambda cast: {"up_to_km": "15", "surcharge": "9.00"}),
    teacher_form(
        "lessons:band_edit", _pk("band"), data=lambda cast: {"up_to_km": "15", "surcharge": "9"}
    ),
    teacher_form("lessons:band_delete", _pk("band"), data=lambda cast: {}),
    teacher_form("lessons:correction_create", data=_correction),
    teacher_form("lessons:correction_edit", _pk("correction"), data=_correction),
    teacher_form("lessons:correction_delete", _pk("correction"), data=lambda cast: {}),
    teacher_form(
        "lessons:hours",
        data=lambda cast: {"notice_hours": 48, "make_up_weeks": 6, "undo_minutes": 5},
    ),
    teacher_form("lessons:hours_create", data=_hours),
    teacher_form("lessons:hours_edit", _pk("hours"), data=_hours),
    teacher_form("lessons:hours_delete", _pk("hours"), data=lambda cast: {}),
]
