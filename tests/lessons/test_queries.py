"""Pages ask the database the same number of times for one row and for twenty."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lessons.models import Lesson, Series
from tests.factories.lessons import ClosureFactory, LessonFactory, TermFactory, TravelBandFactory
from tests.factories.studio import FamilyFactory, PlaceFactory, StudentFactory
from tests.lessons.conftest import NOW, TUESDAY

pytestmark = pytest.mark.django_db


@pytest.mark.usefixtures("_tuesday")
class TestQueries:
    """The same number of queries for one row and for twenty."""

    def _fill(self, rows: int) -> None:
        while Lesson.objects.count() < rows:
            count = Lesson.objects.count()
            student = StudentFactory(family=FamilyFactory(home=PlaceFactory()))
            lesson = LessonFactory(
                place=student.family.home,
                student=student,
                starts_at=TUESDAY - timedelta(hours=4) + timedelta(minutes=40 * count),
                minutes=30,
            )
            series = Series.objects.create(
                place=lesson.place,
                first_date=date(2026, 9, 8),
                last_date=date(2026, 12, 8),
                at=datetime(2026, 9, 8, 8).time(),
                zone_name="Europe/Dublin",
                minutes=30,
                created_at=NOW,
            )
            series.students.add(student)
            TermFactory(last_date=date(2027, 1, 1))
            ClosureFactory()
            TravelBandFactory(up_to_km=count + 1)

    @pytest.mark.parametrize("address", ["/today/", "/week/", "/series/", "/terms/", "/road/"])
    def test_do_not_grow_with_rows(self, client: Client, address: str) -> None:
        client.get(address)
        counts = []
        for rows in (1, 20):
            self._fill(rows)
            with CaptureQueriesContext(
                connection,
            ) as queries:
                assert client.get(address).status_code == 200
            counts.append(len(queries))

        assert counts[0] == counts[1]
