"""A place's address and position."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from studio.access import teacher_only
from studio.forms import PlaceForm
from studio.geocoder import is_geocoder_set
from studio.htmx import StudioRequest, page
from studio.models import Place
from studio.place_changes import place_changed
from studio.views.looking_up import is_looking_up, looked_up


@require_http_methods(["GET", "POST"])
@teacher_only
def place_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change where a place is, or how long it takes to reach."""
    place = get_object_or_404(Place, pk=pk)
    family = place.families.order_by("pk").first() or place.families_besides.order_by("pk").first()
    back = ("studio:family_detail", family.pk) if family else ("studio:studio_edit",)
    context: dict[str, Any] = {
        "place": place,
        "heading": place.name,
        "back": back,
        "is_geocoder_set": is_geocoder_set(),
    }
    if is_looking_up(request):
        filled, said = looked_up(request, PlaceForm.base_fields)
        context |= said | {"form": PlaceForm(instance=place, initial=filled)}
        return page(request, "studio/place_form.html", context)
    before = place.position
    form = PlaceForm(request.POST if request.method == "POST" else None, instance=place)
    if form.is_valid():
        saved = form.save()
        if saved.position != before:
            for words in place_changed(saved, now=timezone.now()):
                messages.info(request, words)
        return redirect(*back)
    context["form"] = form
    return page(request, "studio/place_form.html", context, status=422 if form.is_bound else 200)
