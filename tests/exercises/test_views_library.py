"""The library's pages in a browser without JavaScript."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from exercises.models import Exercise
from exercises.rhythm.library import CORES
from tests.factories.exercises import (
    BACKBEAT,
    WITH_FOOT,
    AssignmentFactory,
    ExerciseFactory,
    TagFactory,
)
from tests.factories.studio import StudioFactory, TeacherFactory

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
HTMX = {"HX-Request": "true"}


@pytest.fixture
def teacher(client: Client) -> Client:
    StudioFactory()
    client.force_login(TeacherFactory(), backend=BACKEND)
    return client


def text_of(response: Any) -> str:
    return str(response.content.decode())


def written(**more: object) -> dict[str, object]:
    return {"title": "Quay steps", "bpm": 84, "kit": "five_piece", "typed": BACKBEAT} | more


IN_SIX = """6/8
RH ride:        xxx xxx
LH snare:       ... x..
LF hi-hat-foot: ..x ..x
"""


class TestExerciseList:
    def test_teaches_when_it_is_empty(self, teacher: Client) -> None:
        page = text_of(teacher.get(reverse("exercises:exercise_list")))

        assert "The shelf is empty" in page
        assert f"{len(CORES)} core figures and the 40 rudiments" in page

    def test_shows_wheel_grade_and_hear(self, teacher: Client) -> None:
        exercise = ExerciseFactory(title="Harbour walk")

        page = text_of(teacher.get(reverse("exercises:exercise_list")))

        assert "Harbour walk" in page
        assert "3.2" in page
        assert reverse("exercises:exercise_playback", args=[exercise.pk]) in page
        assert "<svg" in page

    @pytest.mark.parametrize(
        ("asked", "found"),
        [
            ({"q": "harbour"}, {"Harbour walk"}),
            ({"q": "left hand"}, {"Quay steps"}),
            ({"limb": "LF"}, {"Quay steps"}),
            ({"band": "1-3"}, {"Harbour walk"}),
            ({"band": "5-7"}, {"Quay steps"}),
            ({"tag": "left hand"}, {"Quay steps"}),
            ({"surface": "ride"}, {"Quay steps"}),
            ({"surface": "snare"}, {"Harbour walk", "Quay steps"}),
            ({"surface": "hi_hat_open"}, set()),
            ({"subdivision": "2"}, {"Harbour walk"}),
            ({"subdivision": "3"}, {"Quay steps"}),
            ({"meter": "4/4"}, {"Harbour walk"}),
            ({"meter": "6/8"}, {"Quay steps"}),
            ({"kind": "rudiment"}, {"Quay steps"}),
            ({"kind": "core"}, {"Harbour walk"}),
            ({"kind": "variant"}, set()),
            ({"q": "nothing of the kind"}, set()),
            ({"put_away": "on"}, {"Old one"}),
        ],
    )
    def test_narrows(self, teacher: Client, asked: dict[str, str], found: set[str]) -> None:
        ExerciseFactory(title="Harbour walk", grade="2.10")
        ExerciseFactory(title="Old one", is_archived=True)
        steps = ExerciseFactory(title="Quay steps", typed=IN_SIX, grade="5.00", rudiment=41)
        steps.tags.add(TagFactory(name="left hand"))

        page = text_of(teacher.get(reverse("exercises:exercise_list"), asked))

        titles = {"Harbour walk", "Quay steps", "Old one"}
        assert {title for title in titles if title in page} == found

    def test_says_what_it_is_narrowed_to_and_how_to_widen(self, teacher: Client) -> None:
        page = text_of(
            teacher.get(reverse("exercises:exercise_list"), {"limb": "LF", "subdivision": "3"})
        )

        assert "Uses: left foot" in page
        assert 'href="?limb=LF"' in page
        assert "Nothing in the library matches" in page

    def test_answers_htmx_with_the_cards_alone(self, teacher: Client) -> None:
        ExerciseFactory(title="Harbour walk")

        response = teacher.get(reverse("exercises:exercise_list"), {"q": "har"}, headers=HTMX)

        assert "Harbour walk" in text_of(response)
        assert "<html" not in text_of(response)
        assert "HX-Request" in response["Vary"]

    @pytest.mark.parametrize("asked", [{"limb": "tail"}, {"band": "9"}, {"tag": "no such"}])
    def test_refuses_a_choice_it_does_not_have(
        self, teacher: Client, asked: dict[str, str]
    ) -> None:
        response = teacher.get(reverse("exercises:exercise_list"), asked)

        assert response.status_code == 422
        assert "no such choice" in text_of(response)

    @pytest.mark.parametrize("number", ["0", "-1", "99999999999", "x", ""])
    def test_shrugs_off_a_page_that_is_not_there(self, teacher: Client, number: str) -> None:
        assert teacher.get(reverse("exercises:exercise_list"), {"page": number}).status_code == 200

    def test_asks_the_database_no_more_for_twenty_than_for_one(
        self, teacher: Client, django_assert_num_queries: Any
    ) -> None:
        address = reverse("exercises:exercise_list")
        ExerciseFactory().tags.add(TagFactory())
        with django_assert_num_queries(8):
            teacher.get(address)
        for _ in range(19):
            ExerciseFactory().tags.add(TagFactory())

        with django_assert_num_queries(8):
            teacher.get(address)


class TestExerciseCreate:
    def test_keeps_a_typed_figure(self, teacher: Client) -> None:
        response = teacher.post(reverse("exercises:exercise_create"), written(tags="Rock, rock "))

        exercise = Exercise.objects.get()
        assert response.status_code == 302
        assert response["Location"] == reverse("exercises:exercise_detail", args=[exercise.pk])
        assert exercise.title == "Quay steps"
        assert [tag.name for tag in exercise.tags.all()] == ["rock"]

    def test_names_the_twin_that_is_in_the_library(self, teacher: Client) -> None:
        ExerciseFactory(title="Harbour walk")

        response = teacher.post(reverse("exercises:exercise_create"), written(), follow=True)

        assert "the very same figure is there already as harbour walk" in text_of(response).lower()

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ({"typed": "4/4\nRH: x.x. x?x. x.x. x.x."}, "ine 2, column"),
            ({"typed": ""}, "required"),
            ({"typed": "hello"}, "ine 1"),
            ({"typed": "4/4\n" + "RH: x\n" * 9000}, "20000"),
            ({"typed": "4/4\nRH: .... .... .... ...."}, "no strokes yet"),
            (
                {"typed": "4/4\nRH hi-hat-open: x... .... .... ....\nLF: x... .... .... ...."},
                "Nobody could play this",
            ),
            ({"bpm": "0"}, "20 to 400"),
            ({"bpm": "-5"}, "20 to 400"),
            ({"bpm": "1e9"}, "whole number"),
            ({"bpm": "9" * 400}, "20 to 400"),
            ({"kit": "kitchen"}, "valid choice"),
            ({"title": ""}, "required"),
            ({"title": "x" * 500}, "120"),
            ({"title": "bell\x07"}, "ordinary characters"),
            ({"tags": ",".join(f"t{n}" for n in range(30))}, "8 tags"),
            ({"tags": "t" * 80}, "40 letters"),
        ],
    )
    def test_says_at_the_field_what_is_wrong_and_keeps_what_was_typed(
        self, teacher: Client, wrong: dict[str, str], said: str
    ) -> None:
        response = teacher.post(reverse("exercises:exercise_create"), written(**wrong))

        assert response.status_code == 422
        assert said in text_of(response)
        assert not Exercise.objects.exists()
        if "title" not in wrong:
            assert "Quay steps" in text_of(response)

    def test_takes_titles_in_any_script(self, teacher: Client) -> None:
        for title in ("Łódź żółw", "Ρυθμός α", "Órán an tSlé"):
            teacher.post(reverse("exercises:exercise_create"), written(title=title))

        assert Exercise.objects.count() == 3

    def test_shows_it_first_without_keeping_it(self, teacher: Client) -> None:
        response = teacher.post(reverse("exercises:exercise_create"), written(look="1"))

        assert response.status_code == 200
        assert "Top tempo" in text_of(response)
        assert not Exercise.objects.exists()


class TestFigurePreview:
    def test_shows_notation_wheel_grade_and_top_tempo(self, teacher: Client) -> None:
        page = text_of(teacher.post(reverse("exercises:figure_preview"), written()))

        assert page.count("<svg") == 2
        assert 'id="draft-RH-0"' in page, "the editor's player lights these"
        assert "Top tempo" in page
        assert "<html" not in page

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ({"typed": "4/4\nRH: x.x."}, "ine 2"),
            ({"typed": "4/4\nRH: .... .... .... ...."}, "No strokes yet"),
            (
                {"typed": "4/4\nRH hi-hat-open: x... .... .... ....\nLF: x... .... .... ...."},
                "Nobody",
            ),
            ({"bpm": "x"}, "whole number"),
        ],
    )
    def test_says_why_it_cannot_be_read_or_played(
        self, teacher: Client, wrong: dict[str, str], said: str
    ) -> None:
        response = teacher.post(reverse("exercises:figure_preview"), written(**wrong))

        assert response.status_code == 200
        assert said in text_of(response)


class TestExerciseDetail:
    def test_shows_music_words_grade_in_parts_and_top_tempo(self, teacher: Client) -> None:
        exercise = ExerciseFactory()

        page = text_of(teacher.get(reverse("exercises:exercise_detail", args=[exercise.pk])))

        assert "held back by:" in page
        assert page.count('class="part-bar"') >= 3
        assert "1: " in page  # the figure in words
        assert 'data-player="full"' in page
        assert "style=" not in page

    def test_puts_sticking_and_counting_under_the_notes_when_asked(self, teacher: Client) -> None:
        address = reverse("exercises:exercise_detail", args=[ExerciseFactory().pk])

        plain = text_of(teacher.get(address))
        marked = text_of(teacher.get(address, {"sticking": "1"}))

        assert "?sticking=1" in plain
        assert len(marked) > len(plain)

    def test_is_not_there_for_a_wrong_number(self, teacher: Client) -> None:
        assert teacher.get(reverse("exercises:exercise_detail", args=[999])).status_code == 404


class TestExerciseEdit:
    def test_keeps_a_new_exercise_where_a_student_has_the_old(self, teacher: Client) -> None:
        assignment = AssignmentFactory()
        address = reverse("exercises:exercise_edit", args=[assignment.exercise_id])

        warned = text_of(teacher.get(address))
        response = teacher.post(address, written(typed=WITH_FOOT), follow=True)

        assert "A student has this figure" in warned
        assert "is kept as a new exercise" in text_of(response)
        assert Exercise.objects.count() == 2

    def test_shows_what_is_kept_in_its_typed_form(self, teacher: Client) -> None:
        exercise = ExerciseFactory()

        page = text_of(teacher.get(reverse("exercises:exercise_edit", args=[exercise.pk])))

        assert "RF bass-drum:" in page


class TestArchive:
    def test_puts_away_and_back(self, teacher: Client) -> None:
        exercise = ExerciseFactory()
        address = reverse("exercises:exercise_archive", args=[exercise.pk])

        teacher.post(address)
        exercise.refresh_from_db()
        assert exercise.is_archived

        teacher.post(address, {"put": "back"})
        exercise.refresh_from_db()
        assert not exercise.is_archived
