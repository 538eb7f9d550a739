"""Issuing: the moment from which an invoice never changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from billing.balances import open_items, sources
from billing.charging.allocation import Draw, OpenItem, draws
from billing.charging.errors import BadReference
from billing.charging.numbering import invoice_number
from billing.charging.totals import totals
from billing.document import to_record
from billing.models import (
    BilledLesson,
    BilledVisit,
    BillingSettings,
    Invoice,
    InvoiceLine,
    InvoiceNumber,
    InvoiceStatus,
)
from billing.services.accounts import account_lock, draws_write
from billing.services.drafting import fields_wanted
from billing.services.reckoning import reckon
from billing.services.snapshots import document_of
from studio.events import event_record
from studio.models import Studio, User


class CannotIssue(Exception):
    """The draft cannot become an invoice; the message says why and what to do."""


class DraftOutOfDate(CannotIssue):
    """Lessons, rates or settings changed after the draft was written."""


class LessonsWithoutRate(CannotIssue):
    """Something that should be charged has no price."""


@dataclass(frozen=True, slots=True)
class MonthIssued:
    """What issuing all drafts gave; ``held_back`` tells why some are still drafts."""

    issued: tuple[Invoice, ...]
    held_back: tuple[tuple[Invoice, str], ...]


def invoice_issue(*, invoice: Invoice, by: User, today: date, now: datetime) -> Invoice:
    """Issue a draft: give it the year's next number and write down all that it says.

    Issuing an issued invoice again changes nothing and returns it, so two presses give one number.
    What the family has on account pays it at once, and the invoice says so.

    :raises DraftOutOfDate: if the lessons no longer say what the draft says
    :raises LessonsWithoutRate: if a lesson to be charged has no rate
    :raises CannotIssue: if there is nothing on it, or it adds up to less than nothing
    """
    studio, settings = Studio.current(), BillingSettings.current()
    with transaction.atomic():
        account_lock(invoice.family_id)
        draft = Invoice.objects.select_for_update().select_related("family").get(pk=invoice.pk)
        if not draft.is_draft:
            return draft
        lines = list(draft.lines.in_order())
        _check_against_lessons(draft, lines, studio=studio, settings=settings, today=today)
        issued = number_and_freeze(
            draft, lines, studio=studio, settings=settings, by=by, today=today, now=now
        )
        _free_what_is_taken_back(lines)
        return issued


def number_and_freeze(
    draft: Invoice,
    lines: Sequence[InvoiceLine],
    *,
    studio: Studio,
    settings: BillingSettings,
    by: User,
    today: date,
    now: datetime,
) -> Invoice:
    """Number a draft invoice or credit note and freeze it; call it with the account locked."""
    foot = totals(draft.money, [line.amount for line in lines])
    if not lines:
        raise CannotIssue("There is nothing on it yet. Add a line, or throw the draft away.")
    if foot.gross < 0:
        raise CannotIssue(
            "It adds up to less than nothing. Take a discount off, or write a credit note for an "
            "earlier invoice."
        )
    due_date = today if draft.is_credit_note else today + timedelta(days=settings.payment_days)
    found = [] if draft.is_credit_note else _paid_already(draft, due_date, foot.gross)
    paid = sum((draw.amount for draw in found if draw.item == draft.pk), Decimal(0))
    serial = _next_serial(today.year)
    draft.number_year, draft.number_serial = today.year, serial
    try:
        draft.number = invoice_number(settings.number_prefix, today.year, serial)
    except BadReference as problem:
        raise CannotIssue(str(problem)) from None
    draft.issue_date, draft.due_date, draft.issued_at = today, due_date, now
    draft.total = foot.gross
    draft.snapshot = to_record(
        document_of(draft, lines, studio=studio, settings=settings, paid=paid)
    )
    draft.status = InvoiceStatus.ISSUED
    draft.full_clean()
    draft.save()
    draws_write(found, now=now)
    event_record(
        kind=f"{draft.kind}_issued",
        subject=f"{draft.number}, {draft.family.name}",
        by=by,
        now=now,
        total=str(foot.gross),
        currency=draft.currency,
    )
    return draft


def _next_serial(year: int) -> int:
    """Take the year's next serial. It is given back if the transaction does not end well."""
    InvoiceNumber.objects.get_or_create(year=year)
    counter = InvoiceNumber.objects.select_for_update().get(year=year)
    counter.last_serial += 1
    counter.save(update_fields=["last_serial"])
    return counter.last_serial


def _paid_already(draft: Invoice, due_date: date, gross: Decimal) -> list[Draw]:
    items = [
        *open_items(draft.family_id, draft.currency),
        OpenItem(draft.pk, due_date, gross),
    ]
    return list(draws(sources(draft.family_id, draft.currency), items))


def _check_against_lessons(
    draft: Invoice,
    lines: Sequence[InvoiceLine],
    *,
    studio: Studio,
    settings: BillingSettings,
    today: date,
) -> None:
    found = reckon(
        family=draft.family,
        month=draft.period_start,
        settings=settings,
        studio=studio,
        today=today,
        without=draft,
    )
    if found.unpriced:
        lesson = found.unpriced[0]
        raise LessonsWithoutRate(
            f"There is no rate for {lesson.minutes} minutes at {lesson.place_name} on "
            f"{lesson.local_date:%-d %B %Y}. Add it under Rates, then issue again."
        )
    if draft.currency != studio.currency:
        raise CannotIssue(
            f"The draft is in {draft.currency}, the studio now works in {studio.currency}. Throw "
            "the draft away and draft the month again."
        )
    wanted = fields_wanted(found, settings)
    kept = [
        {name: getattr(line, name) for name in wanted[0]} if wanted else {}
        for line in lines
        if not line.is_by_hand
    ]
    if kept != wanted:
        raise DraftOutOfDate(
            "Lessons, rates or settings have changed since this was drafted. Nothing was issued. "
            "Draft the month again, look it over, then issue."
        )


def _free_what_is_taken_back(lines: Sequence[InvoiceLine]) -> None:
    """Let a credited lesson be billed again, should it be put back and given after all."""
    credited = [line.credits_id for line in lines if line.credits_id is not None]
    BilledLesson.objects.filter(line__in=credited).delete()
    BilledVisit.objects.filter(line__in=credited).delete()


def month_issue(*, month: date, by: User, today: date, now: datetime) -> MonthIssued:
    """Issue every draft of the month, each in its own transaction; say which are held back."""
    issued: list[Invoice] = []
    held_back: list[tuple[Invoice, str]] = []
    drafts = Invoice.objects.drafts().filter(period_start=month.replace(day=1))
    for draft in drafts.select_related("family").order_by("family__name", "pk"):
        try:
            issued.append(invoice_issue(invoice=draft, by=by, today=today, now=now))
        except CannotIssue as problem:
            held_back.append((draft, str(problem)))
    return MonthIssued(tuple(issued), tuple(held_back))
