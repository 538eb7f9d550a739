"""The student's own week: read, play along, write down."""

from __future__ import annotations

from datetime import date
from typing import Any, cast
from uuid import uuid4

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from exercises.engraving_cache import PHONE_WIDTH, NotationOptions
from exercises.forms import PracticeLogForm
from exercises.models import Assignment, PracticeLog
from exercises.notation.playback import playback
from exercises.notation.sheet import SheetItem
from exercises.practice_sheets import PDF_TYPE, handed_out, sheet_pdf
from exercises.rhythm.figure import Figure
from exercises.rhythm.kit import mirror
from exercises.rhythm.spoken import words
from exercises.selectors.figures import notation_or_none
from exercises.selectors.practice import Week, Work, current_week, one_work, student_week
from exercises.services.practice import PracticeRefused, practice_log
from exercises.services.practice import practice_log_remove as practice_log_take_back
from studio.access import student_only
from studio.htmx import StudioRequest, page
from studio.models import Student


@require_GET
@student_only
def my_week(request: StudioRequest) -> HttpResponse:
    """Show this week's work: one exercise with its music, the others a press away."""
    week = _week(request)
    return _week_page(request, week, _chosen(week, request.GET.get("on", "")))


@require_POST
@student_only
def practice_log_add(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down what was practised."""
    student = _student(request)
    # Withdrawn in the meantime, it still takes the minutes that were played.
    assignment = get_object_or_404(student.assignments.select_related("exercise"), pk=pk)
    form = PracticeLogForm(request.POST)
    if form.is_valid():
        try:
            log = practice_log(
                assignment=assignment,
                today=timezone.localdate(),
                now=timezone.now(),
                **form.cleaned_data,
            )
        except PracticeRefused as no:
            form.add_error(no.field, str(no))
        else:
            messages.success(request, _kept(assignment, log))
            return redirect(f"{reverse('exercises:my_week')}?on={assignment.pk}")
    today = timezone.localdate()
    week = student_week(student=student, day=assignment.week_date, today=today)
    chosen = one_work(assignment=assignment, today=today)
    return _week_page(request, week, chosen, form=form, status=422)


@require_POST
@student_only
def practice_log_remove(request: StudioRequest, pk: int) -> HttpResponse:
    """Take a mistyped line back."""
    own = PracticeLog.objects.filter(assignment__student=_student(request))
    log = get_object_or_404(own.select_related("assignment__exercise__core"), pk=pk)
    practice_log_take_back(log=log, by=request.user, now=timezone.now())
    messages.success(request, f"{log} are taken back. Write them down again if need be.")
    return redirect(f"{reverse('exercises:my_week')}?on={log.assignment_id}")


@require_GET
@student_only
def week_sheet(request: StudioRequest) -> FileResponse:
    """Hand out the week as a printed sheet."""
    week = _week(request)
    student = _student(request)
    items = [
        SheetItem(
            _played(work.assignment, student),
            title=work.assignment.exercise.title,
            goal_bpm=work.assignment.goal_bpm,
            start_bpm=work.assignment.start_bpm,
            note=work.assignment.note,
        )
        for work in week.works
    ]
    title = f"Week of {week.monday:%-d %B %Y}"
    content = sheet_pdf(items, title=title, studio=request.studio, student=student.name)
    return handed_out(content, title, "pdf", PDF_TYPE)


def _week_page(
    request: StudioRequest,
    week: Week,
    chosen: Work | None,
    *,
    form: PracticeLogForm | None = None,
    status: int = 200,
) -> HttpResponse:
    student = _student(request)
    context: dict[str, Any] = {"week": week, "chosen": chosen, "student": student}
    if chosen is not None:
        context |= _music(chosen.assignment, student)
        context["form"] = form or _empty_log(week)
    return page(request, "exercises/my_week.html", context, status=status)


def _music(assignment: Assignment, student: Student) -> dict[str, Any]:
    """Return the assignment's notation and sound, for the student's own side of the kit."""
    figure = _played(assignment, student)
    options = NotationOptions(width=PHONE_WIDTH, one_bar_a_line=True)
    return {
        "notation": notation_or_none(figure, options),
        "options": options,
        "notation_query": "one_bar=1&mirror=1" if student.is_left_handed else "one_bar=1",
        "said": words(figure),
        "playback": playback(figure, bpm=assignment.start_bpm),
    }


def _played(assignment: Assignment, student: Student) -> Figure:
    figure = assignment.exercise.figure
    return mirror(figure) if student.is_left_handed else figure


def _week(request: StudioRequest) -> Week:
    student, today = _student(request), timezone.localdate()
    asked = _day(request.GET.get("week", ""))
    if asked is not None:
        return student_week(student=student, day=asked, today=today)
    return current_week(student=student, today=today)


def _day(text: str) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if 1990 <= day.year <= 2100 else None


def _chosen(week: Week, on: str) -> Work | None:
    """Return the work that was asked for, else the first not done today, else the first."""
    asked = (work for work in week.works if str(work.assignment.pk) == on)
    to_do = (work for work in week.works if not work.is_done_on(week.today))
    return next(asked, None) or next(to_do, None) or next(iter(week.works), None)


def _empty_log(week: Week) -> PracticeLogForm:
    day = min(week.today, week.last_date) if week.monday <= week.today else week.today
    return PracticeLogForm(initial={"practised_date": day.isoformat(), "token": uuid4()})


def _student(request: StudioRequest) -> Student:
    """Return the student who asks; @student_only lets nobody else in."""
    return cast(Student, request.user.own_student)


def _kept(assignment: Assignment, log: PracticeLog) -> str:
    words_kept = f"Written down: {log.minutes} minutes of {assignment.exercise}"
    if log.clean_bpm:
        words_kept += f", clean at {log.clean_bpm}"
        if log.clean_bpm >= assignment.goal_bpm:
            words_kept += ". That is the goal. Well played"
    if assignment.is_withdrawn:
        words_kept += ". Your teacher has taken this exercise back meanwhile; your minutes count"
    return f"{words_kept}."
