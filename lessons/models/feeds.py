"""The secret addresses at which calendars elsewhere read the lessons."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from django.db import models
from django.db.models import Q

from studio.models import Family, User

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser


class CalendarFeedQuerySet(models.QuerySet["CalendarFeed"]):
    """Calendars."""

    def visible_to(self, user: User | AnonymousUser) -> Self:
        """All for the teacher, their own family's for its adults."""
        if isinstance(user, User) and user.is_teacher:
            return self
        return self.filter(family__in=Family.objects.visible_to(user))


class CalendarFeed(models.Model):
    """One calendar: a family's, or the teacher's own when it has no family.

    The address is made of ``seed`` and the studio's secret key; what is kept of it is a hash, so
    that a stolen copy of the database opens no calendar. A new seed is a new address, and the old
    one is gone.
    """

    family = models.OneToOneField(
        Family, null=True, blank=True, on_delete=models.CASCADE, related_name="calendar_feed"
    )
    seed = models.CharField(max_length=64)
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    objects = CalendarFeedQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                models.Value(1),
                condition=Q(family__isnull=True),
                name="one_calendar_of_the_teacher",
            ),
        ]

    def __str__(self) -> str:
        return f"calendar of family {self.family_id}" if self.family_id else "teacher's calendar"
