"""The library's and the practice book's rows."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import uuid4

import factory
from factory.django import DjangoModelFactory

from exercises.models import Assignment, Exercise, Ladder, LadderStep, PracticeLog, Tag
from exercises.rhythm.record import content_hash, to_record
from exercises.rhythm.typed import read_typed
from exercises.services.library import searched_columns
from tests.factories.studio import StudentFactory

NOON = datetime(2026, 9, 7, 11, 0, tzinfo=UTC)
A_MONDAY = date(2026, 9, 7)

BACKBEAT = """4/4
RH hi-hat:    x.x. x.x. x.x. x.x.
LH snare:     .... x... .... x...
RF bass-drum: x... .... x.x. ....
"""
WITH_FOOT = BACKBEAT + "LF hi-hat-foot: x... x... x... x...\n"


class TagFactory(DjangoModelFactory):
    class Meta:
        model = Tag
        django_get_or_create = ("name",)

    name = factory.Sequence(lambda n: f"tag {n}")


class ExerciseFactory(DjangoModelFactory):
    """An exercise from its ``typed`` form; its grade is given, not reckoned."""

    class Meta:
        model = Exercise

    class Params:
        typed = BACKBEAT
        figure = factory.LazyAttribute(lambda o: read_typed(o.typed, title=o.title))

    title = factory.Sequence(lambda n: f"Figure {n}")
    record = factory.LazyAttribute(lambda o: to_record(o.figure))
    content_hash = factory.LazyAttribute(lambda o: content_hash(o.figure))
    limbs = factory.LazyAttribute(lambda o: searched_columns(o.figure)["limbs"])
    surfaces = factory.LazyAttribute(lambda o: searched_columns(o.figure)["surfaces"])
    subdivisions = factory.LazyAttribute(lambda o: searched_columns(o.figure)["subdivisions"])
    meter = factory.LazyAttribute(lambda o: searched_columns(o.figure)["meter"])
    bpm = 84
    grade = Decimal("3.20")
    created_at = NOON


class LadderFactory(DjangoModelFactory):
    class Meta:
        model = Ladder

    title = factory.Sequence(lambda n: f"Ladder {n}")
    core = factory.SubFactory(ExerciseFactory)
    target = factory.SubFactory(ExerciseFactory, typed=WITH_FOOT)
    created_at = NOON


class LadderStepFactory(DjangoModelFactory):
    class Meta:
        model = LadderStep

    ladder = factory.SubFactory(LadderFactory)
    position = factory.Sequence(lambda n: n + 1)
    exercise = factory.SubFactory(ExerciseFactory)


class AssignmentFactory(DjangoModelFactory):
    class Meta:
        model = Assignment

    student = factory.SubFactory(StudentFactory)
    exercise = factory.SubFactory(ExerciseFactory)
    week_date = A_MONDAY
    start_bpm = 60
    goal_bpm = 84
    minutes_per_day = 8
    created_at = NOON


class PracticeLogFactory(DjangoModelFactory):
    class Meta:
        model = PracticeLog

    assignment = factory.SubFactory(AssignmentFactory)
    practised_date = A_MONDAY
    minutes = 10
    token = factory.LazyFunction(uuid4)
    created_at = NOON
