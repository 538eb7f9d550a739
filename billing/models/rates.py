"""What lessons cost, from which day on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from billing.charging.rates import DatedRate
from studio.models import Family, PlaceKind

if TYPE_CHECKING:
    from datetime import date


class RateQuerySet(models.QuerySet["Rate"]):
    """Rates."""

    def for_family(self, family_id: int | None) -> RateQuerySet:
        """Return what can apply to this family: the general rates and its own."""
        return self.filter(Q(family__isnull=True) | Q(family_id=family_id))

    def for_list(self) -> RateQuerySet:
        """Return all as the teacher reads them: general first, by minutes, newest first."""
        return self.select_related("family").order_by(
            F("family__name").asc(nulls_first=True), "minutes", "place_kind", "-from_date", "pk"
        )


class Rate(models.Model):
    """One price. A change of price is another row with a later date."""

    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(5), MaxValueValidator(480)]
    )
    place_kind = models.CharField(
        "where", max_length=10, choices=[("", "Anywhere"), *PlaceKind.choices], blank=True
    )
    amount = models.DecimalField("price", max_digits=14, decimal_places=4)
    from_date = models.DateField("from")
    until_date = models.DateField("until", null=True, blank=True)
    family = models.ForeignKey(
        Family,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="rates",
        verbose_name="only for",
    )

    objects = RateQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(amount__gte=0), name="rate_not_negative"),
            models.CheckConstraint(
                condition=Q(until_date__isnull=True) | Q(until_date__gte=F("from_date")),
                name="rate_ends_after_it_begins",
            ),
            models.CheckConstraint(
                condition=Q(place_kind__in=["", *PlaceKind.values]), name="rate_place_kind_known"
            ),
            models.UniqueConstraint(
                fields=["minutes", "place_kind", "from_date"],
                condition=Q(family__isnull=True),
                name="rate_once_a_day",
            ),
            models.UniqueConstraint(
                fields=["family", "minutes", "place_kind", "from_date"],
                condition=Q(family__isnull=False),
                name="rate_own_once_a_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} minutes from {self.from_date:%Y-%m-%d}"

    @property
    def dated(self) -> DatedRate:
        """This row as the charging core knows it."""
        return DatedRate(
            minutes=self.minutes,
            amount=self.amount,
            from_date=self.from_date,
            until_date=self.until_date,
            place_kind=self.place_kind,
            family_id=self.family_id,
        )

    def is_past(self, today: date) -> bool:
        """Return True when no lesson from today on can have this price."""
        return self.until_date is not None and self.until_date < today
