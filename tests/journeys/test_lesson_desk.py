"""The lesson desk on a telephone: three presses, and a connection that drops in the middle."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import time
from typing import TYPE_CHECKING, Any

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone

from lessons.models import Attendance, LessonStudent, ProgressNote
from studio.local_time import instant, local_date
from studio.models import OutgoingEmail
from studio.one_time_links import one_time_path
from tests.factories.lessons import LessonFactory
from tests.factories.studio import (
    AdultFactory,
    FamilyFactory,
    StudentFactory,
    StudioFactory,
    TeacherFactory,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NOTE = "Even eighths at 80, both hands. Żółw, Ó Súilleabháin: maith thú!"


@pytest.fixture
def lesson(transactional_db: None) -> Any:
    """A lesson today at noon, with one family of one adult."""
    studio = StudioFactory()
    family = FamilyFactory(name="Quill")
    AdultFactory(family=family, email="quill@example.com")
    noon = instant(local_date(timezone.now(), studio.zone), time(12), studio.zone)
    student = StudentFactory(name="Síofra Quill", family=family)
    return LessonFactory(place=family.home, student=student, starts_at=noon)


@pytest.fixture
def phone(browser: Browser, live_server: Any, lesson: Any) -> Iterator[Page]:
    """The teacher on a telephone, at today's page; what the network complains of is no fault."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        is_mobile=True,
        base_url=live_server.url,
    )
    context.set_default_timeout(10_000)
    faults: list[str] = []
    page = context.new_page()
    page.on("pageerror", lambda error: faults.append(str(error)))
    come_in(page, TeacherFactory())
    yield page
    context.close()
    assert faults == []


def come_in(page: Page, user: Any) -> None:
    user.refresh_from_db()
    page.goto(one_time_path(user))
    page.get_by_role("button", name="Come in").tap()
    page.wait_for_url("**/today/")


def pictured(page: Page, name: str) -> None:
    """Keep a picture for whoever looks at it."""
    folder = os.environ.get("STUDIO_PICTURES")
    if folder:
        page.screenshot(path=f"{folder}/desk-{name}.png", full_page=True, caret="initial")


def test_three_presses_and_nothing_is_lost_when_signed_out(phone: Page, lesson: Any) -> None:
    from playwright.sync_api import expect

    presses: list[str] = []

    def press(name: str, role: str = "button") -> None:
        presses.append(name)
        phone.get_by_role(role, name=name, exact=True).tap()  # type: ignore[arg-type]

    expect(phone.locator("#desk-kept")).to_be_hidden()
    press("There")
    # The note is open and waits for the first letter.
    phone.keyboard.type(NOTE)
    expect(phone.get_by_role("textbox", name="Progress note on Síofra Quill")).to_have_value(NOTE)
    press("Send to the family")
    expect(phone.locator(".slip")).to_contain_text("sent")
    pictured(phone, "sent")
    press("Next steps", role="link")
    phone.wait_for_url("**/assign/")

    assert len(presses) == 3
    assert LessonStudent.objects.get().attendance == Attendance.PRESENT
    assert ProgressNote.objects.get().sent_body == NOTE
    wide = phone.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0

    phone.goto("/today/")
    Session.objects.all().delete()
    phone.locator("summary").tap()
    phone.get_by_role("textbox").fill("And softer.")
    phone.get_by_role("button", name="Send to the family").tap()
    expect(phone.locator("[data-desk-said]")).to_contain_text("sign in, and it goes. Sign in")
    assert phone.get_by_role("textbox").input_value() == "And softer."
    pictured(phone, "signed-out")
    assert ProgressNote.objects.get().sent_body == NOTE
    come_in(phone, TeacherFactory._meta.model.objects.get(role="teacher"))
    expect(phone.locator(".slip .notice")).to_contain_text("It goes by e-mail")
    assert ProgressNote.objects.get().sent_body == "And softer."
    assert OutgoingEmail.objects.count() == 2


def test_a_dropped_connection_loses_nothing_and_doubles_nothing(phone: Page, lesson: Any) -> None:
    """Edge case 35: on the telephone, pressed without a connection, and with the answer lost."""
    from playwright.sync_api import expect

    kept = "Kept on this phone. It goes when there is a connection."
    said = phone.locator("[data-desk-said]")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="There").tap()
    expect(said).to_have_text(kept)
    phone.get_by_role("textbox").fill("Half a")
    phone.get_by_role("button", name="Send to the family").tap()
    phone.get_by_role("textbox").fill(NOTE)
    phone.get_by_role("button", name="Send to the family").tap()
    pictured(phone, "kept")
    assert not ProgressNote.objects.exists()

    # There is a connection for pages, but no press gets through; the page is opened anew.
    phone.route("**/lessons/**", lambda route: route.abort())
    phone.context.set_offline(False)
    phone.goto("/today/?day=2026-01-01")
    expect(phone.locator("#desk-kept")).to_contain_text("A note is kept on this phone.")
    pictured(phone, "elsewhere")
    phone.goto("/today/")
    expect(said).to_have_text(kept)
    expect(phone.get_by_role("button", name="✓ There")).to_have_attribute("aria-pressed", "true")
    expect(phone.get_by_role("textbox")).to_have_value(NOTE)
    # The mark gets through; the note arrives and its answer is lost. Somebody types on meanwhile:
    # that is no part of the press, nor is it lost.
    longer = f"{NOTE} Next week: doubles."
    phone.get_by_role("textbox").fill(longer)
    lost: list[int] = []

    def lose(route: Any) -> None:
        lost.append(route.fetch().status)
        route.abort()

    phone.unroute("**/lessons/**")
    phone.route("**/notes/**", lose)
    online(phone)
    wait_for(phone, lambda: bool(lost))
    assert lost[0] == 200
    expect(said).to_have_text(kept)
    phone.unroute("**/notes/**")

    online(phone)
    expect(phone.locator(".slip .tag")).to_contain_text("sent")
    expect(phone.get_by_role("textbox")).to_have_value(longer)
    phone.reload()
    expect(said).to_contain_text("it is not sent yet")
    expect(phone.get_by_role("textbox")).to_have_value(longer)
    expect(phone.locator(".slip .tag")).to_contain_text("sent")
    assert phone.evaluate("localStorage.getItem('studio.desk.waiting')") == "[]"
    assert LessonStudent.objects.get().attendance == Attendance.PRESENT
    note = ProgressNote.objects.get()
    assert (note.sent_body, note.times_sent) == (NOTE, 1)
    assert OutgoingEmail.objects.count() == 1


def online(page: Page) -> None:
    """Tell the page what a telephone tells it when the connection is back."""
    page.evaluate("dispatchEvent(new Event('online'))")


def wait_for(page: Page, truth: Callable[[], bool]) -> None:
    for _ in range(100):
        if truth():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it never came true")
