"""What happened between two dates, for the invoice."""

from __future__ import annotations

from datetime import date
from typing import cast

from lessons.facts import LessonFact
from lessons.models import Lesson, LessonStudent
from lessons.planning.bands import Band, BandFor, band_of_stop
from lessons.planning.policy import Outcome
from lessons.planning.travel import RoadBook
from lessons.selectors.road import bands_now, road_book, stop_of
from studio.local_time import day_bounds, local_date
from studio.models import Family, Studio


def lesson_facts(*, family: Family, first_date: date, last_date: date) -> tuple[LessonFact, ...]:
    """Return the family's part in every lesson of these local days, in order of time.

    Both dates are included. The number of queries does not depend on the number of lessons.
    """
    studio = Studio.current()
    start, _ = day_bounds(first_date, studio.zone)
    _, end = day_bounds(last_date, studio.zone)
    takers = (
        LessonStudent.objects.filter(
            student__family=family, lesson__starts_at__gte=start, lesson__starts_at__lt=end
        )
        .select_related("lesson__place", "student")
        .order_by("lesson__starts_at", "student_id")
    )
    roads, bands = road_book(studio), bands_now()
    return tuple(_fact(taker, studio, roads, bands) for taker in takers)


def band_of_lesson(lesson: Lesson, roads: RoadBook, bands: tuple[Band, ...]) -> BandFor:
    """Return the ring in which the lesson's place lies today."""
    return band_of_stop(stop_of(lesson.place), roads, bands)


def outcome_of(taker: LessonStudent) -> Outcome:
    """Return what the lesson counts as for this student."""
    lesson = taker.lesson
    if lesson.is_called_off:
        return cast(Outcome, lesson.called_off_outcome)
    if taker.is_present:
        return "held"
    return "no_show" if taker.is_no_show else "planned"


def _fact(
    taker: LessonStudent, studio: Studio, roads: RoadBook, bands: tuple[Band, ...]
) -> LessonFact:
    lesson = taker.lesson
    label, surcharge = lesson.fixed_band_label, lesson.fixed_surcharge
    if surcharge is None:
        band = band_of_lesson(lesson, roads, bands)
        label, surcharge = band.label, band.surcharge
    return LessonFact(
        lesson_id=lesson.pk,
        student_id=taker.student_id,
        student_name=taker.student.name,
        family_id=taker.student.family_id,
        starts_at=lesson.starts_at,
        local_date=local_date(lesson.starts_at, studio.zone),
        minutes=lesson.minutes,
        place_id=lesson.place_id,
        place_kind=lesson.place.kind,
        place_name=lesson.place.name,
        band_label=label,
        surcharge=surcharge,
        outcome=outcome_of(taker),
        reason=lesson.called_off_reason,
    )
