"""Comparing two figures, and the spread."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from exercises.models import Exercise, Ladder, LadderKind
from exercises.rhythm.moves import menu, to_code
from tests.factories.exercises import ExerciseFactory
from tests.factories.studio import TeacherFactory

pytestmark = pytest.mark.django_db
SIGN_IN = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def teacher() -> Client:
    client = Client()
    client.force_login(TeacherFactory(), backend=SIGN_IN)
    return client


def text_of(response: Any) -> str:
    return " ".join(response.content.decode().split())


class TestCompare:
    def test_asks_for_the_first_then_the_second(self, teacher: Client) -> None:
        one = ExerciseFactory(title="Harbour walk")
        other = ExerciseFactory(title="Quay steps")

        first = text_of(teacher.get(reverse("exercises:compare")))
        second = text_of(teacher.get(reverse("exercises:compare"), {"exercise": one.pk}))

        assert f"exercise={one.pk}" in first
        assert f"exercise={one.pk}&amp;exercise={other.pk}" in second
        assert f"exercise={one.pk}&amp;exercise={one.pk}" not in second

    def test_shows_strokes_and_parts(self, teacher: Client) -> None:
        one = ExerciseFactory(title="Harbour walk")
        other = ExerciseFactory(
            title="Quay steps",
            typed="4/4\nRH: x.x. x.x. x.x. x.x.\nLH: . x . x\nRF: x .x x .",
        )

        page = text_of(teacher.get(reverse("exercises:compare"), {"exercise": [one.pk, other.pk]}))

        assert "right foot: 1 more on the bass drum (beat 2 &amp;)" in page
        assert "Where the difficulty comes from" in page
        assert 'class="parts-compared"' in page
        assert page.count('<h2 id="side-') == 2

    def test_compares_a_figure_with_its_variant(self, teacher: Client) -> None:
        one = ExerciseFactory(title="Harbour walk")
        code = to_code(menu(one.figure, one.played_on)[0])

        page = text_of(
            teacher.get(reverse("exercises:compare"), {"exercise": one.pk, "move": code})
        )

        assert "Played otherwise" in page
        assert "Every limb does the same" not in page

    @pytest.mark.parametrize(
        "asked",
        [
            {"exercise": "x"},
            {"exercise": ["1", "2", "3"]},
            {"exercise": "9" * 40},
            {"exercise": ["1", "2"], "bpm": "0"},
            {"exercise": "1", "move": "a" * 300},
        ],
    )
    def test_refuses_junk_in_words(self, teacher: Client, asked: dict[str, Any]) -> None:
        for pk in (1, 2):
            ExerciseFactory(pk=pk)

        assert teacher.get(reverse("exercises:compare"), asked).status_code in (400, 422)

    def test_an_exercise_that_is_not_there_is_not_found(self, teacher: Client) -> None:
        assert teacher.get(reverse("exercises:compare"), {"exercise": 99}).status_code == 404


def test_the_exercise_page_shows_the_parts_as_a_picture_with_words(teacher: Client) -> None:
    one = ExerciseFactory(title="Harbour walk")

    page = text_of(teacher.get(reverse("exercises:exercise_detail", args=[one.pk])))

    assert page.count('class="parts-strip"') == 1
    assert "Grade in parts: " in page


class TestSpread:
    def test_climbs_and_says_how_many(self, teacher: Client) -> None:
        core = ExerciseFactory(title="Harbour walk", grade="2.00")

        page = text_of(teacher.get(reverse("exercises:spread_show", args=[core.pk]), {"n": 4}))

        assert page.count('class="leaf rung"') == 5
        assert "Keep all of them" in page

    def test_keeps_every_variant_as_a_spread(self, teacher: Client) -> None:
        core = ExerciseFactory(title="Harbour walk", grade="2.00")

        address = reverse("exercises:spread_save", args=[core.pk]) + "?n=3"
        teacher.post(address)

        kept = Ladder.objects.get()
        assert kept.kind == LadderKind.SPREAD
        assert kept.steps.count() == 4
        assert Exercise.objects.filter(core=core).count() == 3
        assert "kept spread" in text_of(
            teacher.get(reverse("exercises:ladder_detail", args=[kept.pk]))
        )

    def test_prints_one_sheet(self, teacher: Client) -> None:
        core = ExerciseFactory(title="Harbour walk", grade="2.00")

        answer = teacher.get(reverse("exercises:spread_sheet", args=[core.pk]), {"n": 2})

        assert b"".join(answer.streaming_content).startswith(b"%PDF")  # type: ignore[attr-defined]

    @pytest.mark.parametrize("count", ["1", "17", "-1", "x", "9" * 30])
    def test_refuses_other_numbers(self, teacher: Client, count: str) -> None:
        core = ExerciseFactory()

        answer = teacher.get(reverse("exercises:spread_show", args=[core.pk]), {"n": count})

        assert answer.status_code == 400
