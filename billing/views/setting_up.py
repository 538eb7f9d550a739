"""Rates and billing settings."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_GET, require_http_methods

from billing.forms import BillingSettingsForm, RateForm
from billing.localised import currency_of
from billing.models import BillingSettings, Rate
from billing.views.overview import today_of
from studio.access import teacher_only
from studio.htmx import StudioRequest, page


@require_GET
@teacher_only
def rate_list(request: StudioRequest) -> HttpResponse:
    """List all rates."""
    today = today_of(request)
    rows = [(rate, rate.is_past(today)) for rate in Rate.objects.for_list()]
    return page(request, "billing/rate_list.html", {"rows": rows, "today": today})


def _rate_form(request: StudioRequest, rate: Rate, heading: str) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = RateForm(data, instance=rate, money=currency_of(request.studio.currency))
    if form.is_valid():
        form.save()
        messages.success(request, "The rate is kept. Invoices already issued stay as they are.")
        return redirect("billing:rate_list")
    context = {"form": form, "heading": heading, "rate": rate}
    return page(request, "billing/rate_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@teacher_only
def rate_create(request: StudioRequest) -> HttpResponse:
    """Add a rate."""
    return _rate_form(request, Rate(from_date=today_of(request).replace(day=1)), "Another rate")


@require_http_methods(["GET", "POST"])
@teacher_only
def rate_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change a rate."""
    return _rate_form(request, get_object_or_404(Rate, pk=pk), "Change a rate")


@require_http_methods(["GET", "POST"])
@teacher_only
def settings_edit(request: StudioRequest) -> HttpResponse:
    """Say who invoices are from, where to pay, how lessons are taxed."""
    data = request.POST if request.method == "POST" else None
    form = BillingSettingsForm(data, instance=BillingSettings.current())
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. It holds for invoices issued from now on.")
        return redirect("billing:money")
    status = 422 if form.errors else 200
    return page(request, "billing/settings_form.html", {"form": form}, status=status)
