"""Rates, invoices, payments: money that moved is never changed, only added to."""

from billing.models.claims import BilledLesson, BilledVisit
from billing.models.invoices import (
    Invoice,
    InvoiceKind,
    InvoiceLine,
    InvoiceNumber,
    InvoiceStatus,
    LineKind,
)
from billing.models.payments import Allocation, Payment, PaymentMethod
from billing.models.rates import Rate
from billing.models.settings import BillingSettings, TaxKind

__all__ = [
    "Allocation",
    "BilledLesson",
    "BilledVisit",
    "BillingSettings",
    "Invoice",
    "InvoiceKind",
    "InvoiceLine",
    "InvoiceNumber",
    "InvoiceStatus",
    "LineKind",
    "Payment",
    "PaymentMethod",
    "Rate",
    "TaxKind",
]
