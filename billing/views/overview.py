"""The teacher's page about money, and what is done for all families at once."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from billing import selectors, services
from billing.charging.numbering import missing_serials
from billing.forms import MonthForm
from billing.localised import month_text
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date


def today_of(request: StudioRequest) -> date:
    """Return the studio's local date."""
    return local_date(timezone.now(), request.studio.zone)


def month_form(request: StudioRequest, *, is_bound: bool = False) -> MonthForm:
    """Return the form that chooses a month, on the month that is likely meant."""
    today = today_of(request)
    months = list(selectors.months_to_draft(today))
    # In the first days of a month one bills the month before.
    likely = months[2] if today.day <= 10 else months[1]
    return MonthForm(
        request.POST if is_bound else None,
        months=months,
        locale=request.studio.locale,
        initial_month=likely,
    )


def _money_page(request: StudioRequest, form: MonthForm) -> HttpResponse:
    today = today_of(request)
    context = {
        "shown": selectors.money_page(studio=request.studio, today=today),
        "form": form,
        "today": today,
    }
    return page(request, "billing/money.html", context, status=422 if form.errors else 200)


@require_GET
@teacher_only
def money(request: StudioRequest) -> HttpResponse:
    """Show drafts, what is owed, and what came in."""
    return _money_page(request, month_form(request))


@require_POST
@teacher_only
def month_draft(request: StudioRequest) -> HttpResponse:
    """Draft a month for every family."""
    form = month_form(request, is_bound=True)
    if not form.is_valid():
        return _money_page(request, form)
    month = form.cleaned_data["month"]
    done = services.month_draft(month=month, by=request.user, now=timezone.now())
    name = month_text(month, request.studio.locale)
    if done.drafts:
        messages.success(
            request, f"{len(done.drafts)} drafted for {name}. Look each over, then issue."
        )
    else:
        messages.info(request, f"Nothing to bill for {name} that is not billed already.")
    _warn(request, done.unpriced, "without a rate: add the rate, then draft again")
    _warn(request, done.unrecorded, "without attendance: they are not on any draft")
    return redirect("billing:money")


def _warn(request: StudioRequest, count: int, words: str) -> None:
    if count:
        messages.error(request, f"{count} lesson{'' if count == 1 else 's'} {words}.")


@require_POST
@teacher_only
def month_issue(request: StudioRequest) -> HttpResponse:
    """Issue every draft of a month and send what was issued."""
    form = month_form(request, is_bound=True)
    if not form.is_valid():
        return _money_page(request, form)
    now = timezone.now()
    done = services.month_issue(
        month=form.cleaned_data["month"], by=request.user, today=today_of(request), now=now
    )
    unsent = []
    for invoice in done.issued:
        try:
            services.invoice_send(invoice=invoice, by=request.user, now=now)
        except services.NobodyToSendTo:
            unsent.append(invoice.number)
    messages.success(request, f"{len(done.issued)} issued, {len(done.issued) - len(unsent)} sent.")
    if unsent:
        messages.error(request, f"Issued but not sent, for want of an address: {', '.join(unsent)}")
    for draft, why in done.held_back:
        messages.error(request, f"{draft.family.name}: {why}")
    return redirect("billing:money")


@require_GET
@teacher_only
def issued_list(request: StudioRequest, year: int) -> HttpResponse:
    """List everything issued in a year."""
    rows = selectors.issued_in_year(year=year, today=today_of(request))
    context = {
        "rows": rows,
        "missing": missing_serials(row.invoice.number_serial or 0 for row in rows),
        "years": selectors.issued_years(),
        "year": year,
    }
    return page(request, "billing/issued_list.html", context)


@require_GET
@teacher_only
def family_balances(request: StudioRequest) -> HttpResponse:
    """List every family with what it owes."""
    rows = selectors.family_rows(studio=request.studio)
    return page(request, "billing/family_balances.html", {"rows": rows})
