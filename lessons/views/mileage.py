"""The mileage log: on the page, for a spreadsheet, on paper."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from lessons.mileage_csv import CAUTION, mileage_csv
from lessons.mileage_pdf import mileage_pdf, sum_words
from lessons.selectors.mileage import MileageLog, Period, mileage
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date


@require_GET
@teacher_only
def mileage_log(request: StudioRequest) -> HttpResponse:
    """Show a month, or a year by months."""
    log = _log(request)
    period = log.period
    context = {
        "log": log,
        "sum_words": sum_words(log),
        "caution": CAUTION,
        "before": period.step(-1),
        "after": period.step(1),
        "year": Period(period.year),
    }
    return page(request, "lessons/mileage.html", context)


@require_GET
@teacher_only
def mileage_sheet(request: StudioRequest) -> HttpResponse:
    """Return the log for a spreadsheet."""
    log = _log(request)
    return _file(mileage_csv(log), "text/csv; charset=utf-8", f"mileage-{log.period.key}.csv")


@require_GET
@teacher_only
def mileage_paper(request: StudioRequest) -> HttpResponse:
    """Return the log as a PDF."""
    log = _log(request)
    studio = request.studio
    content = mileage_pdf(
        log, studio_name=studio.name, driver=studio.teacher_name, paper=studio.paper
    )
    return _file(content, "application/pdf", f"mileage-{log.period.key}.pdf")


def _log(request: StudioRequest) -> MileageLog:
    now = timezone.now()
    asked = request.GET.get("period", "")
    try:
        period = Period.named(asked or f"{local_date(now, request.studio.zone):%Y-%m}")
    except ValueError:
        raise Http404("no such period") from None
    return mileage(period=period, studio=request.studio, now=now)


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
