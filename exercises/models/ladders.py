"""Ladders that were worth keeping."""

from __future__ import annotations

from typing import Self

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q

from exercises.models.library import Exercise
from studio.models import User


class LadderQuerySet(models.QuerySet["Ladder"]):
    """Saved ladders."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher; a family meets the steps as assignments, never the ladder."""
        return self if isinstance(user, User) and user.is_teacher else self.none()

    def current(self) -> Self:
        """Those that are not put away."""
        return self.filter(is_archived=False)

    def newest_first(self) -> Self:
        """The latest on top."""
        return self.order_by("-created_at", "-pk")


class LadderKind(models.TextChoices):
    """How its steps belong together."""

    LADDER = "ladder", "ladder"
    SPREAD = "spread", "spread"


class Ladder(models.Model):
    """A way from a core figure to a target, one change at a time.

    A spread is kept in the same rows: variants of one core that climb evenly and differ, each
    step's change told from the core.
    """

    kind = models.CharField(max_length=6, choices=LadderKind.choices, default=LadderKind.LADDER)
    title = models.CharField(max_length=120)
    core = models.ForeignKey(Exercise, on_delete=models.PROTECT, related_name="ladders_from")
    target = models.ForeignKey(Exercise, on_delete=models.PROTECT, related_name="ladders_to")
    is_archived = models.BooleanField(default=False)
    created_at = models.DateTimeField()

    objects = LadderQuerySet.as_manager()

    class Meta:
        constraints = [models.CheckConstraint(condition=~Q(title=""), name="ladder_titled")]

    def __str__(self) -> str:
        return self.title


class LadderStep(models.Model):
    """One rung: a figure, and the change in words that leads to it from the rung below."""

    ladder = models.ForeignKey(Ladder, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    exercise = models.ForeignKey(Exercise, on_delete=models.PROTECT, related_name="ladder_steps")
    change = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["ladder", "position"], name="ladder_step_once"),
            models.CheckConstraint(condition=Q(position__gte=1), name="ladder_step_from_one"),
        ]

    def __str__(self) -> str:
        return f"step {self.position}"
