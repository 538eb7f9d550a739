"""Reckon the library's stored grades again, after an upgrade that weighs figures differently."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from exercises.services.library import exercises_regrade


class Command(BaseCommand):
    help = "Reckon the library's stored grades again; safe to run at any time."

    def handle(self, *args: Any, **options: Any) -> None:
        changed = exercises_regrade()
        if options["verbosity"]:
            self.stdout.write(f"{changed} grades brought up to date.")
