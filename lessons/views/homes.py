"""A family's homes: moving house, and second homes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from lessons.forms.homes import HomeForm, HouseMoveForm
from lessons.selectors.homes import HousePlan, house_plan, move_to_come
from lessons.services.booking import LessonClash, OutsideRadius, PlanChanged
from lessons.services.house_moves import (
    HomeInUse,
    MoveDone,
    MoveToCome,
    house_move,
    house_move_take_back,
    other_home_add,
    other_home_remove,
)
from lessons.services.routing import place_routed
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date
from studio.models import Family


@require_http_methods(["GET", "POST"])
@teacher_only
def family_moves(request: StudioRequest, pk: int) -> HttpResponse:
    """Ask for the new home, show what the move changes, then do it."""
    family = _family(request, pk)
    now = timezone.now()
    form = HouseMoveForm(
        request.POST if request.method == "POST" else None,
        family=family,
        today=local_date(now, request.studio.zone),
    )
    plan: HousePlan | None = None
    if form.is_valid():
        data = form.cleaned_data
        if request.POST.get("press") == "move":
            answer = _move(request, family, form)
            if answer is not None:
                return answer
        plan = house_plan(
            old=family.home, new=form.place(), from_date=data["from_date"], studio=request.studio
        )
    context = {
        "family": family,
        "form": form,
        "plan": plan,
        "coming": move_to_come(family),
        "today": local_date(now, request.studio.zone),
    }
    status = 422 if form.is_bound and form.errors else 200
    return page(request, "lessons/family_moves.html", context, status=status)


def _move(request: StudioRequest, family: Family, form: HouseMoveForm) -> HttpResponse | None:
    """Do it; None when the form has something to say instead."""
    data = form.cleaned_data
    now = timezone.now()
    try:
        move = house_move(
            family=family,
            new=form.place(),
            from_date=data["from_date"],
            by=request.user,
            now=now,
            seal=data["seal"],
            road_reason=data["road_reason"],
        )
    except (PlanChanged, MoveToCome) as said:
        form.add_error(None, str(said))
        return None
    except OutsideRadius as said:
        form.add_error("road_reason", f"{said} Nothing was changed.")
        return None
    except LessonClash:
        form.add_error(
            "road_reason",
            "The road to the new home is too long on the dates below. Say why it works all the "
            "same, or move those lessons first. Nothing was changed.",
        )
        return None
    messages.success(
        request,
        f"{family.name} moves on {move.from_date:%-d %B %Y}. Lessons follow, the past stays.",
    )
    _say_routed(request, place_routed(move.to_place, now))
    return redirect("studio:family_detail", family.pk)


@require_POST
@teacher_only
def family_stays(request: StudioRequest, pk: int) -> HttpResponse:
    """Take a move back whose day has not come; a second press finds nothing to do."""
    family = _family(request, pk)
    move = move_to_come(family)
    if move is not None:
        try:
            count = house_move_take_back(move=move, by=request.user, now=timezone.now())
        except MoveDone as said:
            messages.error(request, str(said))
        else:
            lessons = "1 lesson goes" if count == 1 else f"{count} lessons go"
            messages.success(request, f"The move is taken back: {lessons} to the old home again.")
    return redirect("studio:family_detail", family.pk)


@require_http_methods(["GET", "POST"])
@teacher_only
def other_home(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down a second home."""
    family = _family(request, pk)
    form = HomeForm(request.POST if request.method == "POST" else None, family=family)
    if form.is_valid():
        now = timezone.now()
        place = other_home_add(family=family, place=form.place(), by=request.user, now=now)
        messages.success(
            request,
            f"{place.name} is written down. Choose it as the place when you book or find a time.",
        )
        _say_routed(request, place_routed(place, now))
        return redirect("studio:family_detail", family.pk)
    context: dict[str, Any] = {"family": family, "form": form}
    return page(request, "lessons/other_home.html", context, status=422 if form.is_bound else 200)


@require_POST
@teacher_only
def other_home_end(request: StudioRequest, pk: int, place_pk: int) -> HttpResponse:
    """Take a second home off the list."""
    family = _family(request, pk)
    place = get_object_or_404(family.other_homes, pk=place_pk)
    try:
        other_home_remove(family=family, place=place, by=request.user, now=timezone.now())
    except HomeInUse as said:
        messages.error(request, str(said))
    else:
        messages.success(request, f"{place.name} is off the list. What was given there stays.")
    return redirect("studio:family_detail", family.pk)


def _family(request: StudioRequest, pk: int) -> Family:
    families = Family.objects.visible_to(request.user).select_related("home")
    return get_object_or_404(families, pk=pk)


def _say_routed(request: StudioRequest, words: str) -> None:
    if words:
        messages.info(request, words)
