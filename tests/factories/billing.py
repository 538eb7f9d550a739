"""The rows of billing."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from billing.models import BillingSettings, Invoice, InvoiceLine, Payment, Rate
from lessons.models import Attendance, Lesson, LessonStatus
from studio.models import Place, Student
from tests.factories.lessons import LessonFactory, LessonStudentFactory
from tests.factories.studio import FamilyFactory, TeacherFactory

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)


class BillingSettingsFactory(DjangoModelFactory):
    class Meta:
        model = BillingSettings
        django_get_or_create = ("pk",)

    pk = 1
    iban = "IE29AIBK93115212345678"
    bic = "AIBKIE2D"


class RateFactory(DjangoModelFactory):
    class Meta:
        model = Rate

    minutes = 30
    amount = Decimal("25.00")
    from_date = date(2026, 1, 1)


class InvoiceFactory(DjangoModelFactory):
    """A draft."""

    class Meta:
        model = Invoice

    family = factory.SubFactory(FamilyFactory)
    period_start = date(2026, 11, 1)
    currency = "EUR"


class InvoiceLineFactory(DjangoModelFactory):
    class Meta:
        model = InvoiceLine

    invoice = factory.SubFactory(InvoiceFactory)
    position = factory.Sequence(lambda n: 5001 + n)
    kind = "fee"
    words = "Pair of sticks"
    net = Decimal("12.50")
    tax_category = "E"
    tax_percent = Decimal(0)


class PaymentFactory(DjangoModelFactory):
    class Meta:
        model = Payment

    family = factory.SubFactory(FamilyFactory)
    amount = Decimal("50.00")
    currency = "EUR"
    paid_date = date(2026, 11, 20)
    method = "bank"
    recorded_at = NOON
    recorded_by = factory.SubFactory(TeacherFactory)


def lesson_held(student: Student, place: Place, starts_at: datetime, **given: Any) -> Lesson:
    """Write a lesson that was given."""
    lesson: Lesson = LessonFactory(
        place=place, starts_at=starts_at, status=LessonStatus.DONE, **given
    )
    LessonStudentFactory(lesson=lesson, student=student, attendance=Attendance.PRESENT)
    return lesson


def november(day: int, hour: int = 15, minute: int = 0) -> datetime:
    """Return a moment of November 2026."""
    return datetime(2026, 11, day, hour, minute, tzinfo=UTC)


def weekly_lessons(student: Student, count: int = 4, minute: int = 0) -> list[Lesson]:
    """Write one lesson a week at the family's home, each held."""
    first = november(3, 15, minute)
    return [
        lesson_held(student, student.family.home, first + timedelta(weeks=week))
        for week in range(count)
    ]
