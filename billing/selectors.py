"""One function for each page about money; the number of queries does not grow with the rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Count, Exists, OuterRef, QuerySet

from billing.balances import Balance, balances, from_units, open_of, whole_sum, with_open
from billing.charging.allocation import OpenItem
from billing.charging.charges import Charges, LessonToCome, charges
from billing.charging.statement import Ages, Entry, EntryKind, Statement, by_age, statement
from billing.localised import currency_of
from billing.models import BillingSettings, Invoice, InvoiceLine, Payment, Rate
from billing.services.reckoning import reckon
from studio.models import Family, Place, Studio, User

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class InvoiceRow:
    """An issued invoice with what is open on it today."""

    invoice: Invoice
    open: Decimal
    is_late: bool

    @property
    def state(self) -> str:
        """How far it is paid, in a word or two."""
        if self.invoice.is_credit_note:
            return "credit"
        if self.open <= 0:
            return "paid"
        if self.is_late:
            return "overdue"
        return "part paid" if self.open != self.invoice.total else "to pay"


@dataclass(frozen=True, slots=True)
class DraftRow:
    """A draft with its sum before tax."""

    invoice: Invoice
    net: Decimal
    line_count: int


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """What the teacher's page about money shows."""

    drafts: tuple[DraftRow, ...]
    open: tuple[InvoiceRow, ...]
    ages: Ages
    came_in: tuple[Payment, ...]
    came_in_this_month: Decimal
    credit: Decimal
    has_rates: bool
    has_account: bool


def _rows(invoices: QuerySet[Invoice], today: date) -> tuple[InvoiceRow, ...]:
    found = []
    for invoice in with_open(invoices).select_related("family", "credits"):
        left = NOTHING if invoice.is_credit_note else open_of(invoice)
        found.append(InvoiceRow(invoice, left, left > 0 and invoice.is_late(today)))
    return tuple(found)


def money_page(*, studio: Studio, today: date) -> MoneyPage:
    """Return drafts, what is open (longest due first), and what came in lately."""
    issued = Invoice.objects.issued().invoices().filter(currency=studio.currency)
    open_rows = _rows(with_open(issued).filter(open_units__gt=0).order_by("due_date", "pk"), today)
    payments = Payment.objects.filter(currency=studio.currency)
    month_units = payments.filter(
        paid_date__gte=today.replace(day=1), paid_date__lte=today
    ).aggregate(units=whole_sum("amount"))["units"]
    drafts: QuerySet[Any] = (
        Invoice.objects.drafts()
        .select_related("family")
        .annotate(units=whole_sum("lines__net"), line_count=Count("lines"))
        .order_by("period_start", "family__name", "pk")
    )
    credit = sum((b.credit for b in balances(studio.currency).values()), NOTHING)
    return MoneyPage(
        drafts=tuple(
            DraftRow(draft, from_units(draft.units), draft.line_count) for draft in drafts
        ),
        open=open_rows,
        ages=by_age(
            (
                OpenItem(row.invoice.pk, row.invoice.due_date or today, row.open)
                for row in open_rows
            ),
            today=today,
        ),
        came_in=tuple(payments.select_related("family").order_by("-paid_date", "-pk")[:8]),
        came_in_this_month=from_units(month_units),
        credit=credit,
        has_rates=Rate.objects.exists(),
        has_account=bool(BillingSettings.current().iban),
    )


def issued_in_year(*, year: int, today: date) -> tuple[InvoiceRow, ...]:
    """Return everything issued in a year, newest first."""
    return _rows(
        Invoice.objects.issued().filter(number_year=year).order_by("-number_serial"), today
    )


def issued_years() -> Sequence[int]:
    """Return the years in which anything was issued, newest first."""
    years = Invoice.objects.issued().order_by("-number_year").values_list("number_year", flat=True)
    return [year for year in years.distinct() if year is not None]


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """A family and its balance."""

    family: Family
    balance: Balance


def family_rows(*, studio: Studio) -> tuple[FamilyRow, ...]:
    """Return every family with what it owes, by name."""
    found = balances(studio.currency)
    return tuple(
        FamilyRow(family, found.get(family.pk, Balance()))
        for family in Family.objects.order_by("name", "pk")
    )


