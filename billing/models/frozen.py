"""Rows that are never changed.

The one place in the project where ``save`` and ``delete`` are overridden: a mistake in any code
above must not be able to rewrite what was billed or paid. Triggers in the database (see
``billing.triggers``) refuse the same for whoever comes past the models.
"""

from __future__ import annotations

from typing import Any, NoReturn

from django.db import models


class FrozenRow(Exception):
    """Something tried to change or delete a row that stays as it is."""


class AppendOnlyQuerySet(models.QuerySet[Any]):
    """Rows that can be added and read."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise FrozenRow(f"{self.model._meta.verbose_name_plural} are never changed.")

    def delete(self) -> NoReturn:
        raise FrozenRow(f"{self.model._meta.verbose_name_plural} are never deleted.")

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise FrozenRow(f"{self.model._meta.verbose_name_plural} are never changed.")


class AppendOnly(models.Model):
    """A row that is written once; a mistake is mended by another row."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise FrozenRow(f"A {self._meta.verbose_name} is never changed: add another.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise FrozenRow(f"A {self._meta.verbose_name} is never deleted: add another.")
