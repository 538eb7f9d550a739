"""Fill an empty database with the demo scenario."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from studio.models import Studio

# Each app tells its own part; the later ones build on the earlier.
PARTS = ("studio.demo", "lessons.demo", "exercises.demo", "billing.demo")


class Command(BaseCommand):
    """Write the Copper Lane Drum Room into an empty database; do nothing where a studio is."""

    help = "Load the demo scenario into an empty database."

    def handle(self, *args: Any, **options: Any) -> None:
        if Studio.objects.exists():
            return
        now = timezone.now()
        with transaction.atomic():
            for part in PARTS:
                import_module(part).demo_build(now=now)
        self.stdout.write("The demo scenario is loaded: Copper Lane Drum Room, Cork.")
