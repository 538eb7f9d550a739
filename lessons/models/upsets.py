"""What upset a day or a few: many lessons changed in one press, and how to take it back."""

from __future__ import annotations

from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import F, Q

from studio.models import User


class UpsetKind(models.TextChoices):
    """What is done about it."""

    AWAY = "away", "Lessons called off"
    ONLINE = "online", "Home visits online"
    LATE = "late", "Running late"


class UpsetQuerySet(models.QuerySet["Upset"]):
    """Upsets."""

    def newest_first(self) -> Self:
        """Latest press first."""
        return self.order_by("-at", "-pk")


class Upset(models.Model):
    """One press that changed several lessons and told each family once.

    Messages wait until ``tells_at``; until then everything can be taken back in silence.
    """

    kind = models.CharField(max_length=10, choices=UpsetKind.choices)
    reason = models.CharField(max_length=200, blank=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    first_date = models.DateField()
    last_date = models.DateField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tells_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)
    apology_at = models.DateTimeField(null=True, blank=True)
    # One form, one upset, however often it is sent.
    press = models.CharField(max_length=40, unique=True)

    objects = UpsetQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=UpsetKind.values), name="upset_kind_known"),
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")), name="upset_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.first_date}"

    def is_quiet(self, now: datetime) -> bool:
        """Return True while no message can have gone."""
        return self.undone_at is None and now < self.tells_at


class UpsetLesson(models.Model):
    """One lesson that an upset changed, and how it was before and after."""

    upset = models.ForeignKey(Upset, on_delete=models.CASCADE, related_name="changes")
    lesson = models.ForeignKey("lessons.Lesson", on_delete=models.PROTECT, related_name="upsets")
    before_starts_at = models.DateTimeField()
    before_place = models.ForeignKey("studio.Place", on_delete=models.PROTECT, related_name="+")
    before_moved_from = models.DateTimeField(null=True, blank=True)
    before_road_reason = models.CharField(max_length=200, blank=True)
    after_starts_at = models.DateTimeField()
    declined_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["upset", "lesson"], name="lesson_once_in_an_upset"),
        ]

    def __str__(self) -> str:
        return f"lesson {self.lesson_id} in upset {self.upset_id}"
