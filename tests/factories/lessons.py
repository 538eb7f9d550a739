"""The rows of lessons."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import factory
from factory.django import DjangoModelFactory

from lessons.models import (
    Closure,
    Lesson,
    LessonStudent,
    PlaceCorrection,
    ProgressNote,
    Series,
    Term,
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
