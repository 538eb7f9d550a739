"""Reminders: when they go, and who does not want them."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from lessons.forms.reminders import ReminderRulesForm
from lessons.models import ReminderRules
from lessons.services.reminders import adult_of_token, reminders_set
from studio.access import parent_only, public, teacher_only
from studio.htmx import StudioRequest, page
from studio.models import Adult
from studio.throttle import is_allowed


@require_http_methods(["GET", "POST"])
@teacher_only
def reminders(request: StudioRequest) -> HttpResponse:
    """Show or change how long before a lesson its family is reminded."""
    form = ReminderRulesForm(
        request.POST if request.method == "POST" else None, instance=ReminderRules.current()
    )
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. It holds from now on; nobody is reminded twice.")
        return redirect("lessons:reminders")
    wanting = Adult.objects.filter(receives_reminders=True, family__students__left_date=None)
    unwilling = Adult.objects.filter(receives_reminders=False).select_related("family")
    context = {
        "form": form,
        "without_address": wanting.filter(email="").select_related("family").distinct(),
        "unwilling": unwilling.order_by("name", "pk"),
    }
    return page(request, "lessons/reminders.html", context, status=422 if form.is_bound else 200)


@require_POST
@parent_only
def reminders_mine(request: StudioRequest) -> HttpResponse:
    """Switch one's own reminders on or off."""
    adult = request.user.own_adult
    is_wanted = request.POST.get("reminders") == "on"
    if adult is not None:
        reminders_set(adult=adult, is_wanted=is_wanted, by=request.user, now=timezone.now())
    words = "You are reminded of lessons." if is_wanted else "You are not reminded any more."
    messages.success(request, words)
    return redirect("studio:family_home")


@never_cache
@require_http_methods(["GET", "POST"])
@public
def reminders_stop(request: StudioRequest, token: str) -> HttpResponse:
    """End reminders from a link in one of them: opening asks, a press does it."""
    if not is_allowed(request, action="reminders-stop", most=20, seconds=60):
        return page(request, "lessons/reminders_stop.html", {"is_throttled": True}, status=429)
    adult = adult_of_token(token)
    if adult is None:
        return page(request, "lessons/reminders_stop.html", status=404)
    if request.method == "POST":
        is_wanted = request.POST.get("reminders") == "on"
        reminders_set(adult=adult, is_wanted=is_wanted, by=None, now=timezone.now())
        adult.refresh_from_db()
    return page(request, "lessons/reminders_stop.html", {"adult": adult})
