"""The timetable of a whole term: built as long work, looked at as a draft, accepted in parts."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons.forms.timetable import AcceptForm, BuildForm
from lessons.models import PlanChoice, TimetableDraft
from lessons.selectors.term_rows import term_rows
from lessons.selectors.timetable_pages import draft_page, from_date_for, unknown_roads
from lessons.selectors.timetable_parts import draft_rows, part_check
from lessons.services.timetable import NothingToPlace, has_solver, timetable_ask, works_under_way
from lessons.services.timetable_accepting import (
    PartRefused,
    WeekChanged,
    timetable_accept,
    timetable_loosen,
)
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date

MOST_DRAFTS = 6


@require_GET
@teacher_only
def timetable(request: StudioRequest) -> HttpResponse:
    """Show what would go into a term's timetable, what is being built, and what was."""
    today = local_date(timezone.now(), request.studio.zone)
    form = BuildForm(request.GET if "term" in request.GET else None, today=today)
    return _overview(request, form, today, status=422 if form.is_bound and form.errors else 200)


@require_POST
@teacher_only
def timetable_build(request: StudioRequest) -> HttpResponse:
    """Start the building; it goes on by itself."""
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    form = BuildForm(request.POST, today=today)
    if form.is_valid():
        term = form.cleaned_data["term"]
        from_date = from_date_for(term.first_date, today)
        try:
            work = timetable_ask(term=term, from_date=from_date, by=request.user, now=now)
        except NothingToPlace as no:
            form.add_error(None, str(no))
        else:
            return go(request, "studio:work_show", work.pk)
    return _overview(request, form, today, status=422)


@require_GET
@teacher_only
def timetable_draft(request: StudioRequest, pk: int) -> HttpResponse:
    """Show a draft beside the present timetable."""
    draft = _draft(pk)
    today = local_date(timezone.now(), request.studio.zone)
    plan = _plan(request.GET.get("plan", ""), draft)
    if plan is None:
        return page(request, "lessons/timetable_empty.html", {"draft": draft})
    context = {
        "draft": draft,
        "shown": draft_page(draft=draft, plan=plan, studio=request.studio),
        "plan": plan,
        "form": AcceptForm(draft=draft, plan=plan, today=today),
    }
    return page(request, "lessons/timetable_draft.html", context)


@require_http_methods(["GET", "POST"])
@teacher_only
def timetable_part(request: StudioRequest, pk: int) -> HttpResponse:
    """Say what the ticked part comes to, then put it into the calendar."""
    draft = _draft(pk)
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    given = request.POST if request.method == "POST" else request.GET
    plan = _plan(given.get("plan", ""), draft) or PlanChoice.BALANCED
    form = AcceptForm(given, draft=draft, plan=plan, today=today)
    context: dict[str, Any] = {"draft": draft, "plan": plan, "form": form}
    status = 200
    if not form.is_valid():
        return page(request, "lessons/timetable_part.html", context, status=422)
    if request.method == "POST":
        try:
            done = timetable_accept(
                draft=draft,
                plan=plan,
                ticked=form.ticked(),
                from_date=form.cleaned_data["from_date"],
                by=request.user,
                now=now,
                are_families_told=form.cleaned_data["are_families_told"],
            )
        except (WeekChanged, PartRefused) as no:
            context["refusal"] = no
            context["has_changed"] = isinstance(no, WeekChanged)
            status = 409
        else:
            messages.success(request, _done_words(done.booked, done.stays, done.messages))
            return go(request, "lessons:timetable_draft", pk)
    context |= _looked_at(draft, plan, form, request)
    return page(request, "lessons/timetable_part.html", context, status=status)


@require_POST
@teacher_only
def timetable_free(request: StudioRequest, pk: int) -> HttpResponse:
    """Let what was accepted for the draft's term move again when it is built anew."""
    count = timetable_loosen(draft=_draft(pk))
    if count:
        words = f"{count} accepted lessons may move again. They stay booked as they are."
        messages.success(request, words)
    return go(request, "lessons:timetable")


def _overview(
    request: StudioRequest, form: BuildForm, today: date, *, status: int = 200
) -> HttpResponse:
    term = form.term_chosen
    context: dict[str, Any] = {"form": form, "term": term, "has_solver": has_solver()}
    context["terms"] = form.fields["term"].queryset  # type: ignore[attr-defined]
    context["works"] = works_under_way(request.user)
    if term is not None:
        from_date = from_date_for(term.first_date, today)
        entering = term_rows(term=term, from_date=from_date)
        drafts = TimetableDraft.objects.filter(term=term).newest_first()[:MOST_DRAFTS]
        context |= {
            "entering": entering,
            "from_date": from_date,
            "unknown": unknown_roads(entering, request.studio),
            "drafts": list(drafts),
        }
    return page(request, "lessons/timetable.html", context, status=status)


def _looked_at(
    draft: TimetableDraft, plan: str, form: AcceptForm, request: StudioRequest
) -> dict[str, Any]:
    rows = draft_rows(draft, plan)
    from_date = form.cleaned_data["from_date"]
    check = part_check(
        draft=draft,
        rows=rows,
        ticked=form.ticked(),
        from_date=from_date,
        studio=request.studio,
        now=timezone.now(),
    )
    return {
        "check": check,
        "from_date": from_date,
        "families": len({change.row.student.family_id for change in check.changes}),
    }


def _done_words(booked: int, stays: int, told: int) -> str:
    if not booked and not stays:
        return "These were accepted already. Nothing was changed."
    words = f"{booked} weekly lesson{'' if booked == 1 else 's'} booked"
    words += f", {stays} kept as they are" if stays else ""
    if told:
        words += f"; {told} message{'' if told == 1 else 's'} on the way"
    return f"{words}. They stay fixed when you build the term again."


def _plan(asked: str, draft: TimetableDraft) -> str | None:
    """The plan to show: the one begun, the one asked for, or the one in the middle."""
    if draft.chosen:
        return draft.chosen
    if asked in draft.numbers and asked in PlanChoice.values:
        return asked
    for plan in (PlanChoice.BALANCED, *PlanChoice.values):
        if plan in draft.numbers:
            return plan
    return None


def _draft(pk: int) -> TimetableDraft:
    return get_object_or_404(TimetableDraft.objects.select_related("term"), pk=pk)
