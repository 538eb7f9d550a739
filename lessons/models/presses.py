"""Presses at the lesson desk that carry a key, so that none is done twice."""

from __future__ import annotations

from django.db import models


class DeskPress(models.Model):
    """One press that was done: sent again after a dropped connection, it changes nothing."""

    key = models.CharField(max_length=64, unique=True)
    done_at = models.DateTimeField(db_index=True)

    class Meta:
        verbose_name_plural = "desk presses"

    def __str__(self) -> str:
        return f"press {self.key[:8]}"
