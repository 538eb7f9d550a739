"""A studio with rates, one family of two, and its November."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from billing import services
from billing.models import Invoice
from tests.factories.billing import BillingSettingsFactory, RateFactory, weekly_lessons
from tests.factories.lessons import TravelBandFactory
from tests.factories.studio import (
    AdultFactory,
    FamilyFactory,
    StudentFactory,
    StudioFactory,
    TeacherFactory,
)

NOVEMBER = date(2026, 11, 1)
TODAY = date(2026, 11, 30)
NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)


@dataclass
class Desk:
    """The teacher at the desk with one family's account."""

    teacher: Any
    family: Any
    students: list[Any]
    adult: Any

    def draft(self, **given: Any) -> Invoice:
        draft, _ = services.invoice_draft(
            family=self.family, month=NOVEMBER, by=self.teacher, now=NOW, **given
        )
        assert draft is not None
        return draft

    def issue(self, draft: Invoice | None = None, today: date = TODAY) -> Invoice:
        return services.invoice_issue(
            invoice=draft or self.draft(), by=self.teacher, today=today, now=NOW
        )

    def pay(self, amount: str, **given: Any) -> Any:
        facts = {
            "family": self.family,
            "paid_date": TODAY,
            "method": "bank",
            "by": self.teacher,
            "now": NOW,
            **given,
        }
        return services.payment_record(amount=Decimal(amount), **facts)


def make_desk() -> Desk:
    """Write a studio, rates, a family with two children who have four lessons each in November."""
    StudioFactory()
    BillingSettingsFactory()
    RateFactory()
    RateFactory(minutes=45, amount=Decimal("35.00"))
    TravelBandFactory(up_to_km=Decimal("60.0"), surcharge=Decimal("6.00"))
    family = FamilyFactory(name="Ní Dhuibhir")
    students = [
        StudentFactory(family=family, name="Fiadh"),
        StudentFactory(family=family, name="Oisín"),
    ]
    adult = AdultFactory(family=family, name="Órla Ní Dhuibhir", email="orla@example.com")
    weekly_lessons(students[0])
    weekly_lessons(students[1], minute=30)
    return Desk(TeacherFactory(), family, students, adult)


@pytest.fixture
def desk(db: None) -> Desk:
    return make_desk()
