"""Calendars elsewhere and reminders: a secret address opens them, whoever one is."""

from __future__ import annotations

import re
from typing import Any

from django.utils import timezone

from lessons.services.feeds import feed_address, feed_renew
from lessons.services.reminders import stop_address
from tests.access.harness import (
    SIGN_IN,
    Answer,
    Cast,
    Expect,
    teacher_action,
    teacher_form,
    teacher_page,
)

FAMILY_ONLY: dict[str, Answer] = {
    "anonymous": SIGN_IN,
    "teacher": 302,
    "this_parent": 302,
    "family": 404,
}


def build(cast: Cast) -> None:
    """Give the family a calendar and its adult a link that ends reminders."""
    feed = feed_renew(family=cast.family, by=cast.teacher, now=timezone.now())
    cast.things.calendar_token = _token(feed_address(feed).removesuffix(".ics"))
    cast.things.stop_token = _token(stop_address(cast.adult))


def _token(address: str) -> str:
    return re.split(r"/", address.rstrip("/"))[-1]


def _family(cast: Cast) -> tuple[Any, ...]:
    return (cast.family.pk,)


EXPECTED: list[Expect] = [
    teacher_page("lessons:calendar"),
    teacher_action("lessons:calendar_renew"),
    teacher_action("lessons:calendar_close"),
    Expect(
        "lessons:calendar_feed",
        lambda cast: (cast.things.calendar_token,),
        get={"everybody": 200},
        post={"everybody": 405},
    ),
    Expect(
        "lessons:family_calendar_renew",
        _family,
        get={"anonymous": SIGN_IN, "everybody": 405},
        post=FAMILY_ONLY,
    ),
    Expect(
        "lessons:family_calendar_close",
        _family,
        get={"anonymous": SIGN_IN, "everybody": 405},
        post=FAMILY_ONLY,
    ),
    teacher_form("lessons:reminders", data=lambda cast: {"hours_before": 24}),
    Expect(
        "lessons:reminders_mine",
        get={"anonymous": SIGN_IN, "everybody": 405},
        post={
            "anonymous": SIGN_IN,
            "everybody": 403,
            "this_parent": 302,
            "other_parent": 302,
        },
        post_data=lambda cast: {"reminders": "off"},
    ),
    Expect(
        "lessons:reminders_stop",
        lambda cast: (cast.things.stop_token,),
        get={"everybody": 200},
        post={"everybody": 200},
        post_data=lambda cast: {"reminders": "off"},
    ),
]
