"""The pages that change a series from a day on, and swap two."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from django.test import Client

from lessons import services
from lessons.models import Lesson, Series
from studio.models import OutgoingEmail
from tests.factories.lessons import LessonFactory
from tests.lessons.conftest import DUBLIN, NOW, text_of, wish_for

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


def _answer(series: Series, /, **change: Any) -> dict[str, Any]:
    return {
        "from_date": "2026-09-21",
        "weekday": 1,
        "at": "17:00",
        "minutes": 30,
        "every_weeks": 1,
        "where": "same",
        "until_date": str(series.last_date),
        "students": [student.pk for student in series.students.all()],
        "is_family_told": "on",
        "press": "look",
    } | change


def _seal(answer: Any) -> str:
    return str(answer.context["plan"].seal)


class TestChangeFromADayOn:
    def test_shows_the_plan_and_changes_nothing_before_the_press(
        self, client: Client, teacher: Any, tadhg: Any
    ) -> None:
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        address = f"/series/{series.pk}/change/"

        asked = text_of(client.get(address))
        seen = client.post(address, _answer(series))
        before = Series.objects.count()
        done = client.post(address, _answer(series, press="change", seal=_seal(seen)))

        assert 'value="2026-09-08"' in asked
        assert "Tadhg Lynch: 4 lessons" in text_of(seen)
        assert "before: Tue 22 Sep, 16:00" in text_of(seen)
        assert before == 1
        new = Series.objects.get(split_from=series)
        assert done["Location"] == f"/series/{new.pk}/"
        assert new.at == time(17)
        mail = OutgoingEmail.objects.get()
        assert "every Tuesday at 17:00" in mail.body
        assert "Tuesday 13 October, 17:00" in mail.body
        assert "how it was before" in text_of(client.get(f"/series/{new.pk}/"))
        assert "It goes on as" in text_of(client.get(f"/series/{series.pk}/"))

    def test_a_clash_on_one_date_offers_skip_another_time_or_a_move(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        other = LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=datetime(2026, 9, 29, 16, tzinfo=UTC)
        )
        address = f"/series/{series.pk}/change/"

        seen = text_of(client.post(address, _answer(series)))
        own = {"own_day_2026-09-29": "2026-09-30", "own_at_2026-09-29": "10:00"}
        again = client.post(address, _answer(series, **own))
        client.post(address, _answer(series, press="change", seal=_seal(again), **own))

        assert "4 lessons, 3 of 4 free" in seen
        assert f"/lessons/{other.pk}/move/" in seen
        starts = [
            f"{row.starts_at.astimezone(DUBLIN):%d %H:%M}"
            for row in Lesson.objects.filter(series__split_from=series).in_order()
        ]
        assert starts == ["22 17:00", "30 10:00", "06 17:00", "13 17:00"]

    def test_what_changed_meanwhile_is_shown_and_asked_again(
        self, client: Client, teacher: Any, tadhg: Any, aoife: Any
    ) -> None:
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
        address = f"/series/{series.pk}/change/"
        seal = _seal(client.post(address, _answer(series)))
        services.lesson_move(
            lesson=series.lessons.in_order()[3], day=date(2026, 9, 30), at=time(11), minutes=30,
            place=series.place, by=teacher, now=NOW,
        )  # fmt: skip

        answer = client.post(address, _answer(series, press="change", seal=seal))

        assert answer.status_code == 422
        assert "Nothing was changed; look once more" in text_of(answer)
        assert "was moved by itself to Wednesday 30 September, 11:00" in text_of(answer)
        assert Series.objects.count() == 1

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"from_date": "2026-09-07"}, "from_date"),
            ({"from_date": "9999-12-31"}, "from_date"),
            ({"from_date": "2026-12-31"}, "until_date"),
            ({"until_date": "2031-01-01"}, "until_date"),
            ({"students": []}, "students"),
            ({"students": "1" * 400}, "students"),
            ({"at": "23:50"}, "at"),
            ({"minutes": "1" * 400}, "minutes"),
            ({"where": "\x00"}, "where"),
        ],
    )
    def test_bad_answers_are_told_at_the_field(
        self, client: Client, teacher: Any, tadhg: Any, change: dict[str, Any], field: str
    ) -> None:
        series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)

        answer = client.post(f"/series/{series.pk}/change/", _answer(series, **change))

        assert answer.status_code == 422
        assert field in answer.context["form"].errors


class TestSwap:
    def _two(self, teacher: Any, aoife: Any, tadhg: Any) -> tuple[Series, Series]:
        return (
            services.series_book(wish=wish_for(aoife), by=teacher, now=NOW),
            services.series_book(wish=wish_for(tadhg, at=time(18)), by=teacher, now=NOW),
        )

    def _press(self, client: Client, first: Series, answer: dict[str, Any]) -> Any:
        address = f"/series/{first.pk}/swap/"
        seen = client.post(address, answer | {"press": "look"})
        return client.post(address, answer | {"press": "swap", "seal": seen.context["seal"]})

    def test_for_one_week(self, client: Client, teacher: Any, aoife: Any, tadhg: Any) -> None:
        """Edge case 32: that week only; both are told, the series stay."""
        first, second = self._two(teacher, aoife, tadhg)
        answer = {
            "other": second.pk,
            "from_date": "2026-09-16",
            "how_long": "week",
            "is_family_told": "on",
        }

        self._press(client, first, answer)

        ours, theirs = first.lessons.in_order()[1], second.lessons.in_order()[1]
        assert f"{ours.starts_at.astimezone(DUBLIN):%d %H:%M}" == "15 18:00"
        assert f"{theirs.starts_at.astimezone(DUBLIN):%d %H:%M}" == "15 16:00"
        assert ours.moved_from == theirs.starts_at
        assert (ours.revision, ours.status) == (1, "planned")
        assert "at 18:00 is moved" in OutgoingEmail.objects.get().body
        assert first.lessons.in_order()[2].starts_at.astimezone(DUBLIN).hour == 16

        self._press(client, first, answer)
        assert first.lessons.in_order()[1].moved_from is None

    def test_for_good(self, client: Client, teacher: Any, aoife: Any, tadhg: Any) -> None:
        first, second = self._two(teacher, aoife, tadhg)

        done = self._press(
            client,
            first,
            {"other": second.pk, "from_date": "2026-09-16", "how_long": "good"},
        )

        new = Series.objects.get(split_from=first)
        assert done["Location"] == f"/series/{new.pk}/"
        assert (new.at, Series.objects.get(split_from=second).at) == (time(18), time(16))
        assert first.lessons.count() == 1

    def test_what_is_in_the_way_is_named(
        self, client: Client, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        first, second = self._two(teacher, aoife, tadhg)
        longer = services.lesson_book(
            students=[aoife], place=tadhg.family.home, day=date(2026, 9, 15), at=time(18, 30),
            minutes=30, by=teacher, now=NOW,
        )  # fmt: skip
        Lesson.objects.filter(pk=first.lessons.in_order()[1].pk).update(
            minutes=60, ends_at=datetime(2026, 9, 15, 16, tzinfo=UTC)
        )

        seen = client.post(
            f"/series/{first.pk}/swap/",
            {"other": second.pk, "from_date": "2026-09-16", "how_long": "week", "press": "look"},
        )

        assert longer.pk
        assert "it overlaps Aoife Moran, 18:30-19:00 by 30 minutes" in text_of(seen)
        assert "They cannot swap as things stand" in text_of(seen)
