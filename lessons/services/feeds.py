"""Secret addresses of calendars: made, renewed, closed."""

from __future__ import annotations

import base64
import hashlib
import secrets
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac

from lessons.models import CalendarFeed
from studio.events import event_record
from studio.models import Family, User

LONGEST_TOKEN = 64


def feed_renew(*, family: Family | None, by: User, now: datetime) -> CalendarFeed:
    """Give a family's calendar, or the teacher's own, a new address; an old one opens no more."""
    with transaction.atomic():
        feed = CalendarFeed.objects.select_for_update().filter(family=family).first()
        is_first = feed is None
        feed = feed or CalendarFeed(family=family)
        feed.seed = secrets.token_hex(32)
        feed.token_hash = _hash(_token(feed))
        feed.made_at = now
        feed.full_clean()
        feed.save()
        event_record(
            kind="calendar_address_made" if is_first else "calendar_address_renewed",
            subject=family.name if family else "own calendar",
            by=by,
            now=now,
        )
    return feed


def feed_close(*, feed: CalendarFeed, by: User, now: datetime) -> None:
    """Take an address away; whoever reads the calendar there finds nothing from now on."""
    with transaction.atomic():
        event_record(
            kind="calendar_address_closed",
            subject=feed.family.name if feed.family else "own calendar",
            by=by,
            now=now,
        )
        feed.delete()


def feed_of_token(token: str) -> CalendarFeed | None:
    """Return the calendar behind an address, None for one that is made up or was renewed.

    It is looked up by a hash of the token: how long that takes tells nothing about tokens that
    are nearly right.
    """
    if not 20 <= len(token) <= LONGEST_TOKEN:
        return None
    return CalendarFeed.objects.select_related("family").filter(token_hash=_hash(token)).first()


def feed_address(feed: CalendarFeed) -> str:
    """Return the calendar's whole web address; empty if the studio's secret key is another now."""
    token = _token(feed)
    if not constant_time_compare(_hash(token), feed.token_hash):
        return ""
    return settings.SITE_ADDRESS + reverse("lessons:calendar_feed", args=[token])


def _token(feed: CalendarFeed) -> str:
    """256 bits that nobody can guess, and that the database alone does not hold."""
    digest = salted_hmac("lessons.calendar_feed", feed.seed, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(digest).decode().rstrip("=")


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
