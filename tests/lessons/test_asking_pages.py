"""The pages of asking, answering, waiting and offering."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lessons import services
from lessons.models import (
    FreeTime,
    Lesson,
    LessonRequest,
    MissedLessonRules,
    Offer,
    RequestKind,
    RequestState,
    Waiting,
)
from lessons.services.asking import request_ask
from studio.models import Role
from tests.factories.lessons import LessonFactory, LessonStudentFactory
from tests.factories.studio import FamilyFactory, StudentFactory, UserFactory
from tests.lessons.conftest import NOW, TUESDAY, sign_in, text_of, wish_for

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


@pytest.fixture
def orla(tadhg: Any) -> Any:
    adult = tadhg.family.adults.get()
    adult.user = UserFactory(role=Role.PARENT, display_name="Orla Lynch", email=adult.email)
    adult.save()
    return adult.user


@pytest.fixture
def parent(orla: Any) -> Client:
    return sign_in(Client(), orla)


@pytest.fixture
def lesson(teacher: Any, tadhg: Any) -> Lesson:
    """A lesson in a week's time; it is Tuesday 8 September, ten in the morning."""
    series = services.series_book(
        wish=wish_for(tadhg, first=date(2026, 9, 15)), by=teacher, now=NOW
    )
    return series.lessons.in_order()[0]


