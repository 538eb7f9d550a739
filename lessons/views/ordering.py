"""Putting a day's visits in another order."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from lessons import services
from lessons.forms.ordering import AcceptOrderForm, numbers_in
from lessons.ribbon import order_ribbons
from lessons.selectors.day_order import answered
from lessons.selectors.ordering import day_question
from lessons.views.days import day_named
from studio.access import teacher_only
from studio.htmx import StudioRequest, page

MOST_PROVEN = 14
"""Up to so many visits an order is looked for that is proven to be the best."""


@require_http_methods(["GET", "POST"])
@teacher_only
def day_order(request: StudioRequest, day: str) -> HttpResponse:
    """Show the order that drives least beside the day as it is; move those who agreed."""
    local_day, now = day_named(day), timezone.now()
    data = request.POST if request.method == "POST" else request.GET
    staying, agreed = numbers_in(data, "stay"), numbers_in(data, "agreed")
    form = AcceptOrderForm(request.POST if request.method == "POST" else None)
    refusal = ""
    if form.is_valid():
        try:
            lessons = services.day_reorder(
                day=local_day,
                agreed=agreed,
                staying=staying,
                seal=form.cleaned_data["seal"],
                by=request.user,
                now=now,
                is_family_told=form.cleaned_data["is_family_told"],
            )
        except (
            services.PlanChanged,
            services.NothingToBook,
            services.LessonClash,
            services.LessonLocked,
        ) as trouble:
            refusal = str(trouble)
        else:
            words = "1 lesson is" if len(lessons) == 1 else f"{len(lessons)} lessons are"
            messages.success(request, f"{words} moved. Everything else of the day stays.")
            return redirect("lessons:day", day)
    question = day_question(day=local_day, studio=request.studio, now=now, staying=staying)
    proposal = answered(question)
    context = {
        "day": local_day,
        "proposal": proposal,
        "ribbons": order_ribbons(proposal) if question.visits else (),
        "question": question,
        "staying": staying,
        "agreed": agreed,
        "form": form,
        "refusal": refusal,
        "is_past": all(v.why_fixed for v in question.visits),
        "most_proven": MOST_PROVEN,
        "is_told": form["is_family_told"].value() if form.is_bound else True,
    }
    status = 422 if form.is_bound else 200
    return page(request, "lessons/day_order.html", context, status=status)
