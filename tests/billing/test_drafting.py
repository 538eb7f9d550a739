"""Drafts."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from billing import services
from billing.models import BilledLesson, BilledVisit, Invoice, InvoiceLine, LineKind, Rate
from lessons.models import Attendance, LessonStudent
from tests.billing.conftest import NOVEMBER, NOW, Desk
from tests.factories.billing import lesson_held, november
from tests.factories.studio import FamilyFactory


def shown(invoice: Invoice) -> list[tuple[str, str, Decimal]]:
    return [(line.kind, line.student_name, line.net) for line in invoice.lines.in_order()]


class TestInvoiceDraft:
    def test_bills_lessons_and_each_visit_once(self, desk: Desk) -> None:
        draft = desk.draft()

        week = [
            ("lesson", "Fiadh", Decimal(25)),
            ("lesson", "Oisín", Decimal(25)),
            ("travel", "", Decimal(6)),
        ]
        assert shown(draft) == week * 4
        assert (BilledLesson.objects.count(), BilledVisit.objects.count()) == (8, 4)

    def test_drafting_again_changes_nothing(self, desk: Desk) -> None:
        first = desk.draft()
        before = shown(first)

        again = desk.draft()

        assert again.pk == first.pk
        assert shown(again) == before
        assert Invoice.objects.count() == 1

    def test_drafting_again_takes_in_what_changed_and_keeps_the_teachers_lines(
        self, desk: Desk
    ) -> None:
        draft = desk.draft()
        services.line_add(invoice=draft, kind=LineKind.FEE, words="Sticks", amount=Decimal("12.50"))
        LessonStudent.objects.filter(student=desk.students[0]).update(attendance=Attendance.NO_SHOW)

        again = desk.draft()

        assert "Missed without notice: charged in full" in {
            line.reason for line in again.lines.from_lessons()
        }
        assert [line.words for line in again.lines.by_hand()] == ["Sticks"]

    def test_after_issuing_only_what_is_new_is_drafted(self, desk: Desk) -> None:
        desk.issue()
        lesson_held(desk.students[0], desk.family.home, november(27))

        second = desk.draft()

        assert shown(second) == [("lesson", "Fiadh", Decimal(25)), ("travel", "", Decimal(6))]

    def test_a_late_sibling_on_a_billed_visit_pays_no_second_drive(self, desk: Desk) -> None:
        desk.issue()
        lesson_held(desk.students[1], desk.family.home, november(3, 17))

        second = desk.draft()

        assert shown(second) == [("lesson", "Oisín", Decimal(25))]

    def test_nothing_left_to_bill_gives_no_draft(self, desk: Desk) -> None:
        desk.issue()

        draft, _ = services.invoice_draft(
            family=desk.family, month=NOVEMBER, by=desk.teacher, now=NOW
        )

        assert draft is None
        assert Invoice.objects.count() == 1

    def test_the_months_are_local(self, desk: Desk) -> None:
        # 31 October 23:30 UTC is 31 October in Dublin; 31 May 23:30 UTC is 1 June there.
        lesson_held(
            desk.students[0],
            desk.family.home,
            november(1).replace(month=5, day=31, hour=23, minute=30),
        )

        june, _ = services.invoice_draft(
            family=desk.family, month=date(2026, 6, 1), by=desk.teacher, now=NOW
        )

        assert june is not None
        assert june.lines.from_lessons().first().on_date == date(2026, 6, 1)

    def test_a_lesson_without_a_rate_is_handed_back(self, desk: Desk) -> None:
        Rate.objects.all().delete()

        draft, found = services.invoice_draft(
            family=desk.family, month=NOVEMBER, by=desk.teacher, now=NOW
        )

        assert draft is not None
        assert len(found.unpriced) == 8
        assert not draft.lines.exists()

    def test_the_database_refuses_a_lesson_twice(self, desk: Desk) -> None:
        from django.db import IntegrityError

        draft = desk.draft()
        claim = BilledLesson.objects.first()
        assert claim is not None
        other = draft.lines.from_lessons().last()

        with pytest.raises(IntegrityError):
            BilledLesson.objects.create(lesson=claim.lesson, student=claim.student, line=other)


class TestMonthDraft:
    def test_drafts_every_family_that_has_something(self, desk: Desk) -> None:
        FamilyFactory()

        done = services.month_draft(month=date(2026, 11, 20), by=desk.teacher, now=NOW)

        assert [draft.family for draft in done.drafts] == [desk.family]
        assert (done.unpriced, done.unrecorded) == (0, 0)

    def test_counts_what_is_not_recorded(self, desk: Desk) -> None:
        LessonStudent.objects.filter(student=desk.students[0]).update(
            attendance=Attendance.UNMARKED
        )

        done = services.month_draft(month=NOVEMBER, by=desk.teacher, now=NOW)

        assert done.unrecorded == 4


class TestLines:
    def test_a_discount_is_taken_off(self, desk: Desk) -> None:
        line = services.line_add(
            invoice=desk.draft(), kind=LineKind.DISCOUNT, words="Two of one", amount=Decimal(10)
        )

        assert line.net == Decimal(-10)

    def test_only_the_teachers_own_can_be_taken_off(self, desk: Desk) -> None:
        draft = desk.draft()
        own = services.line_add(invoice=draft, kind=LineKind.FEE, words="Sticks", amount=Decimal(5))
        lesson = draft.lines.from_lessons().first()
        assert lesson is not None

        services.line_remove(line=own)
        services.line_remove(line=lesson)

        assert not draft.lines.by_hand().exists()
        assert draft.lines.from_lessons().count() == 12

    def test_nothing_is_added_to_an_issued_invoice(self, desk: Desk) -> None:
        issued = desk.issue()

        with pytest.raises(services.AlreadyIssued):
            services.line_add(invoice=issued, kind=LineKind.FEE, words="Sticks", amount=Decimal(5))
        with pytest.raises(services.AlreadyIssued):
            services.note_change(invoice=issued, note="Hello")

    def test_a_draft_thrown_away_frees_its_lessons(self, desk: Desk) -> None:
        services.draft_delete(invoice=desk.draft(), by=desk.teacher, now=NOW)

        assert not BilledLesson.objects.exists()
        assert not InvoiceLine.objects.exists()
        assert len(shown(desk.draft())) == 12
