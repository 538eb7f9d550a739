"""What else the teacher has to do: the dentist, a rehearsal, fetching a child."""

from __future__ import annotations

from datetime import date
from typing import Self

from django.db import models
from django.db.models import F, Q

from lessons.planning.appointments import AppointmentRule

RHYTHMS = [
    (0, "once"),
    (1, "every week"),
    (2, "every second week"),
    (3, "every third week"),
    (4, "every 4 weeks"),
]


class AppointmentQuerySet(models.QuerySet["Appointment"]):
    """Appointments."""

    def in_order(self) -> Self:
        """Earliest first."""
        return self.order_by("first_date", "begins_at", "pk")

    def touching(self, first_date: date, last_date: date) -> Self:
        """Those that can have a day in this range."""
        return self.filter(first_date__lte=last_date).filter(
            Q(every_weeks=0, first_date__gte=first_date)
            | (Q(every_weeks__gt=0) & (Q(last_date__isnull=True) | Q(last_date__gte=first_date)))
        )


class Appointment(models.Model):
    """A stretch of the teacher's own time, which no lesson may take.

    With a place it takes part in the road; without one the teacher may be anywhere. It repeats by
    the wall clock of the studio. An end of 00:00 is midnight.
    """

    label = models.CharField("what it is", max_length=80)
    place = models.ForeignKey(
        "studio.Place",
        verbose_name="where",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="appointments",
    )
    first_date = models.DateField("day")
    begins_at = models.TimeField("from")
    ends_at = models.TimeField("until")
    every_weeks = models.PositiveSmallIntegerField("how often", default=0, choices=RHYTHMS)
    last_date = models.DateField("last day", null=True, blank=True)

    objects = AppointmentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("begins_at")) | Q(ends_at="00:00"),
                name="appointment_ends_later",
                violation_error_message="It must end after it begins (00:00 is midnight).",
            ),
            models.CheckConstraint(
                condition=Q(last_date__isnull=True)
                | (Q(every_weeks__gt=0) & Q(last_date__gte=F("first_date"))),
                name="appointment_last_day_not_before_first",
                violation_error_message="The last day is before the first.",
            ),
            models.CheckConstraint(
                condition=Q(every_weeks__lte=4), name="appointment_rhythm_known"
            ),
        ]

    def __str__(self) -> str:
        return self.label

    def rule(self) -> AppointmentRule:
        """Return its days and times as a value."""
        return AppointmentRule(
            self.first_date, self.last_date, self.begins_at, self.ends_at, self.every_weeks
        )

    @property
    def rhythm(self) -> str:
        """When it is, in words."""
        if not self.every_weeks:
            return f"{self.first_date:%A %-d %B %Y}"
        how = "every" if self.every_weeks == 1 else f"every {self.every_weeks} weeks on"
        until = f" until {self.last_date:%-d %B %Y}" if self.last_date else ""
        return f"{how} {self.first_date:%A} from {self.first_date:%-d %B %Y}{until}"
