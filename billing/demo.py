"""The demo scenario's money: rates, last month's invoices, what came in, this month's drafts."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db.models import F

from billing.models import BillingSettings, Invoice, PaymentMethod, Rate
from billing.services.drafting import invoice_draft, month_draft
from billing.services.issuing import invoice_issue
from billing.services.paying import payment_record
from billing.services.sending import invoice_send
from studio.local_time import day_bounds, local_date
from studio.models import Family, MailStatus, OutgoingEmail, Role, Studio, User

PRICES = {30: ("26", "28"), 45: ("36", "39"), 60: ("46", "50")}
PART_PAID = Decimal("30.00")


def demo_build(*, now: datetime) -> None:
    """Bill last month, record what came in since, and draft this month."""
    studio, teacher = Studio.current(), User.objects.get(role=Role.TEACHER)
    today = local_date(now, studio.zone)
    this_month = today.replace(day=1)
    last_month = (this_month - timedelta(days=1)).replace(day=1)
    _set_up(today)
    issue_at = min(now, datetime.combine(this_month, time(9), tzinfo=studio.zone))
    for family in Family.objects.order_by("pk"):
        draft, _ = invoice_draft(family=family, month=last_month, by=teacher, now=issue_at)
        if draft is not None:
            issued = invoice_issue(invoice=draft, by=teacher, today=this_month, now=issue_at)
            invoice_send(invoice=issued, by=teacher, now=issue_at)
    _pay(teacher, this_month, today, issue_at)
    month_draft(month=this_month, by=teacher, now=now)
    _mail_of_the_past_is_sent(today, studio)


def _set_up(today: date) -> None:
    settings = BillingSettings.current()
    # The IBAN registry's own example for Ireland; nobody's account.
    settings.iban = "IE29AIBK93115212345678"
    settings.bic = "AIBKIE2D"
    settings.save()
    new_prices = today.replace(day=1) - timedelta(days=120)
    for minutes, (old, new) in PRICES.items():
        Rate.objects.create(
            minutes=minutes,
            amount=Decimal(old),
            from_date=new_prices - timedelta(days=365),
            until_date=new_prices - timedelta(days=1),
        )
        Rate.objects.create(minutes=minutes, amount=Decimal(new), from_date=new_prices)


def _pay(teacher: User, this_month: date, today: date, issue_at: datetime) -> None:
    """One family paid in full, one a part; the others have not yet."""
    paid_date = min(today, this_month + timedelta(days=3))
    issued = Invoice.objects.issued().select_related("family").order_by("pk")
    for invoice, share in zip(issued, (None, PART_PAID), strict=False):
        billed = invoice.total or Decimal(0)
        payment_record(
            family=invoice.family,
            amount=share or billed,
            paid_date=paid_date,
            method=PaymentMethod.BANK,
            by=teacher,
            now=issue_at,
        )


def _mail_of_the_past_is_sent(today: date, studio: Studio) -> None:
    """A first start must not send a month of mail."""
    start, _ = day_bounds(today, studio.zone)
    OutgoingEmail.objects.filter(created_at__lt=start).update(
        status=MailStatus.SENT, sent_at=F("created_at"), attempts=1
    )
