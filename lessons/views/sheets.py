"""The day on paper."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_GET

from lessons import selectors
from lessons.day_sheet import day_sheet as sheet_of
from lessons.day_sheet_pdf import day_sheet_pdf
from lessons.views.days import day_named
from studio.access import teacher_only
from studio.htmx import StudioRequest


@require_GET
@teacher_only
def day_sheet(request: StudioRequest, day: str) -> HttpResponse:
    """Return one day as a PDF to print."""
    local_day = day_named(day)
    plan = selectors.day_plan(day=local_day, studio=request.studio)
    content = day_sheet_pdf(sheet_of(plan=plan, studio=request.studio))
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="day-{local_day:%Y-%m-%d}.pdf"'
    return answer
