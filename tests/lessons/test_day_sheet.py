"""The day on paper, read back."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from lessons.day_sheet import day_sheet
from lessons.day_sheet_pdf import day_sheet_pdf
from lessons.selectors import day_plan
from tests.factories.lessons import AppointmentFactory, LessonFactory
from tests.factories.studio import AdultFactory

pytestmark = pytest.mark.django_db
DAY = date(2026, 9, 8)
FOUR = datetime(2026, 9, 8, 15, tzinfo=UTC)


@pytest.fixture
def day(studio: Any, aoife: Any, tadhg: Any) -> Any:
    """Two lessons far from each other, and the dentist before."""
    AdultFactory(family=aoife.family, name="Síle Żółć", phone="021 555 0199", email="")
    place = tadhg.family.home
    place.address = "7 Weir Terrace\nBallincollig\nCo. Cork"
    place.save()
    LessonFactory(place=aoife.family.home, student=aoife, starts_at=FOUR)
    LessonFactory(place=place, student=tadhg, starts_at=FOUR + timedelta(hours=2))
    AppointmentFactory()
    return studio


def read(content: bytes) -> tuple[str, PdfReader]:
    reader = PdfReader(io.BytesIO(content))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split()), reader


class TestDaySheet:
    def test_has_times_roads_doors_and_telephones(self, client: Client, day: Any) -> None:
        plan = day_plan(day=DAY, studio=day)
        answer = client.get("/day/2026-09-08/sheet.pdf")
        words, reader = read(answer.content)

        assert answer["Content-Type"] == "application/pdf"
        assert "Tuesday 8 September 2026" in words
        for told in (
            "15:00 to 15:30 Dentist",
            "16:00 to 16:30 Aoife Moran",
            "18:00 to 18:30 Tadhg Lynch",
            "7 Weir Terrace, Ballincollig, Co. Cork",
            "021 555 0199 Síle Żółć",
            "did not come",
            "back to base",
        ):
            assert told in words
        for stop in plan.stops:
            assert stop.leave_by is not None
            assert f"Leave {stop.leave_by + timedelta(hours=1):%H:%M}" in words
        assert reader.metadata is not None
        assert reader.metadata.title == "Tuesday 8 September 2026"

    @pytest.mark.parametrize(("paper", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
    def test_is_on_the_studios_paper_and_the_same_every_time(
        self, day: Any, paper: str, points: tuple[int, int]
    ) -> None:
        day.paper = paper
        sheet = day_sheet(plan=day_plan(day=DAY, studio=day), studio=day)

        content = day_sheet_pdf(sheet)

        box = read(content)[1].pages[0].mediabox
        assert (round(box.width), round(box.height)) == points
        assert content == day_sheet_pdf(sheet)

    def test_a_long_day_goes_on_to_the_next_page(self, day: Any, aoife: Any) -> None:
        for number in range(18):
            LessonFactory(
                place=aoife.family.home,
                student=aoife,
                starts_at=datetime(2026, 9, 7, 6, tzinfo=UTC) + timedelta(minutes=40 * number),
            )

        plan = day_plan(day=date(2026, 9, 7), studio=day)
        words, reader = read(day_sheet_pdf(day_sheet(plan=plan, studio=day)))

        assert len(reader.pages) == 2
        assert words.count("07:00 to 07:30 Aoife Moran") == 1
        assert "page 2" in words

    def test_an_empty_day_says_so(self, client: Client, studio: Any) -> None:
        words, _ = read(client.get("/day/2026-09-09/sheet.pdf").content)

        assert "No lessons." in words
