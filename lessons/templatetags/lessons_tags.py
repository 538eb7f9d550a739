"""What pages of any app show of lessons and the road."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from lessons import selectors
from lessons.forms import NoteForm
from lessons.models import Lesson
from lessons.ribbon import Ribbon, ribbon
from lessons.selectors.days import DayPlan
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
def km(distance: float | None) -> str:
    """Write kilometres with one decimal, or say that they are not known; never 0 for unknown."""
    return "distance unknown" if distance is None else f"{distance:.1f} km"


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
    }


@register.inclusion_tag("lessons/_family_notes.html")
def family_notes(family: Family) -> dict[str, Any]:
    """Show a family the progress notes it was sent."""
    return {"notes": selectors.family_notes(family=family)}


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
