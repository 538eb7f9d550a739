"""The commands that whoever runs a studio types."""

from __future__ import annotations

import io
import re
import signal
import sqlite3
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client

from studio.models import Role, User
from tests.factories.studio import FamilyFactory
from tests.project.test_production_settings import PROJECT, clean_environment
from tests.studio.test_outbox import free_port


@pytest.mark.django_db
class TestTeacher:
    def test_makes_the_first_sign_in_and_prints_its_link(self) -> None:
        out = io.StringIO()

        call_command("teacher", "nuala", "Nuala Tierney", stdout=out)

        path = re.sub(r"^https?://[^/]+", "", out.getvalue().split()[-1])
        client = Client()
        assert client.post(path).status_code == 302
        assert client.session["_auth_user_id"] == str(User.objects.get(role=Role.TEACHER).pk)

    def test_a_second_call_makes_no_second_teacher(self) -> None:
        for name in ("nuala", "somebody"):
            call_command("teacher", name, stdout=io.StringIO())

        assert User.objects.get(role=Role.TEACHER).username == "nuala"

    def test_a_name_that_cannot_be_signed_in_with_is_refused(self) -> None:
        with pytest.raises(CommandError, match="valid username"):
            call_command("teacher", "two words!", stdout=io.StringIO())


@pytest.mark.django_db(transaction=True)
class TestBackup:
    def test_copies_everything_while_the_studio_runs(self, tmp_path: Path) -> None:
        file = tmp_path / "copy.sqlite3"
        FamilyFactory(name="Żurawska")

        if connection.vendor != "sqlite":
            with pytest.raises(CommandError, match="pg_dump"):
                call_command("backup", str(file), stdout=io.StringIO())
            return
        call_command("backup", str(file), stdout=io.StringIO())

        copy = sqlite3.connect(file)
        assert copy.execute("SELECT name FROM studio_family").fetchall() == [("Żurawska",)]
        copy.close()

    def test_never_writes_over_a_file(self, tmp_path: Path) -> None:
        file = tmp_path / "copy.sqlite3"
        file.write_text("precious")

        with pytest.raises(CommandError, match=r"nothing was written|pg_dump"):
            call_command("backup", str(file), stdout=io.StringIO())
        assert file.read_text() == "precious"


def test_serve_opens_the_demo_and_keeps_it(tmp_path: Path) -> None:
    """What ``make run`` starts: three links that open, and what was there stays there."""
    first = _served(tmp_path, ended_by=signal.SIGINT)
    second = _served(tmp_path, ended_by=signal.SIGTERM)

    assert len(first) == len(second) == 3
    assert not set(first) & set(second), "links are new at every start"


def _served(data: Path, *, ended_by: signal.Signals) -> list[str]:
    """Start the server, open each printed link, stop it and its children; return the links."""
    port = free_port()
    variables = clean_environment(
        STUDIO_DATA=str(data), STUDIO_HTTPS="0", STUDIO_HOSTS="localhost", DATABASE_URL=""
    )
    with subprocess.Popen(
        [sys.executable, "manage.py", "serve", "--demo", f"--port={port}", "--workers=1"],
        cwd=PROJECT,
        env=variables,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as server:
        try:
            links = _printed_links(server)
            _wait_until_it_answers(port)
            for link in links:
                page = urllib.request.urlopen(link, timeout=20).read().decode()
                assert "One press and you are in" in page
        finally:
            server.send_signal(ended_by)
            server.wait(timeout=30)
    with pytest.raises(OSError, match="refused"):
        urllib.request.urlopen(f"http://localhost:{port}/health/", timeout=5)
    return links


def _printed_links(server: subprocess.Popen[str]) -> list[str]:
    assert server.stdout is not None
    said = ""
    for line in server.stdout:
        said += line
        if "Each link signs in once" in line:
            return re.findall(r"http://\S+/link/\S+", said)
    raise AssertionError(f"it stopped: {said[-2000:]}")


def _wait_until_it_answers(port: int) -> None:
    for _ in range(100):
        try:
            urllib.request.urlopen(f"http://localhost:{port}/health/", timeout=5).close()
        except OSError:
            time.sleep(0.2)
        else:
            return
    raise AssertionError("the web server did not come up")
