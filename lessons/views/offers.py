"""An offered time: the family says yes or no, or the teacher does on its behalf."""

from __future__ import annotations

from datetime import time

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons.models import Offer, WaitingState
from lessons.models.calendar import WEEKDAYS
from lessons.planning.find_time import Opening
from lessons.selectors.asking import is_grown_up
from lessons.selectors.free_slots import clock
from lessons.selectors.waiting import alternatives_for
from lessons.services.confirming import offer_confirm
from lessons.services.offer_rows import CannotOffer, OfferOver
from lessons.services.offering import offer_decline, offer_wish
from studio.access import signed_in
from studio.htmx import StudioRequest, go, page
from studio.local_time import local_date


@require_GET
@signed_in
def offer_detail(request: StudioRequest, pk: int) -> HttpResponse:
    """Show an offer; once it slipped away, what else is free at once."""
    offer, now = _offer(request, pk), timezone.now()
    today = local_date(now, request.studio.zone)
    waits = offer.waiting.state == WaitingState.WAITING
    is_open = offer.is_open_at(now)
    others: list[Opening] = []
    if waits and not is_open and offer.state not in {"confirmed", "wished"}:
        others = alternatives_for(
            waiting=offer.waiting, last_date=offer.last_date, studio=request.studio, today=today
        )
    context = {
        "offer": offer,
        "is_open": is_open,
        "has_lapsed": offer.has_lapsed_at(now),
        "may_answer": request.user.is_teacher or is_grown_up(request.user, today),
        "others": [_shown(one, offer.waiting.minutes) for one in others],
        "waits": waits,
    }
    return page(request, "lessons/offer_detail.html", context)


@require_POST
@signed_in
def offer_yes(request: StudioRequest, pk: int) -> HttpResponse:
    """Say yes: the series is booked, for the first who says so."""
    offer = _answerable(request, pk)
    try:
        series = offer_confirm(offer=offer, by=request.user, now=timezone.now())
    except OfferOver as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{series.lessons.count()} lessons are booked.")
    return go(request, "lessons:offer_detail", pk)


@require_POST
@signed_in
def offer_no(request: StudioRequest, pk: int) -> HttpResponse:
    """Say no; the place on the waiting list is kept."""
    offer = _answerable(request, pk)
    try:
        offer_decline(offer=offer, by=request.user, now=timezone.now())
    except OfferOver as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Declined. The place on the waiting list is kept.")
    return go(request, "lessons:offer_detail", pk)


@require_POST
@signed_in
def offer_other(request: StudioRequest, pk: int) -> HttpResponse:
    """Ask for one of the other times that are free."""
    offer = _answerable(request, pk)
    weekday, _, start = request.POST.get("time", "").partition("-")
    if not (_is_small(weekday) and _is_small(start) and int(weekday) < 7 and int(start) < 1440):
        raise Http404("no such time")
    try:
        wished = offer_wish(
            offer=offer,
            weekday=int(weekday),
            start=int(start),
            by=request.user,
            now=timezone.now(),
        )
    except CannotOffer as refusal:
        messages.error(request, str(refusal))
        return go(request, "lessons:offer_detail", pk)
    messages.success(request, "Asked for. You hear as soon as it is booked.")
    return go(request, "lessons:offer_detail", wished.pk)


def _offer(request: StudioRequest, pk: int) -> Offer:
    visible = Offer.objects.visible_to(request.user).with_people()
    return get_object_or_404(visible.prefetch_related("waiting__windows"), pk=pk)


def _answerable(request: StudioRequest, pk: int) -> Offer:
    offer = _offer(request, pk)
    today = local_date(timezone.now(), request.studio.zone)
    if not (request.user.is_teacher or is_grown_up(request.user, today)):
        raise PermissionDenied
    return offer


def _is_small(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= 4


def _shown(opening: Opening, minutes: int) -> tuple[str, str, time, time, int]:
    """What a press sends for another time, its day, from, until, and on how many dates."""
    return (
        f"{opening.weekday}-{opening.start}",
        dict(WEEKDAYS)[opening.weekday],
        clock(opening.start),
        clock(opening.start + minutes),
        len(opening.free),
    )
