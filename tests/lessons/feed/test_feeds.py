"""The calendars behind secret addresses: the teacher's, and one for each family."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from lessons import services
from lessons.models import CalendarFeed, Lesson
from lessons.selectors import lesson_facts
from lessons.selectors.feeds import calendar_feed
from lessons.services.feeds import feed_address, feed_of_token, feed_renew
from lessons.services.series_changing import series_change_from
from studio.models import Studio
from tests.factories.lessons import ClosureFactory, LessonFactory, LessonStudentFactory
from tests.factories.studio import UserFactory
from tests.lessons.conftest import NOW, sign_in, wish_for
from tests.lessons.feed.reading import broken_rules, events_of, seen

pytestmark = pytest.mark.django_db

AUTUMN = date(2026, 9, 1), date(2026, 12, 31)


@pytest.fixture
def _now() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def lessons(tadhg: Any, teacher: Any) -> list[Lesson]:
    """Six Tuesdays at 16:00."""
    series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
    return list(series.lessons.in_order())


def _address(family: Any, teacher: Any) -> str:
    address = feed_address(feed_renew(family=family, by=teacher, now=NOW))
    return address[address.index("/calendar/") :]


def _read(address: str) -> bytes:
    answer = Client().get(address)
    assert answer.status_code == 200
    assert broken_rules(answer.content) == []
    return bytes(answer.content)


@pytest.mark.usefixtures("_now")
class TestWhatIsRead:
    def test_a_moved_lesson_keeps_its_uid_and_says_which_date_it_stands_for(
        self, tadhg: Any, teacher: Any, lessons: list[Lesson]
    ) -> None:
        """Edge case 49: same UID, RECURRENCE-ID, higher SEQUENCE; never twice on an invoice."""
        address = _address(tadhg.family, teacher)
        (before,) = events_of(_read(address))
        third = lessons[2]

        for day, at in ((date(2026, 9, 24), time(17, 15)), (date(2026, 9, 25), time(10))):
            services.lesson_move(
                lesson=third,
                day=day,
                at=at,
                minutes=30,
                place=third.place,
                by=teacher,
                now=NOW + timedelta(hours=1),
            )

        series, moved = events_of(_read(address))
        assert str(series["LOCATION"]) == "At home"
        assert series["UID"] == moved["UID"] == before["UID"]
        assert moved["RECURRENCE-ID"].dt == third.starts_at
        assert f"{moved['DTSTART'].dt:%Y-%m-%d %H:%M %Z}" == "2026-09-25 10:00 IST"
        assert moved["SEQUENCE"] == before["SEQUENCE"] + 2
        assert moved["DTSTAMP"].dt == NOW + timedelta(hours=1)
        facts = lesson_facts(family=tadhg.family, first_date=AUTUMN[0], last_date=AUTUMN[1])
        assert [fact.lesson_id for fact in facts].count(third.pk) == 1
        assert len(facts) == 6

    def test_a_subscribed_calendar_follows_and_doubles_nothing(
        self, tadhg: Any, teacher: Any, lessons: list[Lesson]
    ) -> None:
        """Edge case 36: a moved lesson moves, a called-off one says so, none is doubled."""
        addresses = [_address(tadhg.family, teacher), _address(None, teacher)]
        services.lesson_move(
            lesson=lessons[1],
            day=date(2026, 9, 17),
            at=time(15),
            minutes=45,
            place=lessons[1].place,
            by=teacher,
            now=NOW,
        )
        services.lesson_call_off(
            lesson=lessons[3],
            called_off_by="family",
            told_at=NOW,
            reason="a cold",
            by=teacher,
            now=NOW,
        )

        for address in addresses:
            shown = seen(_read(address), *AUTUMN)
            assert [(each.begins, each.minutes) for each in shown if not each.is_off] == [
                ("2026-09-08 16:00", 30),
                ("2026-09-17 15:00", 45),
                ("2026-09-22 16:00", 30),
                ("2026-10-06 16:00", 30),
                ("2026-10-13 16:00", 30),
            ]
            (off,) = [each for each in shown if each.is_off]
            assert off.begins == "2026-09-29 16:00"
            assert off.summary.startswith("Called off: ")
            # Why is nobody's affair in a calendar elsewhere.
            assert "cold" not in _read(address).decode()
        services.lesson_reinstate(lesson=lessons[3], by=teacher, now=NOW)
        for address in addresses:
            shown = seen(_read(address), *AUTUMN)
            assert [each.is_off for each in shown] == [False] * 6

    def test_a_change_from_here_on_doubles_nothing(
        self, tadhg: Any, teacher: Any, lessons: list[Lesson]
    ) -> None:
        series = lessons[0].series
        assert series is not None
        services.lesson_move(
            lesson=lessons[4],
            day=date(2026, 10, 7),
            at=time(12),
            minutes=30,
            place=lessons[4].place,
            by=teacher,
            now=NOW,
        )
        address = _address(tadhg.family, teacher)
        before = events_of(_read(address))[0]
        wish = wish_for(tadhg, first=date(2026, 9, 23), last=date(2026, 10, 14), at=time(17))

        series_change_from(
            series=series, from_date=date(2026, 9, 22), wish=wish, by=teacher, now=NOW
        )

        text = _read(address)
        assert [each.begins for each in seen(text, *AUTUMN) if not each.is_off] == [
            "2026-09-08 16:00",
            "2026-09-15 16:00",
            "2026-09-23 17:00",
            "2026-09-30 17:00",
            "2026-10-07 12:00",
            "2026-10-14 17:00",
        ]
        ended = next(each for each in events_of(text) if each["UID"] == before["UID"])
        assert ended["SEQUENCE"] > before["SEQUENCE"]

    def test_a_closed_week_is_no_lesson(self, tadhg: Any, teacher: Any) -> None:
        ClosureFactory(first_date=date(2026, 9, 21), last_date=date(2026, 9, 27))
        services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)

        shown = seen(_read(_address(tadhg.family, teacher)), *AUTUMN)

        assert "2026-09-22 16:00" not in [each.begins for each in shown]
        assert len(shown) == 5

    def test_the_teacher_reads_who_where_and_when_to_leave(
        self, aoife: Any, tadhg: Any, teacher: Any, lessons: list[Lesson]
    ) -> None:
        tadhg.family.home.address = "Far door\nCoachford"
        tadhg.family.home.save()
        LessonFactory(
            place=aoife.family.home,
            student=aoife,
            starts_at=datetime(2026, 9, 8, 13, tzinfo=UTC),
        )

        series, second, single = events_of(_read(_address(None, teacher)))

        assert str(series["SUMMARY"]) == "Tadhg L."
        assert str(series["LOCATION"]) == "Far door, Far door, Coachford"
        assert str(series["DESCRIPTION"]).startswith("Leave by 15:")
        assert "Road from Copper Lane: " in str(series["DESCRIPTION"])
        # On the day of the other lesson the road begins elsewhere: the same lesson, other words.
        assert second["UID"] == series["UID"]
        assert "Road from Near door: " in str(second["DESCRIPTION"])
        assert second["SEQUENCE"] == series["SEQUENCE"]
        assert str(single["SUMMARY"]) == "Aoife M."

    def test_a_family_reads_of_its_own_children_and_nobody_else(
        self, aoife: Any, tadhg: Any, teacher: Any
    ) -> None:
        tadhg.family.home.address = "7 Secret Lane"
        tadhg.family.home.save()
        together = LessonFactory(
            place=tadhg.family.home,
            student=tadhg,
            starts_at=datetime(2026, 9, 8, 15, tzinfo=UTC),
        )
        LessonStudentFactory(lesson=together, student=aoife)
        LessonFactory(
            place=tadhg.family.home,
            student=tadhg,
            starts_at=datetime(2026, 9, 9, 15, tzinfo=UTC),
        )

        text = _read(_address(aoife.family, teacher)).decode()

        assert [str(event["SUMMARY"]) for event in events_of(text.encode())] == [
            "Drum lesson: Aoife"
        ]
        told = [word for word in ("Tadhg", "Lynch", "Moran", "Secret", "Leave by") if word in text]
        assert told == []

    def test_a_child_that_cannot_come_is_off_for_its_family_alone(
        self, aoife: Any, tadhg: Any, teacher: Any
    ) -> None:
        group = LessonFactory(
            place=aoife.family.home, student=aoife, starts_at=NOW + timedelta(days=7)
        )
        LessonStudentFactory(lesson=group, student=tadhg, away_outcome="called_off")

        off, on = (
            seen(_read(_address(who.family, teacher)), *AUTUMN)[0].is_off for who in (tadhg, aoife)
        )

        assert (off, on) == (True, False)
        (event,) = events_of(_read(_address(None, teacher)))
        assert str(event["SUMMARY"]) == "Aoife M."

    def test_old_lessons_fall_out_unless_their_series_still_runs(
        self, aoife: Any, tadhg: Any, teacher: Any, lessons: list[Lesson]
    ) -> None:
        LessonFactory(place=aoife.family.home, student=aoife, starts_at=NOW - timedelta(days=61))
        feed = feed_renew(family=None, by=teacher, now=NOW)

        studio_now = calendar_feed(feed=feed, studio=Studio.current(), now=NOW + timedelta(days=90))
        later = calendar_feed(feed=feed, studio=Studio.current(), now=NOW + timedelta(days=120))

        assert [len(each.lessons) for each in studio_now.series] == [6]
        assert (studio_now.singles, later.series) == ((), ())

    def test_the_number_of_queries_stays(
        self, tadhg: Any, teacher: Any, django_assert_max_num_queries: Any
    ) -> None:
        feed = feed_renew(family=None, by=teacher, now=NOW)
        for rows in (1, 20):
            while Lesson.objects.count() < rows:
                at = NOW + timedelta(days=1 + Lesson.objects.count())
                LessonFactory(place=tadhg.family.home, student=tadhg, starts_at=at)
            studio = Studio.current()
            with django_assert_max_num_queries(17):
                assert len(calendar_feed(feed=feed, studio=studio, now=NOW).singles) == rows


class TestTheAddress:
    @pytest.mark.usefixtures("_now")
    def test_is_read_without_sign_in_or_cookie_and_asked_after_cheaply(
        self, tadhg: Any, teacher: Any, lessons: list[Lesson]
    ) -> None:
        address = _address(tadhg.family, teacher)
        client = Client()

        first = client.get(address)
        again = client.get(address, headers={"If-None-Match": f'"other", W/{first["ETag"]}'})
        head = client.head(address)

        assert first["Content-Type"] == "text/calendar; charset=utf-8"
        assert first["Cache-Control"] == "private, no-cache"
        assert not client.cookies
        assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
        assert (head.status_code, head.content) == (200, b"")
        services.lesson_call_off(
            lesson=lessons[0], called_off_by="teacher", told_at=NOW, reason="", by=teacher, now=NOW
        )
        changed = client.get(address, headers={"If-None-Match": first["ETag"]})
        assert (changed.status_code, changed["ETag"] == first["ETag"]) == (200, False)

    def test_is_gone_once_it_is_renewed(self, tadhg: Any, teacher: Any) -> None:
        old = _address(tadhg.family, teacher)
        new = _address(tadhg.family, teacher)

        assert Client().get(old).status_code == 404
        assert Client().get(new).status_code == 200
        assert CalendarFeed.objects.count() == 1

    def test_is_not_in_the_database(self, tadhg: Any, teacher: Any, settings: Any) -> None:
        address = _address(tadhg.family, teacher)
        feed = CalendarFeed.objects.get()
        token = address.removeprefix("/calendar/").removesuffix(".ics")

        assert len(token) == 43
        assert token not in (feed.seed, feed.token_hash)
        assert feed_of_token(token) == feed
        assert feed_of_token(token[:-1] + ("A" if token[-1] != "A" else "B")) is None
        settings.SECRET_KEY = "another key altogether, long enough for anybody to be content"
        assert feed_address(feed) == ""

    def test_is_asked_for_a_limited_number_of_times(self, studio: Any) -> None:
        client = Client()
        with time_machine.travel(NOW, tick=False):
            answers = [client.get(f"/calendar/{'x' * 43}.ics").status_code for _ in range(121)]

        assert answers == [404] * 120 + [429]

    def test_a_parent_makes_renews_and_closes_it(self, tadhg: Any, teacher: Any) -> None:
        orla = tadhg.family.adults.get()
        orla.user = UserFactory(role="parent")
        orla.save()
        parent = sign_in(Client(), orla.user)
        renew = reverse("lessons:family_calendar_renew", args=[tadhg.family_id])

        assert "Make an address" in parent.get("/family/").content.decode()
        parent.post(renew)
        shown = parent.get("/family/").content.decode()
        address = feed_address(CalendarFeed.objects.get())
        assert f'value="{address}"' in shown
        assert "webcal://" in shown
        parent.post(renew)
        assert address not in parent.get("/family/").content.decode()
        parent.post(reverse("lessons:family_calendar_close", args=[tadhg.family_id]))
        assert not CalendarFeed.objects.exists()

    def test_the_teacher_has_one_too(self, client: Client, tadhg: Any, teacher: Any) -> None:
        _address(tadhg.family, teacher)

        client.post(reverse("lessons:calendar_renew"))

        page = client.get(reverse("lessons:calendar")).content.decode()
        assert feed_address(CalendarFeed.objects.get(family=None)) in page
        # The teacher sees that a family has one, not where.
        assert feed_address(CalendarFeed.objects.get(family=tadhg.family)) not in page
        client.post(reverse("lessons:calendar_renew"))
        assert CalendarFeed.objects.filter(family=None).count() == 1
