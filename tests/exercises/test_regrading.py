"""Stored grades are reckoned again at every start, and a damaged row does not keep it shut."""

from __future__ import annotations

from decimal import Decimal

import pytest

from exercises.models import Exercise
from exercises.services.library import exercises_regrade
from tests.factories.exercises import ExerciseFactory

pytestmark = pytest.mark.django_db


def test_only_what_is_out_of_date_is_written() -> None:
    stale, right = ExerciseFactory(), ExerciseFactory()
    exercises_regrade()
    was = Exercise.objects.get(pk=stale.pk).grade
    Exercise.objects.filter(pk=stale.pk).update(grade=Decimal("9.99"), meter="13/8")

    assert exercises_regrade() == 1

    again = Exercise.objects.get(pk=stale.pk)
    assert (again.grade, again.meter) == (was, Exercise.objects.get(pk=right.pk).meter)
    assert exercises_regrade() == 0


def test_a_damaged_record_is_passed_over_and_named(caplog: pytest.LogCaptureFixture) -> None:
    broken, stale = ExerciseFactory(), ExerciseFactory()
    exercises_regrade()
    Exercise.objects.filter(pk=broken.pk).update(record={"meter": "none"})
    Exercise.objects.filter(pk=stale.pk).update(grade=Decimal("9.99"))

    assert exercises_regrade() == 1
    assert f"Exercise {broken.pk} cannot be read" in caplog.text
