"""The waiting list, what fell free, and offering it."""

from __future__ import annotations

from datetime import date, timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lessons.forms.waiting import FIRST_ANSWER_DAYS, FreeTimeForm, OfferForm, WaitingForm
from lessons.models import Term, Waiting
from lessons.selectors.free_slots import FreeSlot, slots_known
from lessons.selectors.offers import wished_offers
from lessons.selectors.waiting import slots_with_fits, waiting_in_order
from lessons.services.offer_rows import CannotOffer
from lessons.services.offering import offers_make
from lessons.services.waiting import waiting_close, waiting_write
from studio.access import teacher_only
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date


@require_GET
@teacher_only
def waiting_list(request: StudioRequest) -> HttpResponse:
    """Show who waits, in order, and which times that fell free would fit whom."""
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    slots = slots_known(today=today)
    context = {
        "waiting": waiting_in_order(),
        "free": slots_with_fits(slots=slots, studio=request.studio, now=now),
        "wished": wished_offers(),
        "now": now,
        "form": FreeTimeForm(initial=_first_guess(today)),
        "answer_by": today + timedelta(days=FIRST_ANSWER_DAYS),
    }
    return page(request, "lessons/waiting_list.html", context)


@require_http_methods(["GET", "POST"])
@teacher_only
def waiting_create(request: StudioRequest) -> HttpResponse:
    """Write somebody on the list."""
    return _waiting_form(request, None)


@require_http_methods(["GET", "POST"])
@teacher_only
def waiting_edit(request: StudioRequest, pk: int) -> HttpResponse:
    """Change what is written about somebody who waits."""
    return _waiting_form(request, get_object_or_404(Waiting.objects.with_people(), pk=pk))


@require_POST
@teacher_only
def waiting_remove(request: StudioRequest, pk: int) -> HttpResponse:
    """Take somebody off the list."""
    waiting = get_object_or_404(Waiting, pk=pk)
    waiting_close(waiting=waiting, by=request.user, now=timezone.now())
    messages.success(request, f"{waiting.name} is off the list.")
    return go(request, "lessons:waiting_list")


@require_GET
@teacher_only
def free_time(request: StudioRequest) -> HttpResponse:
    """Show everybody who waits beside one free time: who fits, who does not and why."""
    form = FreeTimeForm(request.GET)
    if not form.is_valid():
        return page(request, "lessons/free_time.html", {"form": form}, status=422)
    return _free_time_page(request, form.slot())


@require_POST
@teacher_only
def offer_make(request: StudioRequest) -> HttpResponse:
    """Offer a free time to the one or the two whom the press names."""
    form, named = FreeTimeForm(request.POST), OfferForm(request.POST)
    if not form.is_valid():
        return page(request, "lessons/free_time.html", {"form": form}, status=422)
    slot = form.slot()
    if not named.is_valid():
        messages.error(request, "Nothing was offered: choose by when they answer.")
        return _free_time_page(request, slot, status=422)
    people = list(Waiting.objects.looking().with_people().filter(pk__in=named.numbers()).in_order())
    try:
        made = offers_make(
            slot=slot,
            waiting=people,
            until=named.cleaned_data["until"],
            by=request.user,
            now=timezone.now(),
        )
    except CannotOffer as refusal:
        messages.error(request, str(refusal))
        return _free_time_page(request, slot, status=422)
    names = " and ".join(offer.waiting.name for offer in made)
    messages.success(request, f"Offered to {names}. The first to say yes has it.")
    return redirect(f"{reverse('lessons:free_time')}?{slot.query}")


def _waiting_form(request: StudioRequest, waiting: Waiting | None) -> HttpResponse:
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    form = WaitingForm(
        request.POST if request.method == "POST" else None,
        studio=request.studio,
        today=today,
        waiting=waiting,
        initial={"student": request.GET["student"]} if "student" in request.GET else {},
    )
    if form.is_valid():
        row = waiting_write(wish=form.wish(), by=request.user, now=now, waiting=waiting)
        messages.success(request, f"{row.name} is on the list.")
        return redirect("lessons:waiting_list")
    context = {"form": form, "waiting": waiting}
    return page(request, "lessons/waiting_form.html", context, status=422 if form.errors else 200)


def _free_time_page(request: StudioRequest, slot: FreeSlot, status: int = 200) -> HttpResponse:
    now = timezone.now()
    today = local_date(now, request.studio.zone)
    known = {one.key: one for one in slots_known(today=today)}
    slot = known.get(slot.key, slot)
    shown = slots_with_fits(slots=[slot], studio=request.studio, now=now)
    context = {
        "slot": slot,
        "found": shown[0] if shown else None,
        "now": now,
        "answer_by": today + timedelta(days=FIRST_ANSWER_DAYS),
    }
    return page(request, "lessons/free_time.html", context, status=status)


def _first_guess(today: date) -> dict[str, object]:
    term = Term.objects.not_over(today).in_order().first()
    return {
        "first_date": max(term.first_date, today + timedelta(days=1)) if term else None,
        "last_date": term.last_date if term else None,
    }
