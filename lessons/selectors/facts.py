"""What happened between two dates, for the invoice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from django.db.models import QuerySet

from lessons.facts import LessonFact
from lessons.models import Lesson, LessonStudent, MakeUpRight, Overruling
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
    return _facts(
        LessonStudent.objects.filter(
            student__family=family, lesson__starts_at__gte=start, lesson__starts_at__lt=end
        ),
        studio,
    )


def facts_of_lessons(*, family: Family, lesson_ids: Iterable[int]) -> tuple[LessonFact, ...]:
    """Return the family's part in these lessons, whenever they were, in order of time."""
    takers = LessonStudent.objects.filter(student__family=family, lesson__in=list(lesson_ids))
    return _facts(takers, Studio.current())


@dataclass(frozen=True, slots=True)
class _Judged:
    """What was decided about missed lessons beyond their own rows, by (lesson, student)."""

    owed: Mapping[tuple[int, int], MakeUpRight]
    paying: Mapping[tuple[int, int], MakeUpRight]
    let_off: Mapping[tuple[int, int], str]
    missed: Mapping[tuple[int, int], Outcome]


def _facts(takers: QuerySet[LessonStudent], studio: Studio) -> tuple[LessonFact, ...]:
    rows = list(
        takers.select_related("lesson__place", "student").order_by(
            "lesson__starts_at", "student_id"
        )
    )
    roads, bands = road_book(studio), bands_now()
    judged = _judged({row.lesson_id for row in rows})
    return tuple(_fact(row, studio, roads, bands, judged) for row in rows)


def _judged(lessons: set[int]) -> _Judged:
    """Three queries, whatever the number of lessons."""
    rights = MakeUpRight.objects.standing().select_related("lesson", "used_by")
    near = rights.filter(lesson__in=lessons) | rights.filter(used_by__in=lessons)
    owed: dict[tuple[int, int], MakeUpRight] = {}
    paying: dict[tuple[int, int], MakeUpRight] = {}
    for right in near:
        owed[right.lesson_id, right.student_id] = right
        if right.used_by_id is not None and right.is_used:
            paying[right.used_by_id, right.student_id] = right
    made_up = {right.lesson_id for right in paying.values()}
    rulings = Overruling.objects.filter(lesson__in=lessons | made_up, student__isnull=False)
    let_off: dict[tuple[int, int], str] = {
        (row.lesson_id, cast(int, row.student_id)): row.counts_as for row in rulings.order_by("pk")
    }
    missed = LessonStudent.objects.filter(lesson__in=made_up).select_related("lesson")
    outcomes = {(row.lesson_id, row.student_id): _outcome(row, let_off) for row in missed}
    return _Judged(owed, paying, let_off, outcomes)


def _outcome(taker: LessonStudent, let_off: Mapping[tuple[int, int], str]) -> Outcome:
    outcome = outcome_of(taker)
    if outcome == "no_show" and let_off.get((taker.lesson_id, taker.student_id)) == "excused":
        return "excused"
    return outcome


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
    if taker.is_away:
        return cast(Outcome, taker.away_outcome)
    return "no_show" if taker.is_no_show else "planned"


def _fact(
    taker: LessonStudent,
    studio: Studio,
    roads: RoadBook,
    bands: tuple[Band, ...],
    judged: _Judged,
) -> LessonFact:
    lesson = taker.lesson
    label, surcharge = lesson.fixed_band_label, lesson.fixed_surcharge
    if surcharge is None:
        band = band_of_lesson(lesson, roads, bands)
        label, surcharge = band.label, band.surcharge
    key = (lesson.pk, taker.student_id)
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
        outcome=_outcome(taker, judged.let_off),
        reason=lesson.called_off_reason or (taker.away_reason if taker.is_away else ""),
        **_make_up_facts(key, judged, studio),
    )


def _make_up_facts(key: tuple[int, int], judged: _Judged, studio: Studio) -> dict[str, Any]:
    owed, paying = judged.owed.get(key), judged.paying.get(key)
    made = paying.lesson if paying else None
    return {
        "make_up_until": owed.expires_on if owed else None,
        "is_made_up": owed is not None and owed.is_used,
        "makes_up": made.pk if made else None,
        "makes_up_date": local_date(made.starts_at, studio.zone) if made else None,
        "makes_up_outcome": judged.missed.get((made.pk, key[1]), "") if made else "",
    }