@dataclass(frozen=True, slots=True)
class Account:
    """A family's account."""

    balance: Balance
    statement: Statement
    invoices: tuple[InvoiceRow, ...]
    drafts: tuple[Invoice, ...]
    payments: tuple[Payment, ...]

    @property
    def open(self) -> tuple[InvoiceRow, ...]:
        """Those on which something is open, longest due first."""
        late_first = sorted(self.invoices, key=lambda row: row.invoice.due_date or date.max)
        return tuple(row for row in late_first if row.open > 0)


def family_account(*, family: Family, studio: Studio, user: User, today: date) -> Account:
    """Return what this person may see of a family's account, with its running balance."""
    mine = Invoice.objects.visible_to(user).filter(family=family)
    invoices = _rows(mine.issued().order_by("-issue_date", "-number_serial"), today)
    reversed_rows = Payment.objects.filter(reverses=OuterRef("pk"))
    payments = tuple(
        Payment.objects.visible_to(user)
        .filter(family=family, currency=studio.currency)
        .annotate(is_reversed=Exists(reversed_rows))
        .order_by("-paid_date", "-pk")
    )
    entries = [
        *(
            _invoice_entry(row.invoice)
            for row in invoices
            if row.invoice.currency == studio.currency
        ),
        *(_payment_entry(payment) for payment in payments),
    ]
    return Account(
        balance=balances(studio.currency, [family.pk]).get(family.pk, Balance()),
        statement=statement(entries),
        invoices=invoices,
        drafts=tuple(mine.drafts().order_by("period_start", "pk")),
        payments=payments,
    )


def _invoice_entry(invoice: Invoice) -> Entry:
    total = invoice.total or NOTHING
    return Entry(
        on=invoice.issue_date or invoice.period_start,
        kind=EntryKind(invoice.kind),
        key=invoice.pk,
        words=str(invoice),
        amount=-total if invoice.is_credit_note else total,
    )


def _payment_entry(payment: Payment) -> Entry:
    words = "Payment" if payment.amount > 0 else "Paid back"
    if payment.reverses_id:
        words = "Payment taken back"
    return Entry(
        on=payment.paid_date,
        kind=EntryKind.PAYMENT,
        key=payment.pk,
        words=f"{words}, {payment.get_method_display().lower()}",
        amount=-payment.amount,
    )


def draft_reckoning(invoice: Invoice, *, studio: Studio, today: date) -> Charges:
    """Return what the draft's lessons cost as they are now, with what is not priced or recorded."""
    return reckon(
        family=invoice.family,
        month=invoice.period_start,
        settings=BillingSettings.current(),
        studio=studio,
        today=today,
        without=invoice,
    )


def invoice_lines(invoice: Invoice) -> QuerySet[InvoiceLine]:
    """Return the lines as printed, each with the credit note line that took it back, if any."""
    return invoice.lines.select_related("credited_by").in_order()


@dataclass(frozen=True, slots=True)
class LessonPrice:
    """What a lesson would cost, or None for no rate; ``travel`` comes on top, once a visit."""

    lesson: Decimal | None
    travel: Decimal
    band_label: str


def lesson_price(
    *,
    place: Place,
    minutes: int,
    on: date,
    studio: Studio,
    surcharge: Decimal,
    band_label: str,
    family: Family | None = None,
) -> LessonPrice:
    """Return the price of a lesson before it is booked, by the function that bills it."""
    settings = BillingSettings.current()
    thought_of = LessonToCome(
        family_id=family.pk if family else 0,
        starts_at=_noon(on, studio),
        local_date=on,
        minutes=minutes,
        place_id=place.pk or 0,
        place_kind=place.kind,
        place_name=place.name,
        band_label=band_label,
        surcharge=surcharge,
    )
    found = charges(
        [thought_of],
        rates=[rate.dated for rate in Rate.objects.for_family(family.pk if family else None)],
        policy=settings.policy,
        currency=currency_of(studio.currency),
    )
    parts = {line.kind.value: line.net for line in found.lines}
    return LessonPrice(parts.get("lesson"), parts.get("travel", NOTHING), band_label)


def _noon(on: date, studio: Studio) -> datetime:
    return datetime.combine(on, time(12), tzinfo=studio.zone)


def months_to_draft(today: date) -> Sequence[date]:
    """Return the months one may want to draft: this one, the eleven before, and the next."""
    this = today.replace(day=1)
    found = [(this + timedelta(days=32)).replace(day=1)]
    while len(found) < 13:
        found.append(this)
        this = (this - timedelta(days=1)).replace(day=1)
    return found
