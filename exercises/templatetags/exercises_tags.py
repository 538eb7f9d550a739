"""What exercises put on pages of others: a student's page, a family's page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django import template
from django.utils import timezone
from django.utils.safestring import SafeString

from exercises.pictures import curve_words, tempo_curve
from exercises.selectors.practice import (
    Week,
    current_week,
    current_weeks,
    family_weeks,
    tempo_curves,
    weeks_up_to,
)
from studio.local_time import monday_of
from studio.models import Family, Student

register = template.Library()
WEEKS_SHOWN = 4


@dataclass(frozen=True, slots=True)
class CurvePicture:
    """A tempo curve with its words."""

    title: str
    picture: SafeString
    words: str


@register.filter
def signed(points: float | None) -> str:
    """Write a difference with its sign and one decimal: "+1.2", "−0.3", "0.0"."""
    if points is None:
        return ""
    tenths = round(points * 10)
    sign = "+" if tenths > 0 else "−" if tenths < 0 else ""
    return f"{sign}{abs(tenths) / 10:.1f}"


@register.simple_tag
def students_now(students: Iterable[Student]) -> dict[int, str]:
    """Say of each student, by number, what :func:`student_now` says; for pages that list many."""
    weeks = current_weeks(students=students, today=timezone.localdate())
    return {student.pk: _now_words(weeks.get(student.pk)) for student in students}


@register.simple_tag
def said_of(words: dict[int, str] | None, student: Student) -> str:
    """Return a student's line among those of :func:`students_now`."""
    return (words or {}).get(student.pk, "")


@register.simple_tag
def student_now(student: Student) -> str:
    """Say in one line what a student is on and how much was practised."""
    return _now_words(current_week(student=student, today=timezone.localdate()))


def _now_words(week: Week | None) -> str:
    if week is None or not week.works:
        return "Nothing is set for this week yet."
    titles = [work.assignment.exercise.title for work in week.works]
    more = f" and {len(titles) - 1} more" if len(titles) > 1 else ""
    return f"On {titles[0]}{more}; {practised_words(week)}"


@register.simple_tag
def practised_words(week: Week) -> str:
    """Return a week's practice as half a sentence."""
    if not week.minutes:
        return "nothing written down yet."
    days = week.days_practised
    return f"{week.minutes} minutes on {days} day{'' if days == 1 else 's'}."


@register.inclusion_tag("exercises/_student_week.html", takes_context=True)
def student_week(context: dict[str, Any], student: Student) -> dict[str, Any]:
    """Show a student's latest weeks, the coming one first: what was set, what came of it."""
    today = timezone.localdate()
    monday = monday_of(today) + timedelta(weeks=1)
    weeks = weeks_up_to(student=student, monday=monday, count=WEEKS_SHOWN, today=today)
    return {
        "student": student,
        "weeks": [week for week in weeks if week.works],
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("exercises/_student_curves.html")
def student_curves(student: Student) -> dict[str, Any]:
    """Show how a student's clean tempo rose, one picture for each exercise."""
    curves = [
        CurvePicture(
            curve.title,
            tempo_curve(curve.points, curve.goal_bpm),
            curve_words(curve.points, curve.goal_bpm),
        )
        for curve in tempo_curves(student=student)
    ]
    return {"student": student, "curves": curves}


@register.inclusion_tag("exercises/_family_practice.html")
def family_practice(family: Family) -> dict[str, Any]:
    """Show a family how this week's practice goes."""
    return {"children": family_weeks(family=family, today=timezone.localdate())}
