"""A family asks to move or to call off a lesson, and sees what came of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons.forms.asking import AnswerForm, AskForm
from lessons.models import Lesson, LessonRequest, RequestedTime, RequestKind
from lessons.selectors.asking import (
    choices_by_day,
    counting_of,
    family_of,
    free_starts,
    is_grown_up,
    is_shared,
    may_settle,
    names_for,
    students_of,
)
from lessons.services import answering, asking
from lessons.services.booking import LessonClash
from lessons.services.request_rows import (
    AskedAlready,
    CannotAsk,
    CountsOtherwise,
    RequestOvertaken,
    RequestSettled,
    TimeTaken,
)
from studio.access import signed_in
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date

REFUSALS = (CannotAsk, RequestSettled, RequestOvertaken, TimeTaken)


@require_http_methods(["GET", "POST"])
@signed_in
def request_ask(request: StudioRequest, pk: int) -> HttpResponse:
    """Show what can be asked about a lesson and what it would count as, then ask."""
    if request.user.is_teacher:
        raise PermissionDenied
    visible = Lesson.objects.visible_to(request.user).with_people()
    lesson, now = get_object_or_404(visible, pk=pk), timezone.now()
    form = AskForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        data = form.cleaned_data
        try:
            asked = asking.request_ask(
                lesson=lesson,
                kind=RequestKind(data["kind"]),
                words=data["words"],
                times=data["times"],
                shown=data["shown"],
                by=request.user,
                now=now,
            )
        except TimeTaken as taken:
            form.add_error("times", str(taken))
        except (CannotAsk, AskedAlready, CountsOtherwise) as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Your question is sent. The answer will stand here.")
            return go(request, "lessons:request_detail", asked.pk)
    context = _ask_context(request, lesson, form, now)
    return page(request, "lessons/request_ask.html", context, status=422 if form.errors else 200)


@require_GET
@signed_in
def request_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show one request: to the teacher with the answers, to the family with its state."""
    asked = _asked(request, pk)
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    context = {
        "asked": asked,
        "now": now,
        "form": AnswerForm(auto_id=f"answer-{asked.pk}-%s"),
        "may_settle": may_settle(request=asked, user=request.user, today=today),
        "is_grown_up": is_grown_up(request.user, today),
    }
    return page(request, "lessons/request_detail.html", context)


@require_POST
@signed_in
def request_take(request: StudioRequest, pk: int) -> HttpResponse:
    """Take one of the other times that the teacher offers."""
    asked = _own(request, pk)
    now = timezone.now()
    if not is_grown_up(request.user, local_date(now, request.studio.zone)):
        raise PermissionDenied
    chosen = time_named(asked, request.POST.get("time", ""))
    try:
        answering.request_move(request=asked, starts_at=chosen.starts_at, by=request.user, now=now)
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
    except LessonClash:
        messages.error(
            request, "That time was taken a moment ago. Nothing was changed: choose another."
        )
    else:
        messages.success(request, "The lesson is moved.")
    return go(request, "lessons:request_detail", pk)


@require_POST
@signed_in
def request_take_back(request: StudioRequest, pk: int) -> HttpResponse:
    """Take a question back: the lesson stays as it is."""
    asked = _own(request, pk)
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    if not may_settle(request=asked, user=request.user, today=today):
        raise PermissionDenied
    try:
        asking.request_take_back(request=asked, by=request.user, now=now)
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Taken back. The lesson stays as it is.")
    return go(request, "lessons:request_detail", pk)


@require_POST
@signed_in
def request_insist(request: StudioRequest, pk: int) -> HttpResponse:
    """Leave the other times: the lesson is to be called off all the same."""
    asked = _own(request, pk)
    now = timezone.now()
    if not is_grown_up(request.user, local_date(now, request.studio.zone)):
        raise PermissionDenied
    try:
        asking.request_insist(request=asked, by=request.user, now=now)
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Sent. It counts from the moment you first asked.")
    return go(request, "lessons:request_detail", pk)


def time_named(asked: LessonRequest, text: str) -> RequestedTime:
    """Return the request's time with this number.

    :raises Http404: for anything else
    """
    for one in asked.times.all():
        if str(one.pk) == text:
            return one
    raise Http404("no such time")


def _asked(request: StudioRequest, pk: int) -> LessonRequest:
    visible = LessonRequest.objects.visible_to(request.user).with_people()
    return get_object_or_404(visible, pk=pk)


def _own(request: StudioRequest, pk: int) -> LessonRequest:
    asked = _asked(request, pk)
    if request.user.is_teacher:
        raise PermissionDenied
    return asked


def _ask_context(
    request: StudioRequest, lesson: Lesson, form: AskForm, now: datetime
) -> dict[str, Any]:
    family = family_of(request.user)
    is_away = lesson.is_planned and family is not None and not students_of(lesson, family)
    is_askable = lesson.is_planned and lesson.starts_at > now and not is_away
    chosen = frozenset(form.cleaned_data.get("times") or ()) if form.is_bound else frozenset()
    free = free_starts(lesson=lesson, studio=request.studio, now=now) if is_askable else ()
    requests = LessonRequest.objects.visible_to(request.user).standing().filter(lesson=lesson)
    standing = requests.select_related("lesson").first()
    return {
        "lesson": lesson,
        "names": names_for(lesson, family) if family else lesson.names,
        "form": form,
        "is_askable": is_askable,
        "is_away": is_away,
        "is_shared": is_shared(lesson),
        "standing": standing,
        # One question at a time; one that the calendar overtook gives way to a new one.
        "is_asked": standing is not None and not standing.is_overtaken,
        "counting": counting_of(lesson=lesson, now=now, zone=request.studio.zone),
        "days": choices_by_day(free, chosen),
        "chosen": chosen,
        "is_grown_up": is_grown_up(request.user, local_date(now, request.studio.zone)),
    }
