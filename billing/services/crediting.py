"""Credit notes: how a mistake on an issued invoice is mended."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from billing.balances import from_units, whole_sum
from billing.charging.totals import totals
from billing.models import (
    BilledLesson,
    BilledVisit,
    BillingSettings,
    Invoice,
    InvoiceKind,
    InvoiceLine,
    LineKind,
)
from billing.services.accounts import account_lock, credit_spend
from billing.services.issuing import number_and_freeze
from studio.models import Studio, User


class TooMuchTakenBack(Exception):
    """More should be taken back than the invoice came to, or a line a second time."""


def credit_note_issue(
    *,
    invoice: Invoice,
    lines: Sequence[InvoiceLine],
    words: str,
    by: User,
    today: date,
    now: datetime,
    bills_again: bool = False,
) -> Invoice:
    """Take back lines of an issued invoice with a credit note of its own number.

    It pays what is open on the invoice first; what is left stays on the family's account. With
    ``bills_again`` the lessons on these lines can be drafted again, for an invoice that was wrong;
    without it they count as billed, for goodwill.

    :raises TooMuchTakenBack: without lines, for a line taken back before, or above the total
    """
    studio, settings = Studio.current(), BillingSettings.current()
    with transaction.atomic():
        account_lock(invoice.family_id)
        _check(invoice, lines)
        note = Invoice.objects.create(
            kind=InvoiceKind.CREDIT_NOTE,
            family=invoice.family,
            period_start=invoice.period_start,
            credits=invoice,
            currency=invoice.currency,
            note=words,
        )
        copies = [_copy(note, line, position) for position, line in enumerate(lines, start=1)]
        issued = number_and_freeze(
            note, copies, studio=studio, settings=settings, by=by, today=today, now=now
        )
        if bills_again:
            BilledLesson.objects.filter(line__in=lines).delete()
            BilledVisit.objects.filter(line__in=lines).delete()
        credit_spend(
            family_id=invoice.family_id,
            currency=invoice.currency,
            now=now,
            first={f"credit:{issued.pk}": invoice.pk},
        )
    return issued


def _check(invoice: Invoice, lines: Sequence[InvoiceLine]) -> None:
    if not lines or any(line.invoice_id != invoice.pk for line in lines):
        raise TooMuchTakenBack("Choose at least one line of this invoice.")
    if InvoiceLine.objects.filter(credits__in=lines).exists():
        raise TooMuchTakenBack("One of these lines was taken back before.")
    before = invoice.credit_notes.aggregate(units=whole_sum("total"))["units"]
    wanted = totals(invoice.money, [line.amount for line in lines]).gross
    if invoice.total is None or invoice.is_credit_note:
        raise TooMuchTakenBack("Only an issued invoice can be taken back.")
    if wanted < 0:
        raise TooMuchTakenBack("These lines come to less than nothing: choose others as well.")
    room = invoice.total - from_units(before)
    if wanted > room:
        raise TooMuchTakenBack(
            f"These lines come to {wanted}, but only {invoice.money.round(room)} of the invoice "
            "is left. Take the discount back with them."
        )


def _copy(note: Invoice, line: InvoiceLine, position: int) -> InvoiceLine:
    return InvoiceLine.objects.create(
        invoice=note,
        position=position,
        kind=LineKind.CREDIT,
        on_date=line.on_date,
        student=line.student,
        student_name=line.student_name,
        words=line.words,
        reason="",
        net=Decimal(line.net),
        tax_category=line.tax_category,
        tax_percent=line.tax_percent,
        tax_reason=line.tax_reason,
        credits=line,
    )
