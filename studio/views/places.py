"""A place's address and position."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from studio.access import teacher_only
from studio.forms import PlaceForm
from studio.htmx import StudioRequest, page
from studio.models import Place


@require_http_methods(["GET", "POST"])
@teacher_only
def place_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change where a place is, or how long it takes to reach."""
    place = get_object_or_404(Place, pk=pk)
    family = place.families.order_by("pk").first()
    back = ("studio:family_detail", family.pk) if family else ("studio:studio_edit",)
    form = PlaceForm(request.POST if request.method == "POST" else None, instance=place)
    if form.is_valid():
        form.save()
        return redirect(*back)
    context = {"form": form, "place": place, "heading": place.name, "back": back}
    return page(request, "studio/place_form.html", context, status=422 if form.is_bound else 200)
