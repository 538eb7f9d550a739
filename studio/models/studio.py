"""The studio's own settings: one row."""

from __future__ import annotations

import zoneinfo

from django.core.exceptions import ValidationError
from django.db import models


class Paper(models.TextChoices):
    """Paper that sheets and invoices are printed on."""

    A4 = "A4", "A4"
    LETTER = "Letter", "US Letter"


def check_time_zone(name: str) -> None:
    """Refuse a name that the IANA time zone database does not have."""
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        raise ValidationError(
            f"“{name[:40]}” is not a time zone. Choose one such as Europe/Dublin."
        ) from None


class Studio(models.Model):
    """What the studio is called and how it writes times, money and paper."""

    name = models.CharField("studio's name", max_length=120)
    teacher_name = models.CharField("your name", max_length=120)
    base = models.ForeignKey(
        "studio.Place", verbose_name="home base", null=True, blank=True, on_delete=models.PROTECT
    )
    currency = models.CharField(max_length=3, default="EUR")
    time_zone = models.CharField(
        max_length=64, default="Europe/Dublin", validators=[check_time_zone]
    )
    country = models.CharField(max_length=2, default="IE")
    locale = models.CharField(max_length=12, default="en_IE")
    paper = models.CharField(max_length=6, choices=Paper.choices, default=Paper.A4)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField("e-mail", blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="studio_only_one"),
            models.CheckConstraint(
                condition=models.Q(paper__in=Paper.values), name="studio_paper_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Studio:
        """Return the studio, or unsaved defaults before it is set up."""
        return cls.objects.select_related("base").filter(pk=1).first() or cls.unsaved_default()

    @classmethod
    def unsaved_default(cls) -> Studio:
        """Return a studio with every default and no name of its own yet."""
        return cls(pk=1, name="Drum studio", teacher_name="")

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The studio's time zone."""
        return zoneinfo.ZoneInfo(self.time_zone)
