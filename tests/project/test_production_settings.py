"""The settings a real studio runs with."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]


def clean_environment(**variables: str) -> dict[str, str]:
    """The machine's environment without what the tests themselves run under."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("STUDIO_", "DJANGO_"))}
    return {**kept, **variables}


def manage(tmp_path: Path, *words: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """Run one of the project's commands as a real studio would."""
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=PROJECT,
        env=clean_environment(STUDIO_DATA=str(tmp_path), **variables),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def test_the_deployment_check_is_clean(tmp_path: Path) -> None:
    done = manage(
        tmp_path, "check", "--deploy", "--fail-level", "WARNING", STUDIO_HOSTS="studio.example"
    )

    assert done.returncode == 0, done.stderr
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600


def test_it_does_not_start_without_its_address(tmp_path: Path) -> None:
    done = manage(tmp_path, "check")

    assert done.returncode != 0
    assert "STUDIO_HOSTS must name the studio's web address" in done.stderr


def test_every_model_change_has_its_migration(tmp_path: Path) -> None:
    done = manage(tmp_path, "makemigrations", "--check", "--dry-run", STUDIO_HOSTS="studio.example")

    assert done.returncode == 0, done.stdout + done.stderr
