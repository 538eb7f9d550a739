"""When students can come, and what the teacher's days must keep."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from lessons.forms.wishes import DayRuleForm, LimitsForm, WindowForm, WishesForm
from lessons.models import DayRule, StudentWindow, StudentWishes, TeachingLimits
from lessons.models.calendar import WEEKDAYS
from studio.access import parent_only, teacher_only
from studio.events import event_record
from studio.htmx import StudioRequest, page
from studio.local_time import local_date
from studio.models import Student

MOST_WINDOWS = 30


@require_http_methods(["GET", "POST"])
@teacher_only
def wishes(request: StudioRequest, pk: int) -> HttpResponse:
    """Show when a student can come and what they ask for; keep the wishes."""
    student = _student(request, pk)
    row = StudentWishes.objects.filter(student=student).first() or StudentWishes(student=student)
    form = WishesForm(
        request.POST if request.method == "POST" else None, instance=row, student=student
    )
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. Finding a time and the order of a day go by it.")
        return redirect("lessons:wishes", student.pk)
    return _wishes_page(request, student, form=form)


@require_http_methods(["GET", "POST"])
@teacher_only
def window_create(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down one more stretch in which a student can come."""
    student = _student(request, pk)
    return _window(request, student, StudentWindow(student=student), "New time")


@require_http_methods(["GET", "POST"])
@teacher_only
def window_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change one stretch."""
    row = get_object_or_404(StudentWindow.objects.select_related("student__family"), pk=pk)
    return _window(request, row.student, row, "Change the time")


@require_http_methods(["POST"])
@teacher_only
def window_delete(request: StudioRequest, pk: int) -> HttpResponse:
    """Strike one stretch out; what it was stands in the message."""
    row = get_object_or_404(StudentWindow, pk=pk)
    student, words = row.student_id, str(row)
    row.delete()
    messages.success(request, f"{words} is struck out. Lessons that are booked stay.")
    return redirect("lessons:wishes", student)


@require_http_methods(["GET", "POST"])
@teacher_only
def limits(request: StudioRequest) -> HttpResponse:
    """Show and keep what every day and week must keep, and the rules of each weekday."""
    form = LimitsForm(
        request.POST if request.method == "POST" else None, instance=TeachingLimits.current()
    )
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. What is booked stays; searches go by it from now on.")
        return redirect("lessons:limits")
    rules = {
        row.weekday: row for row in DayRule.objects.select_related("starts_from", "ends_at_place")
    }
    context = {
        "form": form,
        "days": [(weekday, name, rules.get(weekday)) for weekday, name in WEEKDAYS],
        "base": request.studio.base,
    }
    status = 422 if form.is_bound else 200
    return page(request, "lessons/limits.html", context, status=status)


@require_http_methods(["GET", "POST"])
@teacher_only
def day_rule(request: StudioRequest, weekday: int) -> HttpResponse:
    """Show and keep where one weekday begins and ends, and its meal."""
    if weekday > 6:
        raise Http404("no such weekday")
    row = DayRule.objects.filter(weekday=weekday).first() or DayRule(weekday=weekday)
    form = DayRuleForm(request.POST if request.method == "POST" else None, instance=row)
    name = dict(WEEKDAYS)[weekday]
    if form.is_valid():
        form.save()
        messages.success(request, f"Kept for every {name}.")
        return redirect("lessons:limits")
    context = {"form": form, "weekday": name}
    status = 422 if form.is_bound else 200
    return page(request, "lessons/day_rule.html", context, status=status)


@require_GET
@teacher_only
def wishes_list(request: StudioRequest) -> HttpResponse:
    """List every student with their times, so that one sees whose are missing."""
    students = (
        Student.objects.active().select_related("family").prefetch_related("windows").by_name()
    )
    rows = [
        (
            student,
            sorted(student.windows.all(), key=lambda row: (row.weekday, row.begins_at, row.pk)),
        )
        for student in students
    ]
    missing = sum(not windows for _, windows in rows)
    return page(request, "lessons/wishes_list.html", {"rows": rows, "missing": missing})


@require_http_methods(["GET", "POST"])
@parent_only
def own_times(request: StudioRequest, pk: int) -> HttpResponse:
    """Let a parent tell when their child can come; the teacher's searches go by it."""
    student = _student(request, pk)
    row = StudentWindow(student=student)
    form = WindowForm(request.POST if request.method == "POST" else None, instance=row)
    if form.is_valid():
        if student.windows.count() >= MOST_WINDOWS:
            form.add_error(None, "That is a good many times already. Strike one out first.")
        elif _is_told_already(student, row):
            form.add_error(None, f"{row} stands there already.")
        else:
            form.save()
            _told(request, student, f"can come {row}")
            messages.success(request, f"Kept: {student.first_name} can come {row}.")
            return redirect("lessons:own_times", student.pk)
    context = {"student": student, "form": form, "windows": student.windows.in_week()}
    status = 422 if form.is_bound else 200
    return page(request, "lessons/own_times.html", context, status=status)


@require_http_methods(["POST"])
@parent_only
def own_time_delete(request: StudioRequest, pk: int) -> HttpResponse:
    """Let a parent strike out one of their child's times."""
    students = Student.objects.visible_to(request.user)
    row = get_object_or_404(
        StudentWindow.objects.select_related("student"), pk=pk, student__in=students
    )
    words = str(row)
    row.delete()
    _told(request, row.student, f"can no longer come {words}")
    messages.success(request, f"{words} is struck out. Lessons that are booked stay.")
    return redirect("lessons:own_times", row.student_id)


def _is_told_already(student: Student, row: StudentWindow) -> bool:
    """Return True for the very same stretch: the press was repeated."""
    return student.windows.filter(
        weekday=row.weekday,
        begins_at=row.begins_at,
        ends_at=row.ends_at,
        every_weeks=row.every_weeks,
        anchor_date=row.anchor_date,
    ).exists()


def _told(request: StudioRequest, student: Student, words: str) -> None:
    event_record(
        kind="times_told",
        subject=student.name,
        by=request.user,
        now=timezone.now(),
        student=student.pk,
        words=words,
    )


def _student(request: StudioRequest, pk: int) -> Student:
    students = Student.objects.visible_to(request.user).select_related("family__home")
    return get_object_or_404(students, pk=pk)


def _window(
    request: StudioRequest, student: Student, row: StudentWindow, heading: str
) -> HttpResponse:
    form = WindowForm(request.POST if request.method == "POST" else None, instance=row)
    if form.is_valid():
        form.save()
        messages.success(request, f"Kept: {student.first_name} can come {row}.")
        return redirect("lessons:wishes", student.pk)
    context = {"form": form, "student": student, "heading": heading}
    status = 422 if form.is_bound else 200
    return page(request, "lessons/window_form.html", context, status=status)


def _wishes_page(request: StudioRequest, student: Student, *, form: WishesForm) -> HttpResponse:
    today = local_date(timezone.now(), request.studio.zone)
    context: dict[str, Any] = {
        "student": student,
        "form": form,
        "windows": student.windows.in_week(),
        "age": today.year - student.birth_year if student.birth_year else None,
        "limits": TeachingLimits.current(),
    }
    status = 422 if form.is_bound else 200
    return page(request, "lessons/wishes.html", context, status=status)
