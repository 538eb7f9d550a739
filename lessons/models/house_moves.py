"""Families that move house."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q


class HouseMove(models.Model):
    """A family's move from one home to another from a date on.

    Lessons go to the new place as soon as the move is written down; the family's own home changes
    on the day (``done_at``), so that what is booked for before it still goes to the old one.
    """

    family = models.ForeignKey(
        "studio.Family", on_delete=models.CASCADE, related_name="house_moves"
    )
    from_place = models.ForeignKey(
        "studio.Place", on_delete=models.PROTECT, related_name="moves_from"
    )
    to_place = models.ForeignKey("studio.Place", on_delete=models.PROTECT, related_name="moves_to")
    from_date = models.DateField()
    written_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["family"], condition=Q(done_at__isnull=True), name="one_move_to_come"
            ),
            models.CheckConstraint(
                condition=~Q(from_place=F("to_place")), name="move_between_two_places"
            ),
        ]

    def __str__(self) -> str:
        return f"move of family {self.family_id} on {self.from_date}"
