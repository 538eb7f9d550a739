"""A studio that is set up but has no family yet, a mail server, and people with browsers."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from lessons.models import Closure, RoadSettings, Term, TravelBand
from studio.local_time import monday_of
from studio.models import User
from studio.one_time_links import one_time_path
from tests.factories.billing import BillingSettingsFactory, RateFactory
from tests.factories.studio import StudioFactory, TeacherFactory

if TYPE_CHECKING:
    from playwright.sync_api import Page

SIZES = {"phone": (390, 844), "desk": (1280, 900)}


@pytest.fixture(params=list(SIZES))
def size(request: pytest.FixtureRequest) -> str:
    """The two widths that every step is walked through in."""
    return str(request.param)


@pytest.fixture
def term(transactional_db: None) -> Term:
    """A term round today, with one closed week in the middle of what is to come."""
    today = date.today()
    StudioFactory()
    term = Term.objects.create(
        name="This term",
        first_date=today - timedelta(days=35),
        last_date=today + timedelta(days=70),
    )
    closed_from = monday_of(today) + timedelta(weeks=3)
    Closure.objects.create(
        name="Half-term break", first_date=closed_from, last_date=closed_from + timedelta(days=6)
    )
    RoadSettings.current()
    for up_to, surcharge in (("5", "0"), ("10", "4"), ("18", "8")):
        TravelBand.objects.create(up_to_km=Decimal(up_to), surcharge=Decimal(surcharge))
    BillingSettingsFactory()
    RateFactory(minutes=30, amount=Decimal("28.00"), from_date=today - timedelta(days=400))
    return term


class Person:
    """Somebody at a browser; leaves a picture of each step where STUDIO_PICTURES names a folder."""

    def __init__(self, page: Page, address: str, size: str) -> None:
        self.page = page
        self.address = address
        self.size = size

    def goes_to(self, path: str) -> None:
        """Open a page, which must not need sideways scrolling."""
        self.page.goto(self.address + path)
        self.stays_in_width()

    def presses(self, words: str, *, role: str = "button", nth: int = 0) -> None:
        """Press what carries these words."""
        self.page.get_by_role(role, name=words).nth(nth).click()  # type: ignore[arg-type]

    def sees(self, words: str) -> None:
        """Wait until the page shows these words."""
        from playwright.sync_api import expect

        expect(self.page.locator("main")).to_contain_text(words)

    def stays_in_width(self) -> None:
        """Fail when the page is wider than the screen."""
        wide = self.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert wide <= 0, f"{self.page.url} is {wide} px wider than the screen"

    def pictures(self, step: str) -> None:
        """Keep a picture of the whole page for whoever looks at it, and check the width."""
        self.stays_in_width()
        folder = os.environ.get("STUDIO_PICTURES")
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            path = f"{folder}/{step}-{self.size}.png"
            # Hiding the caret would need a style of its own, which the page's policy refuses.
            self.page.screenshot(path=path, full_page=True, caret="initial")


@pytest.fixture
def person(
    live_server: Any, new_page: Callable[..., Page], size: str
) -> Iterator[Callable[[User], Person]]:
    """Sign somebody in by a one-time link, in a browser of their own."""

    def come_in(user: User) -> Person:
        width, height = SIZES[size]
        # A link is bound to the last time they came in.
        user.refresh_from_db()
        page = new_page(
            viewport={"width": width, "height": height},
            has_touch=size == "phone",
            is_mobile=size == "phone",
            base_url=live_server.url,
        )
        someone = Person(page, live_server.url, size)
        page.goto(live_server.url + one_time_path(user))
        someone.presses("Come in")
        page.wait_for_load_state()
        return someone

    return come_in


@pytest.fixture
def teacher(term: Term, person: Callable[[User], Person]) -> Person:
    """The teacher, signed in."""
    return person(TeacherFactory())
