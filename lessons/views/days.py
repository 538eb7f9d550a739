"""Today and the week."""

from __future__ import annotations

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from lessons import selectors
from lessons.models import Lesson
from studio.access import teacher_only
from studio.forms import SensibleDateField
from studio.htmx import StudioRequest, page
from studio.local_time import local_date, monday_of
from studio.models import Student


def day_asked(request: StudioRequest, name: str) -> date | None:
    """Return the date in the address, None without one.

    :raises Http404: for something that is no date between 1990 and 2100
    """
    text = request.GET.get(name, "")
    return day_named(text) if text else None


def day_named(text: str) -> date:
    """Return the date that a text names.

    :raises Http404: for something that is no date between 1990 and 2100
    """
    try:
        day: date = SensibleDateField().clean(text)
    except ValidationError:
        raise Http404("no such day") from None
    return day


@require_GET
@teacher_only
def today(request: StudioRequest) -> HttpResponse:
    """Show today, or the day that is asked for."""
    this_day = local_date(timezone.now(), request.studio.zone)
    return _day(request, day_asked(request, "day") or this_day)


@require_GET
@teacher_only
def day(request: StudioRequest, day: str) -> HttpResponse:
    """Show one day under its own address."""
    return _day(request, day_named(day))


def _day(request: StudioRequest, day: date) -> HttpResponse:
    """Show one day: when to leave, who comes, attendance, notes."""
    now = timezone.now()
    this_day = local_date(now, request.studio.zone)
    plan = selectors.day_plan(day=day, studio=request.studio)
    context = {
        "plan": plan,
        "day": day,
        "is_today": day == this_day,
        "is_future": day > this_day,
        "is_past": day < this_day,
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1),
        "not_marked": selectors.not_marked_before(day=this_day, studio=request.studio)
        if day == this_day
        else [],
        "next_lesson": None,
        "has_students": True,
    }
    if not plan.stops:
        context["next_lesson"] = (
            Lesson.objects.taking_time().filter(starts_at__gte=now).with_people().in_order().first()
        )
        context["has_students"] = Student.objects.exists()
    return page(request, "lessons/today.html", context)


@require_GET
@teacher_only
def week(request: StudioRequest) -> HttpResponse:
    """Show a week as a diary lies open."""
    this_day = local_date(timezone.now(), request.studio.zone)
    monday = monday_of(day_asked(request, "week") or this_day)
    days = selectors.week_plan(monday=monday, studio=request.studio)
    return page(
        request,
        "lessons/week.html",
        {
            "days": days,
            "caution": selectors.evenings_caution(days, request.studio),
            "monday": monday,
            "sunday": monday + timedelta(days=6),
            "today": this_day,
            "before": monday - timedelta(weeks=1),
            "after": monday + timedelta(weeks=1),
            "lesson_count": sum(day.lesson_count for day in days),
            "teaching_minutes": sum(day.teaching_minutes for day in days),
            "driving_minutes": sum(day.driving_minutes for day in days),
            "has_unknown_road": any(day.has_unknown_road for day in days),
        },
    )
