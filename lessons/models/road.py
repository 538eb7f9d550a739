"""What the road costs in minutes and money."""

from __future__ import annotations

import math
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.planning.bands import Band
from lessons.planning.travel import CIRCUITY, PARKING_MINUTES, SPEEDS, RoadModel, SpeedBand


def _speed(label: str, default: float) -> models.PositiveSmallIntegerField[int, int]:
    return models.PositiveSmallIntegerField(
        label,
        default=int(default),
        validators=[MinValueValidator(5), MaxValueValidator(130)],
    )


class RoadSettings(models.Model):
    """How driving minutes are estimated: one row."""

    circuity = models.DecimalField(
        "road kilometres per straight kilometre",
        max_digits=3,
        decimal_places=2,
        default=Decimal(str(CIRCUITY)),
        validators=[MinValueValidator(Decimal(1)), MaxValueValidator(Decimal(5))],
    )
    first_kmh = _speed("km/h on the first 2 km", SPEEDS[0].kmh)
    middle_kmh = _speed("km/h from 2 to 10 km", SPEEDS[1].kmh)
    far_kmh = _speed("km/h beyond 10 km", SPEEDS[2].kmh)
    parking_minutes = models.PositiveSmallIntegerField(
        "minutes to park and carry things in",
        default=PARKING_MINUTES,
        validators=[MaxValueValidator(60)],
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="road_settings_only_one"),
            models.CheckConstraint(
                condition=Q(first_kmh__gt=0)
                & Q(middle_kmh__gte=F("first_kmh"))
                & Q(far_kmh__gte=F("middle_kmh")),
                name="road_speeds_do_not_fall",
                violation_error_message=(
                    "The speeds must not fall as the road gets longer: otherwise a longer way "
                    "would come out quicker."
                ),
            ),
        ]

    def __str__(self) -> str:
        return "How the road is reckoned"

    @classmethod
    def current(cls) -> RoadSettings:
        """Return the settings, or unsaved defaults before anything was changed."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)

    def model(self) -> RoadModel:
        """Return the same numbers as the road model."""
        return RoadModel(
            circuity=float(self.circuity),
            speeds=(
                SpeedBand(SPEEDS[0].up_to_km, self.first_kmh),
                SpeedBand(SPEEDS[1].up_to_km, self.middle_kmh),
                SpeedBand(math.inf, self.far_kmh),
            ),
            parking_minutes=self.parking_minutes,
        )


class TravelBand(models.Model):
    """One ring round the base; the outermost is the radius."""

    up_to_km = models.DecimalField(
        "up to (km by road)",
        max_digits=5,
        decimal_places=1,
        unique=True,
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal(1000))],
        error_messages={"unique": "There is a band up to this distance already."},
    )
    surcharge = models.DecimalField(
        "surcharge for one visit",
        max_digits=9,
        decimal_places=2,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(10_000))],
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(up_to_km__gt=0, surcharge__gte=0), name="band_makes_sense"
            ),
        ]

    def __str__(self) -> str:
        return f"up to {self.up_to_km} km"

    def band(self) -> Band:
        """Return the same ring as a value."""
        return Band(self.up_to_km, self.surcharge)


class PlaceCorrection(models.Model):
    """What the teacher knows about one road: it wins over every estimate."""

    from_place = models.ForeignKey(
        "studio.Place", verbose_name="from", on_delete=models.CASCADE, related_name="roads_from"
    )
    to_place = models.ForeignKey(
        "studio.Place", verbose_name="to", on_delete=models.CASCADE, related_name="roads_to"
    )
    minutes = models.PositiveSmallIntegerField(
        "minutes door to door", validators=[MaxValueValidator(600)]
    )
    is_both_ways = models.BooleanField("the same on the way back", default=True)
    # With hours, it holds for arrivals between them only, and beats one without.
    from_time = models.TimeField("from (time of day)", null=True, blank=True)
    until_time = models.TimeField("until (time of day)", null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["from_place", "to_place"],
                condition=Q(from_time__isnull=True),
                name="one_time_for_a_road",
                violation_error_message="There is a time of your own for this road already.",
            ),
            models.UniqueConstraint(
                fields=["from_place", "to_place", "from_time"],
                condition=Q(from_time__isnull=False),
                name="one_time_for_a_road_and_hour",
                violation_error_message="There is a time of your own for this hour already.",
            ),
            models.CheckConstraint(
                condition=Q(from_time__isnull=True, until_time__isnull=True)
                | Q(until_time__gt=F("from_time")),
                name="road_hours_whole",
                violation_error_message="Give both hours, the second after the first.",
            ),
            models.CheckConstraint(
                condition=~Q(from_place=F("to_place")),
                name="road_between_two_places",
                violation_error_message="A road needs two different places.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_place} to {self.to_place}: {self.minutes} minutes"
