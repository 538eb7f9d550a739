"""What the booking pages show before anything is booked."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client

from lessons.models import Lesson, Series
from tests.factories.lessons import ClosureFactory, LessonFactory, TermFactory
from tests.lessons.conftest import DUBLIN, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


def _answer(student: Any, /, **change: Any) -> dict[str, Any]:
    return {
        "student": student.pk,
        "where": "home",
        "weekday": 0,
        "at": "16:00",
        "minutes": 30,
        "every_weeks": 1,
        "press": "look",
    } | change


def test_the_count_of_a_school_year_is_shown_before_booking(client: Client, aoife: Any) -> None:
    """Edge case 4: 37 Mondays, two mid-term breaks, five public holidays, one inside a break.

    The holidays are Ireland's of 2026 and 2027: Organisation of Working Time Act 1997, second
    schedule.
    """
    term = TermFactory(first_date=date(2026, 9, 14), last_date=date(2027, 5, 28))
    for first, last, name in [
        (date(2026, 10, 26), date(2026, 10, 30), "Mid-term break"),
        (date(2026, 10, 26), date(2026, 10, 26), "October holiday"),
        (date(2027, 2, 1), date(2027, 2, 1), "Saint Brigid's Day"),
        (date(2027, 2, 15), date(2027, 2, 19), "Mid-term break"),
        (date(2027, 3, 29), date(2027, 3, 29), "Easter Monday"),
        (date(2027, 5, 3), date(2027, 5, 3), "May holiday"),
        (date(2026, 12, 25), date(2026, 12, 25), "Christmas Day"),
    ]:
        ClosureFactory(first_date=first, last_date=last, name=name)

    said = text_of(client.post("/series/book/", _answer(aoife, term=term.pk)))

    assert "32 lessons" in said
    assert "Book 32 lessons" in said
    assert "Mid-term break, October holiday" in said
    assert not Series.objects.exists()


class TestOneDateInTheWay:
    """Edge case 47: 19 of 20 free; skip it, give it another time, or move what is there."""

    def _booked(self, client: Client, student: Any, /, **more: Any) -> list[str]:
        seen = client.post("/series/book/", _answer(student, **more))
        client.post(
            "/series/book/",
            _answer(student, press="book", seal=seen.context["plan"].seal, **more),
        )
        return [
            f"{row.starts_at.astimezone(DUBLIN):%d.%m. %H:%M}"
            for row in Lesson.objects.filter(series__isnull=False).in_order()
        ]

    def _dates(self, aoife: Any) -> tuple[dict[str, Any], Lesson]:
        first = date(2026, 9, 14)
        other = LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=datetime(2026, 10, 5, 15, tzinfo=UTC)
        )
        last = first + timedelta(weeks=19)
        return {"from_date": str(first), "until_date": str(last)}, other

    def test_is_listed_with_three_ways_out(self, client: Client, aoife: Any, tadhg: Any) -> None:
        """Edge case 47: the page."""
        dates, other = self._dates(aoife)

        said = text_of(client.post("/series/book/", _answer(tadhg, **dates)))

        assert "20 lessons: 19 of 20 free" in said
        assert "skip it" in said
        assert 'name="own_at_2026-10-05"' in said
        assert f"/lessons/{other.pk}/move/" in said
        assert "Look again with these dates" in said

    def test_can_be_skipped(self, client: Client, aoife: Any, tadhg: Any) -> None:
        dates, _ = self._dates(aoife)

        starts = self._booked(client, tadhg, left_out="2026-10-05", **dates)

        assert len(starts) == 19
        assert "05.10. 16:00" not in starts

    def test_can_have_a_time_of_its_own(self, client: Client, aoife: Any, tadhg: Any) -> None:
        dates, _ = self._dates(aoife)
        own = {"own_day_2026-10-05": "2026-10-06", "own_at_2026-10-05": "11:30"}

        starts = self._booked(client, tadhg, **own, **dates)

        assert len(starts) == 20
        assert "06.10. 11:30" in starts
        moved = Lesson.objects.get(moved_from__isnull=False)
        assert moved.moved_from == datetime(2026, 10, 5, 15, tzinfo=UTC)

    @pytest.mark.parametrize(
        ("own", "is_refused"),
        [
            ({"own_at_2026-10-05": "x"}, False),
            ({"own_at_2026-10-05": "9" * 500}, False),
            ({"own_at_nonsense": "11:30"}, False),
            ({"own_at_2026-10-05": "23:50"}, True),
            ({"own_day_2026-10-05": "2026-10-25", "own_at_2026-10-05": "01:30"}, True),
        ],
    )
    def test_nonsense_is_ignored_and_times_that_cannot_be_are_refused(
        self, client: Client, aoife: Any, tadhg: Any, own: dict[str, str], is_refused: bool
    ) -> None:
        dates, _ = self._dates(aoife)

        answer = client.post("/series/book/", _answer(tadhg, **own, **dates))

        assert answer.status_code == (422 if is_refused else 200)


@pytest.mark.parametrize(
    ("day", "at", "words"),
    [
        ("2027-03-28", "01:30", "does not exist on 28 March 2027"),
        ("2026-10-25", "01:30", "happens twice on 25 October 2026"),
    ],
)
def test_a_lesson_in_the_hour_of_a_clock_change_is_refused(
    client: Client, aoife: Any, day: str, at: str, words: str
) -> None:
    """Edge case 2: a one-off is refused in words, never guessed."""
    answer = client.post(
        "/lessons/new/",
        {"student": aoife.pk, "where": "home", "day": day, "at": at, "minutes": 30},
    )

    assert answer.status_code == 422
    assert words in text_of(answer)
    assert not Lesson.objects.exists()


def test_a_time_that_was_asked_for_is_filled_in(client: Client, aoife: Any) -> None:
    form = client.get(
        "/series/book/", {"student": aoife.pk, "weekday": "3", "at": "17:15", "minutes": "x" * 99}
    ).context["form"]

    assert form["at"].value() == "17:15"
    assert form["student"].value() == aoife.pk
    assert time.fromisoformat(form["at"].value()) == time(17, 15)
