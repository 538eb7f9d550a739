"""From rows to the document that is printed."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from billing.charging.numbering import payment_reference
from billing.charging.totals import totals
from billing.document import DocumentLine, HowToPay, InvoiceDocument, Party, TaxLine, from_record
from billing.models import BillingSettings, Invoice, InvoiceLine
from studio.models import Family, Studio


def document_of(
    invoice: Invoice,
    lines: Sequence[InvoiceLine],
    *,
    studio: Studio,
    settings: BillingSettings,
    paid: Decimal = Decimal(0),
) -> InvoiceDocument:
    """Return the document as it would be issued now."""
    foot = totals(invoice.money, [line.amount for line in lines], paid=paid)
    seller = _seller(studio, settings)
    return InvoiceDocument(
        kind=invoice.kind,
        number=invoice.number,
        studio_name=studio.name,
        seller=seller,
        buyer=_buyer(invoice.family),
        period_start=invoice.period_start,
        issue_date=invoice.issue_date,
        due_date=invoice.due_date,
        lines=tuple(
            DocumentLine(
                line.kind, line.on_date, line.student_name, line.words, line.reason, line.net
            )
            for line in lines
        ),
        net=foot.net,
        tax=foot.tax,
        gross=foot.gross,
        paid=foot.paid,
        due=foot.due,
        tax_lines=tuple(
            TaxLine(
                part.tax.category.value,
                part.tax.percent,
                part.taxable,
                part.amount,
                part.tax.reason,
            )
            for part in foot.tax_parts
        ),
        pay=_how_to_pay(invoice, seller, settings),
        currency=invoice.currency,
        locale=studio.locale,
        paper=studio.paper,
        note=invoice.note,
        closing_words=settings.closing_words,
        credits_number=invoice.credits.number if invoice.credits else "",
    )


def kept_document(invoice: Invoice) -> InvoiceDocument:
    """Return the document of an issued invoice, as it was issued."""
    if invoice.snapshot is None:
        raise ValueError("A draft has no kept document.")
    return from_record(invoice.snapshot)


def draft_document(invoice: Invoice) -> InvoiceDocument:
    """Return a draft as it would look if it were issued now."""
    return document_of(
        invoice,
        list(invoice.lines.in_order()),
        studio=Studio.current(),
        settings=BillingSettings.current(),
    )


def _how_to_pay(invoice: Invoice, seller: Party, settings: BillingSettings) -> HowToPay:
    if invoice.is_credit_note:
        return HowToPay()
    return HowToPay(
        name=seller.name,
        iban=settings.iban,
        bic=settings.bic,
        reference=payment_reference(invoice.number) if invoice.number else "",
    )


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _seller(studio: Studio, settings: BillingSettings) -> Party:
    name = settings.invoice_name or studio.teacher_name or studio.name
    address = settings.invoice_address or (studio.base.address if studio.base else "")
    tax_number = f"Tax number {settings.tax_number}" if settings.tax_number else ""
    more = tuple(part for part in (studio.phone, studio.email, tax_number) if part)
    return Party(name, _lines(address), more)


def _buyer(family: Family) -> Party:
    names = [adult.name for adult in family.adults.order_by("pk") if adult.receives_invoices]
    return Party(" and ".join(names) or family.name, _lines(family.home.address))
