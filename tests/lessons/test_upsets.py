"""Ill for days, a day online, running late: one press, one message each, and the way back."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from lessons import services
from lessons.models import CalledOffBy, Lesson, MakeUpRight, MissedLessonRules, Upset
from lessons.selectors.upsets import away_lessons, home_visits, told_of, upset_changes
from lessons.services.upset_undoing import lesson_put_back, upset_apologise, upset_undo
from lessons.services.upsetting import (
    CannotBeLate,
    NothingToChange,
    away_call_off,
    late_tell,
    online_decline,
    online_turn,
)
from studio.models import OutgoingEmail, Studio
from studio.outbox import outbox_send
from tests.factories.lessons import LessonFactory
from tests.factories.studio import (
    AdultFactory,
    SchoolFactory,
    StudentFactory,
    UserFactory,
)
from tests.lessons.conftest import TUESDAY, sign_in, text_of, wish_for

pytestmark = pytest.mark.django_db

STARTS = datetime(2026, 9, 8, 15, tzinfo=UTC)
WAIT = timedelta(minutes=10)


def _lesson(student: Any, after: int = 0, **more: Any) -> Lesson:
    given = {"place": student.family.home, "starts_at": STARTS + timedelta(minutes=after)}
    return LessonFactory(student=student, **(given | more))


def _days(student: Any, count: int = 3) -> list[Lesson]:
    return [_lesson(student, after=24 * 60 * day) for day in range(count)]


def _away(lessons: list[Lesson], teacher: Any, press: str = "one") -> Upset:
    return away_call_off(
        lesson_ids=[lesson.pk for lesson in lessons],
        reason="a fever",
        press=press,
        by=teacher,
        now=TUESDAY,
    )


def _fresh(lesson: Lesson) -> Lesson:
    return Lesson.objects.select_related("place").get(pk=lesson.pk)


class TestAway:
    def test_of_a_shared_lesson_a_family_reads_of_its_own_alone(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        AdultFactory(family=aoife.family, email="moran@example.com")
        lesson = _lesson(aoife)
        lesson.takers.create(student=tadhg)

        _away([lesson], teacher)

        mails = {mail.to: mail.body for mail in OutgoingEmail.objects.all()}
        assert "- Aoife Moran, " in mails["moran@example.com"]
        assert "Tadhg" not in mails["moran@example.com"]
        assert "- Tadhg Lynch, " in mails["orla@example.com"]
        assert "Aoife" not in mails["orla@example.com"]

    def test_three_days_each_family_told_once(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        """Edge case 24: ill for three days, each family told once with all its lessons."""
        AdultFactory(family=aoife.family, email="moran@example.com")
        sister = StudentFactory(family=aoife.family, name="Nóra Moran")
        lessons = [*_days(aoife), _lesson(sister, after=30), _lesson(tadhg, after=120)]

        upset = _away(lessons, teacher)

        assert {_fresh(lesson).called_off_outcome for lesson in lessons} == {
            "called_off_by_teacher"
        }
        mails = {mail.to: mail.body for mail in OutgoingEmail.objects.all()}
        assert set(mails) == {"moran@example.com", "orla@example.com"}
        assert mails["moran@example.com"].count("Aoife Moran, ") == 3
        assert mails["moran@example.com"].count("Nóra Moran, ") == 1
        assert "Tadhg" not in mails["moran@example.com"]
        assert "a fever" in mails["orla@example.com"]
        assert upset.tells_at == TUESDAY + WAIT
        assert MakeUpRight.objects.count() == 5

    def test_undone_before_the_messages_go_nobody_hears_of_it(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 24: undo before the messages go."""
        lessons = [*_days(aoife), _lesson(tadhg, after=60)]
        upset = _away(lessons, teacher)
        before = TUESDAY + WAIT - timedelta(seconds=1)
        assert outbox_send(now=before) == 0

        undone = upset_undo(upset=upset, by=teacher, now=before)

        assert (len(undone.put_back), undone.kept, undone.told) == (4, (), ())
        assert all(_fresh(lesson).is_planned for lesson in lessons)
        assert outbox_send(now=TUESDAY + timedelta(days=1)) == 0
        assert not OutgoingEmail.objects.exists()
        assert not MakeUpRight.objects.standing().exists()
        assert upset_apologise(upset=upset, words="Sorry.", by=teacher, now=before) == 0

    def test_undone_afterwards_an_apology_goes_to_those_who_were_told(
        self, teacher: Any, tadhg: Any
    ) -> None:
        """Edge case 24: after the messages have gone, an apology is offered, and sent once."""
        upset = _away([_lesson(tadhg)], teacher)
        assert outbox_send(now=TUESDAY + WAIT) == 1
        later = TUESDAY + timedelta(hours=1)

        undone = upset_undo(upset=upset, by=teacher, now=later)
        counts = [
            upset_apologise(upset=upset, words="I am well again.", by=teacher, now=later)
            for _ in range(2)
        ]

        assert [each.one.name for each in undone.told] == ["Orla Lynch"]
        assert counts == [1, 0]
        apology = OutgoingEmail.objects.get(key__endswith=":apology")
        assert "I am well again." in apology.body
        assert "Tuesday 8 September at 16:00" in apology.body

    def test_undo_keeps_what_was_taken_meanwhile(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        lesson, other = _lesson(aoife), _lesson(aoife, after=24 * 60)
        upset = _away([lesson, other], teacher)
        _lesson(tadhg)

        undone = upset_undo(upset=upset, by=teacher, now=TUESDAY)

        assert [each.pk for each in undone.put_back] == [other.pk]
        ((kept, why),) = undone.kept
        assert kept.pk == lesson.pk
        assert "overlaps Tadhg Lynch" in why

    def test_a_repeated_press_does_it_once(self, teacher: Any, tadhg: Any) -> None:
        lesson = _lesson(tadhg)

        assert _away([lesson], teacher) == _away([lesson], teacher)
        assert Upset.objects.count() == OutgoingEmail.objects.count() == 1
        with pytest.raises(NothingToChange):
            _away([lesson], teacher, press="another")

    def test_one_lesson_put_back_is_left_out_of_the_message(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        first, second = _days(tadhg, 2)
        upset = _away([first, second], teacher)

        lesson_put_back(lesson=first, by=teacher, now=TUESDAY)

        body = OutgoingEmail.objects.get().body
        assert ("8 September" in body, "9 September" in body) == (False, True)
        assert upset_undo(upset=upset, by=teacher, now=TUESDAY).stopped == 1
        assert _fresh(first).is_planned

    def test_a_school_is_told_and_who_has_no_address_is_named(
        self, teacher: Any, aoife: Any
    ) -> None:
        AdultFactory(family=aoife.family, name="Dan Moran", email="", phone="021 555 0101")
        school = SchoolFactory(email="office@example.org")
        block = LessonFactory(
            kind="school", school=school, label="Drum circle", place=school.place, starts_at=STARTS
        )

        upset = _away([block, _lesson(aoife, after=120)], teacher)

        assert "Drum circle" in OutgoingEmail.objects.get(to="office@example.org").body
        told = {each.one.name: each.state for each in told_of(upset, upset_changes(upset))}
        assert told["Dan Moran"] == "none"

    def test_part_of_each_day(self, studio: Any, aoife: Any) -> None:
        _lesson(aoife)
        evening = _lesson(aoife, after=180)

        found = away_lessons(
            first_date=date(2026, 9, 8),
            last_date=date(2026, 9, 9),
            from_time=time(16, 30),
            until_time=None,
            studio=studio,
        )

        assert [lesson.pk for lesson in found] == [evening.pk]

    def test_no_wait_tells_at_once(self, teacher: Any, tadhg: Any) -> None:
        MissedLessonRules(pk=1, undo_minutes=0).save()
        _away([_lesson(tadhg)], teacher)

        assert outbox_send(now=TUESDAY) == 1


class TestOnlineDay:
    def _online(self, lessons: list[Lesson], teacher: Any) -> Upset:
        return online_turn(
            lesson_ids=[lesson.pk for lesson in lessons],
            reason="snow",
            press="snow",
            by=teacher,
            now=TUESDAY,
        )

    def test_all_home_visits_in_one_press(
        self, studio: Any, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 52: snow: all home visits online, each family may decline."""
        AdultFactory(family=aoife.family, email="moran@example.com")
        homes = [_lesson(aoife), _lesson(tadhg, after=90)]
        room = _lesson(aoife, after=180, place=studio.base)
        assert home_visits(day=date(2026, 9, 8), studio=studio) == homes

        self._online(homes, teacher)

        assert [_fresh(lesson).place.is_online for lesson in [*homes, room]] == [True, True, False]
        assert [_fresh(lesson).starts_at for lesson in homes] == [
            lesson.starts_at for lesson in homes
        ]
        mail = OutgoingEmail.objects.get(to="orla@example.com")
        assert f"/lessons/{homes[1].pk}/not-online/" in mail.body
        assert "moran" not in mail.body

    def test_declined_it_is_called_off_and_not_charged(self, teacher: Any, tadhg: Any) -> None:
        """Edge case 52: declined is called off by the teacher, without charge."""
        lesson = _lesson(tadhg)
        upset = self._online([lesson], teacher)

        for _ in range(2):
            online_decline(lesson=lesson, by=teacher, now=TUESDAY)

        assert _fresh(lesson).called_off_outcome == "called_off_by_teacher"
        assert MakeUpRight.objects.count() == 1
        undone = upset_undo(upset=upset, by=teacher, now=TUESDAY)
        assert [lesson.pk for lesson, _ in undone.kept] == [lesson.pk]

    def test_taken_back_it_is_a_home_visit_again(self, teacher: Any, tadhg: Any) -> None:
        lesson = _lesson(tadhg)
        upset = self._online([lesson], teacher)

        upset_undo(upset=upset, by=teacher, now=TUESDAY)

        assert _fresh(lesson).place == tadhg.family.home
        assert not OutgoingEmail.objects.exists()
        with pytest.raises(NothingToChange):
            online_decline(lesson=lesson, by=teacher, now=TUESDAY)

    @pytest.mark.usefixtures("_tuesday")
    def test_a_family_declines_on_its_own_page(self, teacher: Any, tadhg: Any) -> None:
        parent = AdultFactory(family=tadhg.family, user=UserFactory(role="parent")).user
        lesson = _lesson(tadhg)
        self._online([lesson], teacher)
        client = sign_in(Client(), parent)

        home = text_of(client.get("/family/"))
        page = text_of(client.get(f"/lessons/{lesson.pk}/not-online/"))
        client.post(f"/lessons/{lesson.pk}/not-online/")

        assert f"/lessons/{lesson.pk}/not-online/" in home
        assert "called off and not charged" in page
        assert _fresh(lesson).is_called_off

    @pytest.mark.usefixtures("_tuesday")
    def test_of_a_shared_lesson_one_family_declines_for_itself_alone(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        parent = AdultFactory(family=tadhg.family, user=UserFactory(role="parent")).user
        client = sign_in(Client(), parent)
        Studio.objects.update(email="nuala@example.com")
        lesson = _lesson(aoife)
        lesson.takers.create(student=tadhg)
        self._online([lesson], teacher)
        OutgoingEmail.objects.all().delete()

        page = text_of(client.get(f"/lessons/{lesson.pk}/not-online/"))
        for _ in range(2):
            client.post(f"/lessons/{lesson.pk}/not-online/")

        assert "you stay away, the others have it" in page
        assert "Aoife" not in page
        assert _fresh(lesson).is_planned
        for page in ("not-online", "ask"):
            shown = text_of(client.get(f"/lessons/{lesson.pk}/{page}/"))
            assert "written down that you stay away" in shown
            assert "button class=" not in shown.partition("<main")[2]
        outcomes = dict(lesson.takers.values_list("student__name", "away_outcome"))
        assert outcomes == {"Aoife Moran": "", "Tadhg Lynch": "called_off_by_teacher"}
        mail = OutgoingEmail.objects.get()
        assert mail.subject == "Tadhg Lynch: not online"
        assert f"/lessons/{lesson.pk}/not-online/" not in text_of(client.get("/family/"))

    def test_the_last_family_that_declines_has_it_called_off(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        lesson = _lesson(aoife)
        lesson.takers.create(student=tadhg)
        self._online([lesson], teacher)

        for student in (tadhg, aoife):
            parent = AdultFactory(family=student.family, user=UserFactory(role="parent")).user
            online_decline(lesson=lesson, by=parent, now=TUESDAY)

        assert _fresh(lesson).called_off_outcome == "called_off_by_teacher"


class TestLate:
    def _late(self, first: Lesson, teacher: Any, minutes: int = 15, press: str = "l") -> Upset:
        return late_tell(
            first=first.pk, minutes=minutes, reason="", press=press, by=teacher, now=TUESDAY
        )

    def test_the_rest_of_today_moves_and_the_series_stays(
        self, teacher: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 46: "I am 15 minutes late": those concerned are moved and told at once."""
        AdultFactory(family=aoife.family, email="moran@example.com")
        series = services.series_book(wish=wish_for(aoife), by=teacher, now=TUESDAY)
        first, week_on = series.lessons.in_order()[:2]
        second = _lesson(aoife, after=30)
        evening = _lesson(tadhg, after=180)

        self._late(first, teacher)

        starts = [_fresh(each).starts_at - each.starts_at for each in (first, second, evening)]
        assert starts == [timedelta(minutes=15), timedelta(minutes=15), timedelta()]
        assert _fresh(week_on).starts_at == week_on.starts_at
        series.refresh_from_db()
        assert series.at == time(16)
        assert outbox_send(now=TUESDAY) == 1
        mail = OutgoingEmail.objects.get()
        assert mail.to == "moran@example.com"
        assert "16:15 instead of 16:00" in mail.body
        assert "16:45 instead of 16:30" in mail.body
        assert _fresh(first).moved_from == first.starts_at
        assert _fresh(first).revision == first.revision + 1

    def test_a_school_block_in_the_way_is_said_and_nothing_moves(
        self, teacher: Any, aoife: Any
    ) -> None:
        """Edge case 46: limits are respected in words."""
        school = SchoolFactory(place=aoife.family.home)
        lesson = _lesson(aoife)
        LessonFactory(
            kind="school",
            school=school,
            label="Drum circle",
            place=school.place,
            starts_at=STARTS + timedelta(minutes=40),
        )

        with pytest.raises(CannotBeLate, match="Drum circle at 16:40 cannot move"):
            self._late(lesson, teacher)

        assert _fresh(lesson).starts_at == lesson.starts_at
        assert not Upset.objects.exists()

    def test_not_past_midnight(self, teacher: Any, aoife: Any) -> None:
        lesson = _lesson(aoife, starts_at=datetime(2026, 9, 8, 22, 20, tzinfo=UTC))

        with pytest.raises(CannotBeLate, match="past midnight"):
            self._late(lesson, teacher)

    def test_taken_back_every_time_is_as_it_was(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        lessons = [_lesson(tadhg), _lesson(tadhg, after=30)]
        upset = self._late(lessons[0], teacher, minutes=30)
        outbox_send(now=TUESDAY)

        undone = upset_undo(upset=upset, by=teacher, now=TUESDAY)

        assert [_fresh(each).starts_at for each in lessons] == [each.starts_at for each in lessons]
        assert [_fresh(each).moved_from for each in lessons] == [None, None]
        assert [each.one.name for each in undone.told] == ["Orla Lynch"]

    @pytest.mark.usefixtures("_tuesday")
    def test_the_page_names_no_hour_until_which_it_is_silent(
        self, teacher: Any, aoife: Any
    ) -> None:
        upset = self._late(_lesson(aoife), teacher)

        page = text_of(sign_in(Client(), teacher).get(f"/upsets/{upset.pk}/"))

        assert "The messages are on their way." in page
        assert "in silence" not in page

    def test_a_child_s_latest_hour_is_a_caution(self, client: Client, aoife: Any) -> None:
        aoife.birth_year = 2019
        aoife.save()
        lesson = _lesson(aoife, after=165)

        with time_machine.travel(TUESDAY, tick=False):
            page = text_of(client.get(f"/late/?minutes=30&first={lesson.pk}&reason="))

        assert "should be done by 19:30 and would end 19:45" in page
        assert "Move and tell them" in page


@pytest.mark.usefixtures("_tuesday")
class TestPages:
    def test_ill_from_the_look_to_the_way_back(self, client: Client, tadhg: Any) -> None:
        lesson = _lesson(tadhg)
        look = client.get("/away/?first_date=2026-09-08&last_date=2026-09-10")
        press = look.context["chosen"]["press"].value()
        answer = {"lessons": lesson.pk, "reason": "flu", "press": press}
        where = "/away/?first_date=2026-09-08&last_date=2026-09-10"

        done = client.post(where, answer, follow=True)
        again = client.post(where, answer)
        back = client.post(f"/upsets/{Upset.objects.get().pk}/undo/", follow=True)

        assert "The messages go at 10:10" in text_of(done)
        assert again["Location"] == f"/upsets/{Upset.objects.get().pk}/"
        assert "Nobody had been told: the messages are stopped." in text_of(back)
        assert _fresh(lesson).is_planned

    @pytest.mark.parametrize(
        "query",
        [
            "first_date=2026-09-08&last_date=2026-09-01",
            "first_date=2026-09-08&last_date=2027-09-08",
            "first_date=9999-99-99",
            "first_date=2026-09-08&from_time=18:00&until_time=17:00",
        ],
    )
    def test_days_that_make_no_sense_are_refused(self, client: Client, query: str) -> None:
        assert client.get(f"/away/?{query}").status_code == 422

    def test_a_lesson_that_was_not_shown_is_not_called_off(
        self, client: Client, aoife: Any
    ) -> None:
        lesson = _lesson(aoife, after=7 * 24 * 60)

        response = client.post("/away/?first_date=2026-09-08", {"lessons": lesson.pk})

        assert response.status_code == 422
        assert _fresh(lesson).is_planned


def test_called_off_by_the_family_before_it_stays_so(teacher: Any, aoife: Any) -> None:
    lesson, other = _lesson(aoife), _lesson(aoife, after=60)
    services.lesson_call_off(
        lesson=lesson,
        called_off_by=CalledOffBy.FAMILY,
        told_at=TUESDAY,
        reason="",
        by=teacher,
        now=TUESDAY,
    )

    upset = _away([lesson, other], teacher)

    assert [change.lesson_id for change in upset_changes(upset)] == [other.pk]
    assert _fresh(lesson).called_off_outcome == "called_off_late"
