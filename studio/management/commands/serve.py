"""Serve the studio: migrate, gather static files, send mail, answer requests."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser

from studio.models import Role, User
from studio.one_time_links import one_time_path


class Command(BaseCommand):
    """Bring everything up to date, then run the web server and the mail sender until stopped."""

    help = "Migrate, gather static files, then serve the studio and send its mail."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--workers", type=int, default=2)
        parser.add_argument("--demo", action="store_true", help="load the demo scenario first")

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0, interactive=False)
        call_command("collectstatic", verbosity=0, interactive=False)
        if options["demo"]:
            call_command("demo")
        call_command("regrade_exercises", verbosity=0)
        # Told to end (by the system, not by a key), it takes its children along all the same.
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        self._say_where(options["host"], options["port"])
        sys.stdout.flush()
        mail = subprocess.Popen(
            [sys.executable, "manage.py", "send_outbox", "--loop"], cwd=settings.BASE_DIR
        )
        web = subprocess.Popen(  # noqa: S603 - our own command
            [
                sys.executable,
                "-m",
                "gunicorn",
                "studio.wsgi:application",
                f"--bind={options['host']}:{options['port']}",
                f"--workers={options['workers']}",
                "--threads=4",
                "--worker-class=gthread",
                "--timeout=60",
                "--graceful-timeout=10",
                "--log-level=warning",
                "--no-control-socket",
            ],
            cwd=settings.BASE_DIR,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
        )
        try:
            while web.poll() is None:
                if mail.poll() is not None:
                    mail = subprocess.Popen(
                        [sys.executable, "manage.py", "send_outbox", "--loop"],
                        cwd=settings.BASE_DIR,
                    )
                time.sleep(1)
        except KeyboardInterrupt:
            self.stdout.write("Stopping.")
        finally:
            for process in (web, mail):
                process.terminate()
            for process in (web, mail):
                process.wait(timeout=20)

    def _say_where(self, host: str, port: int) -> None:
        address = f"http://{'localhost' if host in ('127.0.0.1', '0.0.0.0') else host}:{port}"  # noqa: S104
        self.stdout.write(f"\nThe studio is open at {address}\n")
        people = [
            User.objects.filter(role=role, is_active=True).order_by("pk").first()
            for role in (Role.TEACHER, Role.STUDENT, Role.PARENT)
        ]
        for user in people:
            if user is not None:
                name = f"{user.display_name} ({user.get_role_display().lower()})"
                self.stdout.write(f"  {name:<32} {address}{one_time_path(user)}")
        self.stdout.write(
            "Each link signs in once. Press Ctrl+C to stop; what was changed is kept.\n"
        )
