"""The area page."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.selectors.area import area
from tests.factories.lessons import LessonFactory, TravelBandFactory
from tests.factories.studio import FamilyFactory, PlaceFactory, SchoolFactory, StudentFactory
from tests.lessons.conftest import text_of

DAY = date(2026, 9, 8)


@pytest.mark.django_db
class TestArea:
    def test_shows_homes_with_students_and_the_days_road(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 54: a place without a position is in the table, and nowhere on the sheet."""
        nowhere = PlaceFactory(name="Unknown Row", latitude=None, longitude=None)
        StudentFactory(family=FamilyFactory(home=nowhere))
        left = StudentFactory(family=FamilyFactory(), left_date=DAY)
        for student, hour in ((aoife, 14), (tadhg, 16)):
            LessonFactory(
                place=student.family.home,
                starts_at=datetime(2026, 9, 8, hour, tzinfo=UTC),
                student=student,
            )
        found = area(day=DAY, studio=studio)

        assert [(row.letter, row.place.name) for row in found.rows] == [
            ("A", "Near door"),
            ("B", "Far door"),
            ("", "Unknown Row"),
        ]
        assert found.rows[2].band.km is None
        assert left.family.home.name not in {row.place.name for row in found.rows}
        assert [(leg.start, leg.end) for leg in found.legs] == [
            ("Copper Lane", "Near door"),
            ("Near door", "Far door"),
            ("Far door", "Copper Lane"),
        ]
        assert found.sheet is not None
        assert len(found.sheet.ways) == 3
        assert found.sheet.ways[1].words == f"2: {found.legs[1].road.minutes} min"

    def test_without_a_base_there_is_a_table_alone(self, studio: Any, aoife: Any) -> None:
        studio.base.latitude = studio.base.longitude = None
        studio.base.save()
        found = area(day=DAY, studio=studio)

        assert found.sheet is None
        assert [row.letter for row in found.rows] == [""]

    def test_asks_as_often_for_many_as_for_few(self, studio: Any, aoife: Any) -> None:
        SchoolFactory()
        LessonFactory(place=aoife.family.home, starts_at=datetime(2026, 9, 8, 14, tzinfo=UTC))
        with CaptureQueriesContext(connection) as few:
            area(day=DAY, studio=studio)
        for hour in (8, 10, 12):
            student = StudentFactory()
            LessonFactory(
                place=student.family.home, starts_at=datetime(2026, 9, 8, hour, tzinfo=UTC)
            )
        with CaptureQueriesContext(connection) as many:
            area(day=DAY, studio=studio)

        assert len(many) == len(few) < 20

    def test_the_page_says_in_words_what_it_draws(self, client: Any, tadhg: Any) -> None:
        TravelBandFactory(up_to_km="5.0", surcharge="0")
        LessonFactory(place=tadhg.family.home, starts_at=datetime(2026, 9, 8, 14, tzinfo=UTC))
        page = text_of(client.get("/area/?day=2026-09-08"))

        assert "The road of Tuesday 8 September" in page
        assert "Copper Lane to Far door" in page
        assert "outside" in page
        assert 'role="img"' in page
        assert "5 km by road" in page

    @pytest.mark.parametrize("day", ["soon", "9999-01-01", "2026-13-01", "1" * 400])
    def test_a_day_that_is_none_is_not_found(self, client: Any, day: str) -> None:
        assert client.get("/area/", {"day": day}).status_code == 404
