"""The first page after signing in, and the family's own page."""

from __future__ import annotations

from django.db import connection
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from studio.access import parent_only, public, signed_in
from studio.htmx import StudioRequest, page
from studio.models import Family


@require_GET
@signed_in
def home(request: StudioRequest) -> HttpResponse:
    """Send everybody to the page they come for."""
    if request.user.is_teacher:
        return redirect("lessons:today")
    if request.user.own_adult is not None:
        return redirect("studio:family_home")
    return redirect("exercises:my_week")


@require_GET
@public
def health(request: StudioRequest) -> HttpResponse:
    """Answer whoever watches over the server: the database can be read."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("well\n", content_type="text/plain")


@require_GET
@parent_only
def family_home(request: StudioRequest) -> HttpResponse:
    """Show a family's adult the lessons, notes, practice and money."""
    family = get_object_or_404(Family.objects.visible_to(request.user).select_related("home"))
    students = family.students.active().by_name()
    return page(
        request,
        "studio/family_home.html",
        {"family": family, "students": students, "sign_out": reverse("account_logout")},
    )
