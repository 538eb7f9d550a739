"""The teacher answers what families ask, one press each."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons.forms.asking import AnswerForm, OtherTimesForm
from lessons.models import LessonRequest, RequestState
from lessons.selectors.asking import (
    choices_by_day,
    free_starts,
    requests_answered,
    requests_waiting,
    requests_with_family,
)
from lessons.services import answering
from lessons.services.booking import LessonClash
from lessons.services.changing import LessonLocked
from lessons.views.asking import REFUSALS, time_named
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page

_DONE = {
    RequestState.MOVED: "The lesson is moved, and the family is told.",
    RequestState.CALLED_OFF: "The lesson is called off, and the family is told.",
    RequestState.REFUSED: "Answered: the lesson stays, and the family is told.",
    RequestState.ANSWERED: "Answered in words; the family is told.",
}


@require_GET
@teacher_only
def request_list(request: StudioRequest) -> HttpResponse:
    """List what families ask, with the answers to press."""
    waiting = requests_waiting()
    context = {
        "waiting": [(asked, AnswerForm(auto_id=f"answer-{asked.pk}-%s")) for asked in waiting],
        "with_family": requests_with_family(),
        "answered": requests_answered(),
        "now": timezone.now(),
    }
    return page(request, "lessons/request_list.html", context)


@require_POST
@teacher_only
def request_answer(request: StudioRequest, pk: int) -> HttpResponse:
    """Answer with the press that was chosen."""
    asked = _asked(request, pk)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        messages.error(request, "The line is too long: 500 letters at most. Nothing was sent.")
        return go(request, "lessons:request_detail", pk)
    try:
        asked = _answer(request, asked, form.cleaned_data["words"])
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
        return go(request, "lessons:request_detail", pk)
    except (LessonClash, LessonLocked) as refusal:
        messages.error(
            request, f"{refusal} The question is kept: offer another time, or answer in words."
        )
        return go(request, "lessons:request_detail", pk)
    messages.success(request, _DONE[RequestState(asked.state)])
    return go(request, "lessons:request_list")


@require_http_methods(["GET", "POST"])
@teacher_only
def request_other(request: StudioRequest, pk: int) -> HttpResponse:
    """Choose other times to offer instead of those the family named."""
    asked, now = _asked(request, pk), timezone.now()
    form = OtherTimesForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        data = form.cleaned_data
        try:
            answering.request_other_times(
                request=asked, times=data["times"], words=data["words"], by=request.user, now=now
            )
        except REFUSALS as refusal:
            form.add_error("times", str(refusal))
        else:
            messages.success(request, "The family is told. They take a time, or leave it.")
            return go(request, "lessons:request_list")
    lesson = asked.lesson
    free = free_starts(lesson=lesson, studio=request.studio, now=now) if lesson else ()
    chosen = frozenset(form.cleaned_data.get("times") or ()) if form.is_bound else frozenset()
    context = {
        "asked": asked,
        "form": form,
        "days": choices_by_day(free, chosen),
        "chosen": chosen,
    }
    return page(request, "lessons/request_other.html", context, status=422 if form.errors else 200)


def _answer(request: StudioRequest, asked: LessonRequest, words: str) -> LessonRequest:
    press, _, number = request.POST.get("press", "").partition(":")
    by, now = request.user, timezone.now()
    if press == "yes" and number:
        starts_at = time_named(asked, number).starts_at
        return answering.request_move(request=asked, starts_at=starts_at, by=by, now=now)
    if press == "call_off":
        return answering.request_call_off(request=asked, by=by, now=now)
    if press == "no":
        return answering.request_refuse(request=asked, words=words, by=by, now=now)
    raise Http404("no such answer")


def _asked(request: StudioRequest, pk: int) -> LessonRequest:
    visible = LessonRequest.objects.visible_to(request.user).with_people()
    return get_object_or_404(visible, pk=pk)
