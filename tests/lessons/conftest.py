"""The cast of lessons: a studio in Cork, two families some kilometres apart."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client

from lessons.planning.recurrence import WeeklyRule
from lessons.selectors.series import SeriesWish
from studio.models import Student, User
from tests.factories.studio import (
    AdultFactory,
    FamilyFactory,
    PlaceFactory,
    StudentFactory,
    StudioFactory,
    TeacherFactory,
)

DUBLIN = ZoneInfo("Europe/Dublin")
NOW = datetime(2026, 9, 1, 9, tzinfo=UTC)


@pytest.fixture
def studio(db: None) -> Any:
    return StudioFactory()


@pytest.fixture
def teacher(studio: Any) -> Any:
    return TeacherFactory()


@pytest.fixture
def aoife(studio: Any) -> Any:
    """A student who lives near the base."""
    home = PlaceFactory(name="Near door", latitude="51.900000", longitude="-8.480000")
    return StudentFactory(name="Aoife Moran", family=FamilyFactory(name="Moran", home=home))


@pytest.fixture
def tadhg(studio: Any) -> Any:
    """A student who lives a drive away."""
    home = PlaceFactory(name="Far door", latitude="51.990000", longitude="-8.600000")
    family = FamilyFactory(name="Lynch", home=home)
    AdultFactory(family=family, name="Orla Lynch", email="orla@example.com")
    return StudentFactory(name="Tadhg Lynch", family=family)


def wish_for(
    student: Student,
    *,
    first: date = date(2026, 9, 8),
    last: date = date(2026, 10, 13),
    at: time = time(16),
    minutes: int = 30,
    **more: Any,
) -> SeriesWish:
    """A weekly wish at the student's home; six Tuesdays unless said otherwise."""
    rule = WeeklyRule(first, last, at, minutes, DUBLIN, more.pop("every_weeks", 1))
    place = more.pop("place", student.family.home)
    return SeriesWish(students=(student,), place=place, rule=rule, **more)


def sign_in(client: Any, user: User) -> Any:
    """Sign somebody in, as the password page would."""
    client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


TUESDAY = datetime(2026, 9, 8, 9, tzinfo=UTC)


@pytest.fixture
def client(teacher: Any) -> Client:
    """The teacher, signed in."""
    return sign_in(Client(), teacher)


@pytest.fixture
def _tuesday() -> Any:
    """Tuesday 8 September 2026, ten in the morning in Cork."""
    with time_machine.travel(TUESDAY, tick=False):
        yield


def text_of(response: Any) -> str:
    """Return a page as one line."""
    return " ".join(response.content.decode().split())
