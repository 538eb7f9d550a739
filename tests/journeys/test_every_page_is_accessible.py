"""The main pages of every role, looked over by axe (WCAG 2.2 AA), by day and by night."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.management import call_command

from exercises.models import Exercise, Ladder
from lessons.models import Lesson, LessonRequest, MakeUpRight, Series
from studio.models import Family, Role, Student, User
from studio.one_time_links import one_time_path

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [
    pytest.mark.browser,
    pytest.mark.appearance,
    pytest.mark.django_db(transaction=True),
]

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }
}
LOOKS: dict[str, dict[str, Any]] = {
    "phone by day": {"viewport": {"width": 390, "height": 844}, "color_scheme": "light"},
    "desk by night": {"viewport": {"width": 1280, "height": 900}, "color_scheme": "dark"},
}


def teachers_pages() -> list[str]:
    """Every kind of page that the teacher opens on an ordinary day."""
    student = Student.objects.get(name="Síofra Quill")
    family = student.family
    exercise = Exercise.objects.order_by("pk").first()
    ladder = Ladder.objects.get()
    lesson = Lesson.objects.filter(takers__student=student).order_by("starts_at").first()
    series = Series.objects.order_by("pk").first()
    assert exercise is not None
    assert lesson is not None
    assert series is not None
    invoice = family.invoices.issued().get()
    coming = Lesson.objects.filter(takers__student=student).order_by("starts_at").last()
    assert coming is not None
    lesson_day = f"{coming.starts_at:%Y-%m-%d}"
    return [
        "/today/",
        "/week/",
        f"/day/{lesson_day}/order/",
        "/appointments/",
        "/appointments/new/",
        "/limits/",
        "/limits/0/",
        "/times/",
        f"/times/{student.pk}/",
        f"/times/{student.pk}/new/",
        f"/series/find/?student={student.pk}",
        f"/lessons/{lesson.pk}/",
        f"/lessons/{lesson.pk}/call-off/",
        f"/series/{series.pk}/",
        f"/series/{series.pk}/change/",
        f"/series/{series.pk}/swap/",
        f"/students/{student.pk}/pause/",
        f"/students/{student.pk}/return/",
        "/lessons/new/?kind=group",
        "/terms/holidays/",
        f"/series/book/?student={student.pk}",
        "/terms/",
        "/calendar/",
        "/reminders/",
        "/requests/",
        f"/requests/{LessonRequest.objects.get().pk}/other/",
        "/waiting/",
        "/waiting/new/",
        "/make-ups/",
        f"/make-ups/{MakeUpRight.objects.get().pk}/",
        "/away/?first_date=2026-01-01",
        "/online-day/",
        "/late/",
        "/timetable/",
        "/road/",
        "/area/",
        "/road/mileage/",
        f"/families/{family.pk}/moves/",
        f"/families/{family.pk}/homes/new/",
        "/hours/",
        "/students/",
        f"/students/{student.pk}/",
        f"/students/{student.pk}/assign/",
        f"/students/{student.pk}/sign-in/",
        "/families/",
        "/families/new/",
        f"/families/{family.pk}/",
        f"/places/{family.home_id}/edit/",
        "/exercises/",
        "/exercises/new/",
        "/exercises/import/",
        f"/exercises/{exercise.pk}/",
        f"/exercises/{exercise.pk}/branches/",
        f"/exercises/{exercise.pk}/ladder/",
        f"/exercises/{ladder.core_id}/ladder/?target={ladder.target_id}",
        f"/exercises/{ladder.core_id}/spread/?n=3",
        f"/exercises/compare/?exercise={ladder.core_id}&exercise={ladder.target_id}",
        "/exercises/generate/",
        f"/exercises/book/?ladder={ladder.pk}",
        "/work/",
        f"/ladders/{ladder.pk}/",
        "/money/",
        f"/money/families/{family.pk}/",
        f"/money/invoices/{invoice.pk}/",
        "/money/rates/",
        "/money/settings/",
        "/set-up/",
        "/mail/",
        "/sign-in/out/",
    ]


@pytest.mark.parametrize("look", LOOKS)
def test_no_page_has_a_finding(look: str, live_server: Any, new_page: Callable[..., Page]) -> None:
    call_command("demo", verbosity=0)
    student = Student.objects.get(name="Síofra Quill").user
    parent = Family.objects.get(name="Hennessy-Quill").adults.get().user
    grown_up = Student.objects.get(name="Dervla Roche").user
    people: list[tuple[User | None, list[str]]] = [
        (None, ["/sign-in/", "/sign-in/code/", "/sign-in/password/forgotten/"]),
        (User.objects.get(role=Role.TEACHER), teachers_pages()),
        (student, ["/my-week/"]),
        (
            parent,
            [
                "/family/",
                f"/my-times/{student.student.pk}/",
                f"/lessons/{LessonRequest.objects.get().lesson_id}/ask/",
            ],
        ),
        (grown_up, ["/family/", "/my-week/"]),
    ]
    findings = []
    for user, addresses in people:
        page = new_page(base_url=live_server.url, **LOOKS[look])
        if user is not None:
            page.goto(one_time_path(user))
            page.get_by_role("button", name="Come in").click()
            page.wait_for_load_state()
        for address in addresses:
            answer = page.goto(address)
            assert answer is not None
            assert answer.status == 200, address
            results = Axe().run(page, options=RULES).response
            findings += [
                f"{address}: {found['id']} ({found['nodes'][0]['html'][:160]}) "
                f"{found['nodes'][0]['failureSummary'][:200]}"
                for found in results["violations"]
            ]

    assert findings == []
