"""Copy the database to one file while the studio runs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection


class Command(BaseCommand):
    """Write a whole, consistent copy of an SQLite database; PostgreSQL has ``pg_dump`` for that."""

    help = "Copy the SQLite database to one file while the studio runs."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        if connection.vendor != "sqlite":
            raise CommandError("This database is not SQLite: use pg_dump.")
        file: Path = options["file"]
        if file.exists():
            raise CommandError(f"{file} is there already; nothing was written. Choose a new name.")
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(file)])
        self.stdout.write(f"Copied to {file} ({file.stat().st_size:,} bytes).")
