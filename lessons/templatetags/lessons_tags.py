"""What pages of any app show of lessons and the road."""

from __future__ import annotations

from typing import Any

from django import template
from django.urls import reverse
from django.utils import timezone

from lessons import selectors
from lessons.forms import NoteForm
from lessons.models import CalendarFeed, Lesson, ReminderRules
from lessons.ribbon import Ribbon, ribbon
from lessons.selectors.days import DayPlan
from lessons.selectors.homes import move_to_come, other_homes
from lessons.services.feeds import feed_address
from studio.models import Family, Place, Student

register = template.Library()


@register.filter
def duration(minutes: int | None) -> str:
    """Write minutes as people say them: ``50 min``, ``1 h 20 min``."""
    if minutes is None:
        return "not known"
    hours, rest = divmod(int(minutes), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


@register.filter
def more_or_less(minutes: int, what: str) -> str:
    """Write a change in minutes: ``12 min more driving``, ``30 min less waiting``."""
    if not minutes:
        return f"no more {what}"
    return f"{abs(minutes)} min {'more' if minutes > 0 else 'less'} {what}"


@register.filter
def km(distance: float | None) -> str:
    """Write kilometres with one decimal, or say that they are not known; never 0 for unknown."""
    return "distance unknown" if distance is None else f"{distance:.1f} km"


@register.filter
def less(number: float, by: float) -> str:
    """Take one length from another, for a drawing."""
    return f"{number - by:.1f}"


@register.simple_tag(takes_context=True)
def day_ribbon(context: dict[str, Any], plan: DayPlan) -> Ribbon:
    """Return the day's ribbon as numbers to draw."""
    return ribbon(plan, context["studio"].zone)


@register.inclusion_tag("lessons/_road_to.html", takes_context=True)
def road_to(context: dict[str, Any], place: Place) -> dict[str, Any]:
    """Show the way from the base: kilometres, minutes, band, surcharge, and what they rest on."""
    return {
        "road": selectors.road_to(place),
        "place": place,
        "studio": context["studio"],
    }


@register.inclusion_tag("lessons/_family_homes.html", takes_context=True)
def family_homes(context: dict[str, Any], family: Family) -> dict[str, Any]:
    """Show the teacher a family's other homes and the move it has ahead of it."""
    return {
        "family": family,
        "others": other_homes(family),
        "coming": move_to_come(family),
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("lessons/_student_lessons.html")
def student_lessons(student: Student) -> dict[str, Any]:
    """Show the teacher a student's next lessons and last notes."""
    return {
        "student": student,
        "lessons": selectors.student_next_lessons(student=student, now=timezone.now()),
        "notes": selectors.student_last_notes(student=student),
    }


@register.inclusion_tag("lessons/_family_lessons.html", takes_context=True)
def family_lessons(context: dict[str, Any], family: Family) -> dict[str, Any]:
    """Show a family its next lessons."""
    return {
        "lessons": selectors.family_lessons(family=family, now=timezone.now()),
        "studio": context["studio"],
        # Only a family's own adults open these pages.
        "students": family.students.active().by_name() if _is_adult_of(context, family) else (),
    }


def _is_adult_of(context: dict[str, Any], family: Family) -> bool:
    adult = getattr(context.get("user"), "own_adult", None)
    return adult is not None and adult.family_id == family.pk


@register.inclusion_tag("lessons/_family_notes.html")
def family_notes(family: Family) -> dict[str, Any]:
    """Show a family the progress notes it was sent."""
    return {"notes": selectors.family_notes(family=family)}


@register.inclusion_tag("lessons/_calendar_address.html", takes_context=True)
def calendar_address(
    context: dict[str, Any], feed: CalendarFeed | None, address: str, family: Family | None = None
) -> dict[str, Any]:
    """Show a calendar's secret address with what can be done with it, or offer to make one."""
    to = {True: "calendar", False: "family_calendar"}[family is None]
    args = [] if family is None else [family.pk]
    return {
        "feed": feed,
        "address": address,
        "open_with": address.replace("https://", "webcal://").replace("http://", "webcal://"),
        "renew": reverse(f"lessons:{to}_renew", args=args),
        "close": reverse(f"lessons:{to}_close", args=args),
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("lessons/_family_calendar.html", takes_context=True)
def family_calendar(context: dict[str, Any], family: Family) -> dict[str, Any]:
    """Show a family its calendar's address, and the adult whether reminders come."""
    feed = CalendarFeed.objects.filter(family=family).first()
    rules = ReminderRules.current()
    return {
        "feed": feed,
        "address": feed_address(feed) if feed else "",
        "family": family,
        "adult": context["request"].user.own_adult,
        "reminders_go": rules.hours_before > 0,
        "when": rules.get_hours_before_display(),
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("lessons/_setup_links.html")
def road_and_bands_setup() -> dict[str, Any]:
    """Link to everything about lessons that is set up once."""
    return {}


@register.inclusion_tag("lessons/_slip.html", takes_context=True)
def lesson_slip(
    context: dict[str, Any],
    lesson: Lesson,
    back: str = "lesson",
    is_future: bool = False,  # noqa: FBT001, FBT002 - template tags take words, not keywords
    bound_note: tuple[int, NoteForm] | None = None,
) -> dict[str, Any]:
    """Show the slip of one lesson: attendance and note, one for each student."""
    notes = {note.student_id: note for note in lesson.notes.all()}
    rows = []
    for taker in lesson.takers.all():
        note = notes.get(taker.student_id)
        is_bound = bound_note is not None and bound_note[0] == taker.student_id
        form = bound_note[1] if bound_note and is_bound else None
        initial = {"body": note.body if note else ""}
        rows.append(
            {
                "taker": taker,
                "note": note,
                "form": form or NoteForm(initial=initial, auto_id=f"note-{taker.pk}-%s"),
                "is_bound": is_bound,
            }
        )
    return {
        "lesson": lesson,
        "practised": context.get("practised"),
        "rows": rows,
        "back": back,
        "is_future": is_future,
        "csrf_token": context.get("csrf_token"),
        "messages": context.get("messages") if context.get("is_fragment") else (),
    }
