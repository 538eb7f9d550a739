"""Changing a series from a day on, and two that swap their times."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from lessons import services
from lessons.forms.series_changing import ChangeForm, SwapForm
from lessons.models import Series
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.series_change_parts import ChangesPlan, SeriesChange
from lessons.selectors.series_changes import changes_plan
from lessons.selectors.series_pages import next_lesson_date
from lessons.selectors.series_wish import names_of
from lessons.services.series_changing import ChangeInThePast, series_replace_many
from lessons.services.swapping import (
    NothingToSwap,
    lessons_swap,
    lessons_to_swap,
    swap_changes,
    swap_clashes,
    swap_seal,
)
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date

SAYS_NO = (services.PlanChanged, services.NothingToBook, ChangeInThePast, NothingToSwap)


def _series(pk: int) -> Series:
    rows = Series.objects.select_related("place", "term", "school").prefetch_related("students")
    return get_object_or_404(rows, pk=pk)


def _today(request: StudioRequest) -> date:
    return local_date(timezone.now(), request.studio.zone)


@require_http_methods(["GET", "POST"])
@teacher_only
def series_change(request: StudioRequest, pk: int) -> HttpResponse:
    """Look at what a change from a day on comes to, then make it."""
    series = _series(pk)
    form = ChangeForm(
        request.POST if request.method == "POST" else None,
        series=series,
        studio=request.studio,
        today=_today(request),
        initial={"from_date": _from_date(request, series)},
    )
    plan: ChangesPlan | None = None
    if form.is_valid():
        change = form.change()
        try:
            if request.POST.get("press") == "change" and form.cleaned_data["seal"]:
                after = series_replace_many(
                    [change],
                    by=request.user,
                    now=timezone.now(),
                    seal=form.cleaned_data["seal"],
                    are_families_told=form.cleaned_data["is_family_told"],
                )
                messages.success(request, "The series is changed. What is past stays as it was.")
                return go(request, "lessons:series_detail", after[0].pk)
        except CannotRepeat as trouble:
            form.add_trouble(trouble)
        except services.LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else None, str(clash))
        except SAYS_NO as refusal:
            form.add_error(None, str(refusal))
        plan = _plan([change], form, request)
    context: dict[str, Any] = {
        "form": form,
        "series": series,
        "names": _names(series),
        "plan": plan,
        "is_many": series.kind != "lesson" or series.students.count() > 1,
    }
    return page(
        request,
        "lessons/series_change.html",
        context,
        fragment="change-form",
        status=422 if form.errors else 200,
    )


@require_http_methods(["GET", "POST"])
@teacher_only
def series_swap(request: StudioRequest, pk: int) -> HttpResponse:
    """Let two students swap their times, for one week or for good."""
    series = _series(pk)
    form = SwapForm(
        request.POST if request.method == "POST" else None,
        series=series,
        today=_today(request),
        initial={"from_date": _from_date(request, series)},
    )
    context: dict[str, Any] = {"form": form, "series": series, "names": _names(series)}
    if form.is_valid():
        try:
            if form.cleaned_data["how_long"] == "week":
                done = _swap_week(request, form, series, context)
            else:
                done = _swap_for_good(request, form, series, context)
        except (CannotRepeat, *SAYS_NO) as refusal:
            form.add_error(None, str(refusal))
        else:
            if done:
                messages.success(request, "They have swapped their times.")
                return go(request, "lessons:series_detail", done)
    return page(
        request,
        "lessons/series_swap.html",
        context,
        fragment="swap-form",
        status=422 if form.errors else 200,
    )


def _swap_week(
    request: StudioRequest, form: SwapForm, series: Series, context: dict[str, Any]
) -> int | None:
    """Swap if that was pressed and nothing else came between; else put in the context what is."""
    data, now = form.cleaned_data, timezone.now()
    pair = {"first": series, "second": data["other"], "week_of": data["from_date"]}
    if request.POST.get("press") == "swap" and data["seal"]:
        try:
            lessons_swap(
                **pair,
                by=request.user,
                now=now,
                road_reason=data["road_reason"],
                seal=data["seal"],
                are_families_told=data["is_family_told"],
            )
        except services.LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else None, str(clash))
        else:
            return series.pk
    lessons = lessons_to_swap(**pair, studio=request.studio, now=now)
    clashes = swap_clashes(lessons=lessons, studio=request.studio)
    context |= {
        "lessons": lessons,
        "clashes": clashes,
        "seal": swap_seal(lessons, clashes),
        "is_seen": True,
        "can_swap": all(clash.can_be_overruled for clash in clashes),
        "is_tight": any(clash.can_be_overruled for clash in clashes),
    }
    return None


def _swap_for_good(
    request: StudioRequest, form: SwapForm, series: Series, context: dict[str, Any]
) -> int | None:
    data, now = form.cleaned_data, timezone.now()
    changes = swap_changes(
        first=series,
        second=data["other"],
        week_of=data["from_date"],
        today=_today(request),
        road_reason=data["road_reason"],
        studio=request.studio,
    )
    if request.POST.get("press") == "swap" and data["seal"]:
        try:
            after = series_replace_many(
                changes,
                by=request.user,
                now=now,
                seal=data["seal"],
                are_families_told=data["is_family_told"],
            )
        except services.LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else None, str(clash))
        else:
            return after[0].pk
    plan = changes_plan(changes=changes, studio=request.studio, now=now)
    context |= {
        "plan": plan,
        "seal": plan.seal,
        "is_seen": True,
        "can_swap": not any(part.overlaps for part in plan.parts),
        "is_tight": any(part.too_tight for part in plan.parts),
    }
    return None


def _plan(
    changes: list[SeriesChange], form: ChangeForm, request: StudioRequest
) -> ChangesPlan | None:
    try:
        return changes_plan(changes=changes, studio=request.studio, now=timezone.now())
    except CannotRepeat as trouble:
        if not form.errors:
            form.add_trouble(trouble)
        return None


def _from_date(request: StudioRequest, series: Series) -> date:
    """The day that was asked for, else that of the next lesson."""
    try:
        asked = date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        asked = None
    if asked is not None and 1990 < asked.year < 2100:
        return asked
    now = timezone.now()
    following = next_lesson_date(series=series, now=now, studio=request.studio)
    return following or _today(request)


def _names(series: Series) -> str:
    return series.label or names_of(list(series.students.all()))
