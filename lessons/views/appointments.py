"""The teacher's own appointments."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from lessons import services
from lessons.forms.appointments import AppointmentForm
from lessons.models import Appointment
from lessons.views.days import day_asked
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date


@require_GET
@teacher_only
def appointment_list(request: StudioRequest) -> HttpResponse:
    """List what is still to come, and what is over."""
    today = local_date(timezone.now(), request.studio.zone)
    rows = list(Appointment.objects.select_related("place").in_order())
    coming = [row for row in rows if (_last(row) or today) >= today]
    context = {"coming": coming, "past": [row for row in rows if row not in coming][-12:]}
    return page(request, "lessons/appointment_list.html", context)


@require_http_methods(["GET", "POST"])
@teacher_only
def appointment_create(request: StudioRequest) -> HttpResponse:
    """Write down a new appointment."""
    return _form(request, Appointment(), "New appointment of your own")


@require_http_methods(["GET", "POST"])
@teacher_only
def appointment_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change an appointment, all its days at once."""
    return _form(request, get_object_or_404(Appointment, pk=pk), "Change the appointment")


@require_http_methods(["GET", "POST"])
@teacher_only
def appointment_delete(request: StudioRequest, pk: int) -> HttpResponse:
    """Ask once, then delete."""
    row = get_object_or_404(Appointment, pk=pk)
    if request.method == "POST":
        row.delete()
        messages.success(request, f"“{row.label}” is deleted. Its time is free again.")
        return redirect("lessons:appointment_list")
    context = {
        "row": row,
        "lost": "Its time is free for lessons again, on all its days.",
        "back": "lessons:appointment_list",
    }
    return page(request, "lessons/row_delete.html", context)


def _form(request: StudioRequest, row: Appointment, heading: str) -> HttpResponse:
    day = day_asked(request, "day")
    form = AppointmentForm(
        request.POST if request.method == "POST" else None,
        instance=row,
        initial={"first_date": day} if day and row.pk is None else None,
    )
    if form.is_valid():
        try:
            lessons = services.appointment_keep(
                appointment=form.save(commit=False),
                by=request.user,
                now=timezone.now(),
                is_kept_all_the_same=form.cleaned_data["is_kept_all_the_same"],
            )
        except services.LessonsInTheWay as trouble:
            form.add_error("is_kept_all_the_same", str(trouble))
        else:
            messages.success(request, _kept(len(lessons)))
            return redirect("lessons:appointment_list")
    context = {"form": form, "heading": heading}
    status = 422 if form.is_bound else 200
    return page(request, "lessons/appointment_form.html", context, status=status)


def _kept(lessons: int) -> str:
    if not lessons:
        return "Kept. No lesson can be booked for that time."
    booked = "1 lesson is" if lessons == 1 else f"{lessons} lessons are"
    return f"Kept. {booked} booked then all the same: move or call off what cannot stay."


def _last(row: Appointment) -> date | None:
    return row.last_date if row.every_weeks else row.first_date
