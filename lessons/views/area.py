"""The area on one sheet."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from lessons.selectors.area import area as area_of
from lessons.views.days import day_asked
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date


@require_GET
@teacher_only
def area(request: StudioRequest) -> HttpResponse:
    """Show rings, places and the road of one day."""
    day = day_asked(request, "day") or local_date(timezone.now(), request.studio.zone)
    found = area_of(day=day, studio=request.studio)
    context = {
        "area": found,
        "day": day,
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1),
        "ten_km_ring": 10 / found.circuity,
    }
    return page(request, "lessons/area.html", context)
