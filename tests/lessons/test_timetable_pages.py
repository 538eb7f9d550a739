"""The pages of "build a term": what goes in, the draft, and the last look before accepting."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.models import Lesson, TeachingLimits, TimetableDraft
from lessons.selectors.term_seals import term_seals
from lessons.services.booking import series_book
from lessons.views import timetable as views
from studio.models import LongWork, Studio
from tests.factories.lessons import (
    DraftLessonFactory,
    StudentWindowFactory,
    TermFactory,
    TimetableDraftFactory,
)
from tests.lessons.conftest import TUESDAY, text_of, wish_for

FIRST = date(2026, 9, 14)
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


@pytest.fixture
def term(studio: Any) -> Any:
    return TermFactory(last_date=date(2026, 10, 13))


@pytest.fixture
def draft(term: Any, teacher: Any, aoife: Any, tadhg: Any) -> TimetableDraft:
    """Aoife moves from Tuesday to Thursday; Tadhg, who is new, comes on Tuesdays."""
    series = series_book(wish=wish_for(aoife, term=term), by=teacher, now=TUESDAY)
    for student in (aoife, tadhg):
        StudentWindowFactory(student=student)
    made: TimetableDraft = TimetableDraftFactory(
        term=term, seals=term_seals(term=term, from_date=FIRST, studio=Studio.current())
    )
    DraftLessonFactory(
        draft=made, student=aoife, series=series, is_running=True, place=series.place,
        first_date=date(2026, 9, 17),
    )  # fmt: skip
    DraftLessonFactory(draft=made, student=tadhg, place=tadhg.family.home)
    return made


def ticks(draft: TimetableDraft, **more: str) -> dict[str, Any]:
    rows = [str(pk) for pk in draft.lessons.values_list("pk", flat=True)]
    return {"plan": "balanced", "lesson": rows, "from_date": "2026-09-14"} | more


class TestWhatGoesIn:
    def test_it_counts_and_names_who_told_no_times(
        self, client: Client, term: Any, aoife: Any, tadhg: Any
    ) -> None:
        StudentWindowFactory(student=aoife)

        text = text_of(client.get(reverse("lessons:timetable")))

        assert "1 lesson a week of 1 student" in text
        assert "No times known: ask them." in text
        assert "Tadhg Lynch" in text
        assert "From Monday 14 September 2026 to 13 October 2026" in text

    def test_without_a_term_it_says_what_to_do(self, client: Client) -> None:
        assert "Write one down" in text_of(client.get(reverse("lessons:timetable")))

    def test_one_press_starts_the_work_and_a_second_finds_it(
        self, client: Client, term: Any, aoife: Any
    ) -> None:
        StudentWindowFactory(student=aoife)

        answers = [
            client.post(reverse("lessons:timetable_build"), {"term": term.pk}) for _ in range(2)
        ]

        work = LongWork.objects.get()
        assert work.kind == "term timetable"
        assert work.parameters["from_date"] == "2026-09-14"
        assert {answer["Location"] for answer in answers} == {
            reverse("studio:work_show", args=[work.pk])
        }
        assert "Timetable for Autumn term" in text_of(client.get(reverse("lessons:timetable")))

    def test_nobody_with_times_is_refused_in_words(self, client: Client, term: Any) -> None:
        answer = client.post(reverse("lessons:timetable_build"), {"term": term.pk})

        assert answer.status_code == 422
        assert "Nobody has told any times yet" in text_of(answer)

    @pytest.mark.parametrize("term", ["x", "0", "9" * 400])
    def test_nonsense_is_refused(self, client: Client, studio: Any, term: str) -> None:
        assert client.post(reverse("lessons:timetable_build"), {"term": term}).status_code == 422
        assert client.get(reverse("lessons:timetable"), {"term": term}).status_code == 422

    def test_without_the_solver_it_says_what_it_cannot_promise(
        self, client: Client, term: Any, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(views, "has_solver", lambda: False)

        text = text_of(client.get(reverse("lessons:timetable")))

        assert "may leave out one or two who would fit, and cannot prove" in text


class TestADraft:
    def test_it_shows_who_changes_and_the_figures_in_words(
        self, client: Client, draft: TimetableDraft
    ) -> None:
        text = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))

        assert "placed 2 of 2 (proven: all of them)" in text
        assert "Tuesday 16:00 → <strong>Thursday 17:00" in text
        assert "nothing better is possible (proven)" in text
        assert text.count('type="checkbox" name="lesson"') == 2

    def test_it_says_who_finds_no_place_why_and_what_would_help(
        self, client: Client, draft: TimetableDraft, tadhg: Any
    ) -> None:
        """Edge case 44: who, with whom they collide, and the nearest relaxation, in words."""
        draft.unplaced = [
            {
                "student": tadhg.pk,
                "name": "Tadhg Lynch",
                "why": "cannot be placed together with Aoife Moran",
                "relaxation": "Tadhg Lynch at 14:30 on Tuesdays, 30 minutes earlier than told",
                "series": None,
            }
        ]
        draft.save()

        text = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))

        assert "Without a place" in text
        assert "cannot be placed together with Aoife Moran" in text
        assert "What would help: Tadhg Lynch at 14:30 on Tuesdays" in text

    def test_a_changed_week_leaves_nothing_to_tick(
        self, client: Client, draft: TimetableDraft
    ) -> None:
        TeachingLimits.objects.create(pk=1, most_minutes_a_day=60)

        text = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))

        assert "Since this was built, your hours, limits, closures or the term changed" in text
        assert 'type="checkbox" name="lesson"' not in text
        assert "Build it again" in text

    def test_built_without_the_solver_it_says_so(
        self, client: Client, draft: TimetableDraft
    ) -> None:
        TimetableDraft.objects.filter(pk=draft.pk).update(
            is_by_solver=False,
            numbers={"keep": draft.numbers["balanced"] | {"is_proven": False, "gap": None}},
        )
        draft.lessons.update(plan="keep")

        text = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))

        assert "whoever finds no place here might find one all the same" in text
        assert "(not proven: perhaps more would fit)" in text
        assert "how near this is to the best is not known" in text

    def test_the_number_of_queries_does_not_grow(
        self, client: Client, draft: TimetableDraft, django_assert_max_num_queries: Any
    ) -> None:
        for number in range(6):
            DraftLessonFactory(draft=draft, at=time(9 + number))

        with django_assert_max_num_queries(45):
            client.get(reverse("lessons:timetable_draft", args=[draft.pk]))


class TestTheLastLook:
    def test_it_says_what_would_come_of_it_and_changes_nothing(
        self, client: Client, draft: TimetableDraft
    ) -> None:
        before = list(Lesson.objects.order_by("pk").values())

        answer = client.get(
            reverse("lessons:timetable_part", args=[draft.pk]), ticks(draft, are_families_told="on")
        )

        text = text_of(answer)
        assert answer.status_code == 200
        assert "instead of every Tuesday at 16:00; 4 lessons to 13 October" in text
        assert "2 families will be written to" in text
        assert list(Lesson.objects.order_by("pk").values()) == before

    def test_one_more_press_books_it(self, client: Client, draft: TimetableDraft) -> None:
        url = reverse("lessons:timetable_part", args=[draft.pk])

        answer = client.post(url, ticks(draft), follow=True)

        assert "2 weekly lessons booked" in text_of(answer)
        assert "All 2 weekly lessons of this timetable are accepted" in text_of(answer)
        assert "were accepted already" in text_of(client.post(url, ticks(draft), follow=True))

    def test_a_week_that_changed_is_refused_with_a_press_to_build_again(
        self, client: Client, draft: TimetableDraft, aoife: Any
    ) -> None:
        StudentWindowFactory(student=aoife, weekday=4)

        answer = client.post(reverse("lessons:timetable_part", args=[draft.pk]), ticks(draft))

        assert answer.status_code == 409
        text = text_of(answer)
        assert "Nothing was changed: since this timetable was built, somebody’s times" in text
        assert reverse("lessons:timetable_build") in text

    @pytest.mark.parametrize(
        ("more", "words"),
        [
            ({"lesson": []}, "Tick at least one lesson"),
            ({"lesson": ["9" * 400]}, "not of this timetable"),
            ({"lesson": ["\x00", "-1", "1e3"]}, "not of this timetable"),
            ({"from_date": "2027-01-01"}, "not one of the available choices"),
        ],
    )
    def test_nonsense_is_refused_in_words(
        self, client: Client, draft: TimetableDraft, more: dict[str, Any], words: str
    ) -> None:
        answer = client.post(
            reverse("lessons:timetable_part", args=[draft.pk]), ticks(draft) | more
        )

        assert answer.status_code == 422
        assert words in text_of(answer)
