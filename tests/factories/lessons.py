"""The rows of lessons."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import factory
from factory.django import DjangoModelFactory

from lessons.models import (
    Appointment,
    Closure,
    DraftLesson,
    Lesson,
    LessonStudent,
    PlaceCorrection,
    ProgressNote,
    Series,
    StudentWindow,
    StudentWishes,
    Term,
    TimetableDraft,
    TravelBand,
    WorkingHours,
)
from studio.local_time import instant
from tests.factories.studio import PlaceFactory, StudentFactory


class TermFactory(DjangoModelFactory):
    class Meta:
        model = Term

    name = "Autumn term"
    first_date = date(2026, 9, 7)
    last_date = date(2026, 12, 18)


class ClosureFactory(DjangoModelFactory):
    class Meta:
        model = Closure

    name = "Mid-term break"
    first_date = date(2026, 10, 26)
    last_date = date(2026, 10, 30)


class WorkingHoursFactory(DjangoModelFactory):
    class Meta:
        model = WorkingHours

    weekday = 1
    begins_at = time(14)
    ends_at = time(20)


class AppointmentFactory(DjangoModelFactory):
    """An appointment of half an hour, once, without a place."""

    class Meta:
        model = Appointment

    label = "Dentist"
    first_date = date(2026, 9, 8)
    begins_at = time(15)
    ends_at = time(15, 30)


class TravelBandFactory(DjangoModelFactory):
    class Meta:
        model = TravelBand

    up_to_km = Decimal("10.0")
    surcharge = Decimal("6.00")


class PlaceCorrectionFactory(DjangoModelFactory):
    class Meta:
        model = PlaceCorrection

    from_place = factory.SubFactory(PlaceFactory)
    to_place = factory.SubFactory(PlaceFactory)
    minutes = 25


class SeriesFactory(DjangoModelFactory):
    class Meta:
        model = Series
        skip_postgeneration_save = True

    place = factory.SubFactory(PlaceFactory)
    first_date = date(2026, 9, 8)
    last_date = date(2026, 12, 15)
    at = time(16)
    zone_name = "Europe/Dublin"
    minutes = 30
    created_at = datetime(2026, 9, 1, 9, tzinfo=UTC)

    @factory.post_generation
    def students(self: Any, create: bool, given: Any, **_: Any) -> None:
        if create and given:
            self.students.set(given)


class LessonFactory(DjangoModelFactory):
    """A lesson by itself, each in an hour of its own; give ``student`` for somebody to be there."""

    class Meta:
        model = Lesson
        skip_postgeneration_save = True

    place = factory.SubFactory(PlaceFactory)
    # Always 16:00 by the clock on the wall, however many lessons other tests made before.
    starts_at = factory.Sequence(
        lambda n: instant(date(2026, 9, 1) + timedelta(days=n), time(16), ZoneInfo("Europe/Dublin"))
    )
    minutes = 30
    ends_at = factory.LazyAttribute(lambda row: row.starts_at + timedelta(minutes=row.minutes))

    @factory.post_generation
    def student(self: Any, create: bool, given: Any, **_: Any) -> None:
        if create and given:
            LessonStudentFactory(lesson=self, student=given)


class LessonStudentFactory(DjangoModelFactory):
    class Meta:
        model = LessonStudent

    lesson = factory.SubFactory(LessonFactory)
    student = factory.SubFactory(StudentFactory)


class ProgressNoteFactory(DjangoModelFactory):
    class Meta:
        model = ProgressNote

    lesson = factory.SubFactory(LessonFactory)
    student = factory.SubFactory(StudentFactory)
    body = "The paradiddle sits well now."
    written_at = datetime(2026, 9, 1, 16, tzinfo=UTC)


class StudentWishesFactory(DjangoModelFactory):
    class Meta:
        model = StudentWishes

    student = factory.SubFactory(StudentFactory)


class StudentWindowFactory(DjangoModelFactory):
    class Meta:
        model = StudentWindow

    student = factory.SubFactory(StudentFactory)
    weekday = 1
    begins_at = time(15)
    ends_at = time(19)


PLAN_FIGURES = {
    "placed": 2, "wanted": 2, "is_proven": True, "driving": 30, "idle": 15, "missed": 0,
    "changed": 1, "gap": 0,
}  # fmt: skip


class TimetableDraftFactory(DjangoModelFactory):
    """A draft of the balanced plan alone; make its lessons with ``DraftLessonFactory``."""

    class Meta:
        model = TimetableDraft

    term = factory.SubFactory(TermFactory)
    from_date = date(2026, 9, 14)
    made_at = datetime(2026, 9, 1, 9, tzinfo=UTC)
    numbers = factory.LazyFunction(lambda: {"balanced": PLAN_FIGURES})
    is_by_solver = True


class DraftLessonFactory(DjangoModelFactory):
    class Meta:
        model = DraftLesson

    draft = factory.SubFactory(TimetableDraftFactory)
    plan = "balanced"
    student = factory.SubFactory(StudentFactory)
    place = factory.SubFactory(PlaceFactory)
    first_date = date(2026, 9, 15)
    weekday = factory.LazyAttribute(lambda row: row.first_date.weekday())
    at = time(17)
    minutes = 30
