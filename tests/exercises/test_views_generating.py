"""The page that makes figures from numbers."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from exercises.models import Exercise
from exercises.views.generating import STARTS
from tests.factories.studio import TeacherFactory

pytestmark = pytest.mark.django_db
GOOD = {"meter": "3/4", "bars": "1", "bpm": "80", "kit": "five_piece"}


@pytest.fixture
def teacher() -> Client:
    client = Client()
    client.force_login(
        TeacherFactory(), backend="allauth.account.auth_backends.AuthenticationBackend"
    )
    return client


def get(teacher: Client, **fields: Any) -> Any:
    return teacher.get(reverse("exercises:generate"), {**GOOD, **fields})


def test_every_start_makes_a_figure(teacher: Client) -> None:
    page = teacher.get(reverse("exercises:generate")).content.decode()
    assert "3 against 2" in page
    for _, fields in STARTS:
        answer = get(teacher, **{"meter": "4/4", **fields})
        assert answer.status_code == 200
        assert "Take it into the lanes" in answer.content.decode()


def test_what_is_made_can_be_kept(teacher: Client) -> None:
    page = get(teacher, RH_strokes=3, LH_strokes=2)
    sheet = page.context["sheet"]

    teacher.post(
        reverse("exercises:exercise_create"),
        {
            "title": "3 against 2",
            "bpm": "80",
            "kit": "five_piece",
            "typed": page.context["typed"],
            "tags": "from numbers",
        },
    )

    kept = Exercise.objects.get()
    assert kept.figure == sheet.figure
    assert [tag.name for tag in kept.tags.all()] == ["from numbers"]


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"RH_strokes": "x"},
        {"RH_strokes": "9" * 300},
        {"RH_strokes": "11"},
        {"RH_strokes": "4", "RH_steps": "3"},
        {"RH_strokes": "3", "RH_surface": "bass_drum"},
        {"RH_strokes": "3", "meter": "99/8"},
        {"RH_strokes": "3", "bpm": "0"},
        {"RH_strokes": "3", "bars": "1000"},
    ],
)
def test_senseless_numbers_are_answered_in_words(teacher: Client, fields: dict[str, str]) -> None:
    answer = get(teacher, **fields)

    assert answer.status_code == 422
    assert "No figure comes of" in answer.content.decode() or "errors" in answer.content.decode()
