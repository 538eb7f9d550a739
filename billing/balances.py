"""What each invoice and family owes, computed from what was written down and never stored."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import BigIntegerField, F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Cast, Coalesce, Round

from billing.charging.allocation import OpenItem, Source
from billing.models import Allocation, Invoice, InvoiceKind, Payment

# Money columns have four decimals. Sums are made of whole ten-thousandths, because SQLite adds
# decimals as floats.
_UNIT = 10_000
NOTHING = Decimal(0)


def whole_sum(field: str) -> Sum:
    """Return an aggregate that adds a money column exactly, in ten-thousandths."""
    return Sum(Cast(Round(F(field) * _UNIT), BigIntegerField()))


def from_units(units: int | None) -> Decimal:
    """Return the amount that so many ten-thousandths are."""
    return Decimal(units or 0) / _UNIT


def with_open(invoices: QuerySet[Invoice]) -> QuerySet[Any]:
    """Annotate issued invoices with ``open_units``: what is still to pay, in ten-thousandths."""
    allocated = (
        Allocation.objects.filter(invoice=OuterRef("pk"))
        .order_by()
        .values("invoice")
        .annotate(units=whole_sum("amount"))
        .values("units")
    )
    return invoices.annotate(
        open_units=Cast(Round(F("total") * _UNIT), BigIntegerField())
        - Coalesce(Subquery(allocated, output_field=BigIntegerField()), 0)
    )


def open_of(invoice: Invoice) -> Decimal:
    """Return what is open on an invoice that came through :func:`with_open`."""
    return from_units(invoice.open_units)  # type: ignore[attr-defined] # annotated


def open_items(family_id: int, currency: str) -> tuple[OpenItem, ...]:
    """Return the family's invoices on which something is open."""
    rows = with_open(
        Invoice.objects.issued().invoices().filter(family_id=family_id, currency=currency)
    )
    return tuple(
        OpenItem(row.pk, row.due_date, open_of(row)) for row in rows.filter(open_units__gt=0)
    )


def sources(family_id: int, currency: str) -> tuple[Source, ...]:
    """Return the family's payments and credit notes with what of each pays nothing yet."""
    found = [
        Source(f"payment:{row.pk}", row.paid_date, row.amount - from_units(row.spent_units))
        for row in Payment.objects.filter(family_id=family_id, currency=currency).annotate(
            spent_units=whole_sum("allocations__amount")
        )
    ]
    notes: QuerySet[Any] = Invoice.objects.issued().credit_notes()
    notes = notes.filter(family_id=family_id, currency=currency)
    found += [
        Source(f"credit:{row.pk}", row.issue_date, row.total - from_units(row.spent_units))
        for row in notes.annotate(spent_units=whole_sum("spent__amount"))
    ]
    return tuple(found)


def free_credit(found: Iterable[Source]) -> Decimal:
    """Return what the payer has on account that pays nothing yet."""
    return sum((source.left for source in found), NOTHING)


@dataclass(frozen=True, slots=True)
class Balance:
    """What a family owes in all (below zero: what the studio owes it)."""

    charged: Decimal = NOTHING
    taken_back: Decimal = NOTHING
    paid: Decimal = NOTHING

    @property
    def owed(self) -> Decimal:
        """Invoices less credit notes less payments."""
        return self.charged - self.taken_back - self.paid

    @property
    def credit(self) -> Decimal:
        """What was paid too much, if anything."""
        return max(-self.owed, NOTHING)


def balances(currency: str, family_ids: Sequence[int] | None = None) -> dict[int, Balance]:
    """Return the balance of every family that has any movement: two queries for any number."""
    issued = Invoice.objects.issued().filter(currency=currency)
    paid = Payment.objects.filter(currency=currency)
    if family_ids is not None:
        issued = issued.filter(family_id__in=family_ids)
        paid = paid.filter(family_id__in=family_ids)
    sums: dict[int, dict[str, Decimal]] = {}
    for family_id, kind, units in (
        issued.order_by().values_list("family_id", "kind").annotate(units=whole_sum("total"))
    ):
        sums.setdefault(family_id, {})[kind] = from_units(units)
    for family_id, units in (
        paid.order_by().values_list("family_id").annotate(units=whole_sum("amount"))
    ):
        sums.setdefault(family_id, {})["paid"] = from_units(units)
    return {
        family_id: Balance(
            charged=parts.get(InvoiceKind.INVOICE, NOTHING),
            taken_back=parts.get(InvoiceKind.CREDIT_NOTE, NOTHING),
            paid=parts.get("paid", NOTHING),
        )
        for family_id, parts in sums.items()
    }
