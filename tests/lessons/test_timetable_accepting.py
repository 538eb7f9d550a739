"""Accepting a built timetable: whole, in part, once, and not at all when the week changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from lessons.models import (
    Closure,
    DraftLesson,
    Lesson,
    LessonRequest,
    LessonStatus,
    Series,
    TimetableDraft,
)
from lessons.selectors.term_rows import term_rows
from lessons.selectors.term_seals import term_seals
from lessons.selectors.timetable_parts import draft_rows, part_check
from lessons.services.booking import lesson_book, series_book
from lessons.services.changing import lesson_call_off, lesson_move
from lessons.services.timetable_accepting import (
    PartRefused,
    WeekChanged,
    timetable_accept,
    timetable_loosen,
)
from studio.models import OutgoingEmail, Studio
from tests.factories.lessons import (
    DraftLessonFactory,
    PlaceCorrectionFactory,
    SeriesFactory,
    StudentWindowFactory,
    TermFactory,
    TimetableDraftFactory,
)
from tests.factories.studio import AdultFactory, UserFactory
from tests.lessons.conftest import wish_for

DUBLIN = ZoneInfo("Europe/Dublin")
NOW = datetime(2026, 9, 8, 9, tzinfo=UTC)
MONDAY = date(2026, 9, 14)
LAST = date(2026, 10, 13)
pytestmark = pytest.mark.django_db


@pytest.fixture
def term(studio: Any) -> Any:
    return TermFactory(last_date=LAST)


@pytest.fixture
def booked(teacher: Any, aoife: Any, tadhg: Any, term: Any) -> dict[str, Series]:
    """Aoife on Tuesdays at 16:00, Tadhg at 17:30, each at home, half an hour of road between."""
    for there, back in ((aoife, tadhg), (tadhg, aoife)):
        PlaceCorrectionFactory(
            from_place=there.family.home, to_place=back.family.home, minutes=30, is_both_ways=False
        )
    return {
        "aoife": series_book(wish=wish_for(aoife, term=term), by=teacher, now=NOW),
        "tadhg": series_book(wish=wish_for(tadhg, at=time(17, 30), term=term), by=teacher, now=NOW),
    }


@pytest.fixture
def draft(booked: dict[str, Series], term: Any, studio: Any) -> TimetableDraft:
    """The two change places, to the minute."""
    draft: TimetableDraft = TimetableDraftFactory(
        term=term, seals=term_seals(term=term, from_date=MONDAY, studio=studio)
    )
    _row(draft, booked["aoife"], time(17, 30))
    _row(draft, booked["tadhg"], time(16))
    return draft


def _row(draft: TimetableDraft, series: Series, at: time, **more: Any) -> DraftLesson:
    student = series.students.get()
    values = {"place": series.place, "is_running": True, "minutes": series.minutes} | more
    row: DraftLesson = DraftLessonFactory(
        draft=draft, student=student, series=series, at=at, **values
    )
    return row


def row_of(draft: TimetableDraft, name: str) -> DraftLesson:
    return draft.lessons.get(student__name__startswith=name)


def accept(draft: TimetableDraft, teacher: Any, *names: str, **more: Any) -> Any:
    rows = draft.lessons.all() if not names else [row_of(draft, name) for name in names]
    values = {"from_date": MONDAY, "plan": "balanced", "by": teacher, "now": NOW} | more
    return timetable_accept(draft=draft, ticked=frozenset(row.pk for row in rows), **values)


def walls(name: str) -> list[str]:
    """When somebody's planned lessons are, by the clock on the wall."""
    lessons = Lesson.objects.taking_time().filter(takers__student__name__startswith=name)
    starts = lessons.in_order().values_list("starts_at", flat=True)
    return [f"{start.astimezone(DUBLIN):%m-%d %H:%M}" for start in starts]


