"""A student's week of work, and what came of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Self

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from exercises.models.library import Exercise
from exercises.models.limits import (
    LEAST_BPM,
    LEAST_MINUTES,
    MOST_BPM,
    MOST_MINUTES,
    MOST_MINUTES_A_DAY_ASKED,
)
from studio.models import Student, User

BPM_RANGE = [MinValueValidator(LEAST_BPM), MaxValueValidator(MOST_BPM)]


class AssignmentQuerySet(models.QuerySet["Assignment"]):
    """What was set for students."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; for a family what was set for its own students and still stands."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        theirs = Student.objects.visible_to(user)
        return self.standing().filter(student__in=theirs.values("pk"))

    def standing(self) -> Self:
        """Those that were not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)

    def in_week_of(self, monday: date) -> Self:
        """Those of one week."""
        return self.filter(week_date=monday)

    def in_order(self) -> Self:
        """In the order in which they are to be practised."""
        return self.order_by("position", "pk")


class Assignment(models.Model):
    """One figure for one student for one week, with a tempo to start from and one to reach."""

    student = models.ForeignKey(Student, on_delete=models.PROTECT, related_name="assignments")
    exercise = models.ForeignKey(Exercise, on_delete=models.PROTECT, related_name="assignments")
    week_date = models.DateField("week", help_text="The Monday of the week.", db_index=True)
    position = models.PositiveSmallIntegerField(default=1)
    start_bpm = models.PositiveSmallIntegerField("start tempo", validators=BPM_RANGE)
    goal_bpm = models.PositiveSmallIntegerField("goal tempo", validators=BPM_RANGE)
    minutes_per_day = models.PositiveSmallIntegerField(
        "minutes a day",
        validators=[
            MinValueValidator(LEAST_MINUTES),
            MaxValueValidator(MOST_MINUTES_A_DAY_ASKED),
        ],
    )
    note = models.CharField("note for the student", max_length=500, blank=True)
    lesson = models.ForeignKey(
        "lessons.Lesson",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="assignments",
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField()

    objects = AssignmentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(start_bpm__range=(LEAST_BPM, MOST_BPM))
                & Q(goal_bpm__range=(LEAST_BPM, MOST_BPM)),
                name="assignment_tempos_sensible",
            ),
            models.CheckConstraint(
                condition=Q(start_bpm__lte=F("goal_bpm")), name="assignment_starts_below_goal"
            ),
            models.CheckConstraint(
                condition=Q(minutes_per_day__range=(LEAST_MINUTES, MOST_MINUTES_A_DAY_ASKED)),
                name="assignment_minutes_sensible",
            ),
            models.UniqueConstraint(
                fields=["student", "exercise", "week_date"],
                condition=Q(withdrawn_at__isnull=True),
                name="assignment_once_a_week",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.exercise} for {self.student}, week of {self.week_date:%-d %B %Y}"

    def clean(self) -> None:
        """Refuse a week that does not begin on a Monday."""
        if self.week_date is not None and self.week_date.weekday() != 0:
            raise ValidationError({"week_date": "A week of work begins on a Monday."})

    @property
    def last_date(self) -> date:
        """The Sunday of the week."""
        return self.week_date + timedelta(days=6)

    @property
    def is_withdrawn(self) -> bool:
        """True when the teacher took it back."""
        return self.withdrawn_at is not None


class Felt(models.TextChoices):
    """How practising felt, in the words of somebody ten years old."""

    EASY = "easy", "Easy"
    GOOD = "good", "Just right"
    HARD = "hard", "Hard work"
    STUCK = "stuck", "I got stuck"


class PracticeLogQuerySet(models.QuerySet["PracticeLog"]):
    """What students wrote down."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; for a family its own students'."""
        if not isinstance(user, User):
            return self.none()
        if user.is_teacher:
            return self
        theirs = Student.objects.visible_to(user)
        return self.filter(assignment__student__in=theirs.values("pk"))

    def in_order(self) -> Self:
        """By the day on which it was practised."""
        return self.order_by("practised_date", "created_at", "pk")


class PracticeLog(models.Model):
    """Minutes at the kit on one day, with the cleanest tempo reached.

    ``token`` comes from the form: the same form sent twice (a double press, a reload) is one log.
    """

    assignment = models.ForeignKey(Assignment, on_delete=models.PROTECT, related_name="logs")
    practised_date = models.DateField("day", db_index=True)
    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(LEAST_MINUTES), MaxValueValidator(MOST_MINUTES)]
    )
    clean_bpm = models.PositiveSmallIntegerField(
        "cleanest tempo", null=True, blank=True, validators=BPM_RANGE
    )
    felt = models.CharField("how it felt", max_length=5, choices=Felt.choices, blank=True)
    token = models.UUIDField(unique=True)
    created_at = models.DateTimeField()

    objects = PracticeLogQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__range=(LEAST_MINUTES, MOST_MINUTES)),
                name="practice_minutes_sensible",
            ),
            models.CheckConstraint(
                condition=Q(clean_bpm__isnull=True) | Q(clean_bpm__range=(LEAST_BPM, MOST_BPM)),
                name="practice_tempo_sensible",
            ),
            models.CheckConstraint(
                condition=Q(felt="") | Q(felt__in=Felt.values), name="practice_felt_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} minutes on {self.practised_date:%-d %B %Y}"
