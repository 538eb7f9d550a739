"""Drafts: written from lessons, looked over, changed, thrown away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from billing.charging.charges import ChargeLine, Charges
from billing.charging.credits import Credit
from billing.models import (
    BilledLesson,
    BilledVisit,
    BillingSettings,
    Invoice,
    InvoiceKind,
    InvoiceLine,
    LineKind,
)
from billing.services.accounts import account_lock
from billing.services.reckoning import month_of, reckon
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Family, Studio, User

# Lines from lessons are numbered from 1, the teacher's own from here, so that drafting anew never
# has to move them.
FIRST_BY_HAND = 5001


class AlreadyIssued(Exception):
    """The invoice is no draft any more."""


@dataclass(frozen=True, slots=True)
class MonthDrafted:
    """What drafting a month for everybody gave."""

    drafts: tuple[Invoice, ...]
    unpriced: int
    unrecorded: int


def invoice_draft(
    *, family: Family, month: date, by: User, now: datetime, keep_empty: bool = False
) -> tuple[Invoice | None, Charges]:
    """Write the family's draft for the month, or write it anew from the lessons as they are now.

    The teacher's own lines stay. A lesson that another invoice bills is left out, so a month can
    be drafted again after it was issued: only what is new gets on the second draft. Without
    anything to charge there is no draft, unless ``keep_empty``.
    """
    studio, settings = Studio.current(), BillingSettings.current()
    first, _ = month_of(month)
    with transaction.atomic():
        account_lock(family.pk)
        draft = _draft_of(family, first)
        found = reckon(
            family=family,
            month=first,
            settings=settings,
            studio=studio,
            today=local_date(now, studio.zone),
            without=draft,
        )
        has_work = bool(found.net or found.unpriced or keep_empty)
        if draft is None and not has_work:
            return None, found
        if draft is None:
            draft = Invoice.objects.create(
                family=family, period_start=first, currency=studio.currency
            )
            event_record(
                kind="invoice_drafted", subject=f"{family.name}, {first:%Y-%m}", by=by, now=now
            )
        InvoiceLine.objects.filter(invoice=draft).from_lessons().delete()
        if not has_work and not draft.lines.exists():
            draft.delete()
            return None, found
        _lines_write(draft, found, settings)
    return draft, found


def _draft_of(family: Family, first: date) -> Invoice | None:
    return (
        Invoice.objects.drafts()
        .filter(family=family, period_start=first, kind=InvoiceKind.INVOICE)
        .first()
    )


def _lines_write(draft: Invoice, found: Charges, settings: BillingSettings) -> None:
    for position, charge in enumerate(found.lines, start=1):
        line = InvoiceLine.objects.create(
            invoice=draft, position=position, **charge_fields(charge, settings)
        )
        if charge.lesson_id is not None and charge.student_id is not None:
            BilledLesson.objects.create(
                lesson_id=charge.lesson_id, student_id=charge.student_id, line=line
            )
        else:
            BilledVisit.objects.create(
                family_id=draft.family_id, on_date=charge.on, place_id=charge.place_id, line=line
            )
    taken_back = InvoiceLine.objects.in_bulk([credit.line_id for credit in found.credits])
    for position, credit in enumerate(found.credits, start=len(found.lines) + 1):
        InvoiceLine.objects.create(
            invoice=draft, position=position, **credit_fields(credit, taken_back[credit.line_id])
        )


def fields_wanted(found: Charges, settings: BillingSettings) -> list[dict[str, object]]:
    """Return all that the lessons put on an invoice, as the columns of its lines."""
    lines = InvoiceLine.objects.in_bulk([credit.line_id for credit in found.credits])
    return [
        *(charge_fields(charge, settings) for charge in found.lines),
        *(credit_fields(credit, lines[credit.line_id]) for credit in found.credits),
    ]


def charge_fields(charge: ChargeLine, settings: BillingSettings) -> dict[str, object]:
    """Return a charge as the columns of an invoice line."""
    tax = settings.tax
    return {
        "kind": LineKind(charge.kind.value),
        "on_date": charge.on,
        "lesson_id": charge.lesson_id,
        "student_id": charge.student_id,
        "place_id": charge.place_id,
        "student_name": charge.student_name,
        "words": charge.words,
        "reason": charge.reason,
        "net": charge.net,
        "tax_category": tax.category.value,
        "tax_percent": tax.percent,
        "tax_reason": tax.reason,
        "credits_id": None,
    }


def credit_fields(credit: Credit, line: InvoiceLine) -> dict[str, object]:
    """Return what is taken back as the columns of an invoice line: taxed as it was."""
    return {
        "kind": LineKind.CREDIT,
        "on_date": credit.on,
        "lesson_id": None,
        "student_id": credit.student_id,
        "place_id": None,
        "student_name": credit.student_name,
        "words": credit.words[:300],
        "reason": credit.reason,
        "net": credit.net,
        "tax_category": line.tax_category,
        "tax_percent": line.tax_percent,
        "tax_reason": line.tax_reason,
        "credits_id": credit.line_id,
    }


def month_draft(*, month: date, by: User, now: datetime) -> MonthDrafted:
    """Draft the month for every family, each in its own transaction.

    A run that dies half-way is simply run again: what was drafted is drafted anew, to the same.
    """
    drafts: list[Invoice] = []
    unpriced = unrecorded = 0
    for family in Family.objects.order_by("name", "pk"):
        draft, found = invoice_draft(family=family, month=month, by=by, now=now)
        unpriced += len(found.unpriced)
        unrecorded += len(found.unrecorded)
        if draft is not None:
            drafts.append(draft)
    return MonthDrafted(tuple(drafts), unpriced, unrecorded)


def draft_lock(invoice: Invoice) -> Invoice:
    """Lock the account, then return the draft as it is now.

    :raises AlreadyIssued: if it was issued meanwhile
    """
    account_lock(invoice.family_id)
    fresh = Invoice.objects.select_for_update().get(pk=invoice.pk)
    if not fresh.is_draft:
        raise AlreadyIssued(f"{fresh} is issued and never changes. Write a credit note instead.")
    return fresh


def line_add(
    *,
    invoice: Invoice,
    kind: LineKind,
    words: str,
    amount: Decimal,
    student_name: str = "",
) -> InvoiceLine:
    """Add a fee or a discount of this amount (above zero) to a draft.

    :raises AlreadyIssued: if it is no draft
    """
    tax = BillingSettings.current().tax
    with transaction.atomic():
        draft = draft_lock(invoice)
        last = draft.lines.by_hand().order_by("-position").values_list("position", flat=True)
        line = InvoiceLine(
            invoice=draft,
            position=max(last.first() or 0, FIRST_BY_HAND - 1) + 1,
            kind=kind,
            student_name=student_name,
            words=words,
            net=-amount if kind == LineKind.DISCOUNT else amount,
            tax_category=tax.category.value,
            tax_percent=tax.percent,
            tax_reason=tax.reason,
        )
        line.full_clean(exclude=["lesson", "student", "place", "credits"])
        line.save()
    return line


def line_remove(*, line: InvoiceLine) -> None:
    """Take one of the teacher's own lines off a draft.

    :raises AlreadyIssued: if it is no draft
    """
    with transaction.atomic():
        draft = draft_lock(line.invoice)
        draft.lines.by_hand().filter(pk=line.pk).delete()


def note_change(*, invoice: Invoice, note: str) -> Invoice:
    """Change the words to the family on a draft.

    :raises AlreadyIssued: if it is no draft
    """
    with transaction.atomic():
        draft = draft_lock(invoice)
        draft.note = note
        draft.full_clean(exclude=["number"])
        draft.save()
    return draft


def draft_delete(*, invoice: Invoice, by: User, now: datetime) -> None:
    """Throw a draft away; its lessons can be drafted again.

    :raises AlreadyIssued: if it is no draft
    """
    with transaction.atomic():
        draft = draft_lock(invoice)
        event_record(
            kind="draft_deleted",
            subject=f"{draft.family.name}, {draft.period_start:%Y-%m}",
            by=by,
            now=now,
        )
        draft.delete()
