"""Fingerprints of what a term's timetable rests on: they tell that something changed, and what."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import date

from django.core.serializers.json import DjangoJSONEncoder

from lessons.models import (
    Appointment,
    Closure,
    DayRule,
    Lesson,
    PlaceCorrection,
    PlaceHours,
    RoadSettings,
    Series,
    StudentWindow,
    StudentWishes,
    TeachingLimits,
    Term,
    WorkingHours,
)
from studio.models import Family, Place, Student, Studio

Rows = Iterable[Mapping[str, object]]
WORDS = {
    "lessons": "lessons or appointments were booked, moved or called off",
    "wishes": "somebody’s times or wishes changed",
    "frame": "your hours, limits, closures or the term changed",
    "road": "places or roads changed",
}


def term_seals(*, term: Term, from_date: date, studio: Studio) -> dict[str, str]:
    """Return a fingerprint for each thing that a timetable from this day on rests on.

    Marking attendance changes none of them; whatever takes or frees time does.
    """
    last = term.last_date
    students = Student.objects.active().order_by("pk")
    return {
        "lessons": _seal(
            *_series(from_date, last),
            Lesson.objects.taking_time()
            .on_days(from_date, last, studio.zone)
            .order_by("pk")
            .values("pk", "series_id", "place_id", "starts_at", "ends_at"),
            Appointment.objects.touching(from_date, last).order_by("pk").values(),
        ),
        "wishes": _seal(
            StudentWishes.objects.order_by("pk").values(),
            StudentWindow.objects.order_by("pk").values(),
            students.values("pk", "birth_year", "family_id"),
        ),
        "frame": _seal(
            Term.objects.filter(pk=term.pk).values(),
            Closure.objects.touching(from_date, last).order_by("pk").values(),
            WorkingHours.objects.order_by("pk").values(),
            PlaceHours.objects.order_by("pk").values(),
            DayRule.objects.order_by("pk").values(),
            TeachingLimits.objects.values(),
        ),
        "road": _seal(
            Place.objects.order_by("pk").values(
                "pk", "kind", "latitude", "longitude", "minutes_from_base"
            ),
            Family.objects.order_by("pk").values("pk", "home_id"),
            PlaceCorrection.objects.order_by("pk").values(),
            RoadSettings.objects.values(),
            [{"base": studio.base_id, "zone": studio.time_zone}],
        ),
    }


def changed_words(then: dict[str, str], now: dict[str, str]) -> tuple[str, ...]:
    """Return what changed between two sets of seals, in words; empty when nothing did."""
    return tuple(words for key, words in WORDS.items() if then.get(key) != now.get(key))


def _series(first: date, last: date) -> tuple[Rows, Rows]:
    running = Series.objects.filter(first_date__lte=last, last_date__gte=first)
    through = Series.students.through.objects.filter(series__in=running)
    return (
        running.order_by("pk").values(
            "pk", "kind", "place_id", "first_date", "last_date", "at", "minutes", "every_weeks",
            "stopped_from_date",
        ),
        through.order_by("series_id", "student_id").values("series_id", "student_id"),
    )  # fmt: skip


def _seal(*parts: Rows) -> str:
    rows = [list(part) for part in parts]
    text = json.dumps(rows, cls=DjangoJSONEncoder, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:24]
