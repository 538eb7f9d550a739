"""Where lessons can be."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q


class PlaceKind(models.TextChoices):
    """What sort of place it is: it decides the road and the rate."""

    ROOM = "room", "Teaching room"
    HOME = "home", "Family's home"
    SCHOOL = "school", "School"
    ONLINE = "online", "Online"


class Place(models.Model):
    """A place with a position, or one known only by the minutes it takes to reach."""

    kind = models.CharField(max_length=10, choices=PlaceKind.choices)
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True, max_length=500)
    latitude = models.DecimalField(
        max_digits=8,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
    )
    longitude = models.DecimalField(
        max_digits=9,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
    )
    minutes_from_base = models.PositiveSmallIntegerField(
        "driving minutes from base, if you know better",
        null=True,
        blank=True,
        validators=[MaxValueValidator(600)],
    )
    road_overruled_reason = models.CharField(
        "why this place is served although it is outside the radius", max_length=200, blank=True
    )

    surcharge_by_hand = models.DecimalField(
        "surcharge for one visit there, if it is not the last band’s",
        max_digits=9,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(10_000)],
        help_text="Only for a place outside your radius.",
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=PlaceKind.values), name="place_kind_known"),
            models.CheckConstraint(
                condition=Q(surcharge_by_hand__isnull=True) | Q(surcharge_by_hand__gte=0),
                name="place_surcharge_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__range=(-90, 90), longitude__range=(-180, 180)),
                name="place_position_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_online(self) -> bool:
        """True when nobody drives anywhere."""
        return self.kind == PlaceKind.ONLINE

    @property
    def position(self) -> tuple[float, float] | None:
        """Latitude and longitude in degrees, or None while it is not known."""
        if self.latitude is None or self.longitude is None:
            return None
        return float(self.latitude), float(self.longitude)
