"""Send the mail that waits."""

from __future__ import annotations

import signal
import threading
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import OperationalError, close_old_connections
from django.utils import timezone

from studio.long_work import work_sweep
from studio.outbox import outbox_send
from studio.rounds import rounds_do

PAUSE_SECONDS = 5.0


class Command(BaseCommand):
    """Send what is due once, or keep at it with ``--loop`` until told to stop."""

    help = "Send the mail that waits in the outbox."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--loop", action="store_true", help="look again every few seconds")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["loop"]:
            rounds_do(now=timezone.now())
            self.stdout.write(f"{outbox_send(now=timezone.now())} sent")
            return
        stop = threading.Event()
        signal.signal(signal.SIGTERM, lambda *_: stop.set())
        signal.signal(signal.SIGINT, lambda *_: stop.set())
        while not stop.is_set():
            close_old_connections()
            try:
                rounds_do(now=timezone.now())
                outbox_send(now=timezone.now())
                work_sweep(now=timezone.now())
            except OperationalError as problem:
                self.stderr.write(f"The database is away, trying again: {problem}")
            stop.wait(PAUSE_SECONDS)
