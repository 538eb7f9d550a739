"""The studio moves to another time zone; apps above say what that means for their rows.

An app names its function in ``AppConfig.ready``::

    zone_follower(lessons_follow)

It is called in the transaction in which the settings are kept, and returns a sentence on what it
did, or raises :class:`ZoneRefused`: then nothing is kept at all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from studio.events import event_record
from studio.models import Studio, User


class ZoneRefused(Exception):
    """The zone cannot change as things stand; ``str()`` of it says why and what to do."""


@dataclass(frozen=True, slots=True)
class ZoneChange:
    """From which zone to which, who did it and when."""

    before: ZoneInfo
    after: ZoneInfo
    by: User
    now: datetime


Follower = Callable[[ZoneChange], str]
_FOLLOWERS: list[Follower] = []


def zone_follower(follow: Follower) -> None:
    """Make a follower known; the same one a second time changes nothing."""
    if follow not in _FOLLOWERS:
        _FOLLOWERS.append(follow)


def settings_keep(
    *, save: Callable[[], Studio], zone_before: ZoneInfo, by: User, now: datetime
) -> list[str]:
    """Keep the studio's settings; with a new time zone, everybody who follows it comes along.

    Returns what the followers did, in sentences.

    :raises ZoneRefused: if one of them cannot follow; nothing was kept
    """
    with transaction.atomic():
        studio = save()
        if studio.zone.key == zone_before.key:
            return []
        change = ZoneChange(zone_before, studio.zone, by, now)
        said = [words for follow in _FOLLOWERS if (words := follow(change))]
        event_record(
            kind="time_zone_changed",
            subject=studio.name,
            by=by,
            now=now,
            before=zone_before.key,
            after=studio.zone.key,
        )
    return said
