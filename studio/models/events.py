"""The record of who did what, when."""

from __future__ import annotations

from django.db import models


class Event(models.Model):
    """One thing that was done. Never changed and never deleted."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey("studio.User", null=True, on_delete=models.PROTECT)
    kind = models.CharField(max_length=60)
    subject = models.CharField(max_length=200)
    detail = models.JSONField(default=dict)

    def __str__(self) -> str:
        return f"{self.kind}: {self.subject}"
