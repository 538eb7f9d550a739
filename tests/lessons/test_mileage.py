"""The mileage log: one visit counted once, unknown never 0, files that are no formulas."""

from __future__ import annotations

import csv
import io
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from lessons.models import DayRule, LessonStatus
from lessons.selectors import road_book, stop_of
from lessons.selectors.mileage import MileageLog, Period, mileage
from studio.local_time import instant
from studio.spreadsheet import csv_bytes
from tests.factories.lessons import LessonFactory
from tests.factories.studio import PlaceFactory, StudentFactory
from tests.lessons.conftest import DUBLIN, text_of

NOW = datetime(2026, 9, 30, 20, tzinfo=UTC)
DAY = date(2026, 9, 8)


def _held(place: Any, hour: int, *, day: date = DAY, **more: Any) -> Any:
    more.setdefault("status", LessonStatus.DONE)
    return LessonFactory(place=place, starts_at=instant(day, time(hour), DUBLIN), **more)


def _log(studio: Any, period: str = "2026-09") -> MileageLog:
    return mileage(period=Period.named(period), studio=studio, now=NOW)


@pytest.mark.django_db
class TestMileage:
    def test_siblings_are_one_visit(self, studio: Any, tadhg: Any) -> None:
        """Edge case 11: back to back in one home is one visit in the mileage log."""
        sister = StudentFactory(family=tadhg.family)
        _held(tadhg.family.home, 15, student=tadhg)
        _held(tadhg.family.home, 16, student=sister)
        (day,) = _log(studio).days
        roads = road_book(studio)
        there = roads.from_base(stop_of(tadhg.family.home)).km or 0

        assert [(leg.start, leg.end, leg.purpose) for leg in day.legs] == [
            ("Copper Lane", "Far door", "2 lessons"),
            ("Far door", "Copper Lane", "back"),
        ]
        assert day.km == round(2 * round(there, 1), 1)

    def test_the_day_is_one_round_through_all_doors(
        self, studio: Any, aoife: Any, tadhg: Any
    ) -> None:
        near, far = aoife.family.home, tadhg.family.home
        for place, hour in ((near, 14), (studio.base, 15), (far, 16), (near, 18)):
            _held(place, hour)
        (day,) = _log(studio).days

        assert [leg.start for leg in day.legs] == [
            "Copper Lane",
            "Near door",
            "Copper Lane",
            "Far door",
            "Near door",
        ]
        assert day.legs[-1].end == "Copper Lane"

    def test_only_what_was_held_counts_and_the_rest_is_said(self, studio: Any, tadhg: Any) -> None:
        home = tadhg.family.home
        _held(home, 16, status=LessonStatus.PLANNED)
        _held(
            home,
            18,
            status=LessonStatus.CALLED_OFF,
            called_off_by="family",
            called_off_told_at=NOW,
            called_off_outcome="called_off",
        )
        _held(home, 16, day=date(2026, 10, 1))
        log = _log(studio)

        assert log.days == ()
        assert log.km == 0
        assert log.not_marked == 1

    def test_an_unknown_distance_is_said_and_never_0_km(self, studio: Any) -> None:
        """Edge case 54: in the log too."""
        _held(PlaceFactory(name="Unknown Row", latitude=None, longitude=None), 16)
        (day,) = _log(studio).days

        assert [leg.km for leg in day.legs] == [None, None]
        assert day.legs[0].source_words == "distance unknown"
        assert day.unknown == 2

    def test_a_place_known_by_minutes_says_so(self, studio: Any) -> None:
        """Edge case 18: the kilometres of such a place rest on the teacher's minutes."""
        hill = PlaceFactory(latitude=None, longitude=None, minutes_from_base=25)
        _held(hill, 16)
        (day,) = _log(studio).days

        assert day.legs[0].km == pytest.approx(road_book(studio).model.km_in(25))
        assert day.legs[0].source_words == "from your own minutes"

    def test_online_lessons_drive_nowhere(self, studio: Any) -> None:
        _held(PlaceFactory(kind="online", latitude=None, longitude=None), 16)

        assert _log(studio).days == ()

    def test_a_weekday_may_begin_and_end_elsewhere(self, studio: Any, tadhg: Any) -> None:
        home = PlaceFactory(name="My own door")
        DayRule.objects.create(weekday=DAY.weekday(), starts_from=home)
        _held(tadhg.family.home, 16)
        (day,) = _log(studio).days

        assert [leg.start for leg in day.legs] == ["My own door", "Far door"]
        assert day.legs[-1].end == "Copper Lane"

    def test_midnight_is_the_studios_own(self, studio: Any, tadhg: Any) -> None:
        """23:30 UTC on 31 August is September in Cork."""
        LessonFactory(
            place=tadhg.family.home,
            starts_at=datetime(2026, 8, 31, 23, 30, tzinfo=UTC),
            status=LessonStatus.DONE,
        )

        assert [day.day for day in _log(studio).days] == [date(2026, 9, 1)]

    def test_a_year_is_its_months(self, studio: Any, tadhg: Any) -> None:
        for month, day in ((2, 3), (9, 4), (9, 5)):
            _held(tadhg.family.home, 16, day=date(2026, month, day))
        log = _log(studio, "2026")

        assert [(month.period.key, month.days) for month in log.months] == [
            ("2026-02", 1),
            ("2026-09", 2),
        ]
        assert sum(month.km for month in log.months) == pytest.approx(log.km)

    def test_asks_as_often_for_many_days_as_for_one(self, studio: Any, tadhg: Any) -> None:
        _held(tadhg.family.home, 16)
        with CaptureQueriesContext(connection) as few:
            _log(studio)
        for day in range(9, 20):
            _held(tadhg.family.home, 16, day=date(2026, 9, day))
        with CaptureQueriesContext(connection) as many:
            _log(studio)

        assert len(many) == len(few) < 10


