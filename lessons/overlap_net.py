"""The database's own net against two lessons at once, below the check that says why.

PostgreSQL has exclusion constraints. SQLite has not, so triggers refuse. SQLite rebuilds a table
when a column changes and drops its triggers with it: a later migration that alters ``Lesson`` must
run :func:`install` again at its end (a test looks whether the triggers are there).
"""

from __future__ import annotations

from django.db.backends.base.schema import BaseDatabaseSchemaEditor

TABLE = "lessons_lesson"
NAME = "lessons_never_overlap"
# An exclusion constraint is Django's IntegrityError on both databases; so is RAISE(ABORT).
_POSTGRESQL = (
    f"ALTER TABLE {TABLE} ADD CONSTRAINT {NAME} EXCLUDE USING gist "
    "(tstzrange(starts_at, ends_at, '[)') WITH &&) WHERE (status <> 'called_off')"
)
_SQLITE_TRIGGER = f"""
CREATE TRIGGER {{name}} BEFORE {{event}} ON {TABLE}
WHEN NEW.status <> 'called_off'
BEGIN
    SELECT RAISE(ABORT, '{NAME}') WHERE EXISTS (
        SELECT 1 FROM {TABLE}
        WHERE status <> 'called_off' AND starts_at < NEW.ends_at AND ends_at > NEW.starts_at
        {{besides}}
    );
END
"""  # noqa: S608 - constants only


def install(schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Put the net up; does nothing on a database that is neither PostgreSQL nor SQLite."""
    remove(schema_editor)
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(_POSTGRESQL)
    elif schema_editor.connection.vendor == "sqlite":
        for event, besides in (("INSERT", ""), ("UPDATE", "AND id <> OLD.id")):
            schema_editor.execute(
                _SQLITE_TRIGGER.format(name=f"{NAME}_{event.lower()}", event=event, besides=besides)
            )


def remove(schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Take the net down."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(f"ALTER TABLE {TABLE} DROP CONSTRAINT IF EXISTS {NAME}")
    elif schema_editor.connection.vendor == "sqlite":
        for event in ("insert", "update"):
            schema_editor.execute(f"DROP TRIGGER IF EXISTS {NAME}_{event}")