class TestRequests:
    def test_a_parent_asks_and_the_teacher_says_yes_with_one_press(
        self, parent: Client, client: Client, lesson: Lesson
    ) -> None:
        asking = f"/lessons/{lesson.pk}/ask/"
        page = text_of(parent.get(asking))
        first = parent.get(asking).context["days"][0].times[0]
        parent.post(asking, {"kind": "move", "times": [first.key], "words": "A match"})
        request = LessonRequest.objects.get()
        assert "1 request to answer" in text_of(client.get("/today/"))
        listed = text_of(client.get("/requests/"))
        said = client.post(
            f"/requests/{request.pk}/answer/", {"press": f"yes:{request.times.get().pk}"}
        )

        assert "free of charge</strong>" in page
        assert "until Monday 14 September, 16:00" in page
        assert "A match" in listed
        assert said["Location"] == "/requests/"
        lesson.refresh_from_db()
        assert lesson.starts_at == first.starts_at
        assert "the lesson is moved" in text_of(parent.get("/family/"))
        assert "request to answer" not in text_of(client.get("/today/"))

    def test_while_one_question_waits_no_other_can_be_written(
        self, parent: Client, lesson: Lesson
    ) -> None:
        asking = f"/lessons/{lesson.pk}/ask/"
        parent.post(asking, {"kind": "move", "words": "A match"})

        waits = text_of(parent.get(asking))
        Lesson.objects.filter(pk=lesson.pk).update(revision=lesson.revision + 1)
        overtaken = text_of(parent.get(asking))

        assert "“Move the lesson” is asked already" in waits
        assert 'name="kind"' not in waits
        assert 'name="kind"' in overtaken

    def test_a_line_that_is_too_long_is_said_and_kept(self, parent: Client, lesson: Lesson) -> None:
        """Browsers count the end of a line as one letter and send two."""
        words = "a\r\n" * 200

        answer = parent.post(f"/lessons/{lesson.pk}/ask/", {"kind": "move", "words": words})

        assert answer.status_code == 422
        assert "at most 500" in text_of(answer)
        assert text_of(answer).count("a a a") >= 1

    def test_of_a_shared_lesson_no_make_up_is_promised(
        self, parent: Client, lesson: Lesson, aoife: Any
    ) -> None:
        """Who stays away from a group is owed none: the lesson takes place."""
        MissedLessonRules.objects.create(pk=1, is_family_owed_make_up=True)
        asking = f"/lessons/{lesson.pk}/ask/"
        alone = text_of(parent.get(asking))
        LessonStudentFactory(lesson=lesson, student=aoife)
        shared = text_of(parent.get(asking))

        assert "may be made up until" in alone
        assert "free of charge" in shared
        assert "may be made up until" not in shared
        assert "Aoife" not in shared

    def test_what_it_counts_as_is_said_before_asking(self, parent: Client, lesson: Lesson) -> None:
        MissedLessonRules.objects.create(pk=1, notice_hours=14 * 24)

        page = text_of(parent.get(f"/lessons/{lesson.pk}/ask/"))
        refused = parent.post(
            f"/lessons/{lesson.pk}/ask/", {"kind": "call_off", "shown": "called_off"}
        )

        assert "Asked now, it is <strong>charged</strong>" in page
        assert refused.status_code == 422
        assert "ran out" in text_of(refused)
        assert not LessonRequest.objects.exists()

    def test_a_child_is_told_that_the_parents_hear_of_it(self, lesson: Lesson, tadhg: Any) -> None:
        tadhg.user = UserFactory()
        tadhg.save()

        own = sign_in(Client(), tadhg.user)

        assert "My next lessons" in text_of(own.get("/my-week/"))
        assert "Your parents are told" in text_of(own.get(f"/lessons/{lesson.pk}/ask/"))

    def test_a_child_takes_back_what_it_asked_itself(
        self, lesson: Lesson, tadhg: Any, orla: Any
    ) -> None:
        tadhg.user = UserFactory()
        tadhg.save()
        own = sign_in(Client(), tadhg.user)
        own.post(f"/lessons/{lesson.pk}/ask/", {"kind": "move", "words": "Later"})
        request = LessonRequest.objects.get()

        own.post(f"/requests/{request.pk}/take-back/")
        request.refresh_from_db()

        assert request.asked_by == tadhg.user
        assert request.state == RequestState.TAKEN_BACK

    def test_one_of_a_group_stays_away_and_the_lesson_stands(
        self, parent: Client, client: Client, lesson: Lesson, aoife: Any
    ) -> None:
        LessonStudentFactory(lesson=lesson, student=aoife)
        page = text_of(parent.get(f"/lessons/{lesson.pk}/ask/"))
        parent.post(f"/lessons/{lesson.pk}/ask/", {"kind": "call_off", "shown": "called_off"})
        request = LessonRequest.objects.get()

        client.post(f"/requests/{request.pk}/answer/", {"press": "call_off"})

        lesson.refresh_from_db()
        request.refresh_from_db()
        assert lesson.is_planned
        assert request.state == RequestState.CALLED_OFF
        away = lesson.takers.exclude(away_outcome="").get()
        assert (away.student.name, away.away_outcome) == ("Tadhg Lynch", "called_off")
        # Whose lesson it is besides is nobody else's business.
        assert "Aoife" not in page + request.was_names

    @pytest.mark.parametrize(
        "wrong",
        [
            {"kind": "sing"},
            {"kind": "move"},
            {"kind": "move", "times": ["yesterday"]},
            {"kind": "move", "times": ["0001-01-01T00:00+23:59"]},
            {"kind": "move", "times": ["2026-09-16T15:00"]},
            {"kind": "move", "times": [f"2026-09-1{n}T15:00Z" for n in range(5)]},
            {"kind": "move", "words": "a" * 501},
            {"kind": "call_off", "shown": "free"},
        ],
    )
    def test_nonsense_is_refused_and_nothing_asked(
        self, parent: Client, lesson: Lesson, wrong: dict[str, Any]
    ) -> None:
        answer = parent.post(f"/lessons/{lesson.pk}/ask/", wrong)

        assert answer.status_code == 422
        assert not LessonRequest.objects.exists()

    @pytest.mark.parametrize("press", ["", "yes", "yes:0", "yes:" + "9" * 40, "sing"])
    def test_an_answer_that_was_not_offered_is_none(
        self, client: Client, orla: Any, lesson: Lesson, press: str
    ) -> None:
        asked = request_ask(
            lesson=lesson,
            kind=RequestKind.MOVE,
            words="Later",
            times=(),
            shown="",
            by=orla,
            now=TUESDAY,
        )

        answer = client.post(f"/requests/{asked.pk}/answer/", {"press": press})

        assert answer.status_code == 404
        asked.refresh_from_db()
        assert asked.is_open


SLOT = {
    "weekday": 1,
    "begins_at": "16:00",
    "ends_at": "16:30",
    "first_date": "2026-09-15",
    "last_date": "2026-10-13",
}


