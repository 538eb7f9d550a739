"""Who may ask the engraver for variants, and downloads that say which hand plays."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from lxml import etree

from exercises.rhythm.hands import needs_sticking
from exercises.rhythm.library import CORES
from tests.exercises.test_views_variants import BACKEND, a_code
from tests.factories.exercises import AssignmentFactory, ExerciseFactory
from tests.factories.studio import StudentFactory, StudioFactory, TeacherFactory, UserFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", ["exercise_notation", "exercise_playback"])
def test_a_student_sees_the_figure_but_no_variants(client: Client, name: str) -> None:
    StudioFactory()
    user = UserFactory(role="student")
    assignment = AssignmentFactory(student=StudentFactory(user=user))
    client.force_login(user, backend=BACKEND)
    address = reverse(f"exercises:{name}", args=[assignment.exercise.pk])

    assert client.get(address).status_code == 200
    assert client.get(address, {"move": a_code(assignment.exercise)}).status_code == 403


def test_musicxml_carries_hands_unasked_where_the_notes_do_not_tell(client: Client) -> None:
    figure = next(core.figure for core in CORES if needs_sticking(core.figure))
    StudioFactory()
    client.force_login(TeacherFactory(), backend=BACKEND)
    exercise = ExerciseFactory(figure=figure)

    response = client.get(reverse("exercises:exercise_musicxml", args=[exercise.pk]))

    score = etree.fromstring(b"".join(response.streaming_content))  # type: ignore[attr-defined]
    assert {"R", "L"} <= {text.text for text in score.iter("text")}
