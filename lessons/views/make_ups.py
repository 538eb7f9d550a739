"""Lessons that are made up, and what a missed lesson counts as."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons.forms.missed import (
    CountsAsForm,
    MakeUpBookForm,
    MakeUpUntilForm,
    MakeUpWhereForm,
    WithdrawForm,
)
from lessons.models import Lesson, MakeUpRight
from lessons.planning.policy import outcome_words
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.make_ups import (
    is_outside_term,
    make_up_lists,
    make_up_times,
    missed_of,
    no_shows_of,
)
from lessons.services import LessonClash
from lessons.services.make_ups import MakeUpGone, make_up_book
from lessons.services.missed import (
    CannotOverrule,
    MakeUpStands,
    lesson_count_as,
    make_up_extend,
    make_up_withdraw,
)
from studio.access import teacher_only
from studio.htmx import StudioRequest, page
from studio.local_time import local_date
from studio.models import Student


def _right(request: StudioRequest, pk: int) -> MakeUpRight:
    rights = MakeUpRight.objects.visible_to(request.user).with_lessons()
    found: MakeUpRight = get_object_or_404(rights, pk=pk)
    return found


def _today(request: StudioRequest) -> date:
    return local_date(timezone.now(), request.studio.zone)


@require_GET
@teacher_only
def make_up_list(request: StudioRequest) -> HttpResponse:
    """Show what is owed, to everybody or to one student."""
    student = None
    asked = request.GET.get("student", "")
    if asked:
        if not (asked.isascii() and asked.isdigit() and len(asked) < 10):
            raise Http404
        student = get_object_or_404(Student.objects.visible_to(request.user), pk=int(asked))
    now = timezone.now()
    lists = make_up_lists(user=request.user, today=_today(request), now=now, student=student)
    return page(request, "lessons/make_up_list.html", {"lists": lists, "student": student})


@require_GET
@teacher_only
def make_up_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show one right with free times for it."""
    return _detail(request, _right(request, pk))


@require_POST
@teacher_only
def make_up_book_view(request: StudioRequest, pk: int) -> HttpResponse:
    """Book one time for it."""
    right = _right(request, pk)
    form = MakeUpBookForm(request.POST, right=right, studio=request.studio)
    if form.is_valid():
        data = form.cleaned_data
        try:
            lesson = make_up_book(
                right=right,
                place=form.place(),
                day=data["day"],
                at=data["at"],
                road_reason=data["road_reason"],
                is_family_told=data["is_family_told"],
                by=request.user,
                now=timezone.now(),
            )
        except LessonClash as clash:
            form.add_error("road_reason" if clash.can_be_overruled else None, str(clash))
        except CannotRepeat as trouble:
            form.add_error("at" if trouble.field == "at" else None, str(trouble))
        except MakeUpGone as gone:
            form.add_error(None, str(gone))
        else:
            words = "The make-up is booked."
            if is_outside_term(data["day"]):
                words += " It lies outside term, or on a closed day."
            messages.success(request, words)
            return redirect("lessons:lesson_detail", lesson.pk)
    return _detail(request, right, book_form=form, status=422)


@require_POST
@teacher_only
def make_up_until(request: StudioRequest, pk: int) -> HttpResponse:
    """Give it another last day."""
    right = _right(request, pk)
    form = MakeUpUntilForm(request.POST)
    if not form.is_valid():
        return _detail(request, right, until_form=form, status=422)
    make_up_extend(
        right=right,
        expires_on=form.cleaned_data["expires_on"],
        by=request.user,
        now=timezone.now(),
    )
    messages.success(request, "Kept. The family sees the new last day.")
    return redirect("lessons:make_up_detail", pk)


@require_POST
@teacher_only
def make_up_withdraw_view(request: StudioRequest, pk: int) -> HttpResponse:
    """Take it back."""
    right = _right(request, pk)
    form = WithdrawForm(request.POST)
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        try:
            make_up_withdraw(right=right, reason=reason, by=request.user, now=timezone.now())
        except MakeUpStands as stands:
            form.add_error(None, str(stands))
        else:
            messages.success(request, "Taken back. What was invoiced for it is credited next time.")
            return redirect("lessons:make_up_list")
    return _detail(request, right, withdraw_form=form, status=422)


