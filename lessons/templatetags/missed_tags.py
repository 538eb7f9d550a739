"""What other pages show of missed lessons and make-ups."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils import timezone

from lessons.models import Lesson, MakeUpRight, UpsetLesson
from lessons.planning.policy import Outcome, outcome_words
from lessons.selectors.make_ups import family_make_ups, missed_of, no_shows_of
from lessons.selectors.upsets import online_offered
from studio.local_time import local_date
from studio.models import Family, Student

register = template.Library()


@register.filter
def counts_as(outcome: Outcome) -> str:
    """Say what a lesson counts as; a word that nobody knows stays as it is."""
    try:
        return outcome_words(outcome)
    except KeyError:
        return str(outcome)


@register.inclusion_tag("lessons/_family_make_ups.html", takes_context=True)
def make_ups_of_family(context: dict[str, Any], family: Family) -> dict[str, Any]:
    """Show a family what is still to be made up, and until when; nothing without any."""
    today = local_date(timezone.now(), context["studio"].zone)
    return {"rights": family_make_ups(family=family, today=today), "studio": context["studio"]}


@register.inclusion_tag("lessons/_student_make_ups.html", takes_context=True)
def make_ups_of_student(context: dict[str, Any], student: Student) -> dict[str, Any]:
    """Show the teacher what is owed to a student; nothing without any."""
    today = local_date(timezone.now(), context["studio"].zone)
    rights = MakeUpRight.objects.filter(student=student).open_on(today).with_lessons()
    return {"rights": list(rights.soonest_first()), "student": student}


@register.inclusion_tag("lessons/_lesson_missed.html", takes_context=True)
def lesson_missed(context: dict[str, Any], lesson: Lesson) -> dict[str, Any]:
    """Show the teacher what a missed lesson counts as, what is owed for it, and who judged how."""
    rights, makes_up, rulings = missed_of(lesson_id=lesson.pk)
    return {
        "lesson": lesson,
        "rights": rights,
        "makes_up": makes_up,
        "rulings": rulings,
        "no_shows": [] if lesson.is_called_off else no_shows_of(lesson_id=lesson.pk),
        "today": local_date(timezone.now(), context["studio"].zone),
    }


@register.simple_tag
def online_instead(lesson: Lesson) -> UpsetLesson | None:
    """Return the press that put a planned home lesson online, while it can be declined."""
    if not lesson.is_planned or not lesson.place.is_online or lesson.starts_at <= timezone.now():
        return None
    # The family's own students alone are prefetched here; whoever stays away has answered.
    if all(taker.is_away for taker in lesson.takers.all()):
        return None
    return online_offered(lesson=lesson)
