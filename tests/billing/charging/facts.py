"""Lessons as charging sees them, for tests of the pure core."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from decimal import Decimal

from billing.charging.rates import DatedRate

HOME = 7


@dataclass(frozen=True, slots=True)
class Fact:
    lesson_id: int = 1
    student_id: int = 1
    student_name: str = "Fiadh"
    family_id: int = 1
    starts_at: datetime = datetime(2026, 11, 3, 15, tzinfo=UTC)
    local_date: date = date(2026, 11, 3)
    minutes: int = 30
    place_id: int = HOME
    place_kind: str = "home"
    place_name: str = "Harbour View"
    band_label: str = "up to 10 km"
    surcharge: Decimal = Decimal("6.00")
    outcome: str = "held"
    make_up_until: date | None = None
    is_made_up: bool = False
    makes_up: int | None = None
    makes_up_date: date | None = None
    makes_up_outcome: str = ""


RATE = DatedRate(minutes=30, amount=Decimal("25.00"), from_date=date(2026, 1, 1))


def fact(**given: object) -> Fact:
    """Return a lesson; ``local_date`` follows ``starts_at``."""
    made = replace(Fact(), **given)  # type: ignore[arg-type]
    return replace(made, local_date=made.starts_at.date())
