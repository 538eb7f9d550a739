"""Days that go wrong: ill, snowed in, running late; and taking it back."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons.forms.missed import (
    ApologyForm,
    AwayForm,
    ChosenForm,
    LateForm,
    OnlineDayForm,
    new_press,
)
from lessons.models import Lesson, MissedLessonRules, Upset
from lessons.selectors.asking import comes_with_others, family_of, names_for, students_of
from lessons.selectors.upsets import (
    away_lessons,
    home_visits,
    late_plan,
    online_offered,
    recent_upsets,
    rest_of_day,
    told_of,
    upset_changes,
)
from lessons.services.upset_undoing import Undone, upset_apologise, upset_undo
from lessons.services.upsetting import (
    CannotBeLate,
    NothingToChange,
    away_call_off,
    late_tell,
    online_decline,
    online_turn,
)
from studio.access import parent_only, teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date


@require_http_methods(["GET", "POST"])
@teacher_only
def away(request: StudioRequest) -> HttpResponse:
    """Show the lessons of some days, and call off those that are ticked."""
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    form = AwayForm(
        request.GET if "first_date" in request.GET else None, initial={"first_date": today}
    )
    lessons: list[Lesson] = []
    if form.is_valid():
        lessons = away_lessons(**form.cleaned_data, studio=request.studio)
    return _choose(request, form, lessons, template="lessons/away.html", act=away_call_off)


@require_http_methods(["GET", "POST"])
@teacher_only
def online_day(request: StudioRequest) -> HttpResponse:
    """Show the home visits of a day, and put those that are ticked online."""
    today = local_date(timezone.now(), request.studio.zone)
    form = OnlineDayForm(request.GET if "day" in request.GET else {"day": today})
    lessons: list[Lesson] = []
    if form.is_valid():
        lessons = home_visits(day=form.cleaned_data["day"], studio=request.studio)
    return _choose(request, form, lessons, template="lessons/online_day.html", act=online_turn)


@require_http_methods(["GET", "POST"])
@teacher_only
def late(request: StudioRequest) -> HttpResponse:
    """Show the rest of today so many minutes later, and tell those concerned."""
    now, studio = timezone.now(), request.studio
    rest = rest_of_day(now=now, studio=studio)
    posted = request.method == "POST"
    asked = request.POST if posted else request.GET if "minutes" in request.GET else None
    form = LateForm(asked, rest=rest, studio=studio, initial={"press": new_press()})
    plan = None
    if form.is_valid():
        data = form.cleaned_data
        first = next(lesson for lesson in rest if lesson.pk == data["first"])
        plan = late_plan(rest=rest, first=first, minutes=data["minutes"], now=now, studio=studio)
        if posted:
            try:
                upset = late_tell(**data, by=request.user, now=now)
            except (CannotBeLate, NothingToChange) as refusal:
                form.add_error(None, str(refusal))
            else:
                return redirect("lessons:upset_detail", upset.pk)
    context = {"form": form, "rest": rest, "plan": plan, "press": new_press()}
    return page(request, "lessons/late.html", context, status=422 if form.errors else 200)


@require_GET
@teacher_only
def upset_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show what a press changed, who is told, and the way back."""
    return _detail(request, get_object_or_404(Upset, pk=pk))


@require_POST
@teacher_only
def upset_undo_view(request: StudioRequest, pk: int) -> HttpResponse:
    """Take it back."""
    upset = get_object_or_404(Upset, pk=pk)
    undone = upset_undo(upset=upset, by=request.user, now=timezone.now())
    for words in _undone_words(undone):
        messages.success(request, words)
    return redirect("lessons:upset_detail", pk)


@require_POST
@teacher_only
def upset_apologise_view(request: StudioRequest, pk: int) -> HttpResponse:
    """Tell those who had been told."""
    upset = get_object_or_404(Upset, pk=pk)
    form = ApologyForm(request.POST)
    if not form.is_valid():
        return _detail(request, upset, apology_form=form, status=422)
    count = upset_apologise(
        upset=upset, words=form.cleaned_data["words"], by=request.user, now=timezone.now()
    )
    messages.success(request, f"The apology goes to {count}." if count else "Nothing was sent.")
    return redirect("lessons:upset_detail", pk)


