"""Families and students ask about a lesson; the teacher answers with one press."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from lessons import services
from lessons.models import (
    Lesson,
    LessonRequest,
    LessonStatus,
    RequestKind,
    RequestState,
)
from lessons.selectors.asking import counting_of, free_starts
from lessons.services.answering import (
    request_call_off,
    request_move,
    request_other_times,
    request_refuse,
)
from lessons.services.asking import request_ask, request_insist, request_take_back
from lessons.services.request_rows import (
    AskedAlready,
    CannotAsk,
    CountsOtherwise,
    RequestOvertaken,
    RequestSettled,
    TimeTaken,
)
from studio.models import OutgoingEmail, Role
from tests.factories.studio import UserFactory
from tests.lessons.conftest import DUBLIN, NOW, wish_for

pytestmark = pytest.mark.django_db

# Tuesday 8 September 2026, 16:00 in Cork, is the first lesson; asked a day and an hour before.
IN_TIME = datetime(2026, 9, 7, 14, tzinfo=UTC)
LATE = datetime(2026, 9, 7, 16, tzinfo=UTC)


@pytest.fixture
def orla(tadhg: Any) -> Any:
    """Tadhg's mother, signed in."""
    adult = tadhg.family.adults.get()
    adult.user = UserFactory(role=Role.PARENT, display_name="Orla Lynch", email=adult.email)
    adult.save()
    return adult.user


@pytest.fixture
def lesson(teacher: Any, tadhg: Any) -> Lesson:
    """The first of six weekly lessons."""
    series = services.series_book(wish=wish_for(tadhg), by=teacher, now=NOW)
    return series.lessons.in_order()[0]


def instants(lesson: Lesson, studio: Any, now: datetime = IN_TIME) -> list[datetime]:
    return [one.starts_at for one in free_starts(lesson=lesson, studio=studio, now=now)]


def ask(lesson: Lesson, by: Any, **more: Any) -> LessonRequest:
    given: dict[str, Any] = {
        "kind": RequestKind.MOVE,
        "words": "",
        "times": (),
        "shown": "",
        "now": IN_TIME,
    }
    return request_ask(lesson=lesson, by=by, **(given | more))


def ask_off(lesson: Lesson, by: Any, now: datetime, shown: str) -> LessonRequest:
    return ask(lesson, by, kind=RequestKind.CALL_OFF, words="Ill", shown=shown, now=now)


class TestRequestAsk:
    def test_what_it_counts_as_is_fixed_at_the_moment_of_asking(
        self, lesson: Lesson, orla: Any, teacher: Any
    ) -> None:
        request = ask_off(lesson, orla, IN_TIME, "called_off")

        request_call_off(request=request, by=teacher, now=LATE + timedelta(hours=20))

        lesson.refresh_from_db()
        assert lesson.called_off_outcome == "called_off"
        assert lesson.called_off_told_at == IN_TIME
        assert lesson.called_off_reason == "Ill"

    def test_is_refused_when_the_limit_passed_since_the_page_was_drawn(
        self, lesson: Lesson, orla: Any
    ) -> None:
        with pytest.raises(CountsOtherwise, match="ran out"):
            ask_off(lesson, orla, LATE, "called_off")

        assert not LessonRequest.objects.exists()
        assert ask_off(lesson, orla, LATE, "called_off_late").is_late

    def test_the_page_tells_until_when_it_is_free(self, lesson: Lesson) -> None:
        early = counting_of(lesson=lesson, now=IN_TIME, zone=DUBLIN)
        late = counting_of(lesson=lesson, now=LATE, zone=DUBLIN)

        assert (early.is_charged, late.is_charged) == (False, True)
        assert early.last_free_moment == datetime(2026, 9, 7, 15, tzinfo=UTC)

    def test_a_press_repeated_after_a_lost_connection_asks_once(
        self, lesson: Lesson, orla: Any, studio: Any
    ) -> None:
        """Edge case 35: the same press a second time is the first one; one mail each."""
        studio.email = "nuala@copperlane.example"
        studio.save()
        times = instants(lesson, studio)[:2]

        first = ask(lesson, orla, times=times, words="after school")
        again = ask(lesson, orla, times=times, words="after school")

        assert again == first
        assert LessonRequest.objects.count() == 1
        assert OutgoingEmail.objects.count() == 1

    def test_another_question_about_the_same_lesson_waits_for_the_first(
        self, lesson: Lesson, orla: Any
    ) -> None:
        first = ask(lesson, orla, words="Later, please")

        with pytest.raises(AskedAlready):
            ask(lesson, orla, words="Earlier, please")
        request_take_back(request=first, by=orla, now=IN_TIME)

        assert ask(lesson, orla, words="Earlier, please").is_open

    def test_takes_free_times_only_and_three_at_most(
        self, lesson: Lesson, orla: Any, studio: Any
    ) -> None:
        free = instants(lesson, studio)
        taken = datetime(2026, 9, 15, 15, tzinfo=UTC)

        with pytest.raises(TimeTaken, match="Tuesday 15 September, 16:00") as refusal:
            ask(lesson, orla, times=[free[0], taken])
        with pytest.raises(CannotAsk, match="up to 3"):
            ask(lesson, orla, times=free[:4])
        with pytest.raises(CannotAsk, match="in words"):
            ask(lesson, orla)

        assert refusal.value.times == {taken}
        assert not LessonRequest.objects.exists()

    def test_is_for_their_own_lessons_that_are_still_to_come(
        self, lesson: Lesson, orla: Any, aoife: Any, teacher: Any
    ) -> None:
        stranger = UserFactory()
        aoife.user = stranger
        aoife.save()

        with pytest.raises(CannotAsk):
            ask(lesson, stranger, words="Please")
        with pytest.raises(CannotAsk):
            ask(lesson, teacher, words="Please")
        with pytest.raises(CannotAsk, match="begun"):
            ask(lesson, orla, words="Please", now=lesson.starts_at)

    def test_parents_are_told_what_a_child_asks(self, lesson: Lesson, tadhg: Any) -> None:
        tadhg.user, tadhg.birth_year = UserFactory(display_name="Tadhg"), 2014
        tadhg.save()

        ask(lesson, tadhg.user, words="I have a match")

        mail = OutgoingEmail.objects.get()
        assert mail.to == "orla@example.com"
        assert "Tadhg asked" in mail.body
        assert "I have a match" in mail.body

    def test_nobody_is_told_what_a_grown_up_student_asks(self, lesson: Lesson, tadhg: Any) -> None:
        tadhg.user, tadhg.birth_year = UserFactory(), 1990
        tadhg.save()

        ask(lesson, tadhg.user, words="Work")

        assert not OutgoingEmail.objects.exists()