class TestAcceptingAWhole:
    def test_lets_two_change_places(self, draft: TimetableDraft, teacher: Any) -> None:
        done = accept(draft, teacher)

        assert (done.booked, done.lessons) == (2, 10)
        assert walls("Aoife")[:2] == ["09-08 16:00", "09-15 17:30"]
        assert walls("Tadhg")[:2] == ["09-08 17:30", "09-15 16:00"]
        assert walls("Aoife")[-1] == "10-13 17:30"

    def test_moves_the_lessons_themselves_so_that_calendars_follow(
        self, draft: TimetableDraft, teacher: Any, booked: dict[str, Series]
    ) -> None:
        before = set(booked["aoife"].lessons.values_list("pk", flat=True))

        accept(draft, teacher)

        series = row_of(draft, "Aoife").confirmed_series
        assert series is not None
        assert series.split_from == booked["aoife"]
        assert set(series.lessons.values_list("pk", flat=True)) < before
        assert set(series.lessons.values_list("revision", flat=True)) == {1}
        assert Lesson.objects.filter(status=LessonStatus.CALLED_OFF).count() == 0
        booked["aoife"].refresh_from_db()
        assert booked["aoife"].stopped_from_date == MONDAY

    def test_a_repeated_press_changes_nothing(self, draft: TimetableDraft, teacher: Any) -> None:
        accept(draft, teacher, are_families_told=True)
        state = list(Lesson.objects.order_by("pk").values())

        again = accept(draft, teacher, are_families_told=True)

        assert (again.booked, again.stays, again.messages) == (0, 0, 0)
        assert list(Lesson.objects.order_by("pk").values()) == state
        assert OutgoingEmail.objects.count() == 1

    def test_tells_each_family_once_if_asked(
        self, draft: TimetableDraft, teacher: Any, aoife: Any
    ) -> None:
        AdultFactory(family=aoife.family, name="Nessa Moran", email="nessa@example.com")

        done = accept(draft, teacher, are_families_told=True)

        assert done.messages == 2
        body = OutgoingEmail.objects.get(to="orla@example.com").body
        assert "Until now: every Tuesday at 17:30, Far door" in body
        assert "Now: every Tuesday at 16:00 to 16:30, Far door" in body
        assert "First lesson: Tuesday 15 September 2026" in body

    def test_tells_nobody_otherwise(self, draft: TimetableDraft, teacher: Any) -> None:
        accept(draft, teacher)

        assert OutgoingEmail.objects.count() == 0

    def test_skips_what_is_closed_and_books_a_new_student(
        self, draft: TimetableDraft, teacher: Any, term: Any, studio: Any, aoife: Any
    ) -> None:
        Closure.objects.create(
            name="Fair", first_date=date(2026, 9, 23), last_date=date(2026, 9, 23)
        )
        DraftLessonFactory(
            draft=draft, student=aoife, place=aoife.family.home, first_date=date(2026, 9, 16)
        )
        draft.seals = term_seals(term=term, from_date=MONDAY, studio=studio)
        draft.save()

        accept(draft, teacher)

        wednesdays = [wall for wall in walls("Aoife") if wall.endswith("17:00")]
        assert wednesdays == ["09-16 17:00", "09-30 17:00", "10-07 17:00"]

    def test_books_last_terms_time_anew(self, teacher: Any, aoife: Any, studio: Any) -> None:
        old = SeriesFactory(
            students=[aoife], place=aoife.family.home,
            first_date=date(2026, 1, 6), last_date=date(2026, 6, 30),
        )  # fmt: skip
        term = TermFactory()
        draft = TimetableDraftFactory(
            term=term, seals=term_seals(term=term, from_date=MONDAY, studio=studio)
        )
        row = _row(draft, old, time(16), is_running=False)

        done = accept(draft, teacher)

        assert (row.is_same_time, row.is_stay) == (True, False)
        assert (done.stays, done.booked) == (0, 1)
        assert walls("Aoife")[0] == "09-15 16:00"
        old.refresh_from_db()
        assert old.stopped_from_date is None

    def test_what_stays_is_kept_and_fixed(
        self, draft: TimetableDraft, teacher: Any, booked: dict[str, Series]
    ) -> None:
        DraftLesson.objects.filter(pk=row_of(draft, "Aoife").pk).update(at=time(16))
        state = list(Lesson.objects.order_by("pk").values())

        done = accept(draft, teacher, "Aoife")

        assert (done.stays, done.booked) == (1, 0)
        assert row_of(draft, "Aoife").confirmed_series == booked["aoife"]
        assert list(Lesson.objects.order_by("pk").values()) == state

    def test_leaves_lessons_settled_by_themselves_alone(
        self, draft: TimetableDraft, teacher: Any, term: Any, studio: Any, booked: dict[str, Series]
    ) -> None:
        first, second = booked["aoife"].lessons.in_order()[1:3]
        place = first.place
        lesson_move(
            lesson=first, day=date(2026, 9, 17), at=time(12), minutes=30, place=place, by=teacher,
            now=NOW,
        )  # fmt: skip
        lesson_call_off(
            lesson=second, called_off_by="family", told_at=NOW, reason="away", by=teacher, now=NOW
        )
        draft.seals = term_seals(term=term, from_date=MONDAY, studio=studio)
        draft.save()

        accept(draft, teacher)

        assert walls("Aoife")[:3] == ["09-08 16:00", "09-17 12:00", "09-29 17:30"]


