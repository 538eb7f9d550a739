"""Terms, closures, hours and the road."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.db import models, transaction
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from lessons.forms import (
    BandForm,
    ClosureForm,
    CorrectionForm,
    HolidaysForm,
    MissedLessonRulesForm,
    RoadSettingsForm,
    TermForm,
    WorkingHoursForm,
)
from lessons.forms.place_hours import PlaceHoursForm
from lessons.models import (
    Closure,
    Lesson,
    MissedLessonRules,
    PlaceCorrection,
    PlaceHours,
    RoadSettings,
    Term,
    TravelBand,
    WorkingHours,
)
from lessons.selectors.frame import (
    corrections_for_list,
    holidays_offered,
    regions_of,
    terms_for_list,
)
from lessons.selectors.road import detours_now, router_state
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date

View = Callable[..., HttpResponse]


def _edit_view(
    form_class: type[forms.ModelForm], *, name: str, back: str, what: str, is_new: bool
) -> View:
    """Return a view that writes or changes one row and goes back to the list.

    Six small tables are edited alike; the services have nothing to add to ``form.save()``.
    """

    def view(request: StudioRequest, pk: int | None = None) -> HttpResponse:
        model = form_class._meta.model
        row = None if is_new else get_object_or_404(model, pk=pk)
        form = form_class(request.POST if request.method == "POST" else None, instance=row)
        if form.is_valid():
            saved = form.save()
            messages.success(request, _kept_words(saved, request))
            return redirect(back)
        heading = f"{'New ' if is_new else 'Change '}{what}"
        context = {"form": form, "heading": heading, "back": back, "row": row, "name": name}
        return page(request, "lessons/row_form.html", context, status=422 if form.is_bound else 200)

    return require_http_methods(["GET", "POST"])(teacher_only(view))


def _delete_view(model: type[models.Model], *, back: str, lost: str) -> View:
    """Return a view that asks once, naming what is lost, then deletes."""

    def view(request: StudioRequest, pk: int) -> HttpResponse:
        row = get_object_or_404(model, pk=pk)
        if request.method == "POST":
            words = str(row)
            row.delete()
            messages.success(request, f"“{words}” is deleted.")
            return redirect(back)
        return page(request, "lessons/row_delete.html", {"row": row, "lost": lost, "back": back})

    return require_http_methods(["GET", "POST"])(teacher_only(view))


@require_GET
@teacher_only
def term_list(request: StudioRequest) -> HttpResponse:
    """List terms and closures."""
    today = local_date(timezone.now(), request.studio.zone)
    return page(request, "lessons/term_list.html", terms_for_list(today=today))


@require_http_methods(["GET", "POST"])
@teacher_only
def holidays(request: StudioRequest) -> HttpResponse:
    """Offer the country's public holidays as closures."""
    today = local_date(timezone.now(), request.studio.zone)
    country, stretch = request.studio.country, (today, today + timedelta(days=400))
    regions = dict(regions_of(country))
    region = request.GET.get("region", "")
    region = region if region in regions else ""
    offered = _holidays(country, stretch, region)
    everywhere = {day for day, _ in _holidays(country, stretch, "")} if region else set()
    form = HolidaysForm(
        request.POST if request.method == "POST" else None,
        offered=offered,
        of_region={day: regions[region] for day, _ in offered if region and day not in everywhere},
    )
    if form.is_valid():
        chosen = form.chosen()
        with transaction.atomic():
            for day, name in chosen:
                Closure.objects.create(name=name[:80], first_date=day, last_date=day)
        messages.success(request, f"{len(chosen)} days are closed.")
        return redirect("lessons:term_list")
    context = {"form": form, "offered": offered, "regions": regions.items(), "region": region}
    return page(request, "lessons/holidays.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "POST"])
@teacher_only
def road(request: StudioRequest) -> HttpResponse:
    """Show bands, own times and the numbers behind the estimate."""
    form = RoadSettingsForm(
        request.POST if request.method == "POST" else None, instance=RoadSettings.current()
    )
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. Every estimate uses the new numbers from now on.")
        return redirect("lessons:road")
    context: dict[str, Any] = {
        "form": form,
        "bands": TravelBand.objects.order_by("up_to_km"),
        "corrections": corrections_for_list(),
        "base": request.studio.base,
        "detours": detours_now(request.studio),
        "router": router_state(),
    }
    return page(request, "lessons/road.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "POST"])
@teacher_only
def hours(request: StudioRequest) -> HttpResponse:
    """Show working hours and how much notice is asked for."""
    form = MissedLessonRulesForm(
        request.POST if request.method == "POST" else None, instance=MissedLessonRules.current()
    )
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. Lessons already called off stay as they were counted.")
        return redirect("lessons:hours")
    rooms = PlaceHours.objects.select_related("place")
    context = {
        "form": form,
        "windows": WorkingHours.objects.order_by("weekday", "begins_at", "pk"),
        "rooms": rooms.order_by("place__name", "weekday", "begins_at", "pk"),
    }
    return page(request, "lessons/hours.html", context, status=422 if form.is_bound else 200)


def _holidays(country: str, stretch: tuple[date, date], region: str) -> list[tuple[date, str]]:
    first, last = stretch
    return holidays_offered(country=country, first_date=first, last_date=last, region=region)


def _kept_words(row: models.Model, request: StudioRequest) -> str:
    if not isinstance(row, Closure):
        return "Kept."
    inside = Lesson.objects.taking_time().on_days(
        row.first_date, row.last_date, request.studio.zone
    )
    if row.school is not None:
        inside = inside.filter(Q(school=row.school) | Q(place=row.school.place_id))
    count = inside.filter(status="planned").count()
    if not count:
        return "Kept. New series leave these days out."
    lessons = "1 lesson is" if count == 1 else f"{count} lessons are"
    return f"Kept. {lessons} booked on these days all the same: call off those that should not be."


_TERMS, _ROAD, _HOURS = "lessons:term_list", "lessons:road", "lessons:hours"
_NO_DATES = "Lessons already booked stay."
term_create = _edit_view(TermForm, name="term", back=_TERMS, what="term", is_new=True)
term_edit = _edit_view(TermForm, name="term", back=_TERMS, what="term", is_new=False)
term_delete = _delete_view(Term, back=_TERMS, lost=_NO_DATES)
closure_create = _edit_view(ClosureForm, name="closure", back=_TERMS, what="closure", is_new=True)
closure_edit = _edit_view(ClosureForm, name="closure", back=_TERMS, what="closure", is_new=False)
closure_delete = _delete_view(
    Closure, back=_TERMS, lost="Series booked before do not fill these days by themselves."
)
band_create = _edit_view(BandForm, name="band", back=_ROAD, what="band", is_new=True)
band_edit = _edit_view(BandForm, name="band", back=_ROAD, what="band", is_new=False)
band_delete = _delete_view(
    TravelBand, back=_ROAD, lost="Lessons already given keep the surcharge they were given at."
)
correction_create = _edit_view(
    CorrectionForm, name="correction", back=_ROAD, what="time of your own", is_new=True
)
correction_edit = _edit_view(
    CorrectionForm, name="correction", back=_ROAD, what="time of your own", is_new=False
)
correction_delete = _delete_view(
    PlaceCorrection, back=_ROAD, lost="The estimate counts again for this road."
)
hours_create = _edit_view(
    WorkingHoursForm, name="hours", back=_HOURS, what="working hours", is_new=True
)
hours_edit = _edit_view(
    WorkingHoursForm, name="hours", back=_HOURS, what="working hours", is_new=False
)
hours_delete = _delete_view(WorkingHours, back=_HOURS, lost=_NO_DATES)
place_hours_create = _edit_view(
    PlaceHoursForm, name="place_hours", back=_HOURS, what="hours of a room", is_new=True
)
place_hours_edit = _edit_view(
    PlaceHoursForm, name="place_hours", back=_HOURS, what="hours of a room", is_new=False
)
place_hours_delete = _delete_view(PlaceHours, back=_HOURS, lost=_NO_DATES)
