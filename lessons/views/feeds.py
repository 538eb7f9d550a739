"""Calendars elsewhere: the secret addresses, and what is read there."""

from __future__ import annotations

import hashlib

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.http import parse_etags, quote_etag
from django.views.decorators.http import require_GET, require_POST, require_safe

from lessons.feed.document import feed_text
from lessons.models import CalendarFeed
from lessons.selectors.feeds import calendar_feed
from lessons.services.feeds import feed_address, feed_close, feed_of_token, feed_renew
from studio.access import public, signed_in, teacher_only
from studio.htmx import StudioRequest, page
from studio.models import Family
from studio.throttle import is_allowed

# One service reads the calendars of many families, each about once an hour.
MOST_A_MINUTE = 120
MADE = "The calendar has an address now. Open it on your phone, or paste it where you read it."
RENEWED = (
    "The calendar has a new address. Add it where you read it; whoever has the old one finds "
    "nothing there any more."
)
CLOSED = "The address is closed. Calendars that read it find nothing any more."


@require_safe
@public
def feed_file(request: HttpRequest, token: str) -> HttpResponse:
    """Answer a calendar elsewhere: no sign-in, no cookie, the address is the key."""
    if not is_allowed(request, action="calendar", most=MOST_A_MINUTE, seconds=60):
        answer = HttpResponse("Too often. Look again in a minute.\n", "text/plain", status=429)
        answer["Retry-After"] = "60"
        return answer
    feed = feed_of_token(token)
    if feed is None:
        words = "There is no calendar at this address, or it has a new one by now.\n"
        return HttpResponse(words, "text/plain", status=404)
    studio = request.studio  # type: ignore[attr-defined]
    content = feed_text(calendar_feed(feed=feed, studio=studio, now=timezone.now()))
    etag = quote_etag(hashlib.sha256(content).hexdigest()[:32])
    answer = (
        HttpResponseNotModified()
        if _has_it_already(request, etag)
        else HttpResponse(content, "text/calendar; charset=utf-8")
    )
    answer["ETag"] = etag
    # Kept by whoever asked, who asks each time whether it is still right.
    answer["Cache-Control"] = "private, no-cache"
    answer["Content-Disposition"] = 'inline; filename="lessons.ics"'
    answer["X-Robots-Tag"] = "noindex"
    return answer


@require_GET
@teacher_only
def calendar_page(request: StudioRequest) -> HttpResponse:
    """Show the teacher the address of the own calendar, and which families have one."""
    own = CalendarFeed.objects.filter(family=None).first()
    families = CalendarFeed.objects.filter(family__isnull=False).select_related("family")
    context = {
        "feed": own,
        "address": feed_address(own) if own else "",
        "families": families.order_by("family__name", "pk"),
    }
    return page(request, "lessons/calendar.html", context)


@require_POST
@teacher_only
def calendar_renew(request: StudioRequest) -> HttpResponse:
    """Give the teacher's calendar a new address."""
    _renew(request, None)
    return redirect("lessons:calendar")


@require_POST
@teacher_only
def calendar_close(request: StudioRequest) -> HttpResponse:
    """Close the address of the teacher's calendar."""
    for feed in CalendarFeed.objects.filter(family=None):
        feed_close(feed=feed, by=request.user, now=timezone.now())
    messages.success(request, CLOSED)
    return redirect("lessons:calendar")


@require_POST
@signed_in
def family_calendar_renew(request: StudioRequest, pk: int) -> HttpResponse:
    """Give a family's calendar a new address: for its adults, and for the teacher."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    _renew(request, family)
    return _back(request)


@require_POST
@signed_in
def family_calendar_close(request: StudioRequest, pk: int) -> HttpResponse:
    """Close the address of a family's calendar."""
    family = get_object_or_404(Family.objects.visible_to(request.user), pk=pk)
    for feed in CalendarFeed.objects.filter(family=family):
        feed_close(feed=feed, by=request.user, now=timezone.now())
    messages.success(request, CLOSED)
    return _back(request)


def _renew(request: StudioRequest, family: Family | None) -> None:
    had_one = CalendarFeed.objects.filter(family=family).exists()
    feed_renew(family=family, by=request.user, now=timezone.now())
    messages.success(request, RENEWED if had_one else MADE)


def _back(request: StudioRequest) -> HttpResponse:
    return redirect("lessons:calendar" if request.user.is_teacher else "studio:family_home")


def _has_it_already(request: HttpRequest, etag: str) -> bool:
    held = parse_etags(request.headers.get("If-None-Match", ""))
    return held == ["*"] or etag in [each.removeprefix("W/") for each in held]
