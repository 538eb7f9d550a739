"""What other pages show of requests and offers."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from lessons import selectors
from lessons.models import LessonRequest, Offer, OfferState
from lessons.selectors.asking import requests_of
from lessons.selectors.offers import offers_of
from studio.models import Student, User

register = template.Library()


@register.inclusion_tag("lessons/_asked_count.html")
def asked_count() -> dict[str, Any]:
    """Tell the teacher how many requests and wishes wait for an answer; nothing without any."""
    return {
        "count": LessonRequest.objects.open().count(),
        "wished": Offer.objects.filter(state=OfferState.WISHED).count(),
    }


@register.inclusion_tag("lessons/_asked_lines.html", takes_context=True)
def asked_and_offered(context: dict[str, Any]) -> dict[str, Any]:
    """Show whoever is signed in what they asked and what is offered to them."""
    user, now = context["user"], timezone.now()
    return _asked(user, now)


@register.inclusion_tag("lessons/_own_lessons.html", takes_context=True)
def own_lessons(context: dict[str, Any], student: Student) -> dict[str, Any]:
    """Show a student the next lessons, each with a way to ask about it."""
    now = timezone.now()
    lessons = selectors.student_next_lessons(student=student, now=now, most=3)
    return {"lessons": lessons, **_asked(context["user"], now)}


def _asked(user: User, now: Any) -> dict[str, Any]:
    return {
        "requests": requests_of(user=user, now=now),
        "offers": offers_of(user=user, now=now),
        "now": now,
    }
