"""Work that takes longer than a request may: what was asked, how far it is, what came of it."""

from __future__ import annotations

from typing import Self

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q

from studio.models.accounts import User


class WorkState(models.TextChoices):
    """How far it has come."""

    WAITING = "waiting", "waiting its turn"
    WORKING = "working", "being done"
    DONE = "done", "done"
    FAILED = "failed", "not done"
    STOPPED = "stopped", "stopped"


ACTIVE = (WorkState.WAITING, WorkState.WORKING)


class LongWorkQuerySet(models.QuerySet["LongWork"]):
    """Long work."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """Whoever asked for it, and nobody else."""
        return self.filter(asked_by=user) if isinstance(user, User) else self.none()

    def active(self) -> Self:
        """What waits or is being done."""
        return self.filter(state__in=ACTIVE)

    def in_turn(self) -> Self:
        """In the order in which it was asked for."""
        return self.order_by("asked_at", "pk")


class LongWork(models.Model):
    """One piece of long work. ``kind`` names the function that does it (studio.long_work).

    ``beat_at`` is the sign of life of the process that does it; ``file`` lies below the data
    folder under a name that cannot be guessed.
    """

    kind = models.CharField(max_length=40)
    title = models.CharField(max_length=160)
    parameters = models.JSONField(default=dict)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="long_work")
    asked_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=WorkState.choices, default=WorkState.WAITING)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    words = models.CharField(max_length=200, blank=True)
    begun_at = models.DateTimeField(null=True, blank=True)
    beat_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    is_to_stop = models.BooleanField(default=False)
    result = models.JSONField(default=dict, blank=True)
    address = models.CharField(max_length=200, blank=True)
    file_name = models.CharField(max_length=160, blank=True)
    content_type = models.CharField(max_length=80, blank=True)
    file = models.CharField(max_length=200, blank=True)
    error = models.CharField(max_length=500, blank=True)

    objects = LongWorkQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "long work"
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=WorkState.values), name="long_work_state_known"
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_active(self) -> bool:
        """True while it waits or is being done."""
        return self.state in ACTIVE

    @property
    def is_done(self) -> bool:
        """True when it came to its end."""
        return self.state == WorkState.DONE

    @property
    def can_begin_again(self) -> bool:
        """True when it ended without a result."""
        return self.state in (WorkState.FAILED, WorkState.STOPPED)
