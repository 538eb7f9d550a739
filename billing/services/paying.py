"""Payments: money that came in, went back, or was written down by mistake."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from billing.balances import free_credit, from_units, open_items, sources, whole_sum
from billing.charging.allocation import Draw, by_hand
from billing.charging.errors import BadAmount
from billing.localised import currency_of
from billing.models import Allocation, Invoice, Payment, PaymentMethod
from billing.services.accounts import account_lock, credit_spend, draws_write
from studio.events import event_record
from studio.models import Family, Studio, User


class NotThatMuchCredit(Exception):
    """More should go back than is on the account."""


class AlreadyReversed(Exception):
    """The payment was taken back before, or is itself a taking back."""


def payment_record(
    *,
    family: Family,
    amount: Decimal,
    paid_date: date,
    method: PaymentMethod,
    by: User,
    now: datetime,
    note: str = "",
    first: Invoice | None = None,
    shares: Mapping[int, Decimal] | None = None,
    key: uuid.UUID | None = None,
) -> Payment:
    """Write down money that came in, and let it pay what is open, oldest first.

    ``first`` names an invoice that it pays before all others; ``shares`` says by hand how much of
    it pays which invoice (by primary key), before the rest is shared out. What is left stays on the
    account and pays the next invoice. The same ``key`` a second time records nothing.

    :raises BadAmount: unless the amount is above zero and fits the currency
    :raises BadAllocation: if the shares do not fit the payment or what is open
    """
    if amount <= 0:
        raise BadAmount("A payment is more than nothing.")
    studio = Studio.current()
    with transaction.atomic():
        account_lock(family.pk)
        if (before := _recorded_before(key)) is not None:
            return before
        payment = _payment_write(
            family=family,
            amount=amount,
            currency=studio.currency,
            paid_date=paid_date,
            method=method,
            note=note,
            by=by,
            now=now,
            key=key,
        )
        _shares_write(payment, shares or {}, now=now)
        credit_spend(
            family_id=family.pk,
            currency=studio.currency,
            now=now,
            first={f"payment:{payment.pk}": first.pk} if first else None,
        )
    return payment


def _recorded_before(key: uuid.UUID | None) -> Payment | None:
    found: Payment | None = Payment.objects.filter(key=key).first() if key else None
    return found


def _shares_write(payment: Payment, shares: Mapping[int, Decimal], *, now: datetime) -> None:
    if not shares:
        return
    open_now = open_items(payment.family_id, payment.currency)
    found, _ = by_hand(payment.amount, shares, open_now)
    draws_write(
        (Draw(f"payment:{payment.pk}", share.item, share.amount) for share in found), now=now
    )


def payment_refund(
    *,
    family: Family,
    amount: Decimal,
    paid_date: date,
    method: PaymentMethod,
    by: User,
    now: datetime,
    note: str = "",
    key: uuid.UUID | None = None,
) -> Payment:
    """Write down money of the family's credit that went back to it.

    :raises BadAmount: unless the amount is above zero and fits the currency
    :raises NotThatMuchCredit: if less is on the account
    """
    if amount <= 0:
        raise BadAmount("What goes back is more than nothing.")
    studio = Studio.current()
    with transaction.atomic():
        account_lock(family.pk)
        if (before := _recorded_before(key)) is not None:
            return before
        credit = free_credit(sources(family.pk, studio.currency))
        if amount > credit:
            raise NotThatMuchCredit(
                f"Only {currency_of(studio.currency).round(max(credit, Decimal(0)))} "
                f"{studio.currency} of {family.name}’s money pays no invoice, so no more can go "
                "back. Write a credit note first if an invoice was wrong."
            )
        return _payment_write(
            family=family,
            amount=-amount,
            currency=studio.currency,
            paid_date=paid_date,
            method=method,
            note=note,
            by=by,
            now=now,
            key=key,
        )


def payment_reverse(*, payment: Payment, by: User, today: date, now: datetime) -> Payment:
    """Take back a payment that was a slip: a second row undoes it, and what it paid is open again.

    :raises AlreadyReversed: if it was taken back before, or is a taking back or a refund itself
    """
    with transaction.atomic():
        account_lock(payment.family_id)
        if payment.is_money_back or Payment.objects.filter(reverses=payment).exists():
            raise AlreadyReversed("This payment was taken back before. Nothing was changed.")
        back = _payment_write(
            family=payment.family,
            amount=-payment.amount,
            currency=payment.currency,
            paid_date=max(today, payment.paid_date),
            method=PaymentMethod(payment.method),
            note=f"Taken back: written down by mistake on {payment.recorded_at:%Y-%m-%d}",
            by=by,
            now=now,
            reverses=payment,
        )
        paid = (
            payment.allocations.order_by()
            .values_list("invoice")
            .annotate(units=whole_sum("amount"))
        )
        for invoice_id, units in sorted(paid):
            if units:
                Allocation.objects.create(
                    invoice_id=invoice_id,
                    payment=back,
                    amount=-from_units(units),
                    allocated_at=now,
                )
        # Other money on the account may now pay what this one no longer does.
        credit_spend(family_id=payment.family_id, currency=payment.currency, now=now)
    return back


def _payment_write(
    *,
    family: Family,
    amount: Decimal,
    currency: str,
    paid_date: date,
    method: PaymentMethod,
    note: str,
    by: User,
    now: datetime,
    key: uuid.UUID | None = None,
    reverses: Payment | None = None,
) -> Payment:
    payment = Payment(
        family=family,
        amount=currency_of(currency).exact(amount),
        currency=currency,
        paid_date=paid_date,
        method=method,
        note=note,
        reverses=reverses,
        key=key or uuid.uuid4(),
        recorded_at=now,
        recorded_by=by,
    )
    payment.full_clean()
    payment.save()
    event_record(
        kind="payment_recorded",
        subject=family.name,
        by=by,
        now=now,
        amount=str(payment.amount),
        currency=currency,
        reverses=reverses.pk if reverses else None,
    )
    return payment
