"""How far long work is, and what came of it."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.long_work import work_again, work_file, work_stop
from studio.models import LongWork

_LISTED = 40


@require_GET
@teacher_only
def work_list(request: StudioRequest) -> HttpResponse:
    """List what was asked for lately."""
    rows = LongWork.objects.visible_to(request.user).order_by("-asked_at", "-pk")[:_LISTED]
    return page(request, "studio/work_list.html", {"rows": rows})


@require_GET
@teacher_only
def work_show(request: StudioRequest, pk: int) -> HttpResponse:
    """Show one piece of work; the page asks again by itself while it is being done."""
    work = _work(request, pk)
    return page(request, "studio/work_show.html", {"work": work}, fragment="work-progress")


@require_GET
@teacher_only
def work_take(request: StudioRequest, pk: int) -> FileResponse:
    """Hand out the file that came of it.

    :raises Http404: while there is none, or when it was cleared away
    """
    work = _work(request, pk)
    path = work_file(work)
    if not work.file or not path.is_file():
        raise Http404("There is no file.")
    return FileResponse(
        path.open("rb"),
        as_attachment=True,
        filename=work.file_name,
        content_type=work.content_type,
    )


@require_POST
@teacher_only
def work_end(request: StudioRequest, pk: int) -> HttpResponse:
    """Stop it."""
    work_stop(work=_work(request, pk), now=timezone.now())
    return redirect("studio:work_show", pk)


@require_POST
@teacher_only
def work_begin_again(request: StudioRequest, pk: int) -> HttpResponse:
    """Begin it again after it ended without a result."""
    work_again(work=_work(request, pk), now=timezone.now())
    return redirect("studio:work_show", pk)


def _work(request: StudioRequest, pk: int) -> LongWork:
    return get_object_or_404(LongWork.objects.visible_to(request.user), pk=pk)
