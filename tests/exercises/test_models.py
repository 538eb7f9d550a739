"""What the database itself refuses, and who may see what."""

from __future__ import annotations

from datetime import date

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from exercises.models import Assignment, Exercise, Felt, KitChoice, Ladder, PracticeLog
from exercises.rhythm.kit import KITS
from exercises.rhythm.limbs import Limb
from exercises.rhythm.typed import read_typed
from studio.models import Role
from tests.factories.exercises import (
    BACKBEAT,
    NOON,
    WITH_FOOT,
    AssignmentFactory,
    ExerciseFactory,
    LadderFactory,
    LadderStepFactory,
    PracticeLogFactory,
    TagFactory,
)
from tests.factories.studio import (
    AdultFactory,
    StudentFactory,
    TeacherFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


class TestExercise:
    def test_gives_back_the_figure_that_was_kept(self) -> None:
        exercise = ExerciseFactory(title="Harbour walk")

        again = Exercise.objects.get(pk=exercise.pk)

        assert again.figure == read_typed(BACKBEAT)
        assert again.figure.title == "Harbour walk"

    def test_offers_the_engines_own_kits(self) -> None:
        assert set(KitChoice.values) <= set(KITS)

    @pytest.mark.parametrize(
        "wrong",
        [
            {"bpm": 19},
            {"bpm": 401},
            {"grade": "0.90"},
            {"grade": "10.10"},
            {"kit": "kitchen"},
            {"title": ""},
        ],
    )
    def test_is_refused_by_the_database_when_senseless(self, wrong: dict[str, object]) -> None:
        with pytest.raises(IntegrityError), transaction.atomic():
            ExerciseFactory(**wrong)

    def test_cannot_be_deleted_while_a_student_has_it(self) -> None:
        assignment = AssignmentFactory()

        with pytest.raises(ProtectedError):
            assignment.exercise.delete()

    def test_is_found_by_every_word_of_title_and_tag(self) -> None:
        walk = ExerciseFactory(title="Harbour walk")
        walk.tags.add(TagFactory(name="left hand"))
        ExerciseFactory(title="Harbour lights")

        assert list(Exercise.objects.titled_like("harbour left")) == [walk]
        assert Exercise.objects.titled_like("harbour").count() == 2
        assert not Exercise.objects.titled_like("100%").exists()

    def test_is_found_by_limb(self) -> None:
        three = ExerciseFactory()
        four = ExerciseFactory(typed=WITH_FOOT)

        assert list(Exercise.objects.played_by(Limb.LF)) == [four]
        assert set(Exercise.objects.played_by(Limb.RH)) == {three, four}

    def test_is_seen_by_those_it_is_set_for(self) -> None:
        assignment = AssignmentFactory(student__user=UserFactory())
        other = ExerciseFactory()
        parent = AdultFactory(family=assignment.student.family, user=UserFactory(role=Role.PARENT))
        stranger = UserFactory()

        def seen(user: object) -> set[Exercise]:
            return set(Exercise.objects.visible_to(user))  # type: ignore[arg-type]

        assert seen(assignment.student.user) == {assignment.exercise}
        assert seen(parent.user) == {assignment.exercise}
        assert seen(stranger) == set()
        assert seen(AnonymousUser()) == set()
        assert seen(TeacherFactory()) == {assignment.exercise, other}

    def test_is_not_seen_once_it_is_withdrawn(self) -> None:
        assignment = AssignmentFactory(student__user=UserFactory(), withdrawn_at=NOON)

        assert not Exercise.objects.visible_to(assignment.student.user).exists()


class TestLadder:
    def test_has_one_step_to_a_position(self) -> None:
        step = LadderStepFactory(position=1)

        with pytest.raises(IntegrityError), transaction.atomic():
            LadderStepFactory(ladder=step.ladder, position=1)

    def test_is_the_teachers_alone(self) -> None:
        ladder = LadderFactory()

        assert list(Ladder.objects.visible_to(TeacherFactory())) == [ladder]
        assert not Ladder.objects.visible_to(UserFactory()).exists()


class TestAssignment:
    @pytest.mark.parametrize(
        "wrong",
        [
            {"start_bpm": 19},
            {"goal_bpm": 401},
            {"start_bpm": 90, "goal_bpm": 84},
            {"minutes_per_day": 0},
            {"minutes_per_day": 181},
        ],
    )
    def test_is_refused_by_the_database_when_senseless(self, wrong: dict[str, int]) -> None:
        with pytest.raises(IntegrityError), transaction.atomic():
            AssignmentFactory(**wrong)

    def test_stands_once_for_a_student_an_exercise_and_a_week(self) -> None:
        first = AssignmentFactory()
        same = {"student": first.student, "exercise": first.exercise}

        with pytest.raises(IntegrityError), transaction.atomic():
            AssignmentFactory(**same)
        Assignment.objects.filter(pk=first.pk).update(withdrawn_at=NOON)

        assert AssignmentFactory(**same).pk != first.pk

    def test_begins_on_a_monday(self) -> None:
        assignment = AssignmentFactory.build(week_date=date(2026, 9, 8))

        with pytest.raises(ValidationError, match="begins on a Monday"):
            assignment.clean()


class TestPracticeLog:
    @pytest.mark.parametrize(
        "wrong", [{"minutes": 0}, {"minutes": 601}, {"clean_bpm": 19}, {"felt": "fine"}]
    )
    def test_is_refused_by_the_database_when_senseless(self, wrong: dict[str, object]) -> None:
        with pytest.raises(IntegrityError), transaction.atomic():
            PracticeLogFactory(**wrong)

    def test_is_counted_once_by_its_token(self) -> None:
        log = PracticeLogFactory(felt=Felt.HARD)

        with pytest.raises(IntegrityError), transaction.atomic():
            PracticeLogFactory(assignment=log.assignment, token=log.token)

    def test_is_seen_by_the_family_alone(self) -> None:
        log = PracticeLogFactory(assignment__student__user=UserFactory())
        stranger = StudentFactory(user=UserFactory())

        assert list(PracticeLog.objects.visible_to(log.assignment.student.user)) == [log]
        assert not PracticeLog.objects.visible_to(stranger.user).exists()
        assert not PracticeLog.objects.visible_to(AnonymousUser()).exists()
