"""Lessons owed again: who gets the right, how it is used, comes back, ends, and is judged."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client

from lessons import services
from lessons.models import CalledOffBy, Lesson, MakeUpRight, MissedLessonRules, Overruling
from lessons.selectors import lesson_facts
from lessons.selectors.make_ups import is_outside_term, make_up_lists, make_up_times
from lessons.services import LessonClash, LessonLocked
from lessons.services.make_ups import MakeUpGone, make_up_book
from lessons.services.missed import (
    CannotOverrule,
    MakeUpStands,
    lesson_count_as,
    make_up_extend,
    make_up_withdraw,
)
from studio.models import OutgoingEmail
from tests.factories.lessons import ClosureFactory, LessonFactory, TermFactory, WorkingHoursFactory
from tests.factories.missed import MakeUpRightFactory
from tests.factories.studio import AdultFactory, UserFactory
from tests.lessons.conftest import TUESDAY, sign_in, text_of

pytestmark = pytest.mark.django_db

MONDAY_NOON = datetime(2026, 9, 7, 11, tzinfo=UTC)
STARTS = datetime(2026, 9, 8, 15, tzinfo=UTC)


def _missed(student: Any, teacher: Any, by: str = CalledOffBy.TEACHER, **more: Any) -> Lesson:
    lesson = LessonFactory(place=student.family.home, student=student, starts_at=STARTS)
    given = {"told_at": MONDAY_NOON, "reason": "ill"} | more
    return services.lesson_call_off(
        lesson=lesson, called_off_by=CalledOffBy(by), by=teacher, now=MONDAY_NOON, **given
    )


def _book(right: MakeUpRight, teacher: Any, **more: Any) -> Lesson:
    given = {
        "place": right.student.family.home,
        "day": date(2026, 9, 10),
        "at": time(17),
        "now": MONDAY_NOON,
    }
    return make_up_book(right=right, by=teacher, **(given | more))


class TestRightsArise:
    @pytest.mark.parametrize(
        ("by", "owes_family", "owes_own", "told_hours", "rights"),
        [
            ("teacher", False, True, 1, 1),
            ("teacher", False, False, 1, 0),
            ("family", False, True, 48, 0),
            ("family", True, True, 48, 1),
            ("family", True, True, 24, 1),
            ("family", True, True, 23, 0),
        ],
    )
    def test_by_the_rules(
        self,
        teacher: Any,
        aoife: Any,
        by: str,
        owes_family: bool,
        owes_own: bool,
        told_hours: int,
        rights: int,
    ) -> None:
        """Edge case 23: called off by the teacher is owed again by policy, late never is."""
        MissedLessonRules(
            pk=1, is_family_owed_make_up=owes_family, is_teacher_owing_make_up=owes_own
        ).save()

        lesson = _missed(aoife, teacher, by, told_at=STARTS - timedelta(hours=told_hours))

        assert MakeUpRight.objects.count() == rights
        assert lesson.called_off_outcome != "called_off_late" or by == "family"

    def test_the_teacher_is_never_paid_even_if_told_to_charge(
        self, teacher: Any, aoife: Any
    ) -> None:
        """Edge case 23: never charged when the teacher calls off, whatever is asked for."""
        lesson = _missed(aoife, teacher, counts_as="called_off_late")

        assert lesson.called_off_outcome == "called_off_by_teacher"

    def test_ends_so_many_weeks_after_the_lesson(self, teacher: Any, aoife: Any) -> None:
        MissedLessonRules(pk=1, make_up_weeks=3).save()
        _missed(aoife, teacher)

        assert MakeUpRight.objects.get().expires_on == date(2026, 9, 29)

    def test_a_trial_lesson_is_not_owed_again(self, teacher: Any, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife, kind="trial")
        services.lesson_call_off(
            lesson=lesson,
            called_off_by=CalledOffBy.TEACHER,
            told_at=MONDAY_NOON,
            reason="",
            by=teacher,
            now=MONDAY_NOON,
        )

        assert not MakeUpRight.objects.exists()

    def test_a_lesson_put_back_takes_its_right_along(self, teacher: Any, aoife: Any) -> None:
        lesson = _missed(aoife, teacher)

        services.lesson_reinstate(lesson=lesson, by=teacher, now=MONDAY_NOON)

        assert not MakeUpRight.objects.standing().exists()

    def test_it_cannot_be_put_back_once_it_is_made_up(self, teacher: Any, aoife: Any) -> None:
        lesson = _missed(aoife, teacher)
        _book(MakeUpRight.objects.get(), teacher)

        with pytest.raises(LessonLocked, match="10 September 2026"):
            services.lesson_reinstate(lesson=lesson, by=teacher, now=MONDAY_NOON)

        assert MakeUpRight.objects.standing().count() == 1

    def test_called_off_a_second_time_it_is_one_right(self, teacher: Any, aoife: Any) -> None:
        lesson = _missed(aoife, teacher)
        services.lesson_reinstate(lesson=lesson, by=teacher, now=MONDAY_NOON)

        services.lesson_call_off(
            lesson=lesson,
            called_off_by=CalledOffBy.TEACHER,
            told_at=MONDAY_NOON,
            reason="",
            by=teacher,
            now=MONDAY_NOON,
        )

        assert MakeUpRight.objects.standing().count() == MakeUpRight.objects.count() == 1


class TestMakeUp:
    def test_booked_called_off_and_free_again(self, teacher: Any, tadhg: Any) -> None:
        """Edge case 25: a make-up booked, called off again: the right comes back, no second one."""
        _missed(tadhg, teacher)
        right = MakeUpRight.objects.get()
        made = _book(right, teacher, is_family_told=True)
        assert not MakeUpRight.objects.open_on(date(2026, 9, 8)).exists()
        assert "made up" in OutgoingEmail.objects.get().body

        services.lesson_call_off(
            lesson=made,
            called_off_by=CalledOffBy.TEACHER,
            told_at=MONDAY_NOON,
            reason="",
            by=teacher,
            now=MONDAY_NOON,
        )

        assert MakeUpRight.objects.open_on(date(2026, 9, 8)).get() == right
        assert MakeUpRight.objects.count() == 1
        # Called off by the teacher, its weeks begin anew from the day it was to be.
        assert MakeUpRight.objects.get().expires_on == date(2026, 9, 10) + timedelta(weeks=8)
        assert _book(right, teacher, day=date(2026, 9, 11)).pk != made.pk

    def test_called_off_too_late_by_the_family_it_is_used(self, teacher: Any, aoife: Any) -> None:
        """Edge case 25."""
        _missed(aoife, teacher)
        made = _book(MakeUpRight.objects.get(), teacher)

        services.lesson_call_off(
            lesson=made,
            called_off_by=CalledOffBy.FAMILY,
            told_at=made.starts_at - timedelta(hours=2),
            reason="",
            by=teacher,
            now=made.starts_at - timedelta(hours=2),
        )

        assert not MakeUpRight.objects.open_on(date(2026, 9, 10)).exists()
        assert MakeUpRight.objects.used().count() == 1

    def test_over_after_its_last_day(self, teacher: Any, aoife: Any) -> None:
        """Edge case 25: expired, and given more time."""
        right = MakeUpRightFactory(student=aoife, expires_on=date(2026, 9, 9))

        with pytest.raises(MakeUpGone, match="9 September"):
            _book(right, teacher)
        assert MakeUpRight.objects.open_on(date(2026, 9, 9)).exists()
        assert MakeUpRight.objects.expired_by(date(2026, 9, 10)).get() == right

        make_up_extend(right=right, expires_on=date(2026, 10, 1), by=teacher, now=MONDAY_NOON)

        assert _book(right, teacher).is_planned

    @pytest.mark.usefixtures("_tuesday")
    def test_outside_term_is_allowed_and_said(self, client: Client, aoife: Any) -> None:
        """Edge case 25: a make-up outside term."""
        TermFactory(first_date=date(2026, 9, 7), last_date=date(2026, 9, 18))
        ClosureFactory(first_date=date(2026, 9, 15), last_date=date(2026, 9, 15))
        right = MakeUpRightFactory(student=aoife, lesson__place=aoife.family.home)

        response = client.post(
            f"/make-ups/{right.pk}/book/",
            {"where": "same", "day": "2026-09-21", "at": "16:00"},
            follow=True,
        )

        assert "outside term" in text_of(response)
        assert MakeUpRight.objects.get().used_by is not None
        assert [is_outside_term(date(2026, 9, day)) for day in (14, 15, 21)] == [False, True, True]

    def test_the_same_press_again_is_one_lesson(self, teacher: Any, aoife: Any) -> None:
        right = MakeUpRightFactory(student=aoife)

        first = _book(right, teacher)

        assert _book(right, teacher) == first
        with pytest.raises(MakeUpGone, match="booked already"):
            _book(right, teacher, at=time(18))

    def test_never_into_another_lesson(self, teacher: Any, aoife: Any, tadhg: Any) -> None:
        right = MakeUpRightFactory(student=aoife)
        LessonFactory(
            place=tadhg.family.home, student=tadhg, starts_at=datetime(2026, 9, 10, 16, tzinfo=UTC)
        )

        with pytest.raises(LessonClash):
            _book(right, teacher)

        assert MakeUpRight.objects.get().used_by is None

    def test_taken_back_only_while_unused(self, teacher: Any, aoife: Any) -> None:
        right = MakeUpRightFactory(student=aoife)
        _book(right, teacher)

        with pytest.raises(MakeUpStands):
            make_up_withdraw(right=right, reason="agreed", by=teacher, now=MONDAY_NOON)


class TestTimes:
    def test_free_times_up_to_the_last_day_with_term_said(self, studio: Any, aoife: Any) -> None:
        WorkingHoursFactory(weekday=1, begins_at=time(15), ends_at=time(16))
        TermFactory(first_date=date(2026, 9, 7), last_date=date(2026, 9, 18))
        ClosureFactory(first_date=date(2026, 9, 15), last_date=date(2026, 9, 15))
        home = aoife.family.home
        right = MakeUpRightFactory(student=aoife, lesson__place=home, expires_on=date(2026, 9, 29))
        LessonFactory(
            place=home, student=aoife, starts_at=datetime(2026, 9, 29, 14, tzinfo=UTC), minutes=30
        )

        found = make_up_times(right=right, place=home, studio=studio, now=TUESDAY)

        times = {(one.day.day, f"{one.at:%H:%M}", one.is_in_term) for one in found.times}
        # The 8th is today, the 15th closed, the 29th half taken.
        assert times == {
            (22, "15:00", False),
            (22, "15:15", False),
            (29, "15:30", False),
        }

    def test_three_queries_for_any_number(
        self, teacher: Any, aoife: Any, django_assert_num_queries: Any
    ) -> None:
        for _ in range(4):
            MakeUpRightFactory(student=aoife)

        with django_assert_num_queries(3):
            lists = make_up_lists(user=teacher, today=date(2026, 9, 8), now=TUESDAY)
            assert [right.student.family.name for right in lists.open] == ["Moran"] * 4


class TestJudgement:
    def test_late_becomes_free_and_the_reason_stays(self, teacher: Any, aoife: Any) -> None:
        lesson = _missed(aoife, teacher, "family", told_at=STARTS - timedelta(hours=3))
        assert lesson.called_off_outcome == "called_off_late"

        lesson_count_as(
            lesson=lesson,
            counts_as="called_off",
            is_make_up_owed=True,
            reason="a broken wrist",
            by=teacher,
            now=MONDAY_NOON,
        )
        lesson.refresh_from_db()
        assert lesson.called_off_outcome == "called_off"
        services.lesson_reinstate(lesson=lesson, by=teacher, now=MONDAY_NOON)

        row = Overruling.objects.get()
        assert (row.by_the_rules, row.counts_as, row.reason) == (
            "called_off_late",
            "called_off",
            "a broken wrist",
        )

    @pytest.mark.usefixtures("_tuesday")
    def test_with_the_calling_off_itself(self, client: Client, aoife: Any) -> None:
        lesson = LessonFactory(place=aoife.family.home, student=aoife, starts_at=STARTS)
        answer = {"called_off_by": "family", "counts_as": "called_off"}

        refused = client.post(f"/lessons/{lesson.pk}/call-off/", answer)
        client.post(f"/lessons/{lesson.pk}/call-off/", answer | {"overruled_because": "kind"})

        assert refused.status_code == 422
        assert "called off late: charged" in text_of(refused)
        assert Overruling.objects.get().reason == "kind"

    def test_what_the_teacher_called_off_cannot_be_charged(self, teacher: Any, aoife: Any) -> None:
        """Edge case 23."""
        lesson = _missed(aoife, teacher)

        with pytest.raises(CannotOverrule, match="never charged"):
            lesson_count_as(
                lesson=lesson,
                counts_as="called_off_late",
                is_make_up_owed=False,
                reason="x",
                by=teacher,
                now=MONDAY_NOON,
            )

    def test_a_no_show_is_charged_or_let_off(self, teacher: Any, aoife: Any) -> None:
        """Edge case 23: no-show is charged, unless the teacher lets it off with a reason."""
        lesson = LessonFactory(place=aoife.family.home, student=aoife, starts_at=STARTS)
        services.lesson_mark(
            lesson=lesson, attendance={aoife.pk: "no_show"}, by=teacher, now=lesson.ends_at
        )
        day = {"first_date": date(2026, 9, 8), "last_date": date(2026, 9, 8)}
        assert lesson_facts(family=aoife.family, **day)[0].outcome == "no_show"

        lesson_count_as(
            lesson=lesson,
            student=aoife,
            counts_as="excused",
            is_make_up_owed=True,
            reason="the bus broke down",
            by=teacher,
            now=lesson.ends_at,
        )

        fact = lesson_facts(family=aoife.family, **day)[0]
        assert (fact.outcome, fact.make_up_until) == ("excused", date(2026, 11, 3))


@pytest.mark.usefixtures("_tuesday")
def test_the_teacher_sees_what_is_owed(client: Client, aoife: Any) -> None:
    MakeUpRightFactory(student=aoife, lesson__place=aoife.family.home)

    page = text_of(client.get("/make-ups/"))

    assert "Aoife Moran" in page
    assert "by 3 November 2026" in page
    assert "To be made up" in text_of(client.get(f"/students/{aoife.pk}/"))


@pytest.mark.usefixtures("_tuesday")
def test_a_family_sees_its_own_rights_only(aoife: Any, tadhg: Any) -> None:
    MakeUpRightFactory(student=aoife, lesson__place=aoife.family.home)
    parents = [
        AdultFactory(family=each.family, user=UserFactory(role="parent")) for each in (aoife, tadhg)
    ]

    pages = [text_of(sign_in(Client(), parent.user).get("/family/")) for parent in parents]

    assert ["To be made up" in page for page in pages] == [True, False]
