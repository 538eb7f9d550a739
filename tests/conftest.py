"""What every test may use."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests import thawed_flush
from tests.chromium import browser, new_page, page

__all__ = ["browser", "new_page", "page"]

thawed_flush.install()

settings.register_profile(
    "studio",
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.register_profile("thorough", settings.get_profile("studio"), max_examples=1000)
settings.load_profile(os.environ.get("STUDIO_HYPOTHESIS", "studio"))

# Playwright's synchronous interface runs an event loop in the test's own thread, where Django
# would otherwise refuse to touch the database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

PROJECT = Path(__file__).resolve().parent.parent
DATABASE_FIXTURES = {"db", "transactional_db", "live_server", "django_db_reset_sequences"}


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let the second run, on another database, leave out what no database can change."""
    parser.addoption(
        "--database-only", action="store_true", help="only the tests that use the database"
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Drop the tests without a database where ``--database-only`` is given."""
    if not config.getoption("database_only"):
        return
    pure = [item for item in items if not _uses_database(item)]
    config.hook.pytest_deselected(items=pure)
    items[:] = [item for item in items if _uses_database(item)]


def _uses_database(item: pytest.Item) -> bool:
    if item.get_closest_marker("appearance"):
        return False
    names = set(getattr(item, "fixturenames", ()))
    return bool(names & DATABASE_FIXTURES) or item.get_closest_marker("django_db") is not None


@pytest.fixture(scope="session")
def project() -> Path:
    """The project's top folder."""
    return PROJECT


@pytest.fixture(scope="session")
def shared_checks() -> Path:
    """The folder of check values from outside the project; skips loudly where it is absent."""
    given = os.environ.get("STUDIO_CHECKS")
    folder = Path(given) if given else PROJECT.parent / "shared" / "checks"
    if not (folder / "checks.json").exists():
        pytest.skip("OUTSIDE CHECKS NOT RUN: no check values (set STUDIO_CHECKS)")
    return folder


@pytest.fixture(autouse=True)
def _clean_caches() -> None:
    """Start every test with no throttled sign-in and nothing engraved."""
    from django.core.cache import caches

    for cache in caches.all(initialized_only=True):
        cache.clear()
