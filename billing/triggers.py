"""What the database itself refuses: changing or deleting what was issued, paid or allocated.

The models refuse it too; these triggers stop whoever comes past them (raw SQL, a shell, a later
slip in a service). A later migration that alters one of these tables on SQLite rebuilds it, which
drops its triggers: wrap such operations in :func:`thaw` and :func:`freeze`. A test fails when a
trigger is missing after all migrations.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

_INVOICE = "billing_invoice"
_LINE = "billing_invoiceline"
_APPEND_ONLY = ("billing_payment", "billing_allocation")
_ISSUED = "an issued invoice never changes: write a credit note"
_ADDED_TO = "a payment or allocation never changes: add another"


def _of_issued(row: str) -> str:
    query = f"SELECT 1 FROM {_INVOICE} WHERE id = {row}.invoice_id"  # noqa: S608 - our own names
    return f"EXISTS ({query} AND status = 'issued')"


def _guards() -> Iterable[tuple[str, str, str, str, str]]:
    """Give (name, table, event, condition, message) of every guard."""
    for event in ("UPDATE", "DELETE"):
        low = event.lower()
        yield f"{_INVOICE}_no_{low}", _INVOICE, event, "OLD.status = 'issued'", _ISSUED
        rows = ("OLD", "NEW") if event == "UPDATE" else ("OLD",)
        yield f"{_LINE}_no_{low}", _LINE, event, " OR ".join(map(_of_issued, rows)), _ISSUED
        for table in _APPEND_ONLY:
            yield f"{table}_no_{low}", table, event, "", _ADDED_TO
    yield f"{_LINE}_no_insert", _LINE, "INSERT", _of_issued("NEW"), _ISSUED


GUARD_NAMES = tuple(sorted(guard[0] for guard in _guards()))


def sqlite_create() -> tuple[str, ...]:
    """Return the statements that make the guards on SQLite."""
    return tuple(
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW "
        f"{f'WHEN {condition} ' if condition else ''}"
        f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        for name, table, event, condition, message in _guards()
    )


def sqlite_drop() -> tuple[str, ...]:
    """Return the statements that take the guards away on SQLite."""
    return tuple(f"DROP TRIGGER IF EXISTS {name}" for name in GUARD_NAMES)


_REFUSE = """
CREATE OR REPLACE FUNCTION billing_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION USING MESSAGE = TG_ARGV[0], ERRCODE = 'integrity_constraint_violation';
END $$
"""

# PostgreSQL allows no subquery in a trigger's WHEN, so the function looks.
_REFUSE_IF_ISSUED = """
CREATE OR REPLACE FUNCTION billing_refuse_if_issued() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  touched bigint[];
BEGIN
  IF TG_OP <> 'INSERT' THEN touched := touched || OLD.invoice_id; END IF;
  IF TG_OP <> 'DELETE' THEN touched := touched || NEW.invoice_id; END IF;
  IF EXISTS (SELECT 1 FROM billing_invoice WHERE id = ANY(touched) AND status = 'issued') THEN
    RAISE EXCEPTION USING MESSAGE = TG_ARGV[0], ERRCODE = 'integrity_constraint_violation';
  END IF;
  IF TG_OP = 'DELETE' THEN RETURN OLD; END IF;
  RETURN NEW;
END $$
"""


def postgresql_create() -> tuple[str, ...]:
    """Return the statements that make the guards on PostgreSQL."""
    triggers = []
    for name, table, event, condition, message in _guards():
        if "EXISTS" in condition:
            call, when = "billing_refuse_if_issued", ""
        else:
            call, when = "billing_refuse", f"WHEN ({condition}) " if condition else ""
        triggers.append(
            f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW {when}"
            f"EXECUTE FUNCTION {call}('{message}')"
        )
    return (_REFUSE, _REFUSE_IF_ISSUED, *triggers)


def postgresql_drop() -> tuple[str, ...]:
    """Return the statements that take the guards away on PostgreSQL."""
    drops = tuple(f"DROP TRIGGER IF EXISTS {name} ON {table}" for name, table, *_ in _guards())
    return (
        *drops,
        "DROP FUNCTION IF EXISTS billing_refuse()",
        "DROP FUNCTION IF EXISTS billing_refuse_if_issued()",
    )


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Make the guards (a migration's step)."""
    vendor = schema_editor.connection.vendor
    statements = postgresql_create() if vendor == "postgresql" else sqlite_create()
    _run(schema_editor, statements)


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Take the guards away (a migration's step, or its reverse)."""
    vendor = schema_editor.connection.vendor
    statements = postgresql_drop() if vendor == "postgresql" else sqlite_drop()
    _run(schema_editor, statements)


def _run(schema_editor: BaseDatabaseSchemaEditor, statements: Iterable[str]) -> None:
    with schema_editor.connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
