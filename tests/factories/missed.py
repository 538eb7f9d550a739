"""The rows of missed lessons."""

from __future__ import annotations

from datetime import UTC, date, datetime

import factory
from factory.django import DjangoModelFactory

from lessons.models import MakeUpRight, Upset, UpsetLesson
from tests.factories.lessons import LessonFactory
from tests.factories.studio import StudentFactory, TeacherFactory


class MakeUpRightFactory(DjangoModelFactory):
    class Meta:
        model = MakeUpRight

    student = factory.SubFactory(StudentFactory)
    lesson = factory.SubFactory(LessonFactory)
    minutes = 30
    expires_on = date(2026, 11, 3)
    created_at = datetime(2026, 9, 1, 9, tzinfo=UTC)


class UpsetFactory(DjangoModelFactory):
    class Meta:
        model = Upset

    kind = "away"
    first_date = date(2026, 9, 8)
    last_date = date(2026, 9, 8)
    by = factory.SubFactory(TeacherFactory)
    at = datetime(2026, 9, 7, 9, tzinfo=UTC)
    tells_at = datetime(2026, 9, 7, 9, 10, tzinfo=UTC)
    press = factory.Sequence(lambda n: f"press{n}")


class UpsetLessonFactory(DjangoModelFactory):
    """One lesson of an upset, as it was at its making."""

    class Meta:
        model = UpsetLesson

    upset = factory.SubFactory(UpsetFactory)
    lesson = factory.SubFactory(LessonFactory)
    before_starts_at = factory.LazyAttribute(lambda row: row.lesson.starts_at)
    before_place = factory.LazyAttribute(lambda row: row.lesson.place)
    after_starts_at = factory.LazyAttribute(lambda row: row.lesson.starts_at)