class TestAcceptingAPart:
    def test_refuses_a_part_that_meets_who_would_stay(
        self, draft: TimetableDraft, teacher: Any
    ) -> None:
        state = list(Lesson.objects.order_by("pk").values())

        with pytest.raises(PartRefused, match=r"would meet Tadhg Lynch.*Tick Tadhg Lynch too"):
            accept(draft, teacher, "Aoife")

        assert list(Lesson.objects.order_by("pk").values()) == state
        assert Series.objects.filter(stopped_from_date__isnull=False).count() == 0

    def test_refuses_a_part_whose_road_is_too_long(
        self, draft: TimetableDraft, teacher: Any
    ) -> None:
        DraftLesson.objects.filter(pk=row_of(draft, "Aoife").pk).update(at=time(16, 45))

        with pytest.raises(PartRefused, match=r"road to Tadhg Lynch.* takes 30 minutes"):
            accept(draft, teacher, "Aoife")

    def test_the_rest_can_follow_family_by_family(
        self, draft: TimetableDraft, teacher: Any
    ) -> None:
        DraftLesson.objects.filter(pk=row_of(draft, "Aoife").pk).update(at=time(15))

        accept(draft, teacher, "Aoife")
        draft.refresh_from_db()
        done = accept(draft, teacher, "Tadhg")

        assert draft.chosen == "balanced"
        assert done.booked == 1
        assert walls("Tadhg")[1] == "09-15 16:00"

    def test_another_plan_no_longer_fits_once_one_is_begun(
        self, draft: TimetableDraft, teacher: Any, booked: dict[str, Series]
    ) -> None:
        row = _row(draft, booked["aoife"], time(15), plan="keep")
        TimetableDraft.objects.filter(pk=draft.pk).update(chosen="balanced")

        with pytest.raises(PartRefused, match="You began to accept"):
            timetable_accept(
                draft=draft, plan="keep", ticked=frozenset({row.pk}), from_date=MONDAY,
                by=teacher, now=NOW,
            )  # fmt: skip

    def test_a_single_lesson_in_the_way_costs_that_date_alone(
        self, draft: TimetableDraft, teacher: Any, term: Any, studio: Any, aoife: Any
    ) -> None:
        lesson_book(
            students=[aoife], place=aoife.family.home, day=date(2026, 9, 22), at=time(15),
            minutes=30, by=teacher, now=NOW,
        )  # fmt: skip
        DraftLesson.objects.filter(pk=row_of(draft, "Aoife").pk).update(at=time(15))
        draft.seals = term_seals(term=term, from_date=MONDAY, studio=studio)
        draft.save()
        rows = draft_rows(draft, "balanced")

        check = part_check(
            draft=draft, rows=rows, ticked=frozenset(row.pk for row in rows), from_date=MONDAY,
            studio=studio, now=NOW,
        )  # fmt: skip

        change = next(each for each in check.changes if each.row.student == aoife)
        assert [each.day for each in change.left_out] == [date(2026, 9, 22)]
        assert change.left_out[0].reason == "Aoife Moran is there that day"
        assert len(change.to_book) == 4

    def test_what_was_accepted_stays_and_only_the_rest_moves(
        self, draft: TimetableDraft, teacher: Any, aoife: Any, tadhg: Any, term: Any
    ) -> None:
        """Edge case 56: the next building has the accepted lessons fixed."""
        for student in (aoife, tadhg):
            StudentWindowFactory(student=student)
        DraftLesson.objects.filter(pk=row_of(draft, "Aoife").pk).update(at=time(15))
        draft.refresh_from_db()
        draft.seals = term_seals(term=term, from_date=MONDAY, studio=Studio.current())
        draft.save()

        accept(draft, teacher, "Aoife")

        rows = term_rows(term=term, from_date=MONDAY)
        assert [wanted.student for wanted in rows.wanted] == [tadhg]
        assert [each.label for each in rows.confirmed] == ["Aoife Moran"]
        assert rows.confirmed[0].series.at == time(15)

        assert timetable_loosen(draft=draft) == 1
        loose = term_rows(term=term, from_date=MONDAY)
        assert {wanted.student for wanted in loose.wanted} == {aoife, tadhg}


