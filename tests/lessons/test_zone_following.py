"""The studio moves to another time zone."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client

from lessons import services
from lessons.models import Lesson
from studio.models import Event, Studio
from tests.lessons.conftest import DUBLIN, NOW, text_of, wish_for

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]
WARSAW = ZoneInfo("Europe/Warsaw")


def _settings(**change: Any) -> dict[str, Any]:
    studio = Studio.current()
    names = ["name", "teacher_name", "currency", "time_zone", "country", "locale", "paper"]
    return {name: getattr(studio, name) for name in names} | change


def test_the_past_keeps_its_instant_and_what_is_planned_its_time_on_the_wall(
    client: Client, teacher: Any, aoife: Any, tadhg: Any
) -> None:
    """Edge case 7: also where shifted lessons would meet half-way."""
    early = datetime(2026, 8, 1, tzinfo=UTC)
    wish = wish_for(aoife, first=date(2026, 8, 25), last=date(2026, 11, 3))
    series = services.series_book(wish=wish, by=teacher, now=early)
    # An hour earlier, where the other's lessons shift to.
    services.series_book(wish=wish_for(tadhg, at=time(14, 30)), by=teacher, now=NOW)
    before = list(series.lessons.in_order().values_list("starts_at", flat=True))

    answer = client.post("/set-up/", _settings(time_zone="Europe/Warsaw"), follow=True)

    assert "keep their time on the wall, now in Europe/Warsaw" in text_of(answer)
    after = [row.starts_at for row in series.lessons.in_order()]
    assert after[:2] == before[:2]
    assert {each.astimezone(WARSAW).time() for each in after[2:]} == {time(16)}
    assert {each.astimezone(DUBLIN).time() for each in after[:2]} == {time(16)}
    series.refresh_from_db()
    assert series.zone_name == "Europe/Warsaw"
    assert set(series.lessons.filter(starts_at__gt=datetime(2026, 9, 8, 9, tzinfo=UTC))
               .values_list("revision", flat=True)) == {1}  # fmt: skip
    assert Event.objects.get(kind="time_zone_changed").detail["before"] == "Europe/Dublin"


def test_a_time_that_the_new_clock_does_not_show_keeps_everything_as_it_was(
    client: Client, teacher: Any, aoife: Any
) -> None:
    services.lesson_book(
        students=[aoife], place=aoife.family.home, day=date(2027, 3, 14), at=time(2, 30),
        minutes=30, by=teacher, now=NOW,
    )  # fmt: skip
    starts_at = Lesson.objects.get().starts_at

    answer = client.post("/set-up/", _settings(time_zone="America/New_York", name="Other"))

    assert answer.status_code == 422
    assert "02:30 does not exist on 14 March 2027" in text_of(answer)
    assert Studio.current().time_zone == "Europe/Dublin"
    assert Lesson.objects.get().starts_at == starts_at
