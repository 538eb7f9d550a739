"""Roads as a router on the network reckons them, kept so that no page ever waits for one."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models


class RoutedRoad(models.Model):
    """One answer of the road router: driving minutes without parking, kilometres if it told them.

    It holds as long as both places are where they were when it was asked: ``from_position`` and
    ``to_position`` are what was sent.
    """

    from_place = models.ForeignKey(
        "studio.Place", on_delete=models.CASCADE, related_name="routed_from"
    )
    to_place = models.ForeignKey("studio.Place", on_delete=models.CASCADE, related_name="routed_to")
    from_position = models.CharField(max_length=40)
    to_position = models.CharField(max_length=40)
    minutes = models.PositiveSmallIntegerField(validators=[MaxValueValidator(1440)])
    km = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    asked_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["from_place", "to_place"], name="routed_road_once"),
            models.CheckConstraint(
                condition=models.Q(km__isnull=True) | models.Q(km__gte=0),
                name="routed_km_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"place {self.from_place_id} to place {self.to_place_id}: {self.minutes} minutes"