class TestTheWeekChanged:
    def test_a_booking_since_refuses_it_in_words(
        self, draft: TimetableDraft, teacher: Any, aoife: Any
    ) -> None:
        lesson_book(
            students=[aoife], place=aoife.family.home, day=date(2026, 9, 24), at=time(12),
            minutes=30, by=teacher, now=NOW,
        )  # fmt: skip
        state = list(Lesson.objects.order_by("pk").values())

        with pytest.raises(WeekChanged, match="lessons or appointments were booked, moved"):
            accept(draft, teacher)

        assert list(Lesson.objects.order_by("pk").values()) == state

    def test_new_wishes_refuse_it(self, draft: TimetableDraft, teacher: Any, aoife: Any) -> None:
        StudentWindowFactory(student=aoife)

        with pytest.raises(WeekChanged, match="somebody’s times or wishes changed"):
            accept(draft, teacher)

    def test_marking_a_lesson_before_its_first_day_does_not(
        self, draft: TimetableDraft, teacher: Any, booked: dict[str, Series]
    ) -> None:
        lesson = booked["aoife"].lessons.in_order().first()
        Lesson.objects.filter(pk=lesson.pk).update(status=LessonStatus.DONE)

        assert accept(draft, teacher).booked == 2

    def test_a_day_that_is_past_is_refused(self, draft: TimetableDraft, teacher: Any) -> None:
        with pytest.raises(PartRefused, match="Choose a day from 20 September 2026"):
            accept(draft, teacher, now=NOW + timedelta(days=12))

    def test_accepted_while_a_parent_asks_about_a_lesson(
        self, draft: TimetableDraft, teacher: Any, tadhg: Any, booked: dict[str, Series]
    ) -> None:
        """Edge case 37: the request stays open and says that the lesson is not what it was."""
        lesson = booked["tadhg"].lessons.in_order()[2]
        request = LessonRequest.objects.create(
            lesson=lesson, family=tadhg.family, kind="move", asked_by=UserFactory(), asked_at=NOW,
            was_names="Tadhg Lynch", was_starts_at=lesson.starts_at, was_minutes=30,
            was_revision=lesson.revision,
        )  # fmt: skip
        rows = draft_rows(draft, "balanced")
        check = part_check(
            draft=draft, rows=rows, ticked=frozenset(row.pk for row in rows), from_date=MONDAY,
            studio=Studio.current(), now=NOW,
        )  # fmt: skip
        assert [each.pk for each in check.requests] == [request.pk]

        accept(draft, teacher)

        request = LessonRequest.objects.get()
        assert request.is_open
        assert request.is_overtaken
        assert request.lesson is not None
        assert f"{request.lesson.starts_at.astimezone(DUBLIN):%d %H:%M}" == "22 16:00"

    def test_a_move_that_was_granted_meanwhile_refuses_the_timetable(
        self, draft: TimetableDraft, teacher: Any, booked: dict[str, Series]
    ) -> None:
        """Edge case 37: the other way round, nothing of the granted move is lost."""
        lesson = booked["tadhg"].lessons.in_order()[2]
        lesson_move(
            lesson=lesson, day=date(2026, 9, 24), at=time(18), minutes=30, place=lesson.place,
            by=teacher, now=NOW,
        )  # fmt: skip

        with pytest.raises(WeekChanged):
            accept(draft, teacher)

        assert "09-24 18:00" in walls("Tadhg")
