"""Do the long work that waits."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from studio.long_work import work_do_all


class Command(BaseCommand):
    """Started by the studio itself when long work is asked for; safe to start by hand."""

    help = "Do the long work that waits, one piece after another."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"{work_do_all()} done")
