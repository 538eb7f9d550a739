"""Setting a student's week."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from exercises.forms import AssignmentRowForm, WeekForm
from exercises.models import Assignment, Exercise
from exercises.selectors.assigning import Choice, Choices, choices, set_already
from exercises.services.practice import AssignmentDraft, PracticeRefused, week_assign
from exercises.services.practice import assignment_withdraw as assignment_take_back
from lessons.models import Lesson
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import monday_of
from studio.models import Student

MOST_ROWS = 60
_PICKED = re.compile(r"x([0-9]{1,12})-pick\Z")


@dataclass(frozen=True, slots=True)
class Row:
    """A choice with its form."""

    choice: Choice
    form: AssignmentRowForm


@require_http_methods(["GET", "POST"])
@teacher_only
def assign(request: StudioRequest, pk: int) -> HttpResponse:
    """Show what could be set for a student's week, or set what is ticked."""
    student = get_object_or_404(Student.objects.visible_to(request.user), pk=pk)
    today = timezone.localdate()
    data = request.POST if request.method == "POST" else request.GET
    week = WeekForm(data if "week_date" in data else None, today=today)
    monday = week.cleaned_data["week_date"] if week.is_valid() else monday_of(today)
    if request.method == "GET":
        return _assign_page(request, student, week, monday)
    drafts, rows_are_right = _ticked(request)
    if week.is_bound and week.is_valid() and rows_are_right and drafts:
        try:
            made = week_assign(
                student=student,
                monday=monday,
                drafts=drafts,
                by=request.user,
                now=timezone.now(),
                lesson=_lesson(student, data),
            )
        except PracticeRefused as no:
            week.add_error("week_date", str(no))
        else:
            messages.success(request, _done(student, made))
            return redirect("studio:student_detail", pk=student.pk)
    elif rows_are_right and not drafts and not week.errors:
        week.add_error(None, "Tick at least one exercise: nothing was set yet.")
    return _assign_page(request, student, week, monday, status=422)


@require_POST
@teacher_only
def assignment_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    """Take one exercise back from a student's week."""
    assignment = get_object_or_404(
        Assignment.objects.visible_to(request.user).select_related("student", "exercise"), pk=pk
    )
    assignment_take_back(assignment=assignment, by=request.user, now=timezone.now())
    messages.success(
        request,
        f"{assignment.exercise} is taken back from {assignment.student}. What was practised stays.",
    )
    if request.POST.get("next") == "assign":
        week = f"?week_date={assignment.week_date.isoformat()}"
        return redirect(reverse("exercises:assign", args=[assignment.student_id]) + week)
    return redirect("studio:student_detail", pk=assignment.student_id)


def _assign_page(
    request: StudioRequest, student: Student, week: WeekForm, monday: date, *, status: int = 200
) -> HttpResponse:
    data = request.POST if request.method == "POST" else request.GET
    pks, shelf = _named(data), set(_numbers(data, "shelf"))
    if request.htmx:  # a search replaces the shelf alone: what is ticked there stays
        pks = [pk for pk in pks if pk in shelf]
    found = choices(
        student=student,
        monday=monday,
        today=timezone.localdate(),
        user=request.user,
        q=data.get("q", "")[:80],
        pks=pks,
        besides=_numbers(data, "shown") if request.htmx else (),
    )
    groups = _rows(found, data, is_bound=request.method == "POST")
    if not week.is_bound:
        week = WeekForm(initial={"week_date": monday.isoformat()}, today=timezone.localdate())
    context = {
        "student": student,
        "week": week,
        "monday": monday,
        "set_already": set_already(student=student, monday=monday),
        "q": data.get("q", "")[:80],
        "lesson": _lesson(student, data),
        **groups,
    }
    return page(request, "exercises/assign.html", context, fragment="assign-shelf", status=status)


def _rows(found: Choices, data: QueryDict, *, is_bound: bool) -> dict[str, list[Row]]:
    """Return the choices with forms; values that the teacher has typed already are kept."""

    def row(choice: Choice) -> Row:
        prefix = f"x{choice.exercise.pk}"
        is_typed = is_bound or f"{prefix}-start_bpm" in data
        form = AssignmentRowForm(data if is_typed else None, initial=choice.initial, prefix=prefix)
        return Row(choice, form)

    return {
        name: [row(choice) for choice in getattr(found, name)]
        for name in ("asked_for", "carried_on", "next_steps", "shelf")
    }


def _ticked(request: StudioRequest) -> tuple[list[AssignmentDraft], bool]:
    """Return the drafts of the ticked rows, and whether every ticked row is right."""
    pks = _named(request.POST)
    exercises = Exercise.objects.visible_to(request.user).current().in_bulk(pks)
    drafts, all_right = [], True
    for pk in pks:
        form = AssignmentRowForm(request.POST, prefix=f"x{pk}")
        if pk not in exercises or not form.is_valid():
            all_right = False
        else:
            drafts.append(form.draft(exercises[pk]))
    return drafts, all_right


def _named(data: QueryDict) -> list[int]:
    """Return the exercises that the address or the form names, in its order."""
    found = [int(match[1]) for key in data if (match := _PICKED.match(key))]
    return list(dict.fromkeys(found + _numbers(data, "exercise")))[:MOST_ROWS]


def _numbers(data: QueryDict, name: str) -> list[int]:
    """Return the rows' numbers under one name, passing over what is none."""
    texts = data.getlist(name)[:MOST_ROWS]
    return [int(text) for text in texts if text.isascii() and text.isdigit() and len(text) < 13]


def _lesson(student: Student, data: QueryDict) -> Lesson | None:
    """Return the lesson that the work follows from, if the page was opened from one of theirs."""
    text = data.get("lesson", "")
    if not (text.isascii() and text.isdigit() and len(text) < 12):
        return None
    return Lesson.objects.filter(pk=int(text), takers__student=student).first()


def _done(student: Student, made: list[Assignment]) -> str:
    titles = ", ".join(row.exercise.title for row in made)
    minutes = sum(row.minutes_per_day for row in made)
    return f"Set for {student}: {titles}. That is {minutes} minutes a day."
