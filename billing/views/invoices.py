"""One invoice: looked at, downloaded, changed while a draft, issued, sent, taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from billing import selectors, services
from billing.balances import open_of, with_open
from billing.forms import CreditForm, LineForm, NoteForm
from billing.models import Invoice, InvoiceLine, LineKind
from billing.pdf import invoice_pdf as rendered
from billing.services.sending import NotIssuedYet, sent_to
from billing.services.snapshots import draft_document, kept_document
from billing.views.overview import today_of
from studio.access import signed_in, teacher_only
from studio.htmx import StudioRequest, page


def _invoice(request: StudioRequest, pk: int) -> Invoice:
    mine = with_open(Invoice.objects.visible_to(request.user))
    found: Invoice = get_object_or_404(mine.select_related("family__home", "credits"), pk=pk)
    return found


def _show(
    request: StudioRequest, invoice: Invoice, *, line_form: Any = None, note_form: Any = None
) -> HttpResponse:
    if not invoice.is_draft:
        return _show_issued(request, invoice)
    document = draft_document(invoice)
    reckoning = selectors.draft_reckoning(invoice, studio=request.studio, today=today_of(request))
    context = {
        "invoice": invoice,
        "document": document,
        "lines": selectors.invoice_lines(invoice),
        "reckoning": reckoning,
        "line_form": line_form or LineForm(money=invoice.money, family=invoice.family),
        "note_form": note_form or NoteForm(initial={"note": invoice.note}),
    }
    has_errors = bool((line_form and line_form.errors) or (note_form and note_form.errors))
    return page(request, "billing/draft.html", context, status=422 if has_errors else 200)


def _show_issued(request: StudioRequest, invoice: Invoice) -> HttpResponse:
    is_teacher = request.user.is_teacher
    open_now = open_of(invoice) if not invoice.is_credit_note else None
    context = {
        "invoice": invoice,
        "document": kept_document(invoice),
        "open": open_now,
        "settled": invoice.total - open_now if open_now and invoice.total else None,
        "is_late": bool(open_now) and invoice.is_late(today_of(request)),
        "credit_notes": invoice.credit_notes.issued().order_by("pk"),
        "sent": sent_to(invoice) if is_teacher else [],
    }
    return page(request, "billing/invoice_detail.html", context)


@require_GET
@signed_in
def invoice_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show an invoice: a draft to the teacher alone, an issued one to its family too."""
    return _show(request, _invoice(request, pk))


