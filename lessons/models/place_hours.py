"""When a place can be used at all: a school's room that is free on two afternoons."""

from __future__ import annotations

from datetime import date, time

from django.db import models
from django.db.models import F, Q

from lessons.models.calendar import WEEKDAYS


class PlaceHours(models.Model):
    """A window of a weekday in which a place is free for lessons. An end of 00:00 is midnight.

    A place without any is free whenever the teacher teaches.
    """

    place = models.ForeignKey(
        "studio.Place", verbose_name="room", on_delete=models.CASCADE, related_name="hours"
    )
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    begins_at = models.TimeField("from")
    ends_at = models.TimeField("until")

    class Meta:
        verbose_name_plural = "place hours"
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="place_weekday_known"),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("begins_at")) | Q(ends_at="00:00"),
                name="place_hours_end_later",
                violation_error_message="The hours must end after they begin (00:00 is midnight).",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.begins_at:%H:%M}-{self.ends_at:%H:%M}"

    def holds(self, day: date, at: time, minutes: int) -> bool:
        """Return True if a lesson at that time lies wholly inside."""
        begins = self.begins_at.hour * 60 + self.begins_at.minute
        ends = (self.ends_at.hour * 60 + self.ends_at.minute) or 24 * 60
        start = at.hour * 60 + at.minute
        return self.weekday == day.weekday() and begins <= start and start + minutes <= ends
