"""Issuing: numbers without gaps, snapshots, refusals."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from billing import services
from billing.charging.numbering import missing_serials
from billing.models import BillingSettings, Invoice, InvoiceNumber, LineKind, Rate
from billing.pdf import invoice_pdf
from billing.services.snapshots import kept_document
from lessons.models import Attendance, LessonStudent
from studio.models import Event, Studio
from tests.billing.conftest import NOVEMBER, NOW, TODAY, Desk
from tests.factories.billing import InvoiceFactory, InvoiceLineFactory


def manual(desk: Desk, month: int, amount: str = "10.00") -> Invoice:
    """Return a draft with one fee, in a month without lessons."""
    draft = InvoiceFactory(family=desk.family, period_start=date(2026, month, 1))
    InvoiceLineFactory(invoice=draft, net=Decimal(amount))
    return draft


class TestInvoiceIssue:
    def test_numbers_it_and_writes_everything_down(self, desk: Desk) -> None:
        issued = desk.issue()

        assert issued.number == "2026-0001"
        assert (issued.issue_date, issued.due_date) == (TODAY, date(2026, 12, 14))
        assert issued.total == Decimal("224.00")
        assert Event.objects.filter(kind="invoice_issued", by=desk.teacher).count() == 1

    def test_issuing_again_changes_nothing(self, desk: Desk) -> None:
        issued = desk.issue()

        again = services.invoice_issue(
            invoice=issued, by=desk.teacher, today=date(2027, 1, 5), now=NOW
        )

        assert again.number == "2026-0001"
        assert InvoiceNumber.objects.get().last_serial == 1

    def test_each_year_begins_anew(self, desk: Desk) -> None:
        numbers = [
            desk.issue(manual(desk, 1), today=date(2026, 12, 30)).number,
            desk.issue(manual(desk, 2), today=date(2026, 12, 31)).number,
            desk.issue(manual(desk, 3), today=date(2027, 1, 1)).number,
        ]

        assert numbers == ["2026-0001", "2026-0002", "2027-0001"]

    def test_a_failure_gives_the_number_back(
        self, desk: Desk, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        draft = desk.draft()

        def fail(*args: object, **kwargs: object) -> None:
            raise RuntimeError("the machine died")

        monkeypatch.setattr("billing.services.issuing.event_record", fail)
        with pytest.raises(RuntimeError):
            desk.issue(draft)
        monkeypatch.undo()

        assert Invoice.objects.get(pk=draft.pk).is_draft
        assert not InvoiceNumber.objects.exists()
        assert desk.issue(draft).number == "2026-0001"

    def test_the_document_stays_when_everything_else_changes(self, desk: Desk) -> None:
        issued = desk.issue()
        before = invoice_pdf(kept_document(Invoice.objects.get(pk=issued.pk)))

        desk.family.home.address = "Elsewhere"
        desk.family.home.save()
        desk.students[0].name = "Another"
        desk.students[0].save()
        Studio.objects.update(name="Renamed")
        BillingSettings.objects.update(iban="", closing_words="Farewell")

        assert invoice_pdf(kept_document(Invoice.objects.get(pk=issued.pk))) == before

    def test_refuses_when_the_lessons_changed_after_drafting(self, desk: Desk) -> None:
        draft = desk.draft()
        LessonStudent.objects.filter(student=desk.students[0]).update(attendance=Attendance.NO_SHOW)

        with pytest.raises(services.DraftOutOfDate, match="Nothing was issued"):
            desk.issue(draft)

        assert Invoice.objects.get(pk=draft.pk).is_draft
        assert desk.issue(desk.draft()).number == "2026-0001"

    def test_refuses_without_a_rate(self, desk: Desk) -> None:
        Rate.objects.all().delete()
        draft = desk.draft()

        with pytest.raises(services.LessonsWithoutRate, match="30 minutes"):
            desk.issue(draft)

    def test_refuses_less_than_nothing_and_nothing_at_all(self, desk: Desk) -> None:
        with pytest.raises(services.CannotIssue, match="less than nothing"):
            desk.issue(manual(desk, 1, "-5.00"))
        with pytest.raises(services.CannotIssue, match="nothing on it"):
            desk.issue(InvoiceFactory(family=desk.family, period_start=date(2026, 2, 1)))

        assert not InvoiceNumber.objects.exists()

    def test_credit_on_the_account_pays_it_and_it_says_so(self, desk: Desk) -> None:
        desk.pay("30.00")

        issued = desk.issue()

        document = kept_document(issued)
        assert (document.paid, document.due) == (Decimal(30), Decimal(194))
        assert issued.allocations.get().amount == Decimal(30)

    def test_tax_is_on_the_sum_and_stays_as_issued(self, desk: Desk) -> None:
        BillingSettings.objects.update(tax_kind="standard", tax_percent=Decimal("13.50"))

        issued = desk.issue(desk.draft())
        BillingSettings.objects.update(tax_percent=Decimal(23))

        assert issued.total == Decimal("254.24")  # 224.00 and 13.5 % of it, 30.24
        assert kept_document(issued).tax == Decimal("30.24")


class TestEndOfTheSeries:
    def test_beyond_9999_it_says_so(self, desk: Desk) -> None:
        InvoiceNumber.objects.create(year=2026, last_serial=9999)

        with pytest.raises(services.CannotIssue, match="no invoice 10000"):
            desk.issue(manual(desk, 1))

        assert InvoiceNumber.objects.get().last_serial == 9999


class TestMonthIssue:
    def test_issues_what_it_can_and_says_what_it_could_not(self, desk: Desk) -> None:
        desk.draft()
        other = InvoiceFactory(period_start=NOVEMBER)

        done = services.month_issue(month=NOVEMBER, by=desk.teacher, today=TODAY, now=NOW)

        assert [invoice.number for invoice in done.issued] == ["2026-0001"]
        assert [draft.pk for draft, _ in done.held_back] == [other.pk]

    def test_run_again_it_issues_nothing_twice(self, desk: Desk) -> None:
        desk.draft()
        services.month_issue(month=NOVEMBER, by=desk.teacher, today=TODAY, now=NOW)

        again = services.month_issue(month=NOVEMBER, by=desk.teacher, today=TODAY, now=NOW)
        services.month_draft(month=NOVEMBER, by=desk.teacher, now=NOW)

        assert again.issued == ()
        assert Invoice.objects.count() == 1


class TestCreditNote:
    def test_takes_lines_back_with_a_number_of_the_same_series(self, desk: Desk) -> None:
        issued = desk.issue()
        wrong = list(issued.lines.filter(kind=LineKind.LESSON)[:1])

        note = services.credit_note_issue(
            invoice=issued, lines=wrong, words="Not held", by=desk.teacher, today=TODAY, now=NOW
        )

        assert (note.number, note.total) == ("2026-0002", Decimal(25))
        assert missing_serials(Invoice.objects.values_list("number_serial", flat=True)) == ()
        assert kept_document(note).credits_number == "2026-0001"
        assert issued.allocations.get().credit_note == note

    def test_refuses_a_line_twice_or_of_another_invoice(self, desk: Desk) -> None:
        issued, other = desk.issue(), desk.issue(manual(desk, 1))
        wrong = list(issued.lines.filter(kind=LineKind.LESSON)[:1])
        facts = {"words": "x", "by": desk.teacher, "today": TODAY, "now": NOW}
        services.credit_note_issue(invoice=issued, lines=wrong, **facts)

        for invoice, lines in [(issued, wrong), (issued, list(other.lines.all())), (issued, [])]:
            with pytest.raises(services.TooMuchTakenBack):
                services.credit_note_issue(invoice=invoice, lines=lines, **facts)

    def test_the_lessons_can_be_billed_again_if_wanted(self, desk: Desk) -> None:
        issued = desk.issue()
        facts = {"words": "x", "by": desk.teacher, "today": TODAY, "now": NOW}
        services.credit_note_issue(
            invoice=issued, lines=list(issued.lines.all()), bills_again=True, **facts
        )

        second = desk.issue(desk.draft())

        assert second.total == issued.total
        # What was taken back paid the first invoice, so nothing is left for the second.
        assert kept_document(second).due == issued.total