class TestWaitingList:
    def test_an_enquiry_is_written_down_offered_and_booked(self, client: Client) -> None:
        written = client.post(
            "/waiting/new/",
            {
                "name": "Una Daly",
                "contact_name": "Brid Daly",
                "email": "brid@example.com",
                "where": "home",
                "position": "51.88, -8.49",
                "minutes": 30,
                "since_date": "2026-08-01",
                "day_0": 1,
                "from_0": "15:00",
                "until_0": "18:00",
            },
        )
        una = Waiting.objects.get()
        page = text_of(client.get("/waiting/free/", SLOT))
        client.post("/waiting/free/offer/", SLOT | {"waiting": str(una.pk), "until": "2026-09-11"})
        offer = Offer.objects.get()
        said = client.post(f"/offers/{offer.pk}/yes/", follow=True)

        assert written.status_code == 302
        assert "Offer it to Una Daly" in page
        assert "5 lessons are booked" in text_of(said)
        assert "Nobody waits" in text_of(client.get("/waiting/"))

    def test_a_student_keeps_the_form_and_takes_a_lesson_of_their_own(
        self, client: Client, lesson: Lesson, aoife: Any, tadhg: Any
    ) -> None:
        entry = {"where": "home", "minutes": 30, "since_date": "2026-08-01", "note": "Chess"}
        theirs = {"student": tadhg.pk, "replaces": lesson.series_id}

        refused = client.post("/waiting/new/", entry | theirs | {"student": aoife.pk})
        client.post("/waiting/new/", entry | theirs)
        row = Waiting.objects.get()
        form = client.get(f"/waiting/{row.pk}/edit/").context["form"]

        assert refused.status_code == 422
        assert row.place == tadhg.family.home
        assert form["replaces"].value() == lesson.series_id
        assert form["note"].value() == "Chess"

    @pytest.mark.parametrize(
        "wrong",
        [
            {"weekday": "9"},
            {"ends_at": "15:00"},
            {"last_date": "2026-09-01"},
            {"last_date": "2099-01-01"},
            {"series": "9" * 40},
        ],
    )
    def test_a_time_that_makes_no_sense_is_asked_again(
        self, client: Client, wrong: dict[str, str]
    ) -> None:
        assert client.get("/waiting/free/", SLOT | wrong).status_code == 422
        offered = client.post("/waiting/free/offer/", SLOT | wrong | {"until": "2026-09-11"})
        assert offered.status_code == 422
        assert not Offer.objects.exists()

    @pytest.mark.parametrize("waiting", ["", "0", "x", "9" * 39, "1,2,3,4,5"])
    def test_nobody_is_offered_anything_by_nonsense(self, client: Client, waiting: str) -> None:
        answer = client.post(
            "/waiting/free/offer/", SLOT | {"waiting": waiting, "until": "2026-09-11"}
        )

        assert answer.status_code == 422
        assert not Offer.objects.exists()


@pytest.mark.parametrize("address", ["/requests/", "/waiting/", "/today/"])
def test_queries_do_not_grow_with_rows(client: Client, studio: Any, address: str) -> None:
    asker = UserFactory(role=Role.PARENT)
    counts = []
    for rows in (1, 7):
        for number in range(LessonRequest.objects.count(), rows):
            student = StudentFactory(family=FamilyFactory())
            lesson = LessonFactory(
                place=student.family.home,
                student=student,
                starts_at=TUESDAY + timedelta(days=3, hours=number),
            )
            request = LessonRequest.objects.create(
                lesson=lesson,
                family=student.family,
                kind=RequestKind.MOVE,
                asked_by=asker,
                asked_at=TUESDAY,
                was_names=student.name,
                was_starts_at=lesson.starts_at,
                was_minutes=30,
                was_revision=0,
            )
            request.students.add(student)
            waiting = Waiting.objects.create(
                student=student,
                name=student.name,
                place=student.family.home,
                since_date=TUESDAY.date(),
                created_at=NOW,
            )
            waiting.windows.create(weekday=number % 5, begins_at=time(9), ends_at=time(20))
            FreeTime.objects.create(
                weekday=number % 5,
                begins_at=time(15),
                ends_at=time(16),
                first_date=TUESDAY.date(),
                last_date=date(2026, 12, 1) + timedelta(days=number),
            )
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        counts.append(len(queries))

    assert counts[0] == counts[1]
