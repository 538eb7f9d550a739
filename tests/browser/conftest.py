"""A small site that serves the scripts, for the browser tests that need no studio."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.browser.site import Site


@pytest.fixture(scope="session")
def site() -> Iterator[Site]:
    """The scripts and styles over HTTP, with pages that the tests put beside them."""
    with Site() as site:
        yield site
