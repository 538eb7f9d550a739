"""A student stays away from a group, pauses, leaves, or comes back."""

from __future__ import annotations

import calendar
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from lessons import services
from lessons.forms.absences import AwayForm, LeaveForm, PauseForm
from lessons.models import Lesson, Term
from lessons.selectors.absences import absence_of, old_times
from lessons.services.absences import (
    NotInAGroup,
    group_comes_after_all,
    group_stays_away,
    student_leave,
    student_pause,
    student_return,
)
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date
from studio.models import Student


def _student(request: StudioRequest, pk: int) -> Student:
    rows = Student.objects.visible_to(request.user).select_related("family")
    return get_object_or_404(rows, pk=pk)


def _today(request: StudioRequest) -> date:
    return local_date(timezone.now(), request.studio.zone)


def _end_of_month(day: date) -> date:
    return day.replace(day=calendar.monthrange(day.year, day.month)[1])


@require_http_methods(["GET", "POST"])
@teacher_only
def student_pauses(request: StudioRequest, pk: int) -> HttpResponse:
    """Show which lessons of a stretch are called off, then do it."""
    student, today, now = _student(request, pk), _today(request), timezone.now()
    form = PauseForm(
        request.POST if request.method == "POST" else None,
        today=today,
        initial={"first_date": today, "is_family_told": True},
    )
    context: dict[str, Any] = {"form": form, "student": student}
    if form.is_valid():
        data = form.cleaned_data
        stretch = {"first_date": data["first_date"], "last_date": data["last_date"]}
        if "look" not in request.POST and data["seal"]:
            try:
                absence = student_pause(
                    student=student,
                    **stretch,
                    counts_as=data["counts_as"],
                    reason=data["reason"],
                    by=request.user,
                    now=now,
                    seal=data["seal"],
                    is_family_told=data["is_family_told"],
                )
            except services.PlanChanged as refusal:
                form.add_error(None, str(refusal))
            else:
                messages.success(request, f"{_called_off(absence.count)} The series go on after.")
                return redirect("studio:student_detail", pk)
        context["absence"] = absence_of(student=student, **stretch, studio=request.studio, now=now)
    return page(request, "lessons/student_pause.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
@teacher_only
def student_leaves(request: StudioRequest, pk: int) -> HttpResponse:
    """Show which lessons are called off when a student leaves, then do it."""
    student, today, now = _student(request, pk), _today(request), timezone.now()
    form = LeaveForm(
        request.POST if request.method == "POST" else None,
        today=today,
        initial={"last_date": _end_of_month(today), "is_family_told": True},
    )
    context: dict[str, Any] = {"form": form, "student": student}
    if form.is_valid():
        data = form.cleaned_data
        if "look" not in request.POST and data["seal"]:
            try:
                absence = student_leave(
                    student=student,
                    last_date=data["last_date"],
                    reason=data["reason"],
                    by=request.user,
                    now=now,
                    seal=data["seal"],
                    is_family_told=data["is_family_told"],
                )
            except (services.PlanChanged, services.LessonClash, services.NothingToBook) as refusal:
                form.add_error(None, str(refusal))
            else:
                messages.success(request, f"{student.name} leaves. {_called_off(absence.count)}")
                return redirect("studio:student_detail", pk)
        after = date.fromordinal(data["last_date"].toordinal() + 1)
        context["absence"] = absence_of(
            student=student, first_date=after, last_date=None, studio=request.studio, now=now
        )
    return page(request, "lessons/student_leave.html", context, status=_status(form))


@require_http_methods(["GET", "POST"])
@teacher_only
def student_returns(request: StudioRequest, pk: int) -> HttpResponse:
    """Let a student take lessons again, and say whether the old time is free."""
    student, today = _student(request, pk), _today(request)
    if request.method == "POST":
        student_return(student=student, by=request.user, now=timezone.now())
        messages.success(request, f"{student.name} takes lessons again. Now book a time.")
        return redirect("lessons:student_returns", pk)
    term = Term.objects.not_over(today).in_order().first()
    times = (
        old_times(student=student, term=term, today=today, studio=request.studio) if term else []
    )
    context = {"student": student, "term": term, "times": times}
    return page(request, "lessons/student_return.html", context)


@require_http_methods(["GET", "POST"])
@teacher_only
def lesson_away(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down who of a group cannot come; once one is left, ask what is to happen."""
    lesson = get_object_or_404(Lesson.objects.visible_to(request.user).with_people(), pk=pk)
    form = AwayForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        student = get_object_or_404(
            Student, pk=form.cleaned_data["student"], lesson_takers__lesson=lesson
        )
        try:
            coming = group_stays_away(
                lesson=lesson,
                student=student,
                told_at=timezone.now(),
                reason=form.cleaned_data["reason"],
                counts_as=form.cleaned_data["counts_as"] or None,
                by=request.user,
                now=timezone.now(),
            )
        except (services.LessonLocked, NotInAGroup) as refusal:
            form.add_error(None, str(refusal))
        else:
            who = " and ".join(each.first_name for each in coming)
            messages.success(request, f"Written down. {who or 'The block'} still to come.")
            return redirect("lessons:lesson_away", pk)
    takers = list(lesson.takers.all())
    coming_takers = [taker for taker in takers if not taker.is_away]
    context = {
        "lesson": lesson,
        "form": form,
        "takers": takers,
        "coming": coming_takers,
        "is_asked": len(takers) > 1 and len(coming_takers) == 1,
    }
    return page(request, "lessons/lesson_away.html", context, status=_status(form))


@require_POST
@teacher_only
def lesson_comes(request: StudioRequest, pk: int, student_pk: int) -> HttpResponse:
    """Take back that somebody cannot come."""
    lesson = get_object_or_404(Lesson.objects.visible_to(request.user), pk=pk)
    student = get_object_or_404(Student, pk=student_pk, lesson_takers__lesson=lesson)
    try:
        group_comes_after_all(lesson=lesson, student=student, by=request.user, now=timezone.now())
    except services.LessonLocked as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{student.name} comes after all.")
    return redirect("lessons:lesson_away", pk)


def _status(form: Any) -> int:
    return 422 if form.errors else 200


def _called_off(count: int) -> str:
    return "1 lesson is called off." if count == 1 else f"{count} lessons are called off."
