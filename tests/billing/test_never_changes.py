"""What was issued or paid never changes: in the models, and in the database below them."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from billing.models import Allocation, Invoice, InvoiceLine, Payment
from billing.models.frozen import FrozenRow
from billing.triggers import GUARD_NAMES
from tests.billing.conftest import Desk


@pytest.fixture
def issued(desk: Desk) -> Invoice:
    desk.pay("10.00")
    return Invoice.objects.get(pk=desk.issue().pk)


def _saved(row: Any, **changes: Any) -> None:
    for name, value in changes.items():
        setattr(row, name, value)
    row.save()


MODEL_WAYS: dict[str, Callable[[Invoice], object]] = {
    "save": lambda invoice: _saved(invoice, note="changed"),
    "back to draft": lambda invoice: _saved(invoice, status="draft"),
    "save one field": lambda invoice: invoice.save(update_fields=["note"]),
    "delete": lambda invoice: invoice.delete(),
    "update": lambda invoice: Invoice.objects.filter(pk=invoice.pk).update(note="changed"),
    "bulk update": lambda invoice: Invoice.objects.bulk_update([invoice], ["note"]),
    "delete all": lambda invoice: Invoice.objects.all().delete(),
    "line save": lambda invoice: _saved(invoice.lines.first(), net=Decimal(1)),
    "line update": lambda invoice: invoice.lines.update(net=Decimal(1)),
    "lines delete": lambda invoice: invoice.lines.all().delete(),
    "payment save": lambda invoice: _saved(Payment.objects.get(), amount=Decimal(1)),
    "payment update": lambda invoice: Payment.objects.update(amount=Decimal(1)),
    "payment delete": lambda invoice: Payment.objects.get().delete(),
    "payments delete": lambda invoice: Payment.objects.all().delete(),
    "allocation save": lambda invoice: _saved(Allocation.objects.get(), amount=Decimal(1)),
    "allocations delete": lambda invoice: Allocation.objects.all().delete(),
}


class TestModels:
    @pytest.mark.parametrize("way", MODEL_WAYS)
    def test_refuse(self, issued: Invoice, way: str) -> None:
        with pytest.raises(FrozenRow):
            MODEL_WAYS[way](issued)

    def test_a_fresh_issue_is_frozen_at_once(self, desk: Desk) -> None:
        invoice = desk.issue()

        with pytest.raises(FrozenRow):
            invoice.save()

    def test_a_draft_can_be_changed_and_deleted(self, desk: Desk) -> None:
        draft = desk.draft()

        _saved(draft, note="Hello")
        draft.delete()

        assert not Invoice.objects.exists()


SQL_WAYS = [
    "UPDATE billing_invoice SET total = 1",
    "UPDATE billing_invoice SET status = 'draft'",
    "UPDATE billing_invoice SET snapshot = NULL",
    "DELETE FROM billing_invoice",
    "UPDATE billing_invoiceline SET net = 1",
    "UPDATE billing_invoiceline SET invoice_id = invoice_id",
    "DELETE FROM billing_invoiceline",
    "INSERT INTO billing_invoiceline (invoice_id, position, kind, student_name, words, reason, net,"
    " tax_category, tax_percent, tax_reason) SELECT id, 9000, 'fee', '', 'more', '', 1, 'E', 0, ''"
    " FROM billing_invoice",
    "UPDATE billing_payment SET amount = 1",
    "DELETE FROM billing_payment",
    "UPDATE billing_allocation SET amount = 1",
    "DELETE FROM billing_allocation",
]


class TestDatabase:
    @pytest.mark.parametrize("statement", SQL_WAYS)
    def test_refuses(self, issued: Invoice, statement: str) -> None:
        with (
            pytest.raises(IntegrityError, match="never changes"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)

        assert Invoice.objects.get().number == "2026-0001"

    def test_refuses_a_draft_s_line_moved_onto_an_issued_invoice(
        self, issued: Invoice, desk: Desk
    ) -> None:
        draft = desk.draft(keep_empty=True)
        InvoiceLine.objects.create(
            invoice=draft,
            position=5001,
            kind="fee",
            words="Sticks",
            net=1,
            tax_category="E",
            tax_percent=0,
        )

        with (
            pytest.raises(IntegrityError, match="never changes"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(
                "UPDATE billing_invoiceline SET invoice_id = %s WHERE invoice_id = %s",
                [issued.pk, draft.pk],
            )

    def test_every_guard_is_there_after_all_migrations(self, db: None) -> None:
        query = (
            "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
            if connection.vendor == "postgresql"
            else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        )

        with connection.cursor() as cursor:
            cursor.execute(query)
            found = {name for (name,) in cursor.fetchall()}

        assert found >= set(GUARD_NAMES)
