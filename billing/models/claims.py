"""What is on an invoice already: the database's own guard against billing anything twice."""

from __future__ import annotations

from django.db import models

from billing.models.invoices import InvoiceLine
from studio.models import Family, Place, Student


class BilledLesson(models.Model):
    """A student's lesson that a line bills. It goes when a draft's line goes or is credited."""

    lesson = models.ForeignKey("lessons.Lesson", on_delete=models.PROTECT, related_name="+")
    student = models.ForeignKey(Student, on_delete=models.PROTECT, related_name="+")
    line = models.OneToOneField(InvoiceLine, on_delete=models.CASCADE, related_name="claim")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["lesson", "student"], name="lesson_billed_once"),
        ]


class BilledVisit(models.Model):
    """A visit to a family's place whose drive a line bills."""

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="+")
    on_date = models.DateField()
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    line = models.OneToOneField(InvoiceLine, on_delete=models.CASCADE, related_name="visit_claim")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["family", "on_date", "place"], name="visit_billed_once"
            ),
        ]