class TestAnswer:
    def test_yes_to_a_time_moves_the_lesson_and_is_mailed_once(
        self, lesson: Lesson, orla: Any, teacher: Any, studio: Any
    ) -> None:
        times = instants(lesson, studio)[:3]
        request = ask(lesson, orla, times=times)

        for _ in range(2):
            request_move(request=request, starts_at=times[1], by=teacher, now=IN_TIME)

        lesson.refresh_from_db()
        request.refresh_from_db()
        assert lesson.starts_at == times[1]
        assert lesson.revision == 1
        assert (request.state, request.agreed_starts_at) == (RequestState.MOVED, times[1])
        assert OutgoingEmail.objects.filter(to="orla@example.com").count() == 1
        assert f"{times[1].astimezone(DUBLIN):%H:%M}" in OutgoingEmail.objects.get().body

    def test_a_time_that_was_taken_meanwhile_keeps_the_question(
        self, lesson: Lesson, orla: Any, teacher: Any, aoife: Any, studio: Any
    ) -> None:
        moment = instants(lesson, studio)[0]
        request = ask(lesson, orla, times=[moment])
        local = moment.astimezone(DUBLIN)
        services.lesson_book(
            students=[aoife],
            place=aoife.family.home,
            day=local.date(),
            at=local.time(),
            minutes=30,
            by=teacher,
            now=NOW,
        )

        with pytest.raises(services.LessonClash):
            request_move(request=request, starts_at=moment, by=teacher, now=IN_TIME)

        request.refresh_from_db()
        lesson.refresh_from_db()
        assert request.is_open
        assert lesson.moved_from is None

    def test_no_comes_with_a_line(self, lesson: Lesson, orla: Any, teacher: Any) -> None:
        request = ask(lesson, orla, words="Thursday?")

        for _ in range(2):
            request_refuse(request=request, words="Thursdays are full", by=teacher, now=IN_TIME)
        with pytest.raises(RequestSettled):
            request_refuse(request=request, words="Really", by=teacher, now=IN_TIME)

        request.refresh_from_db()
        lesson.refresh_from_db()
        assert request.state == RequestState.REFUSED
        assert lesson.is_planned
        assert "Thursdays are full" in OutgoingEmail.objects.get().body

    def test_another_time_is_taken_by_the_family(
        self, lesson: Lesson, orla: Any, teacher: Any, studio: Any
    ) -> None:
        request = ask(lesson, orla, words="Thursday?")
        offered = instants(lesson, studio)[4:6]

        request_other_times(
            request=request, times=offered, words="Or these?", by=teacher, now=IN_TIME
        )
        with pytest.raises(RequestSettled):
            request_move(request=request, starts_at=offered[0], by=teacher, now=IN_TIME)
        for _ in range(2):
            request_move(request=request, starts_at=offered[1], by=orla, now=IN_TIME)

        lesson.refresh_from_db()
        assert lesson.starts_at == offered[1]
        assert lesson.revision == 1

    def test_who_calls_off_can_leave_the_other_times_and_still_counts_from_the_first_asking(
        self, lesson: Lesson, orla: Any, teacher: Any, studio: Any
    ) -> None:
        request = ask_off(lesson, orla, IN_TIME, "called_off")
        offered = instants(lesson, studio)[4:5]
        for times in (offered, offered):
            request_other_times(request=request, times=times, words="", by=teacher, now=IN_TIME)

        for _ in range(2):
            request = request_insist(request=request, by=orla, now=LATE)
        request_other_times(request=request, times=offered, words="", by=teacher, now=LATE)
        request_call_off(request=request, by=teacher, now=LATE)

        lesson.refresh_from_db()
        assert lesson.called_off_outcome == "called_off"
        # Two offers, and the yes: nothing twice.
        assert OutgoingEmail.objects.filter(to="orla@example.com").count() == 3

    def test_a_family_cannot_say_yes_to_itself(
        self, lesson: Lesson, orla: Any, studio: Any
    ) -> None:
        moment = instants(lesson, studio)[0]
        request = ask(lesson, orla, times=[moment])

        with pytest.raises(RequestSettled):
            request_move(request=request, starts_at=moment, by=orla, now=IN_TIME)

    def test_what_was_taken_back_is_answered_no_more(
        self, lesson: Lesson, orla: Any, teacher: Any
    ) -> None:
        request = ask_off(lesson, orla, IN_TIME, "called_off")
        for _ in range(2):
            request_take_back(request=request, by=orla, now=IN_TIME)

        with pytest.raises(RequestSettled, match="Taken back"):
            request_call_off(request=request, by=teacher, now=IN_TIME)

        lesson.refresh_from_db()
        assert lesson.is_planned


