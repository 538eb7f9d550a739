"""A family's account and its payments."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from billing import selectors, services
from billing.charging.errors import BadAllocation
from billing.forms import PaymentForm
from billing.localised import currency_of, money_text, month_text
from billing.models import Payment, PaymentMethod
from billing.views.overview import month_form, today_of
from studio.access import signed_in, teacher_only
from studio.htmx import StudioRequest, page
from studio.models import Family


@require_GET
@signed_in
def account(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a family's account: to the teacher, and to the family itself."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    return _account_page(request, family, month_form(request))


def _account_page(request: StudioRequest, family: Family, form: object) -> HttpResponse:
    shown = selectors.family_account(
        family=family, studio=request.studio, user=request.user, today=today_of(request)
    )
    context = {"family": family, "shown": shown, "form": form}
    has_errors = bool(getattr(form, "errors", None))
    return page(request, "billing/account.html", context, status=422 if has_errors else 200)


@require_POST
@teacher_only
def invoice_draft(request: StudioRequest, pk: int) -> HttpResponse:
    """Draft a month for one family."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    form = month_form(request, is_bound=True)
    if not form.is_valid():
        return _account_page(request, family, form)
    month = form.cleaned_data["month"]
    draft, found = services.invoice_draft(
        family=family, month=month, by=request.user, now=timezone.now(), keep_empty=True
    )
    if draft is None:  # keep_empty always gives one; said for the type checker
        return redirect("billing:account", pk)
    if not found.lines and not found.unpriced:
        name = month_text(month, request.studio.locale)
        messages.info(
            request, f"No lesson of {name} is to be billed. Add a fee, or throw the draft away."
        )
    return redirect("billing:invoice_detail", draft.pk)


@require_http_methods(["GET", "POST"])
@teacher_only
def payment_create(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down money that came in or went back."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    today = today_of(request)
    shown = selectors.family_account(
        family=family, studio=request.studio, user=request.user, today=today
    )
    form = PaymentForm(
        request.POST if request.method == "POST" else None,
        money=currency_of(request.studio.currency),
        open_invoices=[row.invoice for row in shown.open],
        today=today,
        initial={"paid_date": today, "invoice": request.GET.get("invoice", "")[:12]},
    )
    if form.is_valid() and _payment_write(request, family, form):
        return redirect("billing:account", pk)
    context = {"form": form, "family": family, "shown": shown}
    return page(request, "billing/payment_form.html", context, status=422 if form.errors else 200)


def _payment_write(request: StudioRequest, family: Family, form: PaymentForm) -> bool:
    data = form.cleaned_data
    amount = money_text(data["amount"], request.studio.currency, request.studio.locale)
    facts = {
        "family": family,
        "amount": data["amount"],
        "paid_date": data["paid_date"],
        "method": PaymentMethod(data["method"]),
        "note": data["note"],
        "key": data["key"],
        "by": request.user,
        "now": timezone.now(),
    }
    if data["direction"] == "in":
        try:
            services.payment_record(**facts, first=data["invoice"], shares=form.shares)
        except BadAllocation as problem:
            form.add_error("amount", str(problem))
            return False
        messages.success(request, f"{amount} from {family.name} is written down.")
        return True
    try:
        services.payment_refund(**facts)
    except services.NotThatMuchCredit as problem:
        form.add_error("amount", str(problem))
        return False
    messages.success(request, f"{amount} back to {family.name} is written down.")
    return True


@require_http_methods(["GET", "POST"])
@teacher_only
def payment_reverse(request: StudioRequest, pk: int) -> HttpResponse:
    """Ask once, then take back a payment that was a slip."""
    payment = get_object_or_404(
        Payment.objects.visible_to(request.user).select_related("family"), pk=pk
    )
    if request.method == "GET":
        return page(request, "billing/payment_reverse.html", {"payment": payment})
    try:
        services.payment_reverse(
            payment=payment, by=request.user, today=today_of(request), now=timezone.now()
        )
    except services.AlreadyReversed as problem:
        messages.error(request, str(problem))
    else:
        messages.success(request, "The payment is taken back. What it paid is open again.")
    return redirect("billing:account", payment.family_id)