@require_http_methods(["GET", "POST"])
@teacher_only
def lesson_counts_as(request: StudioRequest, pk: int) -> HttpResponse:
    """Let a missed lesson count otherwise than the rules say."""
    lesson = get_object_or_404(Lesson.objects.visible_to(request.user).with_people(), pk=pk)
    student = _who_was_missing(request, lesson)
    choices = _choices(lesson)
    owed = [right for right in missed_of(lesson_id=pk)[0] if not right.is_withdrawn]
    form = CountsAsForm(
        request.POST if request.method == "POST" else None,
        choices=choices,
        initial={
            "counts_as": lesson.called_off_outcome or "no_show",
            "is_make_up_owed": bool(owed),
        },
    )
    if form.is_valid():
        try:
            lesson_count_as(
                lesson=lesson,
                student=student,
                counts_as=form.outcome(),
                is_make_up_owed=form.cleaned_data["is_make_up_owed"],
                reason=form.cleaned_data["reason"],
                by=request.user,
                now=timezone.now(),
            )
        except (CannotOverrule, MakeUpStands) as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Kept, with your reason.")
            return redirect("lessons:lesson_detail", pk)
    context = {"form": form, "lesson": lesson, "student": student}
    return page(
        request, "lessons/lesson_counts_as.html", context, status=422 if form.errors else 200
    )


def _who_was_missing(request: StudioRequest, lesson: Lesson) -> Student | None:
    """Return the student who did not come; None for a called-off lesson.

    :raises Http404: for a lesson that nobody missed
    """
    if lesson.is_called_off:
        return None
    missing = {taker.student_id: taker.student for taker in no_shows_of(lesson_id=lesson.pk)}
    asked = request.GET.get("student", "")
    if asked.isascii() and asked.isdigit() and len(asked) < 10 and int(asked) in missing:
        return missing[int(asked)]
    if len(missing) != 1:
        raise Http404
    return next(iter(missing.values()))


def _choices(lesson: Lesson) -> list[tuple[str, str]]:
    if not lesson.is_called_off:
        return [("no_show", outcome_words("no_show")), ("excused", outcome_words("excused"))]
    if lesson.called_off_by == "teacher":
        return [("called_off_by_teacher", outcome_words("called_off_by_teacher"))]
    return [
        ("called_off", outcome_words("called_off")),
        ("called_off_late", outcome_words("called_off_late")),
    ]


def _detail(
    request: StudioRequest,
    right: MakeUpRight,
    *,
    book_form: MakeUpBookForm | None = None,
    until_form: MakeUpUntilForm | None = None,
    withdraw_form: WithdrawForm | None = None,
    status: int = 200,
) -> HttpResponse:
    now = timezone.now()
    is_open = right.is_open(_today(request))
    asked = request.GET if "where" in request.GET else {"where": "same"}
    where_form = MakeUpWhereForm(asked, right=right, studio=request.studio)
    context: dict[str, Any] = {
        "right": right,
        "is_open": is_open,
        "is_over": right.expires_on < _today(request),
        "where_form": where_form,
        "where": "same",
        "book_form": book_form
        or MakeUpBookForm(
            initial={"where": "same", "is_family_told": True}, right=right, studio=request.studio
        ),
        "until_form": until_form or MakeUpUntilForm(initial={"expires_on": right.expires_on}),
        "withdraw_form": withdraw_form or WithdrawForm(),
    }
    if is_open and where_form.is_valid():
        context["where"] = where_form.cleaned_data["where"]
        context["proposals"] = make_up_times(
            right=right, place=where_form.place(), studio=request.studio, now=now
        )
    if not where_form.is_valid():
        status = 422
    return page(request, "lessons/make_up_detail.html", context, status=status)
