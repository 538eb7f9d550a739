"""A term from the first press to the booked lessons, the planner really at work."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from lessons.models import DraftLesson, Lesson, TimetableDraft
from lessons.planning.term import build as build_module
from lessons.services import timetable_building
from lessons.services.booking import series_book
from studio.long_work import work_do_all, work_stop
from studio.models import LongWork, WorkState
from tests.factories.lessons import (
    StudentWindowFactory,
    StudentWishesFactory,
    TermFactory,
    WorkingHoursFactory,
)
from tests.factories.studio import StudentFactory
from tests.lessons.conftest import TUESDAY, text_of, wish_for

DUBLIN = ZoneInfo("Europe/Dublin")
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_tuesday")]


@pytest.fixture
def term(studio: Any, teacher: Any, aoife: Any, tadhg: Any) -> Any:
    """Aoife comes on Tuesdays; her sister and Tadhg are new, and can come on Tuesdays only."""
    WorkingHoursFactory(weekday=1, begins_at=time(15), ends_at=time(18))
    term = TermFactory(last_date=date(2026, 10, 13))
    nessa = StudentFactory(name="Nessa Moran", family=aoife.family)
    for student in (aoife, nessa, tadhg):
        StudentWindowFactory(student=student)
    series_book(wish=wish_for(aoife, at=time(16), term=term), by=teacher, now=TUESDAY)
    return term


def build(client: Client, term: Any) -> TimetableDraft:
    client.post(reverse("lessons:timetable_build"), {"term": term.pk})
    assert work_do_all() == 1
    work = LongWork.objects.latest("pk")
    assert work.state == WorkState.DONE, work.error
    draft = TimetableDraft.objects.latest("pk")
    assert work.address == reverse("lessons:timetable_draft", args=[draft.pk])
    return draft


def accept(client: Client, draft: TimetableDraft, *rows: DraftLesson) -> Any:
    data = {
        "plan": rows[0].plan,
        "lesson": [row.pk for row in rows],
        "from_date": "2026-09-14",
    }
    return client.post(reverse("lessons:timetable_part", args=[draft.pk]), data, follow=True)


class TestBuildingATerm:
    def test_from_the_press_to_booked_lessons(
        self, client: Client, term: Any, aoife: Any, tadhg: Any
    ) -> None:
        draft = build(client, term)

        plan = next(iter(draft.numbers))
        rows = list(draft.lessons.filter(plan=plan))
        assert draft.figures(plan)["placed"] == draft.figures(plan)["wanted"] == 3
        assert draft.unplaced == []
        page = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))
        assert "placed 3 of 3" in page

        answer = accept(client, draft, *rows)

        assert "They stay fixed when you build the term again" in text_of(answer)
        assert Lesson.objects.filter(takers__student=tadhg).count() == 5
        at = Lesson.objects.filter(takers__student__family=aoife.family, starts_at__gte=NEXT_WEEK)
        starts = sorted(at.values_list("starts_at", flat=True))[:2]
        # Back to back at one home.
        assert (starts[1] - starts[0]).total_seconds() == 30 * 60

    def test_the_same_term_gives_the_same_timetable(self, client: Client, term: Any) -> None:
        drafts = [build(client, term) for _ in range(2)]

        both = [
            list(
                draft.lessons.order_by("plan", "student", "weekday", "at").values_list(
                    "plan", "student", "weekday", "at"
                )
            )
            for draft in drafts
        ]
        assert both[0] == both[1]

    def test_what_was_accepted_is_fixed_when_built_again(
        self, client: Client, term: Any, aoife: Any, tadhg: Any
    ) -> None:
        """Edge case 56: only the rest is given a time."""
        draft = build(client, term)
        plan = next(iter(draft.numbers))
        mine = list(draft.lessons.filter(plan=plan, student__family=aoife.family))
        accept(client, draft, *mine)

        again = build(client, term)

        assert {row.student for row in again.lessons.all()} == {tadhg}
        booked = Lesson.objects.filter(takers__student__family=aoife.family)
        assert booked.filter(starts_at__gte=NEXT_WEEK).count() == 10

    def test_who_finds_no_place_is_told_why_and_what_would_help(
        self, client: Client, term: Any, tadhg: Any
    ) -> None:
        """Edge case 44: three hours of lessons do not go into two and a half hours."""
        StudentWishesFactory(student=tadhg, minutes=150)

        draft = build(client, term)

        assert len(draft.unplaced) >= 1
        first = draft.unplaced[0]
        assert first["name"] == "Tadhg Lynch"
        assert first["with"] == ["Aoife Moran", "Nessa Moran"]
        assert "Aoife Moran" in first["why"]
        assert "outside your hours" in first["relaxation"]
        page = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))
        assert f"What would help: {first['relaxation']}" in page
        assert "(proven: no timetable places more)" in page

    def test_without_the_solver_it_is_built_all_the_same_and_promises_nothing(
        self, client: Client, term: Any, tadhg: Any, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(build_module, "has_solver", lambda: False)
        StudentWishesFactory(student=tadhg, minutes=150)

        draft = build(client, term)

        page = text_of(client.get(reverse("lessons:timetable_draft", args=[draft.pk])))
        assert "placed 2 of 3 (not proven: perhaps more would fit)" in page
        assert "Built by the simple search, without the solver" in page
        assert "how near this is to the best is not known" in page

    def test_stopped_half_way_it_leaves_no_draft(
        self, client: Client, term: Any, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def asked_to_stop(*args: Any, **kwargs: Any) -> Any:
            work_stop(work=LongWork.objects.get(), now=TUESDAY)
            return build_module.build_term(*args, **kwargs)

        monkeypatch.setattr(timetable_building, "build_term", asked_to_stop)
        client.post(reverse("lessons:timetable_build"), {"term": term.pk})

        work_do_all()

        assert LongWork.objects.get().state == WorkState.STOPPED
        assert not TimetableDraft.objects.exists()

    def test_a_term_that_is_gone_is_said(self, client: Client, term: Any) -> None:
        client.post(reverse("lessons:timetable_build"), {"term": term.pk})
        Lesson.objects.all().delete()
        term.delete()

        work_do_all()

        work = LongWork.objects.get()
        assert work.state == WorkState.FAILED
        assert work.error == "The term is not there any more. Nothing was built."


NEXT_WEEK = datetime(2026, 9, 14, tzinfo=DUBLIN)