@pytest.mark.django_db
class TestFiles:
    def test_the_spreadsheet_holds_no_formula(self, client: Any, studio: Any) -> None:
        _held(PlaceFactory(name='=HYPERLINK("http://x.example","pay")'), 16)
        answer = client.get("/road/mileage/log.csv?period=2026-09")
        rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))

        assert answer["Content-Disposition"] == 'attachment; filename="mileage-2026-09.csv"'
        assert rows[1][:3] == [
            "2026-09-08",
            "Copper Lane",
            '\'=HYPERLINK("http://x.example","pay")',
        ]
        assert rows[1][4] == f"{float(rows[1][4]):.1f}"
        assert rows[3][0] == "Sum"
        assert "tax rules" in rows[4][0]

    def test_the_pdf_says_the_same_in_any_script(self, client: Any, studio: Any) -> None:
        for number in range(40):
            place = PlaceFactory(name=f"Παπαδάκη & Żuraw <{number}>")
            _held(place, 16 + number // 28, day=date(2026, 9, 1 + number % 28))
        answer = client.get("/road/mileage/log.pdf?period=2026-09")
        pages = PdfReader(io.BytesIO(answer.content)).pages
        text = " ".join(page.extract_text() for page in pages)

        assert len(pages) > 1
        assert "Παπαδάκη & Żuraw" in " ".join(text.split())
        assert "tax rules" in text
        assert "Mileage log, September 2026, page 2" in text

    def test_the_page_warns_and_links(self, client: Any, studio: Any, tadhg: Any) -> None:
        _held(tadhg.family.home, 16)
        page = text_of(client.get("/road/mileage/?period=2026-09"))

        assert "tax rules where you live" in page
        assert "Copper Lane to Far door" in page
        assert "?period=2026-08" in page
        assert "By month" in text_of(client.get("/road/mileage/?period=2026"))

    @pytest.mark.parametrize(
        "period", ["2026-13", "1989", "soon", "2026-", "20261", "２０２６", "9" * 400]
    )
    def test_a_period_that_is_none_is_not_found(
        self, client: Any, studio: Any, period: str
    ) -> None:
        assert client.get("/road/mileage/", {"period": period}).status_code == 404


class TestPeriod:
    def test_steps_over_the_turn_of_the_year(self) -> None:
        assert Period(2026, 12).step(1) == Period(2027, 1)
        assert Period(2026, 1).step(-1) == Period(2025, 12)
        assert Period(2026).step(1) == Period(2027)
        assert Period.named("2024-02").last_date == date(2024, 2, 29)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "  =1", "＝1"])
def test_a_cell_that_would_be_run_is_made_text(text: str) -> None:
    """OWASP, "CSV Injection": the first character decides."""
    (row,) = csv.reader(io.StringIO(csv_bytes([[text, -3, "a,b"]]).decode("utf-8-sig")))

    assert row == [f"'{text}", "-3", "a,b"]