@require_GET
@signed_in
def invoice_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """Give the PDF."""
    invoice = _invoice(request, pk)
    document = draft_document(invoice) if invoice.is_draft else kept_document(invoice)
    response = HttpResponse(rendered(document), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{document.filename}"'
    return response


@require_POST
@teacher_only
def line_create(request: StudioRequest, pk: int) -> HttpResponse:
    """Add a fee or a discount to a draft."""
    invoice = _invoice(request, pk)
    form = LineForm(request.POST, money=invoice.money, family=invoice.family)
    if not form.is_valid():
        return _show(request, invoice, line_form=form)
    data = form.cleaned_data
    return _do(
        request,
        invoice,
        lambda: services.line_add(
            invoice=invoice,
            kind=LineKind(data["kind"]),
            words=data["words"],
            amount=data["amount"],
            student_name=data["student_name"],
        ),
        "The line is added.",
    )


@require_POST
@teacher_only
def line_remove(request: StudioRequest, pk: int) -> HttpResponse:
    """Take one of the teacher's own lines off a draft."""
    line = get_object_or_404(InvoiceLine.objects.by_hand().select_related("invoice"), pk=pk)
    return _do(
        request,
        line.invoice,
        lambda: services.line_remove(line=line),
        f"“{line.words}” is off the draft.",
    )


@require_POST
@teacher_only
def note_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change the words to the family on a draft."""
    invoice = _invoice(request, pk)
    form = NoteForm(request.POST)
    if not form.is_valid():
        return _show(request, invoice, note_form=form)
    note = form.cleaned_data["note"]
    return _do(request, invoice, lambda: services.note_change(invoice=invoice, note=note), "Kept.")


@require_POST
@teacher_only
def redraft(request: StudioRequest, pk: int) -> HttpResponse:
    """Write a draft anew from the lessons as they are now."""
    invoice = _invoice(request, pk)
    if invoice.is_draft:
        services.invoice_draft(
            family=invoice.family,
            month=invoice.period_start,
            by=request.user,
            now=timezone.now(),
            keep_empty=True,
        )
        messages.success(request, "Drafted again from the lessons. Your own lines are still there.")
    return redirect("billing:invoice_detail", pk)


@require_POST
@teacher_only
def issue(request: StudioRequest, pk: int) -> HttpResponse:
    """Issue a draft, and send it if asked to."""
    invoice = _invoice(request, pk)
    now = timezone.now()
    try:
        issued = services.invoice_issue(
            invoice=invoice, by=request.user, today=today_of(request), now=now
        )
    except services.CannotIssue as problem:
        messages.error(request, str(problem))
        return redirect("billing:invoice_detail", pk)
    messages.success(request, f"{issued} is issued. From now on it stays as it is.")
    if request.POST.get("send"):
        return _send(request, issued)
    return redirect("billing:invoice_detail", pk)


@require_POST
@teacher_only
def send(request: StudioRequest, pk: int) -> HttpResponse:
    """Send an issued invoice to the family's adults."""
    return _send(request, _invoice(request, pk))


def _send(request: StudioRequest, invoice: Invoice) -> HttpResponse:
    try:
        queued = services.invoice_send(invoice=invoice, by=request.user, now=timezone.now())
    except (services.NobodyToSendTo, NotIssuedYet) as problem:
        messages.error(request, str(problem))
    else:
        names = " and ".join(email.to for email in queued)
        messages.success(request, f"On its way to {names}.")
    return redirect("billing:invoice_detail", invoice.pk)


@require_http_methods(["GET", "POST"])
@teacher_only
def draft_delete(request: StudioRequest, pk: int) -> HttpResponse:
    """Ask once, then throw a draft away."""
    invoice = _invoice(request, pk)
    if request.method == "GET" and invoice.is_draft:
        return page(request, "billing/draft_delete.html", {"invoice": invoice})
    try:
        services.draft_delete(invoice=invoice, by=request.user, now=timezone.now())
    except services.AlreadyIssued as problem:
        messages.error(request, str(problem))
        return redirect("billing:invoice_detail", pk)
    messages.success(request, "The draft is gone. Its lessons can be drafted again.")
    return redirect("billing:account", invoice.family_id)


@require_http_methods(["GET", "POST"])
@teacher_only
def credit_create(request: StudioRequest, pk: int) -> HttpResponse:
    """Write a credit note for lines of an issued invoice."""
    invoice = get_object_or_404(
        Invoice.objects.visible_to(request.user).issued().invoices().select_related("family__home"),
        pk=pk,
    )
    data = request.POST if request.method == "POST" else None
    form = CreditForm(data, invoice=invoice, studio=request.studio)
    if form.is_valid():
        try:
            note = services.credit_note_issue(
                invoice=invoice,
                lines=list(form.cleaned_data["lines"]),
                words=form.cleaned_data["words"],
                bills_again=form.cleaned_data["bills_again"],
                by=request.user,
                today=today_of(request),
                now=timezone.now(),
            )
        except (services.TooMuchTakenBack, services.CannotIssue) as problem:
            form.add_error("lines", str(problem))
        else:
            messages.success(request, f"{note} is issued. Send it, so that the family knows.")
            return redirect("billing:invoice_detail", note.pk)
    context = {"form": form, "invoice": invoice}
    return page(request, "billing/credit_form.html", context, status=422 if form.errors else 200)


def _do(
    request: StudioRequest, invoice: Invoice, work: Callable[[], object], done: str
) -> HttpResponse:
    try:
        work()
    except services.AlreadyIssued as problem:
        messages.error(request, str(problem))
    else:
        messages.success(request, done)
    return redirect("billing:invoice_detail", invoice.pk)