class TestOvertaken:
    def test_a_yes_after_the_series_was_moved_changes_nothing(
        self, lesson: Lesson, orla: Any, teacher: Any, studio: Any
    ) -> None:
        """Edge case 34: the teacher moved the lesson while a parent asked; words are left."""
        moment = instants(lesson, studio)[0]
        request = ask(lesson, orla, times=[moment], words="A match")
        moved = services.lesson_move(
            lesson=lesson,
            day=date(2026, 9, 8),
            at=time(17),
            minutes=30,
            place=lesson.place,
            by=teacher,
            now=IN_TIME,
        )

        with pytest.raises(RequestOvertaken, match="kept"):
            request_move(request=request, starts_at=moment, by=teacher, now=IN_TIME)
        with pytest.raises(CannotAsk):
            request_refuse(request=request, words="", by=teacher, now=IN_TIME)
        request_refuse(request=request, words="It is at five now", by=teacher, now=IN_TIME)

        lesson.refresh_from_db()
        request.refresh_from_db()
        assert lesson.starts_at == moved.starts_at
        assert (request.state, request.words) == (RequestState.ANSWERED, "A match")
        assert request.was_starts_at == datetime(2026, 9, 8, 15, tzinfo=UTC)

    @pytest.mark.parametrize("is_kept", [True, False])
    def test_a_lesson_that_a_new_timetable_replaced_can_still_be_answered(
        self, lesson: Lesson, orla: Any, teacher: Any, *, is_kept: bool
    ) -> None:
        """Edge case 37: the lesson made way, or is not even there; the question is readable."""
        request = ask_off(lesson, orla, IN_TIME, "called_off")
        if is_kept:
            Lesson.objects.filter(pk=lesson.pk).update(
                status=LessonStatus.CALLED_OFF,
                called_off_by="teacher",
                called_off_told_at=IN_TIME,
                called_off_reason="It makes way for the new timetable",
                called_off_outcome="called_off_by_teacher",
                revision=1,
            )
        else:
            lesson.delete()

        with pytest.raises(RequestOvertaken):
            request_call_off(request=request, by=teacher, now=IN_TIME)
        request_refuse(request=request, words="You have a new time", by=teacher, now=IN_TIME)

        request.refresh_from_db()
        assert request.state == RequestState.ANSWERED
        assert request.was_names == "Tadhg Lynch"
        assert "You have a new time" in OutgoingEmail.objects.get().body

    def test_the_family_may_ask_anew_about_the_lesson_as_it_is_now(
        self, lesson: Lesson, orla: Any, teacher: Any
    ) -> None:
        first = ask(lesson, orla, words="Later, please")
        Lesson.objects.filter(pk=lesson.pk).update(revision=3)
        lesson.refresh_from_db()

        second = ask(lesson, orla, words="Still later, please")

        first.refresh_from_db()
        assert (first.state, first.answer) == (RequestState.TAKEN_BACK, "Asked anew.")
        assert second.is_open
