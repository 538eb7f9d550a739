"""Booking a series or one lesson; looking at a series; ending it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from lessons import selectors, services
from lessons.forms import LessonForm, SeriesForm, StopForm
from lessons.models import Series, Term
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.road import RoadTo, road_to
from lessons.selectors.series_pages import planned_from, series_for_list, series_lessons
from lessons.selectors.series_wish import names_of
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date
from studio.models import Student


@require_http_methods(["GET", "POST"])
@teacher_only
def series_book(request: StudioRequest) -> HttpResponse:
    """Look at what a weekly lesson would come to, then book it."""
    today = local_date(timezone.now(), request.studio.zone)
    form = SeriesForm(
        request.POST if request.method == "POST" else None,
        studio=request.studio,
        today=today,
        initial=_first_guess(request, today),
    )
    plan: selectors.SeriesPlan | None = None
    is_refused = form.is_bound and not form.is_valid()
    if form.is_bound and not is_refused:
        wish = form.wish()
        try:
            if request.POST.get("press") == "book" and form.cleaned_data["seal"]:
                series = services.series_book(
                    wish=wish,
                    by=request.user,
                    now=timezone.now(),
                    road_reason=form.cleaned_data["road_reason"],
                    seal=form.cleaned_data["seal"],
                )
                messages.success(request, f"{series.lessons.count()} lessons are booked.")
                return go(request, "lessons:series_detail", series.pk)
        except CannotRepeat as trouble:
            form.add_trouble(trouble)
        except services.LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else None, str(clash))
        except (services.PlanChanged, services.NothingToBook) as refusal:
            form.add_error(None, str(refusal))
        is_refused = bool(form.errors)
        plan = _plan(form, wish, request)
    context: dict[str, Any] = {"form": form, "plan": plan, "road": _road(plan)}
    return page(
        request,
        "lessons/series_book.html",
        context,
        fragment="book-form",
        status=422 if is_refused or form.errors else 200,
    )


@require_http_methods(["GET", "POST"])
@teacher_only
def lesson_create(request: StudioRequest) -> HttpResponse:
    """Book one lesson by itself."""
    today = local_date(timezone.now(), request.studio.zone)
    form = LessonForm(
        request.POST if request.method == "POST" else None,
        studio=request.studio,
        today=today,
        initial=_first_lesson(request, today),
    )
    if form.is_valid():
        data = form.cleaned_data
        try:
            lesson = services.lesson_book(
                **form.people_and_kind(),
                place=form.place(),
                day=data["day"],
                at=data["at"],
                minutes=data["minutes"],
                road_reason=data["road_reason"],
                by=request.user,
                now=timezone.now(),
            )
        except CannotRepeat as trouble:
            form.add_error(trouble.field, str(trouble))
        except services.LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else "at", str(clash))
        else:
            messages.success(request, "The lesson is booked.")
            return redirect("lessons:lesson_detail", lesson.pk)
    return page(
        request, "lessons/lesson_form.html", {"form": form}, status=422 if form.errors else 200
    )


@require_GET
@teacher_only
def series_list(request: StudioRequest) -> HttpResponse:
    """List the weekly lessons that run or are still to come."""
    today = local_date(timezone.now(), request.studio.zone)
    return page(request, "lessons/series_list.html", {"rows": series_for_list(today=today)})


@require_GET
@teacher_only
def series_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a series with every date of its rule."""
    series = get_object_or_404(Series.objects.select_related("place", "term", "school"), pk=pk)
    lessons, skipped = series_lessons(series=series)
    context = {
        "series": series,
        "students": list(series.students.by_name()),
        "names": _names(series),
        "continued_by": list(series.continued_by.order_by("pk")),
        "lessons": lessons,
        "skipped": skipped,
        "road": road_to(series.place),
        "now": timezone.now(),
    }
    return page(request, "lessons/series_detail.html", context)


@require_http_methods(["GET", "POST"])
@teacher_only
def series_stop(request: StudioRequest, pk: int) -> HttpResponse:
    """End a series from a day on."""
    series = get_object_or_404(Series, pk=pk)
    form = StopForm(
        request.POST if request.method == "POST" else None,
        first_date=series.first_date,
        last_date=series.last_date,
    )
    context: dict[str, Any] = {"form": form, "series": series, "names": _names(series)}
    if form.is_valid():
        from_date = form.cleaned_data["from_date"]
        ends = planned_from(series=series, day=from_date, studio=request.studio)
        # What is called off is what was shown: a lesson more or less asks once more.
        if "look" not in request.POST and request.POST.get("seen") == str(len(ends)):
            count = services.series_stop(
                series=series, from_date=from_date, by=request.user, now=timezone.now()
            )
            words = "1 lesson is" if count == 1 else f"{count} lessons are"
            messages.success(request, f"The series ends. {words} called off.")
            return redirect("lessons:series_detail", pk)
        context |= {"ends": ends, "is_seen": True}
    return page(request, "lessons/series_stop.html", context, status=422 if form.errors else 200)


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 19


def _known_student(request: StudioRequest) -> int | None:
    student = request.GET.get("student", "")
    known = Student.objects.active().filter(pk=student).first() if _is_key(student) else None
    return known.pk if known else None


def _first_lesson(request: StudioRequest, today: date) -> dict[str, Any]:
    return {
        "kind": request.GET.get("kind", "lesson")[:10],
        "student": _known_student(request),
        "day": today,
        "where": "home",
    }


def _first_guess(request: StudioRequest, today: date) -> dict[str, Any]:
    """What the form begins with; a trial lesson that goes on brings its own time along."""
    term = Term.objects.not_over(today).in_order().first()
    guess = {
        "kind": "lesson",
        "student": _known_student(request),
        "where": "home",
        "weekday": today.weekday(),
        "minutes": 30,
        "every_weeks": 1,
        "term": term.pk if term else None,
    }
    given = {name: request.GET[name][:20] for name in _GIVEN if request.GET.get(name)}
    return guess | given


_GIVEN = ("kind", "where", "weekday", "at", "minutes", "from_date")


def _plan(
    form: SeriesForm, wish: selectors.SeriesWish, request: StudioRequest
) -> selectors.SeriesPlan | None:
    try:
        return selectors.series_plan(wish=wish, studio=request.studio)
    except CannotRepeat as trouble:
        if not form.errors:
            form.add_trouble(trouble)
        return None


def _road(plan: selectors.SeriesPlan | None) -> RoadTo | None:
    return road_to(plan.wish.place) if plan else None


def _names(series: Series) -> str:
    return series.label or names_of(list(series.students.by_name()))
