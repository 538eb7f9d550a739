"""A real Chromium for the tests that need one.

The browser is found through ``STUDIO_CHROMIUM`` or in the usual places. Where it is missing, the
tests fail on a build machine (``CI`` set) and are skipped, saying so, on a laptop.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

USUAL_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--autoplay-policy=no-user-gesture-required",
]


def chromium_path() -> str | None:
    """Where a Chromium is: ``STUDIO_CHROMIUM``, or the first of the usual names on the path."""
    named = os.environ.get("STUDIO_CHROMIUM")
    if named:
        return named if Path(named).exists() else None
    found = (shutil.which(name) for name in USUAL_NAMES)
    return next((path for path in found if path), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for the whole run."""
    path = chromium_path()
    if path is None:
        message = "No Chromium found: install it or set STUDIO_CHROMIUM to its path."
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def new_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Open pages in contexts of their own; whatever a page complains about fails the test."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []

    def open_page(**options: object) -> Page:
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **options})  # type: ignore[arg-type]
        context.set_default_timeout(10_000)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda message: (
                complaints.append(f"{message.text} ({message.location})")
                if message.type == "error"
                else None
            ),
        )
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """One page at desk width."""
    return new_page()
