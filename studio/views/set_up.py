"""The studio's own settings and its outgoing mail."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from studio import services
from studio.access import teacher_only
from studio.forms import StudioForm
from studio.htmx import StudioRequest, page
from studio.models import OutgoingEmail
from studio.place_changes import place_changed
from studio.selectors import mail_for_list
from studio.zone_changes import ZoneRefused, settings_keep


@require_http_methods(["GET", "POST"])
@teacher_only
def studio_edit(request: StudioRequest) -> HttpResponse:
    """Set up the studio, or change what was set up."""
    zone_before, base = request.studio.zone, request.studio.base
    base_before = base.position if base else None
    form = StudioForm(request.POST if request.method == "POST" else None, instance=request.studio)
    if form.is_valid():
        try:
            said = settings_keep(
                save=form.save, zone_before=zone_before, by=request.user, now=timezone.now()
            )
        except ZoneRefused as refusal:
            form.add_error("time_zone", str(refusal))
        else:
            base = request.studio.base
            if base is not None and base.position != base_before:
                said = [*said, *place_changed(base, now=timezone.now())]
            messages.success(request, " ".join(["The studio's settings are kept.", *said]))
            return redirect("studio:studio_edit")
    return page(
        request, "studio/studio_form.html", {"form": form}, status=422 if form.is_bound else 200
    )


@require_GET
@teacher_only
def mail_list(request: StudioRequest) -> HttpResponse:
    """List what was mailed, what waits, and what could not be sent."""
    return page(request, "studio/mail_list.html", {"emails": mail_for_list()})


@require_POST
@teacher_only
def mail_again(request: StudioRequest, pk: int) -> HttpResponse:
    """Try a message again that was given up."""
    email = get_object_or_404(OutgoingEmail, pk=pk)
    services.mail_try_again(email=email, by=request.user, now=timezone.now())
    messages.success(request, f"“{email.subject}” to {email.to} waits to be sent again.")
    return redirect("studio:mail_list")
