"""R and L wherever the notes alone do not tell the hands apart, unless somebody says otherwise."""

from __future__ import annotations

import re
from html import unescape
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from lxml import etree
from pypdf import PdfReader

from exercises.models import Exercise
from exercises.rhythm.library import BY_SLUG
from studio.local_time import monday_of
from tests.factories.exercises import (
    AssignmentFactory,
    ExerciseFactory,
    LadderFactory,
    LadderStepFactory,
)
from tests.factories.studio import StudentFactory, StudioFactory, TeacherFactory, UserFactory

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
PARADIDDLE = BY_SLUG["rudiment-16-single-paradiddle"].figure


@pytest.fixture
def exercise() -> Exercise:
    StudioFactory()
    made: Exercise = ExerciseFactory(figure=PARADIDDLE, title="Single paradiddle")
    return made


@pytest.fixture
def teacher(client: Client, exercise: Exercise) -> Client:
    client.force_login(TeacherFactory(), backend=BACKEND)
    return client


def letters(response: Any) -> set[str]:
    """What is written under the notes of a page's engravings."""
    page = response.content.decode()
    drawn = " ".join(re.findall(r'<svg[^>]*class="music.*?</svg>', page, re.S))
    return set(re.findall(r">\s*([RL])\s*<", drawn))


def test_on_the_exercise_page_and_it_can_be_switched_off(
    teacher: Client, exercise: Exercise
) -> None:
    address = reverse("exercises:exercise_detail", args=[exercise.pk])

    assert letters(teacher.get(address)) == {"R", "L"}
    assert letters(teacher.get(address, {"sticking": "0"})) == set()
    assert "?sticking=0" in teacher.get(address).content.decode()


def test_as_a_fragment_for_another_width(teacher: Client, exercise: Exercise) -> None:
    address = reverse("exercises:exercise_notation", args=[exercise.pk])

    assert letters(teacher.get(address, {"width": 360})) == {"R", "L"}


def test_on_ladders_and_spreads(teacher: Client, exercise: Exercise) -> None:
    ladder = LadderFactory(core=exercise)
    LadderStepFactory(ladder=ladder, position=1, exercise=exercise)

    kept = teacher.get(reverse("exercises:ladder_detail", args=[ladder.pk]))
    spread = teacher.get(reverse("exercises:spread_show", args=[exercise.pk]), {"n": 2})

    assert letters(kept) == {"R", "L"}
    assert letters(spread) == {"R", "L"}


def test_on_branches(teacher: Client, exercise: Exercise) -> None:
    page = teacher.get(reverse("exercises:branch_list", args=[exercise.pk])).content.decode()
    address = re.search(r'data-notation-src="([^"]+move=[^"]+)"', page)

    assert address, "a branch has no notation to open"
    assert letters(teacher.get(unescape(address[1]))) == {"R", "L"}


def test_in_musicxml_turned_round_and_switched_off(teacher: Client, exercise: Exercise) -> None:
    address = reverse("exercises:exercise_musicxml", args=[exercise.pk])

    assert written(teacher.get(address)) == "RLRRLRLL" * 2
    assert written(teacher.get(address, {"mirror": "1"})) == "LRLLRLRR" * 2
    assert written(teacher.get(address, {"sticking": "0"})) == ""


def written(answer: Any) -> str:
    score = etree.fromstring(b"".join(answer.streaming_content))
    return "".join(text.text or "" for text in score.iterfind(".//lyric/text"))


def test_on_paper(teacher: Client, exercise: Exercise) -> None:
    answer = teacher.get(reverse("exercises:exercise_sheet", args=[exercise.pk]))

    words = PdfReader(BytesIO(b"".join(answer.streaming_content))).pages[0].extract_text()  # type: ignore[attr-defined]
    assert {"R", "L"} <= set(words.split())


def test_in_the_students_week(client: Client, exercise: Exercise) -> None:
    work = AssignmentFactory(
        student=StudentFactory(user=UserFactory()),
        exercise=exercise,
        week_date=monday_of(timezone.localdate()),
    )
    client.force_login(work.student.user, backend=BACKEND)

    assert letters(client.get(reverse("exercises:my_week"))) == {"R", "L"}


def test_the_left_handed_view_turns_the_figure_round(teacher: Client, exercise: Exercise) -> None:
    address = reverse("exercises:exercise_detail", args=[exercise.pk])

    usual, turned = teacher.get(address), teacher.get(address, {"mirror": "1"})

    first = exercise.figure.strokes[0].limb
    assert usual.context["sheet"].figure.strokes[0].limb is first
    assert turned.context["sheet"].figure.strokes[0].limb is first.other_side
    assert turned.context["sheet"].grade.total == usual.context["sheet"].grade.total
    assert "mirror=1" in turned.content.decode()
    for picture in ("notation", "wheel", "lanes_wide", "lanes_narrow", "sound"):
        seen = (getattr(page.context["sheet"], picture) for page in (usual, turned))
        assert next(seen) != next(seen), picture
