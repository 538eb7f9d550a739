"""Sending an invoice: the PDF to every adult of the family who receives invoices."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import datetime

from django.conf import settings as site
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse

from billing.document import InvoiceDocument
from billing.localised import day_text, money_text, month_text
from billing.models import Invoice
from billing.pdf import invoice_pdf
from billing.services.snapshots import kept_document
from studio.events import event_record
from studio.models import OutgoingEmail, User
from studio.outbox import Attachment, mail_queue


class NobodyToSendTo(Exception):
    """No adult of the family both receives invoices and has an e-mail address."""


class NotIssuedYet(Exception):
    """A draft is nobody's business but the teacher's."""


def invoice_send(*, invoice: Invoice, by: User, now: datetime) -> Sequence[OutgoingEmail]:
    """Put the invoice in the outbox for each adult who receives invoices.

    Sending it again sends only to addresses that it was not sent to before. The PDF is made before
    the transaction begins.

    :raises NotIssuedYet: for a draft
    :raises NobodyToSendTo: if there is no address
    """
    if invoice.is_draft:
        raise NotIssuedYet("Issue it first, then send it.")
    adults = [
        adult
        for adult in invoice.family.adults.order_by("pk")
        if adult.receives_invoices and adult.email
    ]
    if not adults:
        raise NobodyToSendTo(
            f"No adult of {invoice.family.name} receives invoices by e-mail. Add an address to the "
            "family, then send again. The invoice itself stays issued."
        )
    document = kept_document(invoice)
    pdf = Attachment(document.filename, "application/pdf", invoice_pdf(document))
    with transaction.atomic():
        queued = [
            mail_queue(
                key=_key(invoice, adult.email),
                to=adult.email,
                subject=f"{document.title} from {document.studio_name}",
                body=_body(invoice, document, adult.name),
                now=now,
                attachments=[pdf],
            )
            for adult in adults
        ]
        event_record(
            kind="invoice_sent",
            subject=f"{invoice.number}, {invoice.family.name}",
            by=by,
            now=now,
            to=[adult.email for adult in adults],
        )
    return queued


def sent_to(invoice: Invoice) -> Sequence[OutgoingEmail]:
    """Return the messages that carry this invoice."""
    return list(OutgoingEmail.objects.filter(key__startswith=_key_start(invoice)).order_by("pk"))


def _key_start(invoice: Invoice) -> str:
    return f"invoice:{invoice.pk}:"


def _key(invoice: Invoice, email: str) -> str:
    return _key_start(invoice) + hashlib.sha256(email.strip().lower().encode()).hexdigest()


def _body(invoice: Invoice, document: InvoiceDocument, name: str) -> str:
    return render_to_string(
        "emails/invoice.txt",
        {
            "name": name,
            "document": document,
            "month": month_text(document.period_start, document.locale),
            "gross": money_text(document.gross, document.currency, document.locale),
            "due": money_text(document.due, document.currency, document.locale),
            "due_day": day_text(document.due_date, document.locale) if document.due_date else "",
            "has_debt": document.due > 0 and not document.is_credit_note,
            "address": site.SITE_ADDRESS + reverse("billing:invoice_detail", args=[invoice.pk]),
        },
    )
