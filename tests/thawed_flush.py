"""Lets tests that commit empty their tables afterwards.

On SQLite Django empties a table with DELETE, which the triggers on issued invoices and payments
refuse, as they should. Here the triggers go before such a sweep and come back after it. On
PostgreSQL a sweep is a TRUNCATE, which row triggers do not see.
"""

from __future__ import annotations

from typing import Any

from django.db.backends.sqlite3.base import DatabaseOperations

from billing.triggers import GUARD_NAMES, sqlite_create, sqlite_drop

_plain_sql_flush = DatabaseOperations.sql_flush


def _sql_flush(self: DatabaseOperations, style: Any, tables: Any, **kwargs: Any) -> list[str]:
    statements = _plain_sql_flush(self, style, tables, **kwargs)
    if not statements or "billing_invoice" not in tables:
        return statements
    with self.connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        there = {name for (name,) in cursor.fetchall()}
    if not there.issuperset(GUARD_NAMES):
        return statements
    return [*sqlite_drop(), *statements, *sqlite_create()]


def install() -> None:
    """Put it in the place of Django's own."""
    DatabaseOperations.sql_flush = _sql_flush  # type: ignore[method-assign]