@require_http_methods(["GET", "POST"])
@parent_only
def online_decline_view(request: StudioRequest, pk: int) -> HttpResponse:
    """Let a family say no to an online lesson."""
    lessons = Lesson.objects.visible_to(request.user).with_people()
    lesson = get_object_or_404(lessons, pk=pk)
    change = online_offered(lesson=lesson)
    if request.method == "POST":
        try:
            declined = online_decline(lesson=lesson, by=request.user, now=timezone.now())
        except NothingToChange as refusal:
            messages.error(request, str(refusal))
        else:
            is_off = declined.is_called_off
            words = "The lesson is called off." if is_off else "You stay away; the others have it."
            messages.success(request, f"{words} It is not charged.")
        return redirect("studio:family_home")
    family = family_of(request.user)
    is_away = family is not None and not students_of(lesson, family)
    context = {
        "lesson": lesson,
        # Of a lesson that several families share, the others are none of their business.
        "names": names_for(lesson, family) if family else "",
        "is_for_others": family is not None and comes_with_others(lesson, family),
        "is_open": change is not None
        and change.declined_at is None
        and lesson.is_planned
        and lesson.starts_at > timezone.now()
        and not is_away,
        "is_away": is_away,
    }
    return page(request, "lessons/online_decline.html", context)


def _choose(
    request: StudioRequest, form: Any, lessons: list[Lesson], *, template: str, act: Any
) -> HttpResponse:
    """Show lessons with boxes; act on the ticked ones once they are sent."""
    now = timezone.now()
    posted = request.method == "POST"
    chosen = ChosenForm(
        request.POST if posted else None,
        offered=lessons,
        # What is over today was given, most likely; it can be ticked by hand.
        initial={
            "lessons": [lesson.pk for lesson in lessons if lesson.ends_at > now],
            "press": new_press(),
        },
    )
    if posted and form.is_valid() and (upset := _pressed_before(request)):
        return redirect("lessons:upset_detail", upset.pk)
    if chosen.is_valid():
        data = chosen.cleaned_data
        try:
            upset = act(
                lesson_ids=data["lessons"],
                reason=data["reason"],
                press=data["press"],
                by=request.user,
                now=now,
            )
        except NothingToChange as refusal:
            chosen.add_error(None, str(refusal))
        else:
            return redirect("lessons:upset_detail", upset.pk)
    ticked = {str(value) for value in chosen["lessons"].value() or []}
    context = {
        "form": form,
        "chosen": chosen,
        "lessons": [(lesson, str(lesson.pk) in ticked) for lesson in lessons],
        "families": len({t.student.family_id for one in lessons for t in one.takers.all()}),
        "wait": MissedLessonRules.current().undo_minutes,
        "recent": recent_upsets(now=now),
        "is_shown": form.is_bound and form.is_valid(),
    }
    has_errors = bool(chosen.errors) or bool(form.is_bound and form.errors)
    return page(request, template, context, status=422 if has_errors else 200)


def _pressed_before(request: StudioRequest) -> Upset | None:
    """Return what this very form did already: its lessons are not planned any more."""
    press = request.POST.get("press", "")[:40]
    return Upset.objects.filter(press=press).first() if press and "\0" not in press else None


def _detail(
    request: StudioRequest,
    upset: Upset,
    *,
    apology_form: ApologyForm | None = None,
    status: int = 200,
) -> HttpResponse:
    changes = upset_changes(upset)
    told = told_of(upset, changes)
    has_gone = any(each.has_gone for each in told)
    context = {
        "upset": upset,
        "changes": changes,
        "told": told,
        "is_quiet": upset.undone_at is None and not has_gone,
        "is_waiting": upset.tells_at > timezone.now(),
        "has_gone": has_gone,
        "can_apologise": has_gone and upset.undone_at is not None and upset.apology_at is None,
        "apology_form": apology_form or ApologyForm(),
    }
    return page(request, "lessons/upset_detail.html", context, status=status)


def _undone_words(undone: Undone) -> list[str]:
    words = []
    if undone.put_back:
        count = len(undone.put_back)
        words.append(f"{count} lesson{'s are' if count > 1 else ' is'} as before.")
    words += [f"{lesson.names}, {lesson.starts_at:%-d %B}: {why}" for lesson, why in undone.kept]
    if undone.told:
        words.append("Some were told already: send them your apology below.")
    elif undone.stopped:
        words.append("Nobody had been told: the messages are stopped.")
    return words
